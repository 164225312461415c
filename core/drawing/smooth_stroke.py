"""A raw pen stroke evened out: equal steps instead of the pen's, and the hand's jitter taken out."""

import numpy as np
from numpy.typing import NDArray

from core.drawing.fit_curve import CORNER_DEG
from core.drawing.strokes import cleaned, corners, joined

Array = NDArray[np.float64]

STEP_MM = 0.25
REACH_MM = 1.5
_AROUND = np.linspace(-1.0, 1.0, 17)
# Value at 0 of the parabola that fits samples at these offsets best (Savitzky and Golay 1964, Anal. Chem. 36(8)).
_WEIGHTS = np.linalg.pinv(np.stack([_AROUND**0, _AROUND, _AROUND**2], axis=1))[0]


def smooth_stroke(
    points: Array,
    *,
    closed: bool = False,
    step_mm: float = STEP_MM,
    reach_mm: float = REACH_MM,
    corner_deg: float = CORNER_DEG,
) -> Array:
    """A pen's points ``(n, 2)`` in mm, n ≥ 1, as ``(m, 2)`` float64 about ``step_mm`` apart and without jitter.

    Every place becomes the parabola's through what lies within ``reach_mm`` before and after it, so that round forms
    do not shrink as they would under an average. Ends and corners (see :func:`core.drawing.fit_curve.fit_curve`) stay
    where they are. A closed stroke does not repeat its first point. Raises ValueError for other shapes, no points, and
    numbers that are not finite.
    """
    if not (np.isfinite([step_mm, reach_mm]).all() and step_mm > 0.0 and reach_mm > 0.0):
        raise ValueError("The step and the reach must be more than 0 mm.")
    kept = _thinned(cleaned(points, closed=closed), step_mm, closed=closed)
    ring = closed and len(kept) > 2
    if len(kept) < 2:
        return kept
    stroke = joined([kept], [ring])
    found = corners(stroke, arm=reach_mm, corner_deg=corner_deg)[0]
    first, last = int(stroke.first[0]), int(stroke.last[0])
    if ring:
        ends = np.r_[found, found[0] + last - first] if len(found) else np.array([first, last])
    else:
        ends = np.r_[first, found, last]
    free = ring and len(found) == 0
    pieces = []
    for begin, end in zip(stroke.arc[ends[:-1]], stroke.arc[ends[1:]], strict=True):
        places = np.linspace(begin, end, max(2, round((end - begin) / step_mm) + 1))
        room = np.full(len(places), end - begin) if free else np.minimum(places - begin, end - places)
        reach = np.minimum(room, reach_mm)
        pieces.append(np.einsum("j,mjk->mk", _WEIGHTS, stroke.at(places[:, None] + reach[:, None] * _AROUND)))
    smooth = np.concatenate([part[:-1] for part in pieces] + [pieces[-1][-1:]])
    return smooth[:-1] if ring else smooth


def _thinned(points: Array, step: float, *, closed: bool) -> Array:
    """Runs of points crowded within ``step`` of their first replaced by their mean; the ends stay.

    Where the pen sends points more often than it moves, the way from point to point is mostly jitter and far longer
    than the stroke.
    """
    xs, ys = points[:, 0].tolist(), points[:, 1].tolist()
    starts, x0, y0 = [0], xs[0], ys[0]
    for index, (x, y) in enumerate(zip(xs, ys, strict=True)):
        if (x - x0) ** 2 + (y - y0) ** 2 >= step * step:
            starts.append(index)
            x0, y0 = x, y
    begin = np.array(starts)
    counts = np.diff(np.r_[begin, len(points)])
    means: Array = np.add.reduceat(points, begin, axis=0) / counts[:, None]
    if closed:
        return means
    inner = means[1:-1] if len(means) > 2 else means[:0]
    return cleaned(np.concatenate([points[:1], inner, points[-1:]]), closed=False)
