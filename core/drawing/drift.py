"""How far the painting has strayed from the drawing, in mm on the canvas.

Drift at p is where the painted point lies minus where it should be: x right, y down.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing import drift_confidence as trust
from core.drawing.drawing import Landmark
from core.drawing.drift_features import directions, log_channels, shrunk
from core.drawing.drift_field import smooth_field
from core.drawing.drift_grid import Grid
from core.drawing.drift_match import Readings, read_windows
from core.drawing.drift_whole import WholeDrift, fit_whole
from core.errors import DrawingError
from core.size import Size

Array = NDArray[np.float64]
Plane = NDArray[np.float32]
Progress = Callable[[float, str], None]

WORKING_PX_PER_MM = 2.0
"""Drift is measured at this resolution; pictures laid flat at this or more are best (less on canvases over 400 mm)."""
MOST_PIXELS = 600_000
CONFIDENT = 0.5
"""Below this confidence a drift is not stated in the field."""
PRIOR_SPREAD_MM, PRIOR_RANGE_MM, DOUBT_RANGE_MM = 2.0, 80.0, 40.0


@dataclass(frozen=True)
class LandmarkDrift:
    """Drift of one landmark: ``local`` is what is left after the whole drawing's shift, turn and scale."""

    name: str
    x_mm: float
    y_mm: float
    dx_mm: float
    dy_mm: float
    confidence: float
    sigma_mm: float
    local_dx_mm: float
    local_dy_mm: float


@dataclass(frozen=True)
class PointsDrift:
    """Drift at points along lines.

    ``points_mm``, ``drift_mm``: ``(n, 2)``. ``confidence``: ``(n,)``, of the drift in every direction. An edge tells only
    what happened across it: ``firm_direction`` ``(n, 2)`` is the unit vector known best, ``firm_drift_mm`` ``(n,)`` the
    drift along that vector and ``firm_confidence`` ``(n,)`` the confidence of that number alone.
    """

    points_mm: Array
    drift_mm: Array
    confidence: Array
    firm_direction: Array
    firm_drift_mm: Array
    firm_confidence: Array


@dataclass(frozen=True)
class Drift:
    """What was measured. The fields are on a 1 mm grid ``(round(height_mm), round(width_mm))`` float32."""

    size: Size
    landmarks: tuple[LandmarkDrift, ...]
    points: PointsDrift
    whole: WholeDrift
    field_dx_mm: Plane
    field_dy_mm: Plane
    field_confidence: Plane
    filled_dx_mm: Plane
    filled_dy_mm: Plane


@dataclass(frozen=True)
class _Stage:
    px_per_mm: float
    search_mm: float
    detail_mm: float
    window_mm: float
    step_mm: float


def _stages(finest: float, search_mm: float) -> tuple[_Stage, ...]:
    return (
        _Stage(finest / 4, search_mm, 1.6 / finest, 9.0, 8.0),
        _Stage(finest / 2, 5.0, 2.0 / finest, 6.0, 5.0),
        _Stage(finest, 2.0, 3.2 / finest, 4.0, 5.0),
        _Stage(finest, 1.0, 3.2 / finest, 4.0, 5.0),
    )


def measure_drift(
    reference: Flat,
    canvas: Flat,
    *,
    landmarks: Sequence[Landmark] = (),
    points_mm: Array | None = None,
    withheld: NDArray[np.bool_] | None = None,
    search_mm: float = 10.0,
    progress: Progress | None = None,
) -> Drift:
    """Measure how far the painting lies from the reference."""
    size = canvas.size
    if reference.size != size:
        raise DrawingError("The reference and the canvas photo are not the same size: crop the reference to the canvas.")
    finest = min(WORKING_PX_PER_MM, float(np.sqrt(MOST_PIXELS / (size.width_mm * size.height_mm))))
    width, height = round(size.width_mm * finest), round(size.height_mm * finest)
    own = log_channels(shrunk(reference.linear, width, height))
    painted = log_channels(shrunk(canvas.linear, width, height))
    seen = shrunk(_seen(canvas, withheld).astype(np.float32), width, height)
    field: Array | None = None
    stages = _stages(finest, search_mm)
    for number, stage in enumerate(stages):
        if progress is not None:
            progress(number / len(stages), "Comparing the drawing")
        grid, whole, readings, field = _refined(own, painted, seen, field, stage, size)
    doubt = smooth_field(
        grid, readings.drift, readings.firmness, spread_mm=PRIOR_SPREAD_MM, range_mm=DOUBT_RANGE_MM, uncertainty=True
    ).covariance
    assert doubt is not None
    doubt = np.asarray(cv2.GaussianBlur(doubt, (0, 0), 1.0))
    return _answer(grid, whole, field - whole.at(grid.nodes_mm), doubt, landmarks, points_mm)


def _seen(canvas: Flat, withheld: NDArray[np.bool_] | None) -> NDArray[np.bool_]:
    seen = np.ones(canvas.linear.shape[:2], dtype=bool) if canvas.seen is None else canvas.seen
    return seen if withheld is None else seen & ~withheld


