"""One sheet of the drawing: the drawing within its frame, and in the strips around it what is needed to join it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing.sheet_frame import (
    BOTTOM_MM,
    LEFT_MM,
    TOP_MM,
    Frame,
    corner_marks,
    cross,
    cut_mark,
    level_ruler,
    longest_ruler,
    sheet_name,
    upright_ruler,
)
from core.drawing.sheet_ink import DOT_RADIUS_MM, Chain, Ink, Rect, clipped
from core.drawing.sheet_marks import landmark_dots
from core.drawing.sheet_page import FAINT, INK, MARK_MM, SOFT, Draft, Page
from core.drawing.sheet_type import fitting, width_mm
from core.size import Size

Array = NDArray[np.float64]

SAID_PT, NAMED_PT = 6.5, 7.5
MIRRORED = "Mirrored: for tracing from the back"
_GAP_MM, _MARK_MM = 0.6, 3.4  # from the frame to a cut mark, and its length
_FROM_JOIN_MM = 4.0
_EPS_MM = 1e-6  # what lies on the frame's edge is within it
_CROSSED_MM = 2.0  # a smaller overlap has no room for crosses


@dataclass(frozen=True)
class Neighbours:
    """The names of the sheets beside one; ``""`` where there is none."""

    left: str = ""
    right: str = ""
    above: str = ""
    below: str = ""


@dataclass(frozen=True)
class Tile:
    """``frame``: on the paper. ``shown``: the same of the canvas, in print mm. ``number`` of ``count``, from 1."""

    name: str
    number: int
    count: int
    frame: Frame
    shown: Rect
    neighbours: Neighbours
    margin_mm: float
    overlap_mm: float

    def on_paper(self, points: Array) -> Array:
        """Places on the canvas, ``(n, 2)`` print mm, on the paper."""
        return np.asarray(points + np.array([self.frame.left - self.shown[0], self.frame.top - self.shown[1]]))

    @property
    def joins(self) -> tuple[float, float, float, float]:
        """Where the lines to the left, top, right and bottom neighbours are, on the paper: mid-overlap."""
        half, frame = self.overlap_mm / 2.0, self.frame
        return frame.left + half, frame.top + half, frame.right - half, frame.bottom - half


def tile_page(tile: Tile, ink: Ink, *, mirrored: bool, film: bool) -> Page:
    """The sheet as a page."""
    draft = Draft(tile.frame.paper, film)
    _lay_chains(draft, tile, ink.under)
    _lay_chains(draft, tile, ink.chains)
    landmark_dots(draft, ink.marks, tile.shown, tile.on_paper)
    _grid_names(draft, tile, ink, mirrored)
    corner_marks(draft, tile.frame)
    _canvas_corners(draft, tile, ink)
    _joins(draft, tile)
    room = _rulers(draft, tile)
    _names_of_neighbours(draft, tile, room, film)
    sheet_name(draft, tile.name, tile.margin_mm)
    _what_it_is(draft, tile, ink, mirrored)
    return draft.page()


def _lay_chains(draft: Draft, tile: Tile, chains: tuple[Chain, ...]) -> None:
    left, top, right, bottom = tile.shown
    shown = (left - _EPS_MM, top - _EPS_MM, right + _EPS_MM, bottom + _EPS_MM)
    for chain in chains:
        for part in clipped(chain.points, shown):
            draft.stroke(tile.on_paper(part), chain.width_mm, FAINT if chain.is_grid else INK)


def _grid_names(draft: Draft, tile: Tile, ink: Ink, mirrored: bool) -> None:
    """Names of the grid's columns along the frame's top, of its rows along its left, where their middles are shown."""
    if ink.grid is None:
        return
    left, top, right, bottom = tile.shown
    for label in ink.grid.labels:
        x = ink.size.width_mm - label.x_mm if mirrored else label.x_mm
        if label.names_column and left < x < right:
            at = tile.on_paper(np.array([(x, max(top, 0.0))]))[0]
            draft.write(label.text, at[0], at[1] + 4.0, 8, weight="Medium", grey=FAINT, anchor="middle")
        elif not label.names_column and top < label.y_mm < bottom:
            at = tile.on_paper(np.array([(max(left, 0.0), label.y_mm)]))[0]
            draft.write(label.text, at[0] + 1.5, at[1] + 1.0, 8, weight="Medium", grey=FAINT)


def _joins(draft: Draft, tile: Tile) -> None:
    """Cut marks outside the frame at both ends of each join, and crosses on it that the neighbour bears too."""
    frame, beside = tile.frame, tile.neighbours
    left, top, right, bottom = tile.joins
    near, far = _GAP_MM, _GAP_MM + _MARK_MM
    crossed = (0.2, 0.8) if tile.overlap_mm >= _CROSSED_MM else ()
    for there, x in ((beside.left, left), (beside.right, right)):
        if there:
            cut_mark(draft, x, frame.top - near, x, frame.top - far)
            cut_mark(draft, x, frame.bottom + near, x, frame.bottom + far)
            for share in crossed:
                cross(draft, x, frame.top + share * frame.height, min(2.0, tile.overlap_mm / 2))
    for there, y in ((beside.above, top), (beside.below, bottom)):
        if there:
            cut_mark(draft, frame.left - near, y, frame.left - far, y)
            cut_mark(draft, frame.right + near, y, frame.right + far, y)
            for share in crossed:
                cross(draft, frame.left + share * frame.width, y, min(2.0, tile.overlap_mm / 2))


def _rulers(draft: Draft, tile: Tile) -> tuple[float, float]:
    """Lay the rulers; give back where on the paper the level one ends, and where the upright one does."""
    frame = tile.frame
    left, top, right, bottom = tile.joins
    x, y = left + _FROM_JOIN_MM, bottom - _FROM_JOIN_MM
    level, upright = longest_ruler(right - x), longest_ruler(y - top - 1.0)
    if level:
        level_ruler(draft, x, frame.bottom + 4.6, level)
    if upright:
        upright_ruler(draft, frame.left - 4.6, y, upright)
    return x + level + 8.0, y - upright - 8.0


def _names_of_neighbours(draft: Draft, tile: Tile, room: tuple[float, float], film: bool) -> None:
    """At each edge that is joined: which sheet comes there, and which of the two lies on top."""
    frame, beside = tile.frame, tile.neighbours
    _, top, right, _ = tile.joins
    along, up = frame.width - tile.overlap_mm - 4.0, frame.height - tile.overlap_mm - 4.0
    middle_x, middle_y = (frame.left + frame.right) / 2, (frame.top + frame.bottom) / 2
    if beside.above:
        text = fitting(_over(beside.above, film), NAMED_PT, along)
        draft.write(text, middle_x, frame.top - 1.6, NAMED_PT, weight="Medium", anchor="middle")
    if beside.right:
        text = fitting(_under(beside.right, film), NAMED_PT, up)
        draft.write(text, frame.right + 3.6, middle_y, NAMED_PT, weight="Medium", anchor="middle", turn=90)
    if beside.below:
        begin = room[0] if right - room[0] > width_mm(f"{beside.below} ↓", NAMED_PT) else right
        text = fitting(_under(beside.below, film), NAMED_PT, right - begin - 2.0) or _under(beside.below, film)[-1]
        draft.write(text, right - 2.0, frame.bottom + 4.6, NAMED_PT, weight="Medium", anchor="right")
    if beside.left:
        text = fitting(_over(beside.left, film), NAMED_PT, room[1] - top - 2.0) or _over(beside.left, film)[-1]
        draft.write(text, frame.left - 2.6, top + 2.0, NAMED_PT, weight="Medium", anchor="right", turn=90)


def _over(name: str, film: bool) -> tuple[str, ...]:
    if film:
        return _joined(name)
    return f"↑ {name} lies over this edge, up to the marks", f"↑ {name} lies over", f"↑ {name}"


def _under(name: str, film: bool) -> tuple[str, ...]:
    if film:
        return _joined(name)
    return f"Cut along the marks and lay over {name} ↓", f"Cut, over {name} ↓", f"{name} ↓"


def _joined(name: str) -> tuple[str, ...]:
    """Film is not cut: one sheet's marks are laid on the other's."""
    return f"{name} joins here, marks on marks", f"{name} joins here", name


def _canvas_corners(draft: Draft, tile: Tile, ink: Ink) -> None:
    """The canvas's corners as angles, where its whole edge is not printed: to lay the sheets by."""
    if ink.counts_under:
        return
    for x, y in canvas_corners_on(tile, ink.size):
        (at_x, at_y) = tile.on_paper(np.array([(x, y)]))[0].tolist()
        into_x, into_y = (1 if x == 0 else -1), (1 if y == 0 else -1)
        draft.line(at_x, at_y, at_x + 8.0 * into_x, at_y, MARK_MM, SOFT)
        draft.line(at_x, at_y, at_x, at_y + 8.0 * into_y, MARK_MM, SOFT)
        base = at_y + (2.6 if into_y > 0 else -1.0)
        draft.write(
            "corner of the canvas", at_x + into_x, base, 5.5, grey=SOFT, anchor="left" if into_x > 0 else "right"
        )


