"""What of a drawing is put on paper: lines as chains in mm, weighed by layer, broken where the layer's are.

All is in *print* millimetres: the canvas face, or its mirror image when that is asked for.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Drawing, Landmark
from core.drawing.sheet_request import SheetRequest
from core.drawing.squaring import Grid, Kind, squaring_grid
from core.errors import DrawingError
from core.size import Size

Array = NDArray[np.float64]
Rect = tuple[float, float, float, float]

PRINT_FLAT_MM = 0.01  # under half a dot of a 1200 dpi printer
CLIPPED_MM = 5.0
DOT_RADIUS_MM = 0.5
EDGE_MM = 0.3
GRID_MM, BOLD_GRID_MM = 0.15, 0.25

_ROUNDING_MM = 0.01  # a line along the canvas's edge is on the canvas, whatever the last digit says


@dataclass(frozen=True)
class LayerLook:
    """``share``: of a contour's width. ``dash_mm``, ``gap_mm``: of a broken line; 0 for an unbroken one."""

    share: float = 1.0
    dash_mm: float = 0.0
    gap_mm: float = 0.0


LOOKS = {"contour": LayerLook(), "inner form": LayerLook(0.5), "shadow edge": LayerLook(0.75, 4.0, 1.6)}
"""A layer of another name is printed as a contour is."""


@dataclass(frozen=True, eq=False)
class Chain:
    """A polyline ``(n, 2)`` print mm and its width."""

    points: Array
    width_mm: float
    is_grid: bool = False


@dataclass(frozen=True, eq=False)
class Ink:
    """``chains``: the lines. ``under``: grid and canvas edge, to be laid under them. ``marks``: the pricking dots.

    ``counts_under``: whether a sheet is wanted for grid and edge alone.
    """

    size: Size
    chains: tuple[Chain, ...]
    under: tuple[Chain, ...]
    marks: tuple[Landmark, ...]
    grid: Grid | None
    counts_under: bool
    notes: tuple[str, ...]

    def wanted(self) -> tuple[Chain, ...]:
        """The chains that must all be on paper."""
        return (*self.chains, *self.under) if self.counts_under else self.chains


def chosen_drawing(request: SheetRequest) -> Drawing:
    """The drawing with the layers chosen, mirrored if that is asked for. Raises DrawingError when nothing is left."""
    drawing = request.drawing
    if request.layers is not None:
        there = sorted({line.layer for line in drawing.lines})
        wanted = {name.casefold() for name in request.layers}
        lines = tuple(line for line in drawing.lines if line.layer.casefold() in wanted)
        if drawing.lines and not lines:
            raise DrawingError(
                f"The drawing has no lines in {' or '.join(f'“{name}”' for name in request.layers) or 'no layer'}. "
                f"Its layers are: {', '.join(there)}."
            )
        drawing = replace(drawing, lines=lines)
    return mirror_image(drawing) if request.mirrored else drawing


def ink_of(request: SheetRequest) -> Ink:
    """Everything to be printed. Raises DrawingError for an empty drawing, or one that is larger than the canvas."""
    drawing = chosen_drawing(request)
    size = drawing.size
    if not drawing.lines and not (drawing.landmarks and request.dots):
        more = " Its landmarks are printed when pricking dots are asked for." if drawing.landmarks else ""
        raise DrawingError(f"There is nothing to print: the drawing has no lines.{more}")
    flat = drawing.polylines(PRINT_FLAT_MM)
    over = _past_the_edge(flat, drawing.landmark_points() if request.dots else np.empty((0, 2)), size)
    notes = _said_or_refused(over, size, request.mirrored)
    face = (-_ROUNDING_MM, -_ROUNDING_MM, size.width_mm + _ROUNDING_MM, size.height_mm + _ROUNDING_MM)
    chains = []
    for line, points in zip(drawing.lines, flat, strict=True):
        look = LOOKS.get(line.layer, LayerLook())
        pieces = dashes(points, look, closed=line.closed) if look.dash_mm else [points]
        width = request.contour_mm * look.share
        chains += [Chain(part, width) for piece in pieces for part in clipped(piece, face)]
    marks = tuple(mark for mark in drawing.landmarks if _inside(mark, size)) if request.dots else ()
    if not chains and not marks:
        raise DrawingError("There is nothing to print: all of the drawing lies outside the canvas's edge.")
    grid = None if request.squaring is None else squaring_grid(size, request.squaring)
    return Ink(size, tuple(chains), _under(request, grid, size), marks, grid, request.whole_canvas, notes)


def mirror_image(drawing: Drawing) -> Drawing:
    """The drawing as it is seen from the back of the canvas."""
    width = drawing.size.width_mm

    def turned(points: Array) -> Array:
        return np.column_stack([width - points[:, 0], points[:, 1]])

    return replace(
        drawing,
        lines=tuple(replace(line, points=turned(line.points)) for line in drawing.lines),
        landmarks=tuple(replace(mark, x_mm=width - mark.x_mm) for mark in drawing.landmarks),
    )


