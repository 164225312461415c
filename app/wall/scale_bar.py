"""A bar of a round length on the canvas, at the zoom in use."""

import math
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath

from app import look
from app.wall import marks
from core.size import MM_PER_INCH

UNITS = ("mm", "cm", "in")
LONGEST_PX = 140.0
_INCHES = {1 / 8: "1/8", 1 / 4: "¼", 1 / 2: "½"}
_TICK_PX = 5.0


@dataclass(frozen=True)
class ScaleBar:
    """``length_mm`` on the canvas, and how it is written."""

    length_mm: float
    label: str


def scale_bar(px_per_mm: float, unit: str = "cm") -> ScaleBar:
    """The longest round length that takes at most ``LONGEST_PX`` on the screen; ``unit`` is one of ``UNITS``."""
    if unit not in UNITS:
        raise ValueError(f"“{unit}” is not one of {', '.join(UNITS)}")
    most_mm = LONGEST_PX / px_per_mm
    if unit == "in":
        inches = _round_inches(most_mm / MM_PER_INCH)
        return ScaleBar(inches * MM_PER_INCH, f"{_INCHES.get(inches, f'{inches:g}')} in")
    length = _round_down(most_mm)
    if unit == "cm" and length >= 10.0:
        return ScaleBar(length, f"{length / 10:g} cm")
    return ScaleBar(length, f"{length:g} mm")


def _round_down(length: float) -> float:
    """The largest of 1, 2, 5 × a power of ten that is not above ``length``."""
    power = 10.0 ** math.floor(math.log10(length) + 1e-9)
    return power * max(step for step in (1.0, 2.0, 5.0) if step * power <= length * (1 + 1e-9))


def _round_inches(length: float) -> float:
    fractions = [fraction for fraction in _INCHES if fraction <= length]
    return _round_down(length) if length >= 1.0 or not fractions else max(fractions)


def paint_scale_bar(painter: QPainter, rect: QRectF, px_per_mm: float, unit: str) -> None:
    """At the left of ``rect``: the bar, its ends ticked, and its length."""
    bar = scale_bar(px_per_mm, unit)
    y, left = rect.center().y(), rect.left() + 4
    right = left + bar.length_mm * px_per_mm
    path = QPainterPath(QPointF(left, y - _TICK_PX))
    path.lineTo(left, y + _TICK_PX)
    path.moveTo(left, y)
    path.lineTo(right, y)
    path.moveTo(right, y - _TICK_PX)
    path.lineTo(right, y + _TICK_PX)
    ink = look.shades().colour("ink")
    painter.setPen(marks.pen(ink, 2.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)
    painter.setFont(look.font("body"))
    text = QRectF(right + 10, rect.top(), max(0.0, rect.right() - right - 10), rect.height())
    painter.drawText(text, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, bar.label)