def canvas_corners_on(tile: Tile, size: Size) -> list[tuple[float, float]]:
    """Which of the canvas's corners a sheet shows, print mm."""
    left, top, right, bottom = tile.shown
    corners = [(x, y) for y in (0.0, size.height_mm) for x in (0.0, size.width_mm)]
    return [(x, y) for x, y in corners if left <= x <= right and top <= y <= bottom]


def _what_it_is(draft: Draft, tile: Tile, ink: Ink, mirrored: bool) -> None:
    """The sheet's number and place in the bottom strip, and that it is mirrored in the top one."""
    frame = tile.frame
    left, top = max(tile.shown[0], 0.0), max(tile.shown[1], 0.0)
    right, bottom = min(tile.shown[2], ink.size.width_mm), min(tile.shown[3], ink.size.height_mm)
    count = f"Sheet {tile.name}, {tile.number} of {tile.count}"
    side = "right" if mirrored else "left"
    place = f"shows {left:.0f} to {right:.0f} mm from the {side} and {top:.0f} to {bottom:.0f} mm from the top"
    canvas = f"canvas {ink.size.width_mm:g} × {ink.size.height_mm:g} mm"
    choices = (f"{count} · {canvas} · {place} of it", f"{count} · {place}", f"{count} · {canvas}", count)
    text = fitting(choices, SAID_PT, frame.width)
    draft.write(text, frame.left, frame.bottom + BOTTOM_MM - 1.2, SAID_PT, grey=SOFT)
    if mirrored:
        text = fitting((MIRRORED, "Mirrored"), SAID_PT, frame.width / 3)
        draft.write(text, frame.left - LEFT_MM, frame.top - TOP_MM + 2.6, SAID_PT, weight="SemiBold")


def dot_chains(ink: Ink) -> list[tuple[Array, float]]:
    """The pricking dots as ink of their own, for laying out sheets: a place and a width each."""
    return [(np.array([(mark.x_mm, mark.y_mm)]), 2 * DOT_RADIUS_MM) for mark in ink.marks]
