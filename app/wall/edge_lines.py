"""The edge plan over the faded reference: four kinds of line, told apart by weight, pattern and tone."""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app import look
from app.wall import marks
from app.wall.line_work import ANY_FLAT, broken, laid_alike
from app.wall.sight import Placed
from app.wall.trace import END_LAP, Trace, trace_of

if TYPE_CHECKING:
    from core.edge.kinds import EdgeKind
    from core.edge.plan import EdgePlan
    from core.edge.styles import LineStyle

Floats = NDArray[np.float64]

PEN_PX = 0.9
"""The thinnest line on the screen, in which widths, dashes and gaps are told."""
_STEPS = 2
"""Dashes are cut anew so many times to an octave of the zoom."""
_DOT_MM = 0.002


@dataclass(frozen=True, eq=False)
class PlanLines:
    """The lines of a plan over a picture laid flat; they are as wide on the screen at every zoom."""

    plan: "EdgePlan"

    def paint(self, painter: QPainter, placed: Placed) -> None:
        from core.edge.plan import KINDS
        from core.edge.styles import STYLES

        placed, pen_px = laid_alike(placed), look.px(PEN_PX)
        pen_mm = 2.0 ** (round(_STEPS * math.log2(pen_px / placed.sight.zoom)) / _STEPS)
        for kind in reversed(KINDS):  # the hardest lie on top
            style = STYLES[kind]
            if style.gap and not style.dash:
                dots(painter, placed, _dots(self.plan, kind, pen_mm), style.width * pen_px, style.grey)
            else:
                width, ink = style.width * pen_px, QColor(style.grey, style.grey, style.grey)
                marks.plain_trace(painter, _trace(self.plan, kind, pen_mm), placed, width, ink)


def dots(painter: QPainter, placed: Placed, at: Floats, width_px: float, grey: int) -> None:
    """Round dots about places ``(n, 2)`` mm."""
    on_screen = placed.points(at)
    left, top = placed.viewport.left() - width_px, placed.viewport.top() - width_px
    right, bottom = placed.viewport.right() + width_px, placed.viewport.bottom() + width_px
    x, y = on_screen.T
    seen = on_screen[(x > left) & (x < right) & (y > top) & (y < bottom)]
    painter.setPen(marks.pen(QColor(grey, grey, grey), width_px, Qt.PenCapStyle.RoundCap))
    painter.drawPoints(QPolygonF([QPointF(x, y) for x, y in seen.tolist()]))


@lru_cache(maxsize=32)
def _trace(plan: "EdgePlan", kind: "EdgeKind", pen_mm: float) -> Trace:
    """The strokes of one kind, cut into the dashes of its style."""
    from core.edge.styles import STYLES

    starts, ends, line = _pieces(plan, kind, STYLES[kind], pen_mm)
    cuts = np.flatnonzero(np.diff(line)) + 1
    return trace_of(np.split(starts, cuts), np.split(ends, cuts), ANY_FLAT)


@lru_cache(maxsize=16)
def _dots(plan: "EdgePlan", kind: "EdgeKind", pen_mm: float) -> Floats:
    from core.edge.styles import STYLES

    starts, ends, _ = _pieces(plan, kind, STYLES[kind], pen_mm)
    return (starts + ends) / 2


def _pieces(
    plan: "EdgePlan", kind: "EdgeKind", style: "LineStyle", pen_mm: float
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Straight pieces of every stroke of a kind, from and to ``(n, 2)`` mm, and the number of its stroke."""
    each = [points for stroke_kind, points in _strokes(plan) if stroke_kind is kind]
    if not each:
        return np.empty((0, 2)), np.empty((0, 2)), np.empty(0, np.int64)
    starts = np.concatenate([points[:-1] for points in each])
    ends = np.concatenate([points[1:] for points in each])
    line = np.repeat(np.arange(len(each)), [len(points) - 1 for points in each])
    there = (starts != ends).any(axis=1)
    starts, ends, line = starts[there], ends[there], line[there]
    if not style.gap:
        return starts, ends, line
    if not style.dash:
        return broken(starts, ends, line, _DOT_MM, style.gap * pen_mm, fewest_gaps=1)
    lap = END_LAP * style.width  # by which a dash is drawn longer
    return broken(starts, ends, line, (style.dash - lap) * pen_mm, (style.gap + lap) * pen_mm, fewest_gaps=1)


@lru_cache(maxsize=2)
def _strokes(plan: "EdgePlan") -> "list[tuple[EdgeKind, Floats]]":
    from core.edge.styles import strokes

    return [(stroke.kind, stroke.points_mm) for stroke in strokes(plan)]
