"""The words on the projected picture: what is shown at its head, the keys at its foot, and the corners' handles."""

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app import look
from app.projection.keys import THROW_KEYS, ThrowKey

INK, QUIET = look.neutral(8.5), look.neutral(5.5)
_GROUND = look.neutral(0.8)
_MARGIN = 14.0
_HANDLE_PX, _CHOSEN_PX = 11.0, 20.0


def paint_head(painter: QPainter, room: QRectF, status: str, sentence: str) -> None:
    """What is shown, and under it what could not be done."""
    lines = [(text, ink) for text, ink in ((status, QUIET), (sentence, INK)) if text]
    painter.setFont(look.font())
    metrics = QFontMetricsF(painter.font())
    top = room.top() + 0.6 * _MARGIN
    for text, ink in lines:
        wanted = room.adjusted(_MARGIN, top - room.top(), -_MARGIN, 0)
        took = metrics.boundingRect(wanted, Qt.TextFlag.TextWordWrap, text)
        painter.fillRect(took.adjusted(-6, -2, 6, 2), _GROUND if ink is INK else QColor(0, 0, 0))
        painter.setPen(ink)
        painter.drawText(wanted, Qt.TextFlag.TextWordWrap, text)
        top += took.height() + 6


def paint_keys(painter: QPainter, room: QRectF) -> None:
    """All keys along the foot, in as few rows as their columns leave."""
    font = look.font("note")
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    columns, rows = _columns(metrics, room.width() - 2 * _MARGIN)
    line = metrics.height() + 1
    top = room.bottom() - rows * line - 0.5 * _MARGIN
    painter.fillRect(QRectF(room.left(), top - 4, room.width(), room.bottom() - top + 4), _GROUND)
    spare = max(room.width() - 2 * _MARGIN - sum(key + say for _, key, say in columns), 0.0)
    left = room.left() + _MARGIN
    for keys, key_wide, say_wide in columns:
        for row, each in enumerate(keys):
            at = top + row * line + metrics.ascent()
            painter.setPen(INK)
            painter.drawText(QPointF(left, at), each.show)
            painter.setPen(QUIET)
            painter.drawText(QPointF(left + key_wide, at), each.say)
        left += key_wide + say_wide + spare / max(len(columns) - 1, 1)


def _columns(metrics: QFontMetricsF, wide: float) -> tuple[list[tuple[tuple[ThrowKey, ...], float, float]], int]:
    """The keys in columns that fit side by side, each with the widths of its keys and of its words; and the rows."""
    rows = 0
    while True:
        rows += 1
        groups = [THROW_KEYS[first : first + rows] for first in range(0, len(THROW_KEYS), rows)]
        columns = [
            (
                group,
                max(metrics.horizontalAdvance(each.show) for each in group) + 10,
                max(metrics.horizontalAdvance(each.say) for each in group) + 18,
            )
            for group in groups
        ]
        if sum(key + say for _, key, say in columns) <= wide or len(groups) == 1:
            return columns, rows


def paint_handles(painter: QPainter, corners: Sequence[QPointF], chosen: int | None, middle: QPointF) -> None:
    """A ring about each corner and its number outside the canvas; the chosen one is larger, with a cross of hairs."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setFont(look.font("strong"))
    for index, at in enumerate(corners):
        is_chosen = index == chosen
        radius = look.px(_CHOSEN_PX if is_chosen else _HANDLE_PX)
        painter.setPen(QPen(INK if is_chosen else QUIET, 2.0 if is_chosen else 1.5))
        painter.drawEllipse(at, radius, radius)
        if is_chosen:
            for way in (QPointF(1, 0), QPointF(-1, 0), QPointF(0, 1), QPointF(0, -1)):
                painter.drawLine(at + way * 4.0, at + way * 2.0 * radius)
        beside = at.x() + math.copysign(radius + look.px(14.0), at.x() - middle.x())
        box = QRectF(beside - 14, at.y() - 26, 28, 24)  # clear of the hairs and of the canvas's own edge
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(index + 1))
