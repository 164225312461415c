"""The step that is blurred as a profile across an edge is: how wide, how high, and where.

A step of height c blurred by a Gaussian of sigma s, on a ground that may slope, v(t) = a + c Phi((t - t0) / s) + b t,
fitted to many profiles at once by Levenberg and Marquardt's way (Marquardt, SIAM J. Appl. Math. 11(2), 1963, 431-441),
with Cauchy's weights against what is no part of the edge and a window of some widths about it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ROUNDS, _CAREFUL = 12, 6
_DAMPING = 0.02
_WINDOW_SIGMAS, _WINDOW_MORE = 2.5, 0.15
"""Beyond so many sigmas from the step, and this share of the profile's half length, a profile hardly counts."""
_OUTLIER, _LEAST_SCALE, _SCALE_SHARE = 2.5, 1e-3, 0.02
_LEVEL_GROUND = 0.1
"""Weight of a level ground: over a short profile a slope and a wide step look alike."""


@dataclass(frozen=True, eq=False)
class BlurredSteps:
    """One step a profile, each ``(n,)`` float64: ``sigma`` and ``at`` (from the middle) in half lengths of the profile,
    ``height`` in the profile's unit, and ``rms`` of what is left, weighted."""

    sigma: Floats
    at: Floats
    height: Floats
    rms: Floats


def fitted_steps(profiles: Floats, sigma: Floats) -> BlurredSteps:
    """Fit ``profiles`` ``(n, m)``, evenly sampled from -1 to 1, beginning at ``sigma`` ``(n,)``, in half lengths."""
    from scipy.special import ndtr

    count, samples = profiles.shape
    t = np.linspace(-1.0, 1.0, samples)[None, :]
    sixth = samples // 6
    ground, slope, at = profiles.mean(axis=1), np.zeros(count), np.zeros(count)
    height = profiles[:, -sixth:].mean(axis=1) - profiles[:, :sixth].mean(axis=1)
    wide = np.clip(sigma, 0.03, 0.6)
    left, weight = np.zeros_like(profiles), np.ones_like(profiles)
    for turn in range(_ROUNDS):
        z = (t - at[:, None]) / wide[:, None]
        rise, bell = ndtr(z) - 0.5, np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
        left = profiles - (ground[:, None] + height[:, None] * rise + slope[:, None] * t)
        weight = _weights(left, z, wide, height)
        parts = (np.ones_like(profiles), rise, -height[:, None] * bell / wide[:, None], -height[:, None] * bell * z)
        terms = np.stack([*parts, np.broadcast_to(t, profiles.shape)], axis=2)
        step = _solved(terms, weight, left, slope, damping=_DAMPING if turn < _CAREFUL else 0.0)
        ground, height, slope = ground + step[:, 0], height + step[:, 1], slope + step[:, 4]
        at = np.clip(at + np.clip(step[:, 2], -0.5 * wide, 0.5 * wide), -0.5, 0.5)
        wide = np.clip(wide * np.exp(np.clip(step[:, 3], -0.5, 0.5)), 0.01, 1.0)
    rms = np.sqrt((weight * left**2).sum(axis=1) / weight.sum(axis=1))
    return BlurredSteps(wide, at, height, rms)


def _weights(left: Floats, z: Floats, wide: Floats, height: Floats) -> Floats:
    reach = _WINDOW_SIGMAS * wide + _WINDOW_MORE
    window = 1 / (1 + (np.abs(z) * wide[:, None] / reach[:, None]) ** 6)
    usual = 1.4826 * np.median(np.abs(left), axis=1)
    scale = _OUTLIER * np.maximum(usual, _LEAST_SCALE + _SCALE_SHARE * np.abs(height))[:, None]
    return np.asarray(window / (1 + (left / scale) ** 2))


def _solved(terms: Floats, weight: Floats, left: Floats, slope: Floats, *, damping: float) -> Floats:
    """One step of the fit for every profile, ``(n, 5)``."""
    weighted = terms * weight[:, :, None]
    normal = np.einsum("nmi,nmj->nij", weighted, terms)
    pull = np.einsum("nmi,nm->ni", weighted, left)
    diagonal = np.arange(normal.shape[1])
    normal[:, diagonal, diagonal] = normal[:, diagonal, diagonal] * (1 + damping) + 1e-6
    normal[:, 4, 4] += _LEVEL_GROUND
    pull[:, 4] -= _LEVEL_GROUND * slope
    return np.asarray(np.linalg.solve(normal, pull[..., None])[..., 0])
