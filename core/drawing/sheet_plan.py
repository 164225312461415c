"""The mounting plan: a small map of all sheets with the drawing on them, and how they are joined and laid."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing.sheet_frame import level_ruler, longest_ruler
from core.drawing.sheet_ink import Ink, Rect
from core.drawing.sheet_layout import Tiling
from core.drawing.sheet_page import FAINT, HAIR_MM, SOFT, Draft, Page
from core.drawing.sheet_request import SheetRequest, paper_name
from core.drawing.sheet_space import Space
from core.drawing.sheet_tile import Tile, canvas_corners_on
from core.drawing.sheet_type import CAP_HEIGHT, LEADING, MM_PER_PT, fitting, width_mm, wrapped
from core.drawing.squaring import column_name
from core.size import Size

Array = NDArray[np.float64]

_TEXT_PT = (11.0, 9.0, 8.0, 7.0, 6.0, 5.0, 4.0)
_LEAST_MAP = 0.4  # of the page's height
_LEAST_MAP_MM = 3.0
_FOOT_MM = 9.0  # for the ruler
_SIDE_MM = 7.0  # beside the map, for the figures of the joins
_MOST_PIECES = 8
_LEFT_OUT = ("{} left out", "({})")
_SMALL_PAPER_MM, _LARGE_PAPER_MM = 140.0, 250.0
_OVERLAP_TINT, _EMPTY_TINT = 0.9, 0.82


@dataclass(frozen=True)
class _Map:
    """From print mm on the canvas to mm on the paper."""

    scale: float
    x: float
    y: float

    def place(self, points: Array) -> Array:
        return points * self.scale + (self.x, self.y)

    def rect(self, rect: Rect) -> Rect:
        (left, top), (right, bottom) = self.place(np.array(rect).reshape(2, 2)).tolist()
        return left, top, right, bottom


def plan_page(
    request: SheetRequest, paper: Size, ink: Ink, tiling: Tiling, tiles: Sequence[Tile], notes: Sequence[str]
) -> Page:
    """The plan on a page of the sheets' own paper."""
    draft = Draft(paper, request.film)
    left, right = request.margin_mm + 4.0, paper.width_mm - request.margin_mm - 4.0
    foot = paper.height_mm - request.margin_mm - _FOOT_MM
    sentences = (*_steps(request, tiles), *notes)
    for text_pt in _TEXT_PT if min(paper.width_mm, paper.height_mm) > _LARGE_PAPER_MM else _TEXT_PT[1:]:
        top = request.margin_mm + 4.0 + _heading_high(request, paper, tiles, text_pt, right - left)
        lines = [wrapped(sentence, text_pt, right - left) for sentence in sentences]
        high = sum(_block_high(each, text_pt) for each in lines)
        if foot - high - top >= _LEAST_MAP * paper.height_mm:
            break
    while lines and foot - sum(_block_high(each, text_pt) for each in lines) - top < 0.25 * paper.height_mm:
        lines.pop()
    high = sum(_block_high(each, text_pt) for each in lines)
    _heading(draft, request, tiles, text_pt, left, right)
    y = _draw_map(draft, ink, tiling, tiles, (left, top, right, foot - high - 3.0)) + 3.0 + text_pt * MM_PER_PT
    for each in lines:
        for line in each:
            draft.write(line, left, y, text_pt)
            y += text_pt * LEADING * MM_PER_PT
        y += 0.4 * text_pt * MM_PER_PT
    ruler = longest_ruler(right - left - 8.0)
    if ruler:
        level_ruler(draft, left + 1.0, foot + 5.0, ruler)
    return draft.page()


def _heading(
    draft: Draft, request: SheetRequest, tiles: Sequence[Tile], text_pt: float, left: float, right: float
) -> None:
    y = request.margin_mm + 4.0 + CAP_HEIGHT * 1.8 * text_pt * MM_PER_PT
    draft.write("Mounting plan", left, y, 1.8 * text_pt, weight="SemiBold")
    for line in wrapped(_about(request, draft.paper, tiles), text_pt, right - left):
        y += text_pt * LEADING * MM_PER_PT * (1.3 if y < request.margin_mm + 4.0 + 2.0 * text_pt * MM_PER_PT else 1.0)
        draft.write(line, left, y, text_pt, grey=SOFT)


def _heading_high(request: SheetRequest, paper: Size, tiles: Sequence[Tile], text_pt: float, room: float) -> float:
    lines = len(wrapped(_about(request, paper, tiles), text_pt, room))
    return (CAP_HEIGHT * 1.8 + LEADING * (lines + 0.8)) * text_pt * MM_PER_PT + 1.0


def _block_high(lines: Sequence[str], text_pt: float) -> float:
    return (len(lines) * LEADING + 0.4) * text_pt * MM_PER_PT