def _refined(
    own: tuple[Plane, ...], painted: tuple[Plane, ...], seen: Plane, field: Array | None, stage: _Stage, size: Size
) -> tuple[Grid, WholeDrift, Readings, Array]:
    """One stage: the canvas is drawn back by the drift so far, read again, and the field fitted anew."""
    width, height = round(size.width_mm * stage.px_per_mm), round(size.height_mm * stage.px_per_mm)
    grid = Grid.of(size, stage.step_mm)
    start = np.zeros((grid.height, grid.width, 2)) if field is None else _as_field(field, size, grid)
    flow = grid.resampled(start, width, height) * np.float32(stage.px_per_mm)
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    at = (x + flow[..., 0], y + flow[..., 1])
    drawn_back = tuple(
        cv2.remap(shrunk(channel, width, height), *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for channel in painted
    )
    visible = cv2.remap(shrunk(seen, width, height), *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
    readings = read_windows(
        directions(tuple(shrunk(channel, width, height) for channel in own), stage.px_per_mm, stage.detail_mm),
        directions(drawn_back, stage.px_per_mm, stage.detail_mm),
        (visible > 0.99).astype(np.float32),
        grid,
        px_per_mm=stage.px_per_mm,
        search_px=max(1, round(stage.search_mm * stage.px_per_mm)),
        window_mm=stage.window_mm,
        stroke_mm2=6.0 * (1 + stage.detail_mm**2),
    )
    readings = Readings(readings.drift + start, readings.firmness, readings.likeness)
    return (grid, *_fitted(grid, readings, stage, size))


def _as_field(field: Array, size: Size, grid: Grid) -> Array:
    return Grid(size, field.shape[1], field.shape[0]).resampled(field, grid.width, grid.height).astype(np.float64)


def _fitted(grid: Grid, readings: Readings, stage: _Stage, size: Size) -> tuple[WholeDrift, Readings, Array]:
    nodes = grid.nodes_mm
    weight = np.ones((grid.height, grid.width, 1))
    overlap = 4 * np.pi * stage.window_mm**2 / grid.cell_mm2
    for _ in range(4):
        firmness = readings.firmness * weight
        whole = fit_whole(nodes.reshape(-1, 2), readings.drift.reshape(-1, 2), firmness.reshape(-1, 3), size)
        base = whole.at(nodes)
        field = base + smooth_field(
            grid, readings.drift - base, firmness, spread_mm=PRIOR_SPREAD_MM, range_mm=PRIOR_RANGE_MM
        ).mean
        x, y = np.moveaxis(readings.drift - field, -1, 0)
        xx, xy, yy = np.moveaxis(readings.firmness, -1, 0)
        weight = (1 / (1 + overlap * (xx * x * x + 2 * xy * x * y + yy * y * y) / 8))[..., None]
    return whole, Readings(readings.drift, firmness, readings.likeness), field


def _answer(
    grid: Grid, whole: WholeDrift, local: Array, doubt: Array, landmarks: Sequence[Landmark], points_mm: Array | None
) -> Drift:
    size = grid.size
    tolerance = trust.tolerance_mm(size)
    places = np.array([[mark.x_mm, mark.y_mm] for mark in landmarks], dtype=np.float64).reshape(-1, 2)
    moved, sigma = grid.at(local, places), trust.sigmas(grid.at(doubt, places))[0]
    sure, base = trust.confidence(sigma, tolerance), whole.at(places)
    marks = tuple(
        LandmarkDrift(mark.name, mark.x_mm, mark.y_mm, *(float(v) for v in (*(base[i] + moved[i]), sure[i], sigma[i], *moved[i])))
        for i, mark in enumerate(landmarks)
    )
    width, height = round(size.width_mm), round(size.height_mm)
    millimetres = Grid(size, width, height)
    filled = (whole.at(millimetres.nodes_mm) + grid.resampled(local, width, height)).astype(np.float32)
    certain = grid.resampled(trust.confidence(trust.sigmas(doubt)[0], tolerance), width, height).clip(0, 1)
    field = np.where((certain >= CONFIDENT)[..., None], filled, np.float32(np.nan))
    return Drift(
        size, marks, _along(grid, whole, local, doubt, points_mm), whole,
        field[..., 0].copy(), field[..., 1].copy(), certain, filled[..., 0].copy(), filled[..., 1].copy(),
    )  # fmt: skip


def _along(grid: Grid, whole: WholeDrift, local: Array, doubt: Array, points_mm: Array | None) -> PointsDrift:
    points = np.empty((0, 2)) if points_mm is None else np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
    tolerance = trust.tolerance_mm(grid.size)
    moved, spread = whole.at(points) + grid.at(local, points), grid.at(doubt, points)
    larger, smaller = trust.sigmas(spread)
    direction = trust.firm_direction(spread)
    return PointsDrift(
        points, moved, trust.confidence(larger, tolerance), direction, (moved * direction).sum(axis=1),
        trust.confidence(smaller, tolerance),
    )  # fmt: skip


def warp_reference(reference: Flat | NDArray[np.float32], drift: Drift) -> Plane:
    """The reference moved to where the painting has it: what belongs at p is shown at p + d(p)."""
    picture = reference.linear if isinstance(reference, Flat) else reference
    height, width = picture.shape[:2]
    scale = np.array([width / drift.size.width_mm, height / drift.size.height_mm], dtype=np.float32)
    flow = cv2.resize(np.stack([drift.filled_dx_mm, drift.filled_dy_mm], -1), (width, height), interpolation=cv2.INTER_LINEAR)
    flow = flow * scale
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    back = flow
    for _ in range(4):
        back = cv2.remap(flow, x - back[..., 0], y - back[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(
        cv2.remap(picture, x - back[..., 0], y - back[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    )
