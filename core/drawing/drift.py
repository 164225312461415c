"""How far the painting has strayed from the drawing, in mm on the canvas.

Drift at p is where the painted point lies minus where it should be: x right, y down, mm. It is measured by looking for
small windows of the reference on the canvas, coarse to fine (:mod:`core.drawing.drift_match`), as closely as the
brushwork allows (:mod:`core.drawing.drift_brushwork`), putting a smooth field through what they say
(:mod:`core.drawing.drift_field`), and taking out what the whole drawing shares (:mod:`core.drawing.drift_whole`).

Measured on 126 paintings whose drift is known (``python -m tests.measure.drift``; 2-6 mm, seven pictures, ten kinds
of brushwork, uneven light, value faults, glare), beside dense optical flow on locally normalised luminance
(Kroeger and others 2016), the other method tried. Error in mm at the points a painter would mark, median and 95th
percentile, of all and of those told (confidence of a half or more):

    ordinary brushwork   0.04, 0.11 of all; told 100 %          flow 0.07, 0.38
    far off (7 mm)       0.08, 0.41; told 96 %: 0.07, 0.41      flow 0.14, 1.41
    dabs of 3 mm         0.22, 0.51; told 100 %                 flow 0.25, 0.76
    blurred forms        0.18, 0.56; told 99 %: 0.17, 0.56      flow 0.41, 1.19
    blocked in, broad    0.24, 0.52; told 85 %: 0.24, 0.50      flow 0.88, 2.63
    fresh ones of these  0.24, 0.64; told 88 %: 0.23, 0.52      flow 0.76, 2.62
    the demo, sitting 1  0.26, 0.63; told 92 %: 0.23, 0.59      flow 0.59, 2.92

"Fresh" are nine painted after all was settled, on seven pictures; twelve others, in view while the confidence was
settled: 0.28, 0.67; told 85 %: 0.26, 0.61.

A form of 30-50 mm that sits wrong is found under finer brushwork (0.05, 0.21 of all); where it is only blocked in with
brushes of 3-6 mm it may be smoothed away: 0.26, 2.82 of all, 0.25, 1.07 of the 80 % told.

On an even grid, which falls on flat passages too, flow reaches 2-21 mm at the 95th percentile and has no confidence to
tell where; what is told here is right to 0.1-0.8 mm there. Bare ground is never told. Of places told with a confidence
of 0.5-0.7, 90 % are right to 0.6 mm; 0.7-0.9: 95 %; above: 99 %. The whole drawing's part is right to
0.03 mm, 0.02° and 0.02 %; blocked in, to 0.13 mm, 0.04° and 0.11 %.
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
from core.drawing.drift_passes import Measured, Pair, Progress, measured
from core.drawing.drift_whole import WholeDrift
from core.errors import DrawingError
from core.size import Size

__all__ = ["Drift", "LandmarkDrift", "PointsDrift", "WholeDrift", "measure_drift", "warp_reference"]

Array = NDArray[np.float64]
Plane = NDArray[np.float32]

WORKING_PX_PER_MM = 2.0
"""Resolution at which a canvas of 400 × 300 mm is measured; others in proportion, so that all have as many pixels."""
FINEST_PX_PER_MM = 4.0
CONFIDENT = 0.5
"""Below this confidence a drift is not stated in the field."""


@dataclass(frozen=True)
class LandmarkDrift:
    """Drift of one landmark, mm.

    ``confidence``: the chance, 0-1, that it is right to within :func:`core.drawing.drift_confidence.tolerance_mm`
    (0.6 mm up to 400 mm of canvas). ``sigma_mm``: standard deviation in the direction known least.
    ``local_dx_mm``, ``local_dy_mm``: what is left after the whole drawing's shift, turn and scale. ``by_hand``: placed
    by the painter (:mod:`core.drawing.by_hand`), not measured.
    """

    name: str
    x_mm: float
    y_mm: float
    dx_mm: float
    dy_mm: float
    confidence: float
    sigma_mm: float
    local_dx_mm: float
    local_dy_mm: float
    by_hand: bool = False


@dataclass(frozen=True)
class PointsDrift:
    """Drift at points along lines.

    ``points_mm``, ``drift_mm``: ``(n, 2)``. ``confidence``: ``(n,)``, of the drift in every direction. An edge tells
    only what happened across it: ``firm_direction`` ``(n, 2)`` is the unit vector along which drift is known best,
    ``firm_drift_mm`` ``(n,)`` the drift along it, and ``firm_confidence`` ``(n,)`` the confidence of that number alone.
    """

    points_mm: Array
    drift_mm: Array
    confidence: Array
    firm_direction: Array
    firm_drift_mm: Array
    firm_confidence: Array


@dataclass(frozen=True)
class Drift:
    """What was measured.

    The fields are on a 1 mm grid, ``(round(height_mm), round(width_mm))`` float32, cell centres at
    (column + 0.5, row + 0.5) mm. ``field_dx_mm`` and ``field_dy_mm`` are NaN where ``field_confidence`` is under 0.5;
    ``filled_dx_mm`` and ``filled_dy_mm`` go smoothly on through such places.
    """

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
    """Measure how far the painting lies from the reference.

    ``reference``, ``canvas``: the same canvas size, linear light, at any resolution (best at WORKING_PX_PER_MM or
    more). Uneven light, white balance and wrong values do not matter. ``points_mm``: ``(n, 2)`` places along lines.
    ``withheld``: ``(H, W)`` bool on the canvas's pixels, True where they show glare. ``search_mm``: the largest drift
    that is looked for, beyond what the whole drawing shares. ``progress(share, doing)`` may raise CancelledError.
    Raises DrawingError when the two are not of one canvas.
    """
    if reference.size != canvas.size:
        raise DrawingError(
            "The reference and the canvas photo are not the same size: crop the reference to the canvas."
        )
    found = measured(_pair(reference, canvas, withheld), search_mm=search_mm, progress=progress)
    local = found.drift - found.whole.at(found.grid.nodes_mm)
    filled, certain = _fields(found, local)
    field = np.where((certain >= CONFIDENT)[..., None], filled, np.float32(np.nan))
    return Drift(
        size=canvas.size,
        landmarks=_at_landmarks(found, local, landmarks),
        points=_at_points(found, local, np.empty((0, 2)) if points_mm is None else points_mm),
        whole=found.whole,
        field_dx_mm=field[..., 0].copy(),
        field_dy_mm=field[..., 1].copy(),
        field_confidence=certain,
        filled_dx_mm=filled[..., 0].copy(),
        filled_dy_mm=filled[..., 1].copy(),
    )


def warp_reference(reference: Flat | NDArray[np.float32], drift: Drift) -> Plane:
    """The reference moved to where the painting has it: what belongs at p is shown at p + d(p).

    ``reference``: a Flat or a picture ``(H, W)`` or ``(H, W, 3)`` over the whole canvas; the answer has its shape.
    """
    picture = reference.linear if isinstance(reference, Flat) else reference
    height, width = picture.shape[:2]
    moved = np.stack([drift.filled_dx_mm, drift.filled_dy_mm], axis=-1)
    across, down = moved.shape[1] / drift.size.width_mm, moved.shape[0] / drift.size.height_mm
    columns, rows = _columns_and_rows(moved.shape[1], moved.shape[0])
    back = moved
    for _ in range(5):  # the drift of the place that came here, by fixed-point iteration: drift is gentle
        at = (columns - back[..., 0] * across, rows - back[..., 1] * down)
        back = cv2.remap(moved, *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    back = cv2.resize(back, (width, height), interpolation=cv2.INTER_LINEAR)
    columns, rows = _columns_and_rows(width, height)
    columns -= back[..., 0] * np.float32(width / drift.size.width_mm)
    rows -= back[..., 1] * np.float32(height / drift.size.height_mm)
    return np.asarray(cv2.remap(picture, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))


def _columns_and_rows(width: int, height: int) -> tuple[Plane, Plane]:
    columns, rows = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    return columns, rows


def _pair(reference: Flat, canvas: Flat, withheld: NDArray[np.bool_] | None) -> Pair:
    size = canvas.size
    in_proportion = WORKING_PX_PER_MM * float(np.sqrt(400 * 300 / (size.width_mm * size.height_mm)))
    px_per_mm = min(FINEST_PX_PER_MM, in_proportion)
    shape = (round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm))
    seen = np.ones(canvas.linear.shape[:2], dtype=bool) if canvas.seen is None else canvas.seen
    if withheld is not None:
        seen = seen & ~withheld
    return Pair(
        size=size,
        px_per_mm=px_per_mm,
        reference=log_channels(shrunk(reference.linear, *shape)),
        canvas=log_channels(shrunk(canvas.linear, *shape)),
        seen=shrunk(seen.astype(np.float32), *shape),
    )


def _fields(found: Measured, local: Array) -> tuple[Plane, Plane]:
    """Drift ``(h, w, 2)`` and confidence ``(h, w)`` on the 1 mm grid."""
    size = found.grid.size
    millimetres = Grid(size, round(size.width_mm), round(size.height_mm))
    shape = (millimetres.width, millimetres.height)
    filled = found.whole.at(millimetres.nodes_mm) + found.grid.resampled(local, *shape)
    certain = trust.confidence(trust.sigmas(found.covariance)[0], trust.tolerance_mm(size))
    return filled.astype(np.float32), found.grid.resampled(certain, *shape).clip(0, 1)


def _at_landmarks(found: Measured, local: Array, landmarks: Sequence[Landmark]) -> tuple[LandmarkDrift, ...]:
    size = found.grid.size
    places = np.array([(mark.x_mm, mark.y_mm) for mark in landmarks], dtype=np.float64).reshape(-1, 2)
    stays = found.grid.at(local, places)
    moved = found.whole.at(places) + stays
    sigma = trust.sigmas(found.grid.at(found.covariance, places))[0]
    sigma[((places < 0) | (places > (size.width_mm, size.height_mm))).any(axis=1)] = np.inf
    sure = trust.confidence(sigma, trust.tolerance_mm(size))
    return tuple(
        LandmarkDrift(
            name=mark.name,
            x_mm=mark.x_mm,
            y_mm=mark.y_mm,
            dx_mm=float(moved[i, 0]),
            dy_mm=float(moved[i, 1]),
            confidence=float(sure[i]),
            sigma_mm=float(sigma[i]),
            local_dx_mm=float(stays[i, 0]),
            local_dy_mm=float(stays[i, 1]),
        )
        for i, mark in enumerate(landmarks)
    )


def _at_points(found: Measured, local: Array, points_mm: Array) -> PointsDrift:
    points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
    tolerance = trust.tolerance_mm(found.grid.size)
    moved = found.whole.at(points) + found.grid.at(local, points)
    spread = found.grid.at(found.covariance, points)
    larger, smaller = trust.sigmas(spread)
    direction = trust.firm_direction(spread)
    return PointsDrift(
        points_mm=points,
        drift_mm=moved,
        confidence=trust.confidence(larger, tolerance),
        firm_direction=direction,
        firm_drift_mm=(moved * direction).sum(axis=1),
        firm_confidence=trust.confidence_along(smaller, tolerance),
    )