def _about(request: SheetRequest, paper: Size, tiles: Sequence[Tile]) -> str:
    size, count = request.drawing.size, len(tiles)
    way = "" if paper.width_mm == paper.height_mm else ", upright" if paper.aspect < 1 else ", on their side"
    way = way.replace("their", "its") if count == 1 else way
    parts = [
        f"Canvas {size.in_cm()} ({size.in_inches()})",
        f"{count} {'sheet' if count == 1 else 'sheets'} of {paper_name(paper)}{way}",
        "true size",
        *([f"overlap {request.overlap_mm:g} mm"] if count > 1 else []),
        *(["mirrored, for tracing from the back"] if request.mirrored else []),
        *(["for clear film"] if request.film else []),
    ]
    return " · ".join(parts)


def _steps(request: SheetRequest, tiles: Sequence[Tile]) -> list[str]:
    steps = [
        "Print at actual size (100 %), never fitted to the page, and measure the rulers before anything is cut: "
        "each must be exactly as long as it says."
    ]
    joined = any(tile.neighbours.right or tile.neighbours.below for tile in tiles)
    if joined and request.film:
        steps.append("Film need not be cut: lay the marks and crosses of each sheet on those of the next, and tape it.")
    elif joined:
        steps += [
            "Cut each sheet along its marks at the right and at the bottom, where another sheet is named there.",
            "Lay the cut edge on the marks of that sheet until the halves of the crosses meet, and tape it: "
            "first the sheets of each row, then the rows.",
        ]
    if joined:
        side = "right" if request.mirrored else "left"
        steps.append(
            f"Figures beside the map: where the joins lie, in mm from the canvas's {side} and top edges. "
            f"{'The strips along them' if request.film else 'Grey strips'} are shown by both sheets."
        )
    steps.append(_laying(request, tiles))
    if request.mirrored:
        steps.append("The sheets are mirrored: laid face down, they show the drawing the right way round.")
    return [f"{number}.  {step}" for number, step in enumerate(steps, start=1)]


def _laying(request: SheetRequest, tiles: Sequence[Tile]) -> str:
    """Where the joined sheets go on the canvas: by its edge or its corners, else by measure."""
    if request.whole_canvas:
        return "Lay the printed edge of the canvas on the edges of the canvas."
    pieces = joined_pieces(tiles)
    cornered = [tile.name for tile in tiles if canvas_corners_on(tile, request.drawing.size)]
    if len(pieces) == 1 and len(cornered) > 1:
        names = f"{', '.join(cornered[:-1])} and {cornered[-1]}"
        return f"Lay the corners of the canvas that are printed on {names} on the corners of the canvas."
    side = "right" if request.mirrored else "left"
    places = [
        f"{piece[0].name}: {_from_edge(piece[0].shown[0], side)}, {_from_edge(piece[0].shown[1], 'top')}"
        for piece in pieces[:_MOST_PIECES]
    ]
    whole = "" if len(pieces) == 1 else f"They make {len(pieces)} separate pieces. "
    return (
        f"{whole}To lay them, measure from the canvas's edges to the small angle at the top left of the sheet, as "
        f"printed. {'; '.join(places)}."
    )


def joined_pieces(tiles: Sequence[Tile]) -> list[list[Tile]]:
    """The sheets in groups that hang together, each in print order."""
    by_name = {tile.name: tile for tile in tiles}
    waiting, pieces = list(by_name), []
    while waiting:
        reached, edge = {waiting[0]}, [waiting[0]]
        while edge:
            beside = by_name[edge.pop()].neighbours
            found = {beside.left, beside.right, beside.above, beside.below} - {""} - reached
            reached |= found
            edge += found
        pieces.append([by_name[name] for name in waiting if name in reached])
        waiting = [name for name in waiting if name not in reached]
    return pieces


def _from_edge(at: float, edge: str) -> str:
    return f"{abs(at):.1f} mm {'outside' if at < 0 else 'from'} the {edge} edge"


def _draw_map(draft: Draft, ink: Ink, tiling: Tiling, tiles: Sequence[Tile], room: Rect) -> float:
    """The map at the top of a room, as large as fits; give back where it ends."""
    every = np.array(
        [(0.0, 0.0, ink.size.width_mm, ink.size.height_mm)]
        + [tiling.frame(cell) for cell in (*tiling.kept, *tiling.left_out)]
    )
    (left, top), (right, bottom) = every[:, :2].min(axis=0), every[:, 2:].max(axis=0)
    wide, high = room[2] - room[0] - _SIDE_MM, room[3] - room[1] - _SIDE_MM / 2 - 1.0
    if min(wide, high) < _LEAST_MAP_MM:
        return room[1]
    scale = min(wide / (right - left), high / (bottom - top))
    x = room[0] + _SIDE_MM + (wide - scale * (right - left)) / 2 - scale * left
    plan = _Map(scale, x, room[1] + _SIDE_MM / 2 - scale * top)
    _empty_frames(draft, plan, tiling)
    _overlaps(draft, plan, tiling)
    draft.box(*plan.rect((0.0, 0.0, ink.size.width_mm, ink.size.height_mm)), 0.35)
    for chain in (*ink.under, *ink.chains):
        points = _thinned(plan.place(chain.points))
        draft.stroke(points, HAIR_MM, FAINT if chain.is_grid else 0.0)
    for tile in tiles:
        draft.box(*plan.rect(tile.shown), 0.2, SOFT)
    _names(draft, plan, tiling)
    _figures(draft, plan, tiling)
    return plan.y + plan.scale * float(bottom)


