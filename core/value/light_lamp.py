"""The light on the canvas as a lamp near by and a broad light, to be carried on beyond the canvas's edge.

A small source at a height ``h`` over the plane lights it by the inverse square and the cosine of its slant (Lambert):
``(1 + r^2 / h^2)^-1.5`` of what falls at its foot. The broad light, and the fall-off of the lens with it, is a plane
with a bend. All are strengths, so they add.

Root mean square error 15 to 85 mm beside a canvas of 400 x 300 mm, natural logarithms, on the fitted lights of 8
paintings in the light of a window, round a hot spot, between two lamps, under a lens that falls off, and under a lamp
that is a point 0.3 to 1 canvas length off: 0.016, 0.049, 0.025, 0.025, 0.036. A plane through what is near the edge,
and a bent surface as far as the two agree: 0.021, 0.059, 0.023, 0.026, 0.091. On 6 paintings kept apart while this was
written: 0.018, 0.029, 0.019, 0.024, 0.061 against 0.023, 0.049, 0.019, 0.026, 0.109; there 98 to 100 % lie within what
is stated, but 77 % under the point, whose foot was as often beyond the edge as on the canvas.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.size import Size
from core.value.light_grid import Floats

_CELLS = 20
"""Along the long side: what is fitted is smoother than the light's own grid."""
_HELD = np.array([1e-6, 3e-4, 3e-4, 1e-6, 1e-3, 1e-3, 1e-3])
"""How much each term is held back, a share of the squared relative error: level, slopes, lamp, bends. On made fields,
root mean square error beside the canvas: bends held ten times as much 0.033 for 0.023 between two lamps, ten times less
0.059 for 0.052 round a hot spot."""
_FEET = np.linspace(-0.9, 0.9, 7), np.linspace(-0.8, 0.8, 7)
_HEIGHTS = np.log([0.2, 0.4, 0.8, 1.6])
_LOWEST, _HIGHEST, _FARTHEST = np.log(0.1), np.log(4.0), 2.0
"""Logarithms of the heights, and the distance of the foot from the canvas's middle, between which the lamp is looked
for; lengths of the canvas's long side."""
_TRIED_ON = 2
_ROUNDS = 30
_DARKEST = 0.05


@dataclass(frozen=True)
class LampLight:
    """``foot``: ``(3,)`` where the lamp stands over the plane of the canvas, lengths of its long side from its middle,
    and the logarithm of its height; ``strengths``: ``(7, 3)`` of the terms in each channel; ``least``: ``(3,)`` below
    which no strength is believed; ``left``: root mean square of what it leaves unexplained on the canvas, natural
    logarithms."""

    foot: Floats
    strengths: Floats
    least: Floats
    left: float
    size: Size

    def log_at(self, x_mm: float, y_mm: float) -> Floats:
        """Natural logarithm ``(3,)`` of the light at a place on the plane of the canvas."""
        x, y = _from_middle(np.array([x_mm]), np.array([y_mm]), self.size)
        return np.asarray(np.log(np.maximum(_terms(self.foot, x, y)[0] @ self.strengths, self.least)))


def lamp_light(log: Floats, size: Size) -> LampLight:
    """Fit the light to a field ``(h, w, 3)`` of natural logarithms over the whole canvas.

    For every place of the lamp the strengths follow by least squares; places are tried on a grid, and the best moved
    to where they fit best.
    """
    from scipy.optimize import least_squares

    h, w = log.shape[:2]
    times = min(1.0, _CELLS / max(h, w))
    cells = (max(4, round(w * times)), max(4, round(h * times)))
    small = cv2.resize(np.asarray(log, dtype=np.float64), cells, interpolation=cv2.INTER_AREA).reshape(-1, 3)
    level = np.exp(small[:, 1].mean())
    light = np.exp(small) / level
    across, down = ((np.arange(n) + 0.5) / n for n in cells)
    x, y = (c.ravel() for c in np.meshgrid(across * size.width_mm, down * size.height_mm))
    fit = _Fit(*_from_middle(x, y, size), light)
    starts = [np.array([a, b, c]) for a in _FEET[0] for b in _FEET[1] for c in _HEIGHTS]
    likely = sorted(starts, key=fit.cost)[:_TRIED_ON]
    bounds = ([-_FARTHEST, -_FARTHEST, _LOWEST], [_FARTHEST, _FARTHEST, _HIGHEST])
    found = [least_squares(fit.left, start, bounds=bounds, max_nfev=_ROUNDS) for start in likely]
    foot = np.asarray(min(found, key=lambda each: float(each.cost)).x)
    left = float(np.sqrt((fit.left(foot)[: len(light)] ** 2).mean()))
    return LampLight(foot, level * fit.strengths(foot, light), level * _DARKEST * light.min(axis=0), left, size)


@dataclass(frozen=True)
class _Fit:
    """Places ``x, y`` ``(n,)`` from the middle in lengths of the canvas, and the light there ``(n, 3)``."""

    x: Floats
    y: Floats
    light: Floats

    def strengths(self, foot: Floats, light: Floats) -> Floats:
        """Least squares of the relative error of the green channel's scale, the terms held back."""
        scale = 1 / self.light[:, 1:2]
        terms = _terms(foot, self.x, self.y) * scale
        return np.asarray(np.linalg.solve(terms.T @ terms + np.diag(_HELD) * len(terms), terms.T @ (light * scale)))

    def left(self, foot: Floats) -> Floats:
        """What the green channel leaves unexplained, relative, and what holding the terms back costs."""
        at = self.strengths(foot, self.light[:, 1:2])[:, 0]
        relative = _terms(foot, self.x, self.y) @ at / self.light[:, 1] - 1
        return np.concatenate([relative, np.sqrt(_HELD * len(relative)) * at])

    def cost(self, foot: Floats) -> float:
        """Sum of squares; a start whose lamp would take light away comes last."""
        if self.strengths(foot, self.light[:, 1:2])[3, 0] <= 0:
            return np.inf
        return float((self.left(foot) ** 2).sum())


def _from_middle(x_mm: NDArray[np.floating], y_mm: NDArray[np.floating], size: Size) -> tuple[Floats, Floats]:
    length = max(size.width_mm, size.height_mm)
    return np.asarray((x_mm - size.width_mm / 2) / length), np.asarray((y_mm - size.height_mm / 2) / length)


def _terms(foot: Floats, x: Floats, y: Floats) -> Floats:
    """``(n, 7)``: level, two slopes, the lamp, three bends."""
    lamp = (1 + ((x - foot[0]) ** 2 + (y - foot[1]) ** 2) / np.exp(2 * foot[2])) ** -1.5
    return np.stack([np.ones_like(x), x, y, lamp, x**2 - y**2, 2 * x * y, x**2 + y**2], axis=-1)