def dashes(points: Array, look: LayerLook, *, closed: bool) -> list[Array]:
    """A polyline broken into whole dashes, stretched a little so that an open one ends with a dash at either end."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    length, period = float(run[-1]), look.dash_mm + look.gap_mm
    count = max(1, round((length if closed else length + look.gap_mm) / period))
    if count == 1:
        return [points]
    stretch = length / (count * period - (0.0 if closed else look.gap_mm))
    return [_stretch(points, run, k * period * stretch, (k * period + look.dash_mm) * stretch) for k in range(count)]


def clipped(points: Array, rect: Rect) -> list[Array]:
    """The parts of a polyline ``(n, 2)`` within a rectangle (left, top, right, bottom), each ``(m, 2)``, m ≥ 2.

    Segment by segment, by their parameters at the four sides (Liang and Barsky 1984, *ACM TOG* 3(1), 1-22).
    """
    low, high = np.array(rect[:2]), np.array(rect[2:])
    if (points >= low).all() and (points <= high).all():
        return [points] if len(points) > 1 else []
    if (points.max(axis=0) < low).any() or (points.min(axis=0) > high).any():
        return []
    start, step = points[:-1], np.diff(points, axis=0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        one, other = (low - start) / step, (high - start) / step
    still = np.abs(step) < 1e-12
    between = (start >= low) & (start <= high)
    enter = np.where(still, np.where(between, -np.inf, np.inf), np.minimum(one, other)).max(axis=1)
    leave = np.where(still, np.where(between, np.inf, -np.inf), np.maximum(one, other)).min(axis=1)
    enter, leave = np.maximum(enter, 0.0), np.minimum(leave, 1.0)
    seen = np.flatnonzero(enter < leave)
    if not len(seen):
        return []
    heads = np.clip(start[seen] + enter[seen, None] * step[seen], low, high)
    tails = np.clip(start[seen] + leave[seen, None] * step[seen], low, high)
    goes_on = (np.diff(seen) == 1) & (leave[seen][:-1] == 1.0) & (enter[seen][1:] == 0.0)
    first = np.flatnonzero(np.r_[True, ~goes_on])
    parts = zip(first, np.r_[first[1:], len(seen)], strict=True)
    return [np.concatenate([heads[a : a + 1], tails[a:b]]) for a, b in parts]


def _stretch(points: Array, run: Array, begin: float, end: float) -> Array:
    """The part of a polyline between two lengths along it."""
    inner = points[np.searchsorted(run, begin, side="right") : np.searchsorted(run, end, side="left")]
    ends = np.stack([np.interp([begin, end], run, axis) for axis in points.T], axis=1)
    return np.concatenate([ends[:1], inner, ends[1:]])


def _past_the_edge(flat: Iterable[Array], marks: Array, size: Size) -> dict[str, float]:
    """How far the drawing reaches past each side of the canvas, mm; only the sides that it passes."""
    every = np.concatenate([*flat, marks])
    low, high = every.min(axis=0), every.max(axis=0)
    over = {
        "left": -float(low[0]),
        "top": -float(low[1]),
        "right": float(high[0]) - size.width_mm,
        "bottom": float(high[1]) - size.height_mm,
    }
    return {side: past for side, past in over.items() if past > _ROUNDING_MM}


def _said_or_refused(over: dict[str, float], size: Size, mirrored: bool) -> tuple[str, ...]:
    if not over:
        return ()
    if mirrored:
        other = {"left": "right", "right": "left"}
        over = {other.get(side, side): past for side, past in over.items()}
    sides = " and ".join(f"{_mm(past)} past the {side} edge" for side, past in over.items())
    if max(over.values()) > CLIPPED_MM:
        raise DrawingError(
            f"The drawing reaches {sides} of the canvas, which is {size.width_mm:g} × {size.height_mm:g} mm. "
            "Give the size of canvas that it was drawn for, or move its lines onto the canvas."
        )
    return (f"The drawing reaches {sides} of the canvas: what lies outside was cut off.",)


def _mm(length: float) -> str:
    return f"{length:.1f} mm" if length < 10 else f"{length:.0f} mm"


def _inside(mark: Landmark, size: Size) -> bool:
    return 0.0 <= mark.x_mm <= size.width_mm and 0.0 <= mark.y_mm <= size.height_mm


def _under(request: SheetRequest, grid: Grid | None, size: Size) -> tuple[Chain, ...]:
    """The canvas's edge, where the whole canvas is wanted, and the grid."""
    found = []
    w, h = size.width_mm, size.height_mm
    if request.whole_canvas:
        edge = np.array([(0, 0), (w, 0), (w, h), (0, h), (0, 0)], dtype=np.float64)
        found.append(Chain(edge, EDGE_MM))
    if grid is not None:
        for (x0, y0, x1, y1), kind in zip(grid.segments.tolist(), grid.kinds, strict=True):
            if kind is not Kind.BORDER or not request.whole_canvas:
                ends = np.array([(x0, y0), (x1, y1)])
                ends[:, 0] = w - ends[:, 0] if request.mirrored else ends[:, 0]
                width = BOLD_GRID_MM if kind in (Kind.HALF, Kind.THIRD) and not request.film else GRID_MM
                found.append(Chain(ends, width, is_grid=True))
    return tuple(found)
