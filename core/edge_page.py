"""The edge plan in print: one page to hang beside the easel, its lines true to the canvas's shape and drawn sharp."""

from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core import words
from core.edge.brief import EdgeBrief, FocalPoint
from core.edge.picture import faded
from core.edge.plan import EdgePlan
from core.edge.styles import STYLES, LegendEntry, LineStyle, dashed, legend, strokes
from core.print_page import INK, MARGIN_MM, PT_PER_MM, SOFT, Print, PrintPage, register_fonts
from core.size import PAPERS, Size
from core.whole_file import save_bytes

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

PEN_MM = 0.2
_HEAD_MM, _GAP_MM, _ROW_MM = 14.0, 6.0, 5.4
_SAMPLE_MM, _COLUMN_MM = 22.0, 88.0
_LEADING, _BETWEEN_MM = 1.32, 0.6
"""Of text, as :class:`PrintPage` sets it, in its size; and what is added between two sentences."""
_RIM_MM, _RING_MM, _TICK_MM = 0.7, 0.25, 2.0
_PICTURE_DPI = 200
_MOST_FOCI = 6


@dataclass(frozen=True, eq=False)
class EdgePage:
    """``picture``: the whole reference ``(H, W, 3)`` or ``(H, W)`` uint8 sRGB. ``paper`` is laid on its longer side
    where the picture is larger so. ``title``: at the head."""

    picture: Pixels
    plan: EdgePlan
    paper: Size = field(default_factory=lambda: PAPERS["A4"])
    title: str = "Reference"


def write_edge_page(path: Path, page: EdgePage) -> int:
    """Write the PDF, whole or not at all; give back how many pages it has. Raises PainterError with a sentence."""
    save_bytes(path, edge_page_bytes(page))
    return 1


def edge_page_bytes(page: EdgePage) -> bytes:
    """The PDF of one page: the plan over the faded picture, what its lines mean, and how much edge is of each kind."""
    size = page.plan.brief.size
    paper = max((page.paper, page.paper.turned), key=lambda each: laid(each, page.plan)[2])
    pdf = Print(f"Edge plan, canvas {size.in_cm()}", paper)
    left, top, scale = laid(paper, page.plan)
    _head(pdf.page, page, scale)
    small = _reduced(page.picture, size, scale)
    pdf.page.picture(faded(small), left, top, size.width_mm * scale, size.height_mm * scale)
    with pdf.page.clipped(left, top, left + size.width_mm * scale, top + size.height_mm * scale):
        for stroke in strokes(page.plan):
            _line(pdf.page, stroke.points_mm * scale + (left, top), STYLES[stroke.kind])
        for focus in page.plan.brief.foci:
            _ring(pdf.page, focus, left, top, scale)
    _foot(pdf.page, page.plan, top + size.height_mm * scale + _GAP_MM)
    pdf.turn()
    return pdf.finished()


def laid(paper: Size, plan: EdgePlan) -> tuple[float, float, float]:
    """Where the canvas lies on the paper: left and top, mm, and mm of paper for each mm of canvas (1 at most)."""
    size = plan.brief.size
    wide = paper.width_mm - 2 * MARGIN_MM
    high = paper.height_mm - 2 * MARGIN_MM - _HEAD_MM - _GAP_MM - _foot_mm(paper, plan)
    scale = min(1.0, wide / size.width_mm, high / size.height_mm)
    return (paper.width_mm - size.width_mm * scale) / 2, MARGIN_MM + _HEAD_MM, scale


def _foot_mm(paper: Size, plan: EdgePlan) -> float:
    """Room for the legend and the words under the picture."""
    from reportlab.lib.utils import simpleSplit

    register_fonts()
    x, y = _told_at(paper)
    room = (paper.width_mm - MARGIN_MM - x) * PT_PER_MM
    for said, size, weight in _told(plan):
        y += len(simpleSplit(said, f"Inter-{weight}", size, room)) * size * _LEADING / PT_PER_MM + _BETWEEN_MM
    return max(4 * _ROW_MM, y)


def _told_at(paper: Size) -> tuple[float, float]:
    """Where the words begin, mm from the left of the paper and from the top of the foot: beside the legend where the
    paper is wide enough, else under it."""
    beside = paper.width_mm - 2 * MARGIN_MM >= 2 * _COLUMN_MM
    return (MARGIN_MM + _COLUMN_MM, 0.0) if beside else (MARGIN_MM, 4.5 * _ROW_MM)


def _told(plan: EdgePlan) -> list[tuple[str, float, str]]:
    """The words under the picture: each with its size in points and its weight."""
    rows = [_how_words(plan.brief), *_focus_words(plan.brief)]
    return [(f"{plan.budget.say().removesuffix('.')}.", 8.5, "SemiBold"), *((row, 8.0, "Regular") for row in rows)]


