"""Focal points over a picture: a ring about what stays as it is, ticks inward, a cross at the middle, and a number."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter, QPainterPath

from app import look
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed

if TYPE_CHECKING:
    from core.edge.brief import FocalPoint

_WIDTH_PX, _CHOSEN_PX = 1.8, 3.2
_TICK_PX, _CROSS_PX = 9.0, 7.0
_LEAST_PX = 6.0
_TURNS = 72
_WAYS = (QPointF(1, 0), QPointF(0, 1), QPointF(-1, 0), QPointF(0, -1))


@dataclass(frozen=True)
class FocusRings:
    """``foci`` with their numbers; the ``chosen`` one is drawn heavier."""

    foci: "tuple[tuple[int, FocalPoint], ...]"
    chosen: int | None = None

    def paint(self, painter: QPainter, placed: Placed) -> None:
        for number, focus in self.foci:
            paint_focus(painter, placed, focus, number, chosen=number == self.chosen)


def paint_focus(painter: QPainter, placed: Placed, focus: "FocalPoint", number: int, *, chosen: bool = False) -> None:
    """One focal point; as shot its ring lies as the canvas does."""
    path = QPainterPath()
    path.addPolygon(placed.polygon(_circle(focus)))
    middle = placed.point(focus.x_mm, focus.y_mm)
    radius = max(placed.screen_px(focus.radius_mm, focus.x_mm, focus.y_mm), look.px(_LEAST_PX))
    tick, cross = min(look.px(_TICK_PX), radius / 2), min(look.px(_CROSS_PX), radius / 2)
    for way in _WAYS:
        path.moveTo(middle + way * radius)
        path.lineTo(middle + way * (radius - tick))
        path.moveTo(middle)
        path.lineTo(middle + way * cross)
    marks.stroke(painter, path, look.px(_CHOSEN_PX if chosen else _WIDTH_PX))
    plate = marks.badge_rect(middle, focus_name(number))
    at = middle + QPointF(cross + plate.width() / 2 + look.px(3), -cross - plate.height() / 2)
    if placed.viewport.contains(at):
        marks.badge(painter, at, focus_name(number), dark=chosen)


def focus_name(number: int) -> str:
    """Told apart from the numbers of what a check found."""
    return f"F{number}"


def _circle(focus: "FocalPoint") -> Points:
    import numpy as np

    turn = np.linspace(0, 2 * np.pi, _TURNS + 1)
    around = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.asarray(np.array([focus.x_mm, focus.y_mm]) + focus.radius_mm * around)