def _thinned(points: Array) -> Array:
    """A polyline without points that are nearer to the last one kept than can be seen, mm on the paper."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    keep = np.r_[True, np.diff(np.floor(run / 0.15)) > 0]
    keep[-1] = True
    if keep.sum() < 2:
        keep[0] = True
    return points[keep]


def _corners(rect: Rect) -> Array:
    left, top, right, bottom = rect
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])


def _empty_frames(draft: Draft, plan: _Map, tiling: Tiling) -> None:
    """What only the frames left out would show, tinted; on film their names alone say it."""
    for column, row in tiling.left_out:
        left, top, right, bottom = tiling.frame((column, row))
        over = tiling.overlap_mm
        left += over if (column - 1, row) in tiling.kept else 0.0
        right -= over if (column + 1, row) in tiling.kept else 0.0
        top += over if (column, row - 1) in tiling.kept else 0.0
        bottom -= over if (column, row + 1) in tiling.kept else 0.0
        left, top, right, bottom = plan.rect((left, top, right, bottom))
        draft.fill(_corners((left, top, right, bottom)), _EMPTY_TINT)


def _overlaps(draft: Draft, plan: _Map, tiling: Tiling) -> None:
    for column, row in tiling.kept:
        left, top, right, bottom = tiling.frame((column, row))
        if (column + 1, row) in tiling.kept:
            draft.fill(_corners(plan.rect((right - tiling.overlap_mm, top, right, bottom))), _OVERLAP_TINT)
        if (column, row + 1) in tiling.kept:
            draft.fill(_corners(plan.rect((left, bottom - tiling.overlap_mm, right, bottom))), _OVERLAP_TINT)


def _names(draft: Draft, plan: _Map, tiling: Tiling) -> None:
    """Each sheet's name within its frame, clear of the overlap and of the drawing's lines where that can be had."""
    space = Space(stroke.points for stroke in draft.strokes)
    over = tiling.overlap_mm * plan.scale + 1.0
    for cells, grey, most, forms in ((tiling.kept, 0.0, 14.0, ("{}",)), (tiling.left_out, SOFT, 7.0, _LEFT_OUT)):
        for column, row in cells:
            left, top, right, bottom = plan.rect(tiling.frame((column, row)))
            room, largest = right - left - 2 * over, min(most, 0.4 * (bottom - top) / (CAP_HEIGHT * MM_PER_PT))
            names = tuple(form.format(f"{column_name(column)}{row + 1}") for form in forms)
            name = fitting(names, largest, room, "SemiBold") or names[-1]
            size = max(min(largest, largest * room / width_mm(name, largest, "SemiBold")), 3.0)
            wide, high = width_mm(name, size, "SemiBold"), CAP_HEIGHT * size * MM_PER_PT
            xs = (left + over, (left + right - wide) / 2, right - over - wide)
            ys = (top + over, (top + bottom - high) / 2, bottom - over - high)
            box = space.take([(x, y, x + wide, y + high) for y in ys for x in xs])
            draft.write(name, box[0], box[3], size, weight="SemiBold", grey=grey)


def _figures(draft: Draft, plan: _Map, tiling: Tiling) -> None:
    """Where the joins lie: above the map and to the left of it, as many as have room."""
    half, size = (
        tiling.overlap_mm / 2,
        6.0 if min(draft.paper.width_mm, draft.paper.height_mm) > _SMALL_PAPER_MM else 4.0,
    )
    left, top, _, _ = plan.rect(tiling.frame((0, 0)))
    joined_across = sorted({column for column, row in tiling.kept if (column + 1, row) in tiling.kept})
    joined_down = sorted({row for column, row in tiling.kept if (column, row + 1) in tiling.kept})
    last = -np.inf
    for column in joined_across:
        at = tiling.frame((column, 0))[2] - half
        x = plan.scale * at + plan.x
        if x - last > 8.0:
            draft.write(f"{at:.1f}", x, top - 1.2, size, anchor="middle")
            draft.line(x, top - 0.8, x, top, HAIR_MM)
            last = x
    last = -np.inf
    for row in joined_down:
        at = tiling.frame((0, row))[3] - half
        y = plan.scale * at + plan.y
        if y - last > 3.0:
            draft.write(f"{at:.1f}", left - 1.2, y + 0.8, size, anchor="right")
            draft.line(left - 0.8, y, left, y, HAIR_MM)
            last = y
