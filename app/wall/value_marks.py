"""First marks and the order of work over the reference: outlines, and numbers that keep clear of one another.

Darks and lights are told apart by their letter and by the shape of their plate: square for a dark, round for a light.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from app.wall.trace import Trace, closed_trace

Points = NDArray[np.float64]

_ROUND_TURNS = 8
_AWAY = (0.9, 1.5, 2.2)  # heights of a plate by which a number steps aside


@dataclass(frozen=True, eq=False)
class MarkShape:
    """One first mark: ``label``, such as D1 or L2, the point inside it ``at`` mm, its ``outline`` ``(n, 2)`` mm."""

    label: str
    is_dark: bool
    at: tuple[float, float]
    outline: Points


@dataclass(frozen=True, eq=False)
class WorkNumber:
    """One place in the order of work; ``is_current`` is set off, ``is_done`` is one of those that it is judged by."""

    label: str
    at: tuple[float, float]
    is_current: bool = False
    is_done: bool = False


@dataclass(frozen=True, eq=False)
class Outline:
    """Closed rings ``(n, 2)`` mm."""

    rings: tuple[Points, ...]


@dataclass(frozen=True, eq=False)
class ValueMarks:
    """``current``: the outline of the region that is looked at. ``numbered``: the labels of shapes that a number tells
    already."""

    shapes: tuple[MarkShape, ...] = ()
    numbers: tuple[WorkNumber, ...] = ()
    current: Outline | None = None
    numbered: frozenset[str] = frozenset()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.current is not None and self.current.rings:
            marks.stroke_trace(painter, _rings(self.current, placed.mapping), placed, look.px(3.5))
        for shape in self.shapes:
            marks.stroke_trace(painter, _shape(shape, placed.mapping), placed, look.px(2.0))
        taken: list[QRectF] = []
        for number in self.numbers:
            if number.is_current:
                _number(painter, placed, number, taken)
        for shape in self.shapes:
            if shape.label not in self.numbered:
                _label(painter, placed, shape, taken)
        for number in self.numbers:
            if not number.is_current:
                _number(painter, placed, number, taken)


@lru_cache(maxsize=64)
def _shape(shape: MarkShape, mapping: Mapping) -> Trace:
    return closed_trace((shape.outline,), mapping)


@lru_cache(maxsize=16)
def _rings(outline: Outline, mapping: Mapping) -> Trace:
    return closed_trace(outline.rings, mapping)


def _label(painter: QPainter, placed: Placed, shape: MarkShape, taken: list[QRectF]) -> None:
    anchor = placed.point(*shape.at)
    own = marks.badge_rect(anchor, shape.label)
    rect = clear_place(own, taken, placed.viewport) or own
    _lead(painter, anchor, rect, own)
    taken.append(rect)
    ground, ink = (look.INK, look.PAPER) if shape.is_dark else (look.PAPER, look.INK)
    painter.setPen(marks.pen(ink, 1.5))
    painter.setBrush(ground)
    if shape.is_dark:
        painter.drawRect(rect)
    else:
        painter.drawRoundedRect(rect, rect.height() / 2, rect.height() / 2)
    painter.setFont(look.font("strong"))
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, shape.label)


def _number(painter: QPainter, placed: Placed, number: WorkNumber, taken: list[QRectF]) -> None:
    """A number is left out where there is no room for it near its place; the current one always shows."""
    anchor = placed.point(*number.at)
    if not placed.viewport.contains(anchor):
        return
    font = look.font("strong" if number.is_current else "note")
    size = marks.text_rect(number.label, font, 4.0)
    own = QRectF(anchor.x() - size.width() / 2, anchor.y() - size.height() / 2, size.width(), size.height())
    rect = clear_place(own, taken, placed.viewport) or (own if number.is_current else None)
    if rect is None:
        return
    _lead(painter, anchor, rect, own)
    taken.append(rect)
    marks.plate(painter, rect, number.label, font, dark=number.is_current)
    if number.is_done:
        painter.setPen(marks.pen(look.INK, 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(rect, 4, 4)


def _lead(painter: QPainter, anchor: QPointF, rect: QRectF, own: QRectF) -> None:
    """A line from a plate that had to step aside to its place."""
    if rect != own:
        line = QLineF(anchor, rect.center())
        for colour, width in ((look.PAPER, look.px(3.0)), (look.INK, look.px(1.2))):
            painter.setPen(marks.pen(colour, width))
            painter.drawLine(line)


def clear_place(own: QRectF, taken: Sequence[QRectF], room: QRectF) -> QRectF | None:
    """Where a plate lies in the room and meets none of those ``taken``: its own place, else one near it, else none."""
    for away in (0.0, *_AWAY):
        for turn in range(_ROUND_TURNS):
            angle = 2 * math.pi * turn / _ROUND_TURNS
            reach = away * max(own.height(), 1.0)
            wide = reach + min(away, 1.0) * (own.width() - own.height()) / 2
            moved = own.translated(wide * math.cos(angle), reach * math.sin(angle))
            if room.contains(moved) and not any(moved.intersects(other) for other in taken):
                return moved
    return None
