"""Straight lines through the bowed edges of a canvas, and the one lens that straightens them all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import LARGEST_K1, bend, straighten

PRIOR_K1 = 0.05
"""Spread of k1 over the cameras painters use (phones correct theirs; kit zooms reach -0.08): from memory."""
_TUKEY = 4.0
_COMMON_PX = 0.08
"""What the points of an edge have in common and their spread does not show (a shade along it, the sampling of the
photo), at each end of a side; measured on simulated photos."""


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


def fit_lines(
    sides: Sequence[NDArray[np.float64]],
    width: int,
    height: int,
    *,
    start: float | None = None,
    bent: NDArray[np.bool_] | None = None,
) -> StraightLines:
    """One straight line through each of ``sides`` (``(n, 2)`` photo px, n >= 8, in order along the edge) and one k1.

    ``start``: a k1 near the answer, to save looking for one. ``bent``: which sides say something about the lens.
    Gauss-Newton on k1, with the lines solved for in every step (variable projection), Tukey weights throughout.
    """
    bent = np.ones(len(sides), bool) if bent is None else bent
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
        shrink = [
            _independent(f.residual, w) * (1.0 if tells else 1e-9)
            for f, w, tells in zip(fits, weights, bent, strict=True)
        ]
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
        covariance=np.array(
            [f.inverse * s**2 / max(n, 1e-3) + f.common for f, s, n in zip(fits, spread, shrink, strict=True)]
        ),
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
    common: NDArray[np.float64]
    """Covariance of (angle, offset) that no number of points takes away."""


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
    inverse = _covariance(turn, 1 / total, across)
    length = max(float(np.ptp(about @ along)), 1.0)
    common = _covariance(2 * (_COMMON_PX / length) ** 2, _COMMON_PX**2 / 2, across)
    return _Line(angle, offset, about @ normal, inverse, common)


def _covariance(turn: float, shift: float, across: float) -> NDArray[np.float64]:
    """Of a line's (angle, offset), from the variance of its turn and of its shift at ``across`` along it."""
    return np.array([[turn, across * turn], [across * turn, shift + across**2 * turn]])


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


def meeting_corners(lines: StraightLines, width: int, height: int) -> NDArray[np.float64]:
    """Where four sides (top, right, bottom, left) meet: ``(4, 2)`` photo px, TL TR BR BL, bent by the lens."""
    return bend(_meet(lines.angle, lines.offset, width, height), lines.k1, width, height)


def corner_shifts(lines: StraightLines, width: int, height: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Independent errors of one standard deviation: ``(9, 4, 2)`` px moves of the corners and ``(9,)`` of k1.

    Two for each of four lines, with the lens held, and one for the lens, which turns and moves the lines too.
    """
    rest = meeting_corners(lines, width, height)
    moves, lens = [], []
    for side in range(4):
        values, vectors = np.linalg.eigh(lines.covariance[side])
        for value, vector in zip(values, vectors.T, strict=True):
            change = np.zeros((4, 2))
            change[side] = vector * np.sqrt(max(float(value), 0.0))
            straight = _meet(lines.angle + change[:, 0], lines.offset + change[:, 1], width, height)
            moves.append(bend(straight, lines.k1, width, height) - rest)
            lens.append(0.0)
    step = lines.sigma * lines.per_k1
    k1 = float(np.clip(lines.k1 + lines.sigma, -LARGEST_K1, LARGEST_K1))
    straight = _meet(lines.angle + step[:, 0], lines.offset + step[:, 1], width, height)
    moves.append(bend(straight, k1, width, height) - rest)
    lens.append(lines.sigma)
    return np.array(moves), np.array(lens)


def _meet(angle: NDArray[np.float64], offset: NDArray[np.float64], width: int, height: int) -> NDArray[np.float64]:
    """Crossings of each side with the one before it, straightened px."""
    normal = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    pairs = np.stack([np.roll(normal, 1, axis=0), normal], axis=1)
    offsets = np.stack([np.roll(offset, 1), offset], axis=1)
    centre = np.array([(width - 1) / 2, (height - 1) / 2])
    return np.asarray(np.linalg.solve(pairs, offsets[..., None])[..., 0] + centre)
