"""The step that is blurred as a profile across an edge is: how wide, how high, and where.

A step of height c blurred by a Gaussian of sigma s, on a ground that may slope, v(t) = a + c Phi((t - t0) / s) + b t,
fitted to many profiles at once by Levenberg and Marquardt's way (Marquardt, SIAM J. Appl. Math. 11(2), 1963, 431-441),
with Cauchy's weights against what is no part of the edge and a window of some widths about it.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Map = NDArray[np.float32]

_ROUNDS, _CAREFUL = 12, 3
_DAMPING = 0.005
_SETTLED = 0.004
"""A fit that moves by less than this share of its width in one round, and widens by less, is done."""
_WINDOW_SIGMAS, _WINDOW_MORE = 2.5, 0.15
"""Beyond so many sigmas from the step, and this share of the profile's half length, a profile hardly counts."""
_OUTLIER, _LEAST_SCALE, _SCALE_SHARE = 2.5, 1e-3, 0.02
_LEVEL_GROUND = 0.1
"""Weight of a level ground: over a short profile a slope and a wide step look alike."""
_TOGETHER = 512
"""Profiles fitted at one time: as many as lie in the processor's own store."""
_TABLE_TO, _TABLE_STEPS = 5.0, 256


@dataclass(frozen=True, eq=False)
class BlurredSteps:
    """One step a profile, each ``(n,)`` float64: ``sigma`` and ``at`` (from the middle) in half lengths of the profile,
    ``height`` in the profile's unit, and ``rms`` of what is left, weighted."""

    sigma: Floats
    at: Floats
    height: Floats
    rms: Floats


def fitted_steps(profiles: NDArray[Any], sigma: Floats, *, rounds: int = _ROUNDS) -> BlurredSteps:
    """Fit ``profiles`` ``(n, m)``, evenly sampled from -1 to 1, beginning at ``sigma`` ``(n,)``, in half lengths; in no
    more than so many ``rounds``."""
    count = len(profiles)
    answer = np.zeros((4, count))
    for first in range(0, count, _TOGETHER):
        part = slice(first, first + _TOGETHER)
        fit = _Fit(np.asarray(profiles[part], np.float32), np.asarray(sigma[part], np.float32))
        answer[:, part] = fit.answer(rounds)
    return BlurredSteps(*answer)


class _Fit:
    """Profiles fitted together; those that have settled are left out of later rounds."""

    def __init__(self, profiles: Map, sigma: Map) -> None:
        count, samples = profiles.shape
        sixth = samples // 6
        self.profiles = profiles
        self.t = np.linspace(-1.0, 1.0, samples, dtype=np.float32)[None, :]
        height = profiles[:, -sixth:].mean(axis=1) - profiles[:, :sixth].mean(axis=1)
        # ground, height, at, logarithm of sigma, slope
        self.found = np.zeros((count, 5), np.float32)
        self.found[:, 0], self.found[:, 1] = profiles.mean(axis=1), height
        self.found[:, 3] = np.log(np.clip(sigma, 0.03, 0.6))

    def answer(self, rounds: int) -> Floats:
        """Sigma, place, height and what is left, ``(4, n)``."""
        going = np.arange(len(self.found))
        for turn in range(rounds):
            profiles, found = self.profiles[going], self.found[going]
            terms, left, weight = self._terms(profiles, found)
            step = _solved(terms, weight, left, found[:, 4], damping=_DAMPING if turn < _CAREFUL else 0.0)
            wide = np.exp(found[:, 3])
            step[:, 2] = np.clip(step[:, 2], -0.5 * wide, 0.5 * wide)
            step[:, 3] = np.clip(step[:, 3], -0.5, 0.5)
            found = found + step
            found[:, 2] = np.clip(found[:, 2], -0.5, 0.5)
            found[:, 3] = np.clip(found[:, 3], np.log(0.01), 0.0)
            self.found[going] = found
            moving = np.maximum(np.abs(step[:, 2]) / wide, np.abs(step[:, 3])) > _SETTLED
            going = going[moving]
            if not len(going):
                break
        _, left, weight = self._terms(self.profiles, self.found)
        rms = np.sqrt((weight * left**2).sum(axis=1) / weight.sum(axis=1))
        return np.stack([np.exp(self.found[:, 3]), self.found[:, 2], self.found[:, 1], rms]).astype(np.float64)

    def _terms(self, profiles: Map, found: Map) -> tuple[Map, Map, Map]:
        """The derivatives ``(n, 5, m)``, what is left of the profiles, and its weight, each ``(n, m)``."""
        ground, height, at, log_wide, slope = (each[:, None] for each in found.T)
        wide = np.exp(log_wide)
        z = (self.t - at) / wide
        rise, bell = _rise_and_bell(z)
        terms = np.empty((len(found), 5, profiles.shape[1]), np.float32)
        terms[:, 0] = 1.0
        terms[:, 1] = rise
        terms[:, 3] = -height * bell * z
        terms[:, 2] = -height * bell / wide
        terms[:, 4] = self.t
        left = profiles - (ground + height * rise + slope * self.t)
        return terms, left, _weights(left, z, wide, height)


def _weights(left: Map, z: Map, wide: Map, height: Map) -> Map:
    reach = _WINDOW_SIGMAS * wide + _WINDOW_MORE
    far = (z * wide / reach) ** 2
    middle = left.shape[1] // 2
    usual = 1.4826 * np.partition(np.abs(left), middle, axis=1)[:, middle, None]
    scale = _OUTLIER * np.maximum(usual, _LEAST_SCALE + _SCALE_SHARE * np.abs(height))
    return np.asarray(1 / ((1 + far * far * far) * (1 + (left / scale) ** 2)), dtype=np.float32)


def _solved(terms: Map, weight: Map, left: Map, slope: Map, *, damping: float) -> Map:
    """One step of the fit for every profile, ``(n, 5)``."""
    weighted = terms * weight[:, None, :]
    normal = np.matmul(weighted, terms.transpose(0, 2, 1)).astype(np.float64)
    pull = np.matmul(weighted, left[:, :, None])[..., 0].astype(np.float64)
    diagonal = np.arange(normal.shape[1])
    normal[:, diagonal, diagonal] = normal[:, diagonal, diagonal] * (1 + damping) + 1e-6
    normal[:, 4, 4] += _LEVEL_GROUND
    pull[:, 4] -= _LEVEL_GROUND * slope
    return np.asarray(np.linalg.solve(normal, pull[..., None])[..., 0], dtype=np.float32)


def _rise_and_bell(z: Map) -> tuple[Map, Map]:
    """Phi(z) - 1/2 and the normal density, by a table and its slopes; to 1e-5."""
    rises, bells = _tables()
    at = np.clip(z, -_TABLE_TO, _TABLE_TO)
    index = (at * np.float32(_TABLE_STEPS) + np.float32(_TABLE_TO * _TABLE_STEPS + 0.5)).astype(np.int32)
    off = at - (index - np.float32(_TABLE_TO * _TABLE_STEPS)) * np.float32(1 / _TABLE_STEPS)
    bell = bells[index]
    return rises[index] + bell * off, bell * (1 - at * off)


@cache
def _tables() -> tuple[Map, Map]:
    from scipy.special import ndtr

    z = np.arange(-int(_TABLE_TO * _TABLE_STEPS), int(_TABLE_TO * _TABLE_STEPS) + 1) / _TABLE_STEPS
    bell = np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
    return (ndtr(z) - 0.5).astype(np.float32), bell.astype(np.float32)
