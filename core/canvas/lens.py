"""One-term radial lens distortion: straightening and bending points.

x_photo = c + (x_straight - c) (1 + k1 r²), r = |x_straight - c| / (half the photo's diagonal), c the photo's centre:
the first term of the radial series of Brown 1971, Photogrammetric Engineering 37(8), 855-866. k1 < 0 is barrel.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import CanvasError

LARGEST_K1 = 0.14
"""Beyond -4/27 a barrel folds over before it reaches the photo's corners; no camera used on an easel comes near."""


def straighten(points: ArrayLike, k1: float, width: int, height: int) -> NDArray[np.float64]:
    """Where photo points ``(..., 2)`` px would lie had the lens drawn straight lines straight; ``(..., 2)`` float64.

    The inverse of :func:`bend` to better than 1e-9 px anywhere in the photo. ``width, height``: the photo's pixels.
    Raises CanvasError when ``abs(k1)`` is above 0.14.
    """
    offset, centre, half_diagonal = _from_centre(points, k1, width, height)
    if k1 == 0.0:
        return np.asarray(points, dtype=np.float64).copy()
    far = np.sqrt((offset**2).sum(axis=-1, keepdims=True))
    # Newton on r (1 + k1 r²) = far. A barrel only reaches so far: beyond, the fold itself is answered.
    fold = np.sqrt(1.0 / (-3.0 * k1)) if k1 < 0 else np.inf
    r = np.minimum(far, 0.999 * fold)
    for _ in range(20):
        change = (r * (1 + k1 * r * r) - far) / (1 + 3 * k1 * r * r)
        r = np.clip(r - change, 0.0, 0.999 * fold)
        if np.abs(change).max(initial=0.0) < 1e-13:
            break
    return np.asarray(centre + offset / (1 + k1 * r * r) * half_diagonal)


def bend(points: ArrayLike, k1: float, width: int, height: int) -> NDArray[np.float64]:
    """Where the lens puts straight points ``(..., 2)`` px in the photo, ``(..., 2)``: see :func:`straighten`."""
    offset, centre, half_diagonal = _from_centre(points, k1, width, height)
    r2 = (offset**2).sum(axis=-1, keepdims=True)
    return np.asarray(centre + offset * (1 + k1 * r2) * half_diagonal)


