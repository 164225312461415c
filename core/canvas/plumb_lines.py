"""Straight lines through the bowed edges of a canvas, and the one lens that straightens them all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import LARGEST_K1, bend, straighten

PRIOR_K1 = 0.05
"""Spread of k1 over the cameras painters use (phones correct theirs; kit zooms reach -0.08): from memory."""
_TUKEY = 4.0
_COMMON_PX, _COMMON_SHARE = 0.13, 0.6
"""Common error of a side's points at each of its ends, px and as a share of their spread, on simulated photos."""
_STEP_K1 = 1e-4


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
    tells = np.ones(len(sides)) if bent is None else bent.astype(np.float64)
    k1 = _roughly(sides, width, height) if start is None else start
    weights = [np.ones(len(points)) for points in sides]
    for turn in range(12):
        fits = _lines(sides, k1, weights, width, height)
        spread = np.array([max(_spread(f.residual), 0.02) for f in fits])
        weigh = _huber if turn < 3 else _tukey
        weights = [weigh(f.residual / s) for f, s in zip(fits, spread, strict=True)]
        moved = _lines(sides, k1 + _STEP_K1, weights, width, height)
        pull, stiff, sure = _newton(fits, moved, weights, spread, tells)
        change = float(np.clip(-(pull + k1 / PRIOR_K1**2) / stiff, -0.03, 0.03))
        k1 = float(np.clip(k1 + change, -LARGEST_K1 + 2 * _STEP_K1, LARGEST_K1 - 2 * _STEP_K1))
        if turn > 4 and abs(change) < 1e-6:
            break
    fits = _lines(sides, k1, weights, width, height)
    moved = _lines(sides, k1 + _STEP_K1, weights, width, height)
    apart = [_independent(f.residual, w) for f, w in zip(fits, weights, strict=True)]
    each = zip(fits, spread, apart, strict=True)
    turned = np.array([[b.angle - a.angle, b.offset - a.offset] for a, b in zip(fits, moved, strict=True)])
    return StraightLines(
        angle=np.array([f.angle for f in fits]),
        offset=np.array([f.offset for f in fits]),
        k1=k1,
        sigma=float(min(1 / np.sqrt(sure), PRIOR_K1)),
        spread_px=spread,
        covariance=np.array([f.inverse * s**2 / n + f.common * _common(s) ** 2 for f, s, n in each]),
        per_k1=turned / _STEP_K1,
    )


def _newton(
    fits: "list[_Line]",
    moved: "list[_Line]",
    weights: list[NDArray[np.float64]],
    spread: NDArray[np.float64],
    tells: NDArray[np.float64],
) -> tuple[float, float, float]:
    """Slope and curvature of the misfit over k1, and the weight (1 / variance) that k1 really deserves."""
    pull, stiff, alike = 0.0, PRIOR_K1**-2, 0.0
    for fit, other, w, s, told in zip(fits, moved, weights, spread, tells, strict=True):
        slope = (other.residual - fit.residual) / _STEP_K1
        curve = float((w * slope * slope).sum())
        share = told * _independent(fit.residual, w) / s**2
        pull += float((w * slope * fit.residual).sum()) * share
        stiff += curve * share
        alike += told * curve / max(float(w.sum()), 1e-9) / (0.3 * _common(s)) ** 2
    return pull, stiff, 1 / (1 / stiff + 1 / max(alike, PRIOR_K1**-2))


def _common(spread: float) -> float:
    """What the points of an edge have in common and their spread does not show, px: a shade or a stroke along it."""
    return float(np.hypot(_COMMON_PX, _COMMON_SHARE * spread))


def _lines(
    sides: Sequence[NDArray[np.float64]], k1: float, weights: list[NDArray[np.float64]], width: int, height: int
) -> "list[_Line]":
    return [_line(straighten(p, k1, width, height), w, width, height) for p, w in zip(sides, weights, strict=True)]


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
    """Covariance of (angle, offset) for an error of 1 px at each end of the line."""


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
    common = _covariance(2 / length**2, 0.5, across)
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
