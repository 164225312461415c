"""From the light a camera gives to colours as they are, by patches whose colours are known.

First the camera's curve of contrast is straightened by the greys (:mod:`core.painting_report.card_bend`). Then one of
two ways: a matrix ``(3, 3)``, or root-polynomials of degree 2 (G. D. Finlayson, M. Mackiewicz, A. Hurlbert, "Color
Correction Using Root-Polynomial Regression", IEEE Trans. Image Process. 24(5), 2015), which like a matrix do not mind
how much light there is. Both are fitted to the least squares of CIELAB, since least squares of light lose the darks.

Mean CIEDE2000 of 24 paints that no fit knew, before 67 cameras, lights and curves of chance that no constant was
chosen on (``python -m tests.measure.final_photo``): 10.7 as shot; matrix 2.45, roots 2.26; with the contrast
straightened first, matrix 1.94, roots 1.73; the nearer by left-out patches 1.69, of which 90 % within 2.7. The left-out
patches told 1.73. The matrix has to be nearer by a fifth, as it is where too few patches are left for the roots: taken
wherever it was nearer at all it gave 2.32, so 2.27, and the roots alone 2.47 (70 others, contrast not straightened).
By least squares of light instead of CIELAB the roots gave 2.41, and 2.24 weighed by lightness, in place of 2.15 (60
others).
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import delta_e_2000, lab
from core.painting_report.card_bend import STRAIGHT, Bend, bend_of

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Way(StrEnum):
    """How camera light becomes colour."""

    MATRIX = "matrix"
    ROOTS = "root-polynomial"


_STEPS = 12
_CLOSE = 1e-3
_DARKEST = 1e-3
"""Of light: how the first guess weighs what is nearly black."""
_HELD = 1e-6
"""Against unknowns that hardly any patch tells."""


@dataclass(frozen=True, eq=False)
class Fit:
    """``numbers``: ``(3, 3)`` or ``(3, 6)``, what each term counts in red, green and blue."""

    way: Way
    bend: Bend
    numbers: Floats

    def of(self, light: ArrayLike) -> Floats:
        """Linear light ``(…, 3)`` in the sRGB primaries, whites 1, not clipped, of the camera's ``(…, 3)``."""
        return np.asarray(terms(self.bend.of(light), self.way) @ self.numbers.T)


def fit(measured: ArrayLike, wanted: ArrayLike, way: Way, *, greys: Mask | None = None) -> Fit:
    """What makes ``wanted`` ``(n, 3)`` of ``measured`` ``(n, 3)``, both linear light. ``greys``: ``(n,)``, the patches
    that straighten the curve; None where it is straight."""
    seen, known = np.asarray(measured, dtype=np.float64), np.asarray(wanted, dtype=np.float64)
    bend = STRAIGHT if greys is None else bend_of(seen[greys], known[greys])
    told = terms(bend.of(seen), way)
    weight = 1.0 / (np.abs(known).mean(axis=1, keepdims=True) + _DARKEST) ** (2 / 3)
    scale = np.sqrt((told**2).mean(axis=0))
    first = told / scale * weight
    normal = first.T @ first + _HELD * len(seen) * np.eye(len(scale))
    numbers = np.linalg.solve(normal, first.T @ (known * weight)).T
    return Fit(way, bend, _by_lab(told / scale, lab(known), numbers) / scale)


def terms(light: ArrayLike, way: Way) -> Floats:
    """What is added up, ``(…, 3)`` or ``(…, 6)``, of linear light ``(…, 3)``; light below 0 has no root, and counts
    as 0 there."""
    seen = np.asarray(light)
    if way is Way.MATRIX:
        return seen
    root = np.sqrt(np.maximum(seen, 0.0))
    return np.concatenate([seen, root * np.roll(root, -1, axis=-1)], axis=-1)


def differences(made: ArrayLike, wanted: ArrayLike) -> Floats:
    """CIEDE2000 ``(n,)`` of linear light ``(n, 3)``."""
    return delta_e_2000(lab(made), lab(wanted))


def left_out(measured: ArrayLike, wanted: ArrayLike, way: Way, *, greys: Mask | None = None) -> Floats:
    """CIEDE2000 ``(n,)`` of each patch by a fit, and a straightened curve, of all the others."""
    seen, known = np.asarray(measured, dtype=np.float64), np.asarray(wanted, dtype=np.float64)
    made = np.empty_like(known)
    for at in range(len(seen)):
        others = np.arange(len(seen)) != at
        without = fit(seen[others], known[others], way, greys=None if greys is None else greys[others])
        made[at] = without.of(seen[at])
    return differences(made, known)


def _by_lab(told: Floats, wanted: Floats, numbers: Floats) -> Floats:
    """Gauss and Newton's steps from first ``numbers`` ``(3, k)``, each halved until it is nearer."""
    made, size = lab(told @ numbers.T), numbers.size
    off = float(((made - wanted) ** 2).sum())
    for _ in range(_STEPS):
        rows = np.einsum("nlc,nk->nlck", _slopes(told @ numbers.T), told).reshape(-1, size)
        normal = rows.T @ rows
        normal[np.diag_indices(size)] = normal[np.diag_indices(size)] * (1 + _HELD) + _HELD
        step = np.linalg.solve(normal, rows.T @ (wanted - made).ravel()).reshape(numbers.shape)
        for _ in range(4):
            tried = lab(told @ (numbers + step).T)
            now = float(((tried - wanted) ** 2).sum())
            if now < off:
                break
            step = step / 2
        else:
            break
        gained, numbers, made, off = off - now, numbers + step, tried, now
        if gained < _CLOSE * off:
            break
    return numbers


def _slopes(light: Floats) -> Floats:
    """How CIELAB ``(n, 3)`` changes with each channel of ``light`` ``(n, 3)``: ``(n, 3, 3)``."""
    small = 1e-6
    return np.stack([(lab(light + way) - lab(light - way)) / (2 * small) for way in np.eye(3) * small], axis=2)
