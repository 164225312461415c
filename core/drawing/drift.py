"""How far the painting has strayed from the drawing, in mm on the canvas.

Drift at p is where the painted point lies minus where it should be: x right, y down.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing import drift_confidence as trust
from core.drawing.drawing import Landmark
from core.drawing.drift_features import log_channels, shrunk
from core.drawing.drift_grid import Grid
from core.drawing.drift_passes import Pair, Progress, measured
from core.drawing.drift_whole import WholeDrift
from core.errors import DrawingError
from core.size import Size

Array = NDArray[np.float64]
Plane = NDArray[np.float32]

WORKING_PX_PER_MM = 2.0
"""Resolution at which a canvas of 400 × 300 mm is measured; others in proportion, so that all have as many pixels."""
FINEST_PX_PER_MM = 4.0
CONFIDENT = 0.5
"""Below this confidence a drift is not stated in the field."""


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
    found = measured(_pair(reference, canvas, withheld), search_mm=search_mm, progress=progress)
    return _answer(found.grid, found.whole, found.drift - found.whole.at(found.grid.nodes_mm), found.covariance, landmarks, points_mm)


def _pair(reference: Flat, canvas: Flat, withheld: NDArray[np.bool_] | None) -> Pair:
    size = canvas.size
    px_per_mm = min(FINEST_PX_PER_MM, WORKING_PX_PER_MM * float(np.sqrt(400 * 300 / (size.width_mm * size.height_mm))))
    shape = (round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm))
    seen = np.ones(canvas.linear.shape[:2], dtype=bool) if canvas.seen is None else canvas.seen
    if withheld is not None:
        seen = seen & ~withheld
    return Pair(
        size,
        px_per_mm,
        log_channels(shrunk(reference.linear, *shape)),
        log_channels(shrunk(canvas.linear, *shape)),
        shrunk(seen.astype(np.float32), *shape),
    )


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