def _head(page: PrintPage, edge_page: EdgePage, scale: float) -> None:
    size = edge_page.plan.brief.size
    page.text(f"{edge_page.title}: edge plan", MARGIN_MM, MARGIN_MM + 5.0, 13, weight="SemiBold")
    how = "full size" if scale == 1.0 else f"1 mm here is {1 / scale:.2f} mm on the canvas"
    about = f"Canvas {size.in_cm()} ({size.in_inches()}) · {how}"
    page.text(about, MARGIN_MM, MARGIN_MM + 10.0, 8.5, grey=SOFT)


def _foot(page: PrintPage, plan: EdgePlan, top: float) -> None:
    for number, entry in enumerate(legend(plan)):
        _entry(page, entry, plan, MARGIN_MM, top + number * _ROW_MM + 3.0)
    x, y = _told_at(page.paper)
    y += top + 3.0
    for said, size, weight in _told(plan):
        y = page.text(said, x, y, size, weight=weight, grey=INK if weight == "SemiBold" else SOFT) + _BETWEEN_MM


def _entry(page: PrintPage, entry: LegendEntry, plan: EdgePlan, x: float, y: float) -> None:
    _line(page, np.array([[x, y - 1.0], [x + _SAMPLE_MM, y - 1.0]]), entry.style)
    beyond = x + _SAMPLE_MM + 4.0
    page.text(str(entry.kind).capitalize(), beyond, y, 8.5, weight="SemiBold", room=12.0)
    share = f" · {words.as_share(entry.share)}" if plan.budget.total_mm > 0 else ""
    page.text(f"{entry.pattern}{share}", beyond + 12.0, y, 8.0, grey=SOFT, room=_COLUMN_MM - _SAMPLE_MM - 16.0)


def _how_words(brief: EdgeBrief) -> str:
    by_hand = " Some of it is brushed by hand." if brief.brushed else ""
    if not brief.foci:
        return f"No focal point is set: the edges are those of the reference.{by_hand}"
    if brief.eye is None:
        return f"Softened from the focal point outward, faint edges first.{by_hand}"
    times = "" if brief.eye.strength == 1 else f", {brief.eye.strength:g} times as strong"
    return f"As the eye sees it that rests there, from {brief.eye.viewing_mm / 1000:.2g} m{times}.{by_hand}"


def _focus_words(brief: EdgeBrief) -> list[str]:
    told = [
        f"Focal point, {words.place(each.x_mm, each.y_mm, brief.size)}: {each.x_mm:.0f} mm from the left, "
        f"{each.y_mm:.0f} mm from the top, radius {each.radius_mm:.0f} mm."
        for each in brief.foci[:_MOST_FOCI]
    ]
    more = len(brief.foci) - _MOST_FOCI
    return [*told, f"And {more} more focal point{'s' if more > 1 else ''}."] if more > 0 else told


def _line(page: PrintPage, points: Floats, style: LineStyle) -> None:
    """A polyline ``(n, 2)`` of mm on the page in one of the four styles."""
    pdf = page.pdf
    dash, gap, width = (each * PEN_MM for each in (style.dash, style.gap, style.width))
    pdf.setStrokeGray(style.grey / 255)
    pdf.setFillGray(style.grey / 255)
    pdf.setLineWidth(width * PT_PER_MM)
    pdf.setLineJoin(1)
    pdf.setLineCap(0 if style.gap else 1)
    for part in dashed(points, dash, gap) if style.gap else [points]:
        if len(part) > 1:
            _path(page, part)
        else:
            x, y = part[0].tolist()
            pdf.circle(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM, width / 2 * PT_PER_MM, stroke=0, fill=1)


def _ring(page: PrintPage, focus: FocalPoint, left: float, top: float, scale: float) -> None:
    """A thin ring with four ticks inward and a cross at its middle, dark with a light rim."""
    turn = np.linspace(0, 2 * np.pi, 181)
    middle = np.array([focus.x_mm, focus.y_mm]) * scale + (left, top)
    radius = focus.radius_mm * scale
    tick = min(_TICK_MM, radius / 2)
    ways = np.array([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)])
    parts = [middle + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)]
    parts += [middle + np.stack([radius * way, (radius - tick) * way]) for way in ways]
    parts += [middle + np.stack([-tick / 2 * way, tick / 2 * way]) for way in ways[:2]]
    for width, grey in ((_RIM_MM, 1.0), (_RING_MM, 0.0)):
        page.pdf.setStrokeGray(grey)
        page.pdf.setLineWidth(width * PT_PER_MM)
        for part in parts:
            _path(page, part)


def _path(page: PrintPage, points: Floats) -> None:
    path = page.pdf.beginPath()
    for index, (x, y) in enumerate(points.tolist()):
        (path.lineTo if index else path.moveTo)(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM)
    page.pdf.drawPath(path, stroke=1, fill=0)


def _reduced(picture: Pixels, size: Size, scale: float) -> Pixels:
    """No more pixels than the print shows."""
    wide = max(1, round(size.width_mm * scale / 25.4 * _PICTURE_DPI))
    high = max(1, round(size.height_mm * scale / 25.4 * _PICTURE_DPI))
    if picture.shape[1] <= wide and picture.shape[0] <= high:
        return picture
    return np.asarray(cv2.resize(picture, (wide, high), interpolation=cv2.INTER_AREA))
