"""What a camera shows of a painted swatch card, and how the tube in it may differ from the stored one.

Everything is in units of what is likely: each unknown is 0 where nothing is known, and 1 at one standard deviation. The
tube is the stored one times the exponential of smooth curves over the wavelengths, which keeps K and S above 0. Beside
it stand what no photo can tell apart from the paint: weights a little off, stray light, the white's own reflectance, a
camera whose colours are not those of the standard observer (a matrix that keeps white white), and its contrast.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from core.paint.paint import Paint, mixture
from core.paint.spectrum import WAVELENGTHS, linear_rgb

Floats = NDArray[np.float64]

K_SIGMA, K_LENGTH_NM, K_CURVES = 0.25, 70.0, 8
S_SIGMA, S_LENGTH_NM, S_CURVES = 0.15, 100.0, 4
K_LEVEL, S_LEVEL, STRENGTH = 0.10, 0.20, 0.6
UNKNOWN_STRENGTH = 1.5
"""Standard deviations of natural logarithms: of the curves, of their levels, and of K and S together."""
WEIGHING, VEIL, LEVEL, MATRIX, CONTRAST = 0.05, 0.010, 0.03, 0.07, 0.10
CONTRAST_BY_CARD = 0.04
"""Standard deviations: of a weighed part, a share of it; of stray light; of the white, a share; of the camera's matrix;
and of the logarithm of its contrast, without and with a grey card. Ours, by the simulated cameras."""
UNKNOWNS = 11
"""Beside the tube's: two weights, stray light, level, six of the matrix, contrast."""
_LEAST, _SOFT = 1e-7, 0.005


@cache
def smooth_changes(strength: float = STRENGTH) -> Floats:
    """``(72, 13)``: changes of log K and, below, of log S, each column one unknown: the main curves of smooth random
    functions over the wavelengths, and the strength, which is that of both."""
    k = _curves(K_SIGMA, K_LENGTH_NM, K_LEVEL, K_CURVES)
    s = _curves(S_SIGMA, S_LENGTH_NM, S_LEVEL, S_CURVES)
    told = np.zeros((2 * len(WAVELENGTHS), K_CURVES + S_CURVES + 1))
    told[: len(WAVELENGTHS), :K_CURVES] = k
    told[len(WAVELENGTHS) :, K_CURVES:-1] = s
    told[:, -1] = strength
    told.setflags(write=False)
    return told


def _curves(sigma: float, length_nm: float, level: float, count: int) -> Floats:
    apart = WAVELENGTHS[:, None] - WAVELENGTHS
    cover = sigma**2 * np.exp(-0.5 * (apart / length_nm) ** 2) + level**2
    values, vectors = np.linalg.eigh(cover)
    return np.asarray(vectors[:, ::-1][:, :count] * np.sqrt(values[::-1][:count]))


def changed(paint: Paint, changes: Floats, unknowns: Floats) -> Paint:
    """The paint with its K and S changed by ``changes @ unknowns``."""
    log = changes @ unknowns
    count = len(paint.wavelengths)
    k = np.exp(np.log(np.maximum(paint.k, _LEAST)) + log[:count])
    s = np.exp(np.log(np.maximum(paint.s, _LEAST)) + log[count:])
    return replace(paint, k=k, s=s, strength_known=True)


def mixed(tube: Paint, white: Paint, share: float) -> Floats:
    """Linear light ``(3,)`` of a thick layer of the two, ``share`` of it the tube, by mass."""
    return linear_rgb(mixture({"tube": tube, "white": white}, {"tube": share, "white": 1 - share}).thick())


@dataclass(frozen=True, eq=False)
class CardModel:
    """``paint``: the stored tube; ``changes``: as :func:`smooth_changes`. ``shares``: of the tube in each square, 1
    alone. ``contrast``, ``contrast_sigma``: logarithm of the camera's contrast as far as it is known."""

    paint: Paint
    white: Paint
    changes: Floats
    shares: tuple[float, ...]
    contrast: float = 0.0
    contrast_sigma: float = CONTRAST

    @property
    def count(self) -> int:
        """Of the tube's own unknowns."""
        return int(self.changes.shape[1])

    def tube(self, unknowns: Floats) -> Paint:
        return changed(self.paint, self.changes, unknowns[: self.count])

    def shown(self, unknowns: Floats) -> Floats:
        """Linear light ``(n, 3)`` that the camera shows of the squares, scaled so that the white alone has its own."""
        tube, rest = self.tube(unknowns), unknowns[self.count :]
        white = linear_rgb(mixture({"white": self.white}, {"white": 1.0}).thick())
        off = iter(rest[:2])
        light = []
        for share in self.shares:
            more = 1.0 if share == 1 else float(np.exp(WEIGHING * next(off)))
            light.append(mixed(tube, self.white, 1 / (1 + (1 - share) / share * more)))
        veil = VEIL * rest[2]
        told = (np.array(light) + veil) * np.exp(LEVEL * rest[3]) * (white / (white + veil))
        told = told + told @ _matrix(MATRIX * rest[4:10]).T
        power = np.exp(self.contrast + self.contrast_sigma * rest[10])
        told = np.sign(told) * np.abs(told) ** power * white ** (1 - power)
        # A file holds nothing below 0; the bend is soft, so that a slope is left to find the way by.
        return np.asarray((told + np.sqrt(told**2 + _SOFT**2)) / 2)


def _matrix(e: Floats) -> Floats:
    """``(3, 3)`` with rows that add to 0."""
    return np.array(
        [[-e[0] - e[1], e[0], e[1]], [e[2], -e[2] - e[3], e[3]], [e[4], e[5], -e[4] - e[5]]],
    )