def _from_centre(
    points: ArrayLike, k1: float, width: int, height: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    if not abs(k1) <= LARGEST_K1:
        raise CanvasError(f"A lens bend of k1 = {k1:g} is not a camera's. Give between -{LARGEST_K1} and {LARGEST_K1}.")
    centre = np.array([(width - 1) / 2, (height - 1) / 2])
    half_diagonal = float(np.hypot(width, height)) / 2
    return (np.asarray(points, dtype=np.float64) - centre) / half_diagonal, centre, half_diagonal


PRIOR_K1 = 0.06
"""Spread of k1 over the cameras painters use (phones correct their lenses; kit zooms reach -0.08): from memory."""
_TUKEY = 4.0


@dataclass(frozen=True)
class StraightLines:
    """Straight lines through bent edge points. Line i is ``normal · (p - centre) = offset`` in straightened px.

    ``angle, offset``: ``(m,)``, of the lines' normals. ``k1, sigma``: the lens and its standard deviation.
    ``spread_px``: ``(m,)`` robust spread of the points about their line. ``covariance``: ``(m, 2, 2)`` of
    (angle, offset) with the lens held. ``per_k1``: ``(m, 2)``, how (angle, offset) follow when k1 changes.
    """

    angle: NDArray[np.float64]
    offset: NDArray[np.float64]
    k1: float
    sigma: float
    spread_px: NDArray[np.float64]
    covariance: NDArray[np.float64]
    per_k1: NDArray[np.float64]


@dataclass(frozen=True)
class LensFit:
    """``k1`` and its standard deviation ``sigma``. With nothing to tell, 0 ± 0.06."""

    k1: float
    sigma: float


def fit_k1(edge_points: Sequence[ArrayLike], width: int, height: int) -> LensFit:
    """The lens from the straightness of the canvas's own edges (plumb lines), one k1 for all.

    ``edge_points``: one ``(n, 2)`` array of photo px for each edge, in order along it; outliers are borne. The answer
    leans to 0 as the edges say less: the prior is 0 ± 0.06. After Brown 1971 and Devernay & Faugeras 2001, Machine
    Vision and Applications 13, 14-24.
    """
    sides = [np.asarray(points, dtype=np.float64).reshape(-1, 2) for points in edge_points]
    sides = [points for points in sides if len(points) >= 8]
    if not sides:
        return LensFit(0.0, PRIOR_K1)
    lines = fit_lines(sides, width, height)
    return LensFit(lines.k1, lines.sigma)


def fit_lines(
    sides: Sequence[NDArray[np.float64]], width: int, height: int, *, start: float | None = None
) -> StraightLines:
    """One straight line through each of ``sides`` (``(n, 2)`` photo px, n >= 8, in order along the edge) and one k1.

    Gauss-Newton on k1, with the lines solved for in every step (variable projection), Tukey weights throughout.
    """
    k1, step = _roughly(sides, width, height) if start is None else start, 1e-4
    weights = [np.ones(len(points)) for points in sides]
    for turn in range(12):
        fits = [_line(straighten(p, k1, width, height), w, width, height) for p, w in zip(sides, weights, strict=True)]
        spread = np.array([max(_spread(f.residual), 0.02) for f in fits])
        weigh = _huber if turn < 3 else _tukey
        weights = [weigh(f.residual / s) for f, s in zip(fits, spread, strict=True)]
        slopes = [
            (_line(straighten(p, k1 + step, width, height), w, width, height).residual - f.residual) / step
            for p, w, f in zip(sides, weights, fits, strict=True)
        ]
        shrink = [_independent(f.residual, w) for f, w in zip(fits, weights, strict=True)]
        each = list(zip(fits, weights, slopes, spread, shrink, strict=True))
        stiff = sum(float((w * j * j).sum()) * n / s**2 for _, w, j, s, n in each) + PRIOR_K1**-2
        pull = sum(float((w * j * f.residual).sum()) * n / s**2 for f, w, j, s, n in each) + k1 * PRIOR_K1**-2
        change = float(np.clip(-pull / stiff, -0.03, 0.03))
        k1 = float(np.clip(k1 + change, -LARGEST_K1 + 2 * step, LARGEST_K1 - 2 * step))
        if turn > 4 and abs(change) < 1e-6:
            break
    fits = [_line(straighten(p, k1, width, height), w, width, height) for p, w in zip(sides, weights, strict=True)]
    moved = [
        _line(straighten(p, k1 + step, width, height), w, width, height) for p, w in zip(sides, weights, strict=True)
    ]
    return StraightLines(
        angle=np.array([f.angle for f in fits]),
        offset=np.array([f.offset for f in fits]),
        k1=k1,
        sigma=float(stiff**-0.5),
        spread_px=spread,
        covariance=np.array([f.inverse * s**2 / n for f, s, n in zip(fits, spread, shrink, strict=True)]),
        per_k1=np.array([[b.angle - a.angle, b.offset - a.offset] for a, b in zip(fits, moved, strict=True)]) / step,
    )


def _roughly(sides: Sequence[NDArray[np.float64]], width: int, height: int) -> float:
    """The k1 of a coarse row that leaves the points straightest: Tukey's weights must not start from half a bow."""
    trials = np.linspace(-LARGEST_K1, LARGEST_K1, 29)[1:-1]
    some = [points[:: max(1, len(points) // 80)] for points in sides]

    def left_over(k1: float) -> float:
        return float(sum(np.log(_bow_left(straighten(points, k1, width, height)) + 0.02) for points in some))

    return float(min(trials, key=lambda k1: left_over(float(k1)) + 0.5 * (k1 / PRIOR_K1) ** 2))


def _bow_left(points: NDArray[np.float64]) -> float:
    """Median distance from a robust straight line (Theil-Sen on thirds)."""
    third = max(1, len(points) // 3)
    first, last = np.median(points[:third], axis=0), np.median(points[-third:], axis=0)
    along = last - first
    normal = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-9)
    across = points @ normal
    return float(np.median(np.abs(across - float(np.median(across)))))


@dataclass(frozen=True)
class _Line:
    angle: float
    offset: float
    residual: NDArray[np.float64]
    inverse: NDArray[np.float64]
    """Covariance of (angle, offset) for unit spread of independent points."""


def _line(points: NDArray[np.float64], weights: NDArray[np.float64], width: int, height: int) -> _Line:
    """Weighted total least squares."""
    local = points - np.array([(width - 1) / 2, (height - 1) / 2])
    total = max(float(weights.sum()), 1e-9)
    mean = weights @ local / total
    about = local - mean
    scatter = (about * weights[:, None]).T @ about
    _, vectors = np.linalg.eigh(scatter)
    normal, along = vectors[:, 0], vectors[:, 1]
    # Normals point down or right, whichever they are nearer to, so that angles do not jump between steps.
    normal = normal if normal[int(np.abs(normal).argmax())] > 0 else -normal
    angle, offset = float(np.arctan2(normal[1], normal[0])), float(normal @ mean)
    reach = max(float((weights * (about @ along) ** 2).sum()), 1e-9)
    across = float(mean @ np.array([-normal[1], normal[0]]))
    turn = 1 / reach
    inverse = np.array([[turn, across * turn], [across * turn, 1 / total + across**2 * turn]])
    return _Line(angle, offset, about @ normal, inverse)


def _spread(residual: NDArray[np.float64]) -> float:
    return 1.4826 * float(np.median(np.abs(residual)))


def _tukey(u: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.where(np.abs(u) < _TUKEY, (1 - (u / _TUKEY) ** 2) ** 2, 0.0))


def _huber(u: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(1 / np.maximum(np.abs(u), 1.0))


def _independent(residual: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    """Share of the points that count as independent, from the correlation of neighbours along the edge."""
    kept = residual * weights
    power = float(kept @ kept)
    if power <= 0 or len(kept) < 3:
        return 1.0
    neighbour = float(np.clip(kept[1:] @ kept[:-1] / power, 0.0, 0.95))
    return (1 - neighbour) / (1 + neighbour)
