"""A camera's curve of contrast, straightened by greys of known light.

One curve for all three channels, a cubic of natural logarithms about middle grey. Beyond the lightest and darkest grey
it goes on straight.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_MIDDLE = 0.2
_HELD = 0.02
"""Against a curve that the greys hardly tell."""
_DARKEST, _LIGHTEST = np.log(0.02 / _MIDDLE), np.log(1.0 / _MIDDLE)
_LEAST_SLOPE = 0.25
"""A curve that is flatter anywhere is none of a camera's, and is not used."""
_FEWEST = 4


@dataclass(frozen=True)
class Bend:
    """``base``: the camera's light of a perfect diffuser in each channel. ``cubic``: what is added to the natural
    logarithm of light over middle grey, for its first, second and third power."""

    base: tuple[float, float, float]
    cubic: tuple[float, float, float]

    def of(self, light: ArrayLike) -> Floats:
        """Straightened light ``(…, 3)``, float32 where ``light`` is, else float64; what is below 0 stays as it is."""
        seen = np.asarray(light)
        if not any(self.cubic):
            return seen
        kind = np.float32 if seen.dtype == np.float32 else np.float64
        at = np.maximum(seen, 1e-6) / np.asarray(self.base, dtype=kind) / kind(_MIDDLE)
        log = np.clip(np.log(at), kind(_DARKEST), kind(_LIGHTEST))
        first, second, third = (kind(each) for each in self.cubic)
        return np.asarray(seen * np.exp(log * (first + log * (second + log * third))))


STRAIGHT = Bend((1.0, 1.0, 1.0), (0.0, 0.0, 0.0))


def bend_of(measured: Floats, wanted: Floats) -> Bend:
    """The curve by which greys ``(n, 3)`` are what they should be ``(n, 3)``; straight where there are too few."""
    if len(measured) < _FEWEST or measured.min() <= 0:
        return STRAIGHT
    base = np.exp(np.log(measured / wanted).mean(axis=0))
    seen, known = np.log(measured / base / _MIDDLE).ravel(), np.log(wanted / _MIDDLE).ravel()
    powers = np.stack([seen, seen**2, seen**3], axis=1)
    cubic = np.linalg.solve(powers.T @ powers + _HELD * np.eye(3), powers.T @ (known - seen))
    along = np.linspace(_DARKEST, _LIGHTEST, 33)
    slope = 1 + cubic[0] + 2 * cubic[1] * along + 3 * cubic[2] * along**2
    if slope.min() < _LEAST_SLOPE or slope.max() > 1 / _LEAST_SLOPE:
        return STRAIGHT
    red, green, blue = base.tolist()
    first, second, third = cubic.tolist()
    return Bend((red, green, blue), (first, second, third))
