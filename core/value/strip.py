"""The value strip: the values of reference and canvas along one line drawn across both pictures."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

Map = NDArray[np.float32]
Floats = NDArray[np.float64]

APART_MM = 0.5
"""Places along the line, and about as far apart across it."""
MOST = 4000
_LEAST_KNOWN = 0.5
_NINE_IN_TEN = 1.645


@dataclass(frozen=True, eq=False)
class Strip:
    """``n`` places along a line, from its first point to its last; every array ``(n,)`` float64.

    ``distance_mm``: along the line. ``reference``, ``canvas``: Munsell value; ``difference``: canvas minus reference,
    steps. ``withheld``: bool, where less than half of the width can be judged; the values are NaN there.
    ``uncertainty``: plus or minus of the difference, steps: of the light, and of the brushwork across the width.
    ``points_mm``: ``(n, 2)``, the places.
    """

    distance_mm: Floats
    reference: Floats
    canvas: Floats
    difference: Floats
    withheld: NDArray[np.bool_]
    uncertainty: Floats
    points_mm: Floats


def value_strip(
    value_reference: Map,
    value_canvas: Map,
    points_mm: ArrayLike,
    px_per_mm: float,
    width_mm: float = 2.0,
    uncertainty: float = 0.0,
) -> Strip:
    """Read both maps ``(H, W)`` (Munsell value, NaN: withheld) along the polyline ``points_mm`` ``(k, 2)``.

    Across the width the mean of the middle half is taken, so that a highlight or a hair does not pull it. Places
    outside the canvas are withheld. ValueError when the shapes differ, a size is not above 0, or the line has no
    length.
    """
    if value_reference.shape != value_canvas.shape or value_reference.ndim != 2:
        raise ValueError(f"both maps are (H, W) of one shape, got {value_reference.shape}, {value_canvas.shape}")
    if not (px_per_mm > 0 and width_mm > 0):
        raise ValueError(f"px_per_mm and width_mm must be above 0, got {px_per_mm}, {width_mm}")
    distance, points, across = _places(np.asarray(points_mm, dtype=np.float64).reshape(-1, 2), width_mm)
    read = [_read(values, across, px_per_mm) for values in (value_reference, value_canvas)]
    known = np.isfinite(read[0]) & np.isfinite(read[1])
    withheld = known.mean(axis=1) < _LEAST_KNOWN
    reference, canvas = (_robust(values, known, withheld) for values in read)
    each = np.where(known, read[1] - read[0], np.nan)
    spread = _half_spread(each, withheld) / np.sqrt(np.maximum(known.sum(axis=1), 1))
    return Strip(
        distance, reference, canvas, canvas - reference, withheld, np.hypot(uncertainty, _NINE_IN_TEN * spread), points
    )


def _places(line: Floats, width_mm: float) -> tuple[Floats, Floats, Floats]:
    """Distances ``(n,)``, places ``(n, 2)`` and the points across each ``(n, m, 2)``, mm."""
    if len(line) >= 2 and np.isfinite(line).all():
        line = line[np.concatenate([[True], np.hypot(*np.diff(line, axis=0).T) > 0])]
    if len(line) < 2 or not np.isfinite(line).all():
        raise ValueError("a value strip needs a line of at least two different points")
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    distance = np.linspace(0.0, along[-1], int(np.clip(np.ceil(along[-1] / APART_MM), 1, MOST)) + 1)
    points = np.stack([np.interp(distance, along, line[:, k]) for k in (0, 1)], axis=1)
    leg = np.clip(np.searchsorted(along, distance, side="right") - 1, 0, len(line) - 2)
    way = np.diff(line, axis=0)[leg]
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.hypot(*way.T)[:, None]
    count = max(5, 2 * int(np.ceil(width_mm / APART_MM / 2)) + 1)
    offsets = ((np.arange(count) + 0.5) / count - 0.5) * width_mm
    return distance, points, points[:, None, :] + offsets[None, :, None] * normal[:, None, :]


def _read(values: Map, at_mm: Floats, px_per_mm: float) -> Map:
    pixel = (at_mm * px_per_mm - 0.5).astype(np.float32)
    height, width = values.shape
    outside = (at_mm < 0).any(axis=2) | (at_mm[..., 0] > width / px_per_mm) | (at_mm[..., 1] > height / px_per_mm)
    read = cv2.remap(
        np.asarray(values, dtype=np.float32), pixel[..., 0], pixel[..., 1], cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    return np.where(outside, np.float32(np.nan), np.asarray(read, dtype=np.float32))


def _robust(values: Map, known: NDArray[np.bool_], withheld: NDArray[np.bool_]) -> Floats:
    """Mean of the middle half of each row's known values; NaN where withheld."""
    ordered = np.sort(np.where(known, values, np.inf).astype(np.float64), axis=1)
    count = known.sum(axis=1)
    cut = count // 4
    place = np.arange(values.shape[1])[None, :]
    middle = (place >= cut[:, None]) & (place < (count - cut)[:, None])
    total = np.where(middle, ordered, 0.0).sum(axis=1)
    return np.where(withheld, np.nan, total / np.maximum(middle.sum(axis=1), 1))


def _half_spread(each: NDArray[Any], withheld: NDArray[np.bool_]) -> Floats:
    """Robust standard deviation of each row, from its quartiles; NaN where withheld."""
    known = np.isfinite(each)
    ordered = np.sort(np.where(known, each, np.inf).astype(np.float64), axis=1)
    last = np.maximum(known.sum(axis=1) - 1, 0)
    row = np.arange(len(each))
    with np.errstate(invalid="ignore"):
        high, low = (ordered[row, np.rint(share * last).astype(np.int64)] for share in (0.75, 0.25))
        return np.where(withheld, np.nan, (high - low) / 1.349)
