"""Absorption and scattering of paints, from drawdowns of each and of their mixtures.

Walowit, McCarthy and Berns, Color Res. Appl. 12(6), 1987, 340: K and S of all paints at once by least squares, at every
wavelength; here not below 0 (Lawson and Hanson 1974), and each drawdown weighted by what an error of K/S does to its
measured reflectance, in a few rounds.

Surface constants were tried on two truths (``tests.measure.mixing``): a mixture in equal parts, withheld, foretold from
masstone and a tint of a tenth. Real oil paint, ultramarine in zinc white (Geldof and others 2018), of which figures at
three wavelengths are at hand: measured 0.510, 0.084, 0.074; with 0.04 and 0.6 0.438, 0.084, 0.073; with 0.02 and 0.6
0.437, 0.072, 0.060; with no surface 0.424, 0.063, 0.054: CIEDE2000 1.8, 2.6 and 4.2, the course between the three
wavelengths taken from the stored tube. Layers by radiative transfer, ten pigments, the gloss measured
with them: mean CIEDE2000 1.9, 1.6, 0.9, worst 2.7, 2.3, 1.4; with only a fifth of the gloss measured 5.5, 3.5, 1.2.
Real paint decides: 0.04 and 0.6 are usual. Where a gloss trap was in use, a lower ``k1`` is to be given.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import PaintError
from core.paint.kubelka_munk import ks
from core.paint.paint import Paint
from core.paint.surface import K1, K2, constants, saunderson_inverse

Floats = NDArray[np.float64]
Sample = tuple[Mapping[str, float], ArrayLike]

DARKEST = 0.005
"""Least reflectance within a paint. What is measured below the surface's own share is taken as so dark."""
_BRIGHTEST = 0.9999
_MOST_OF_A_MIXTURE = 0.75
_ROUNDS = 4
_PARTS_OFF = 1e-3
_LEAST_WEIGHT = 1e-3


def fit_paints(
    samples: Sequence[Sample], wavelengths: ArrayLike, *, white: str, k1: float = K1, k2: float = K2
) -> dict[str, Paint]:
    """K and S of every paint in ``samples``: ``(parts, reflectance)``, the parts by mass adding to 1, the measured
    reflectance ``(n,)``, 0-1, of a thick layer at ``wavelengths`` ``(n,)`` nm. ``white``: the paint whose S is 1.

    A paint needs its own drawdown and one mixture, or two mixtures. One that is seen only alone has the right colour
    and no known strength. A paint alone gives itself, also where less is measured than ``k1``: there its own ``k1`` is
    lower. Raises PaintError where samples do not fit each other, the white is missing, or a paint is tied to no white.
    """
    nm = np.asarray(wavelengths, dtype=np.float64)
    constants(k1, k2)
    names, shares, measured = _checked(samples, nm, white)
    k1 = _held_under_mixtures(k1, shares, measured)
    tied = _tied(names, shares, white)
    within = np.clip(saunderson_inverse(measured, k1, k2), DARKEST, _BRIGHTEST)
    q = ks(within)
    slope = _slope(within, k2)
    k, s = np.zeros((len(names), len(nm))), np.zeros((len(names), len(nm)))
    w = names.index(white)
    seen = shares[:, [name not in tied for name in names]].sum(axis=1) == 0
    for at in range(len(nm)):
        k[:, at], s[:, at] = _at_wavelength(shares[seen], q[seen, at], slope[seen, at], w)
    for name in names:
        if name not in tied:
            _alone(names.index(name), shares, q, k, s)
    return {
        name: Paint(k[i], s[i], nm, _own_k1(i, shares, measured, k1, k2), k2, strength_known=name in tied)
        for i, name in enumerate(names)
    }


def _checked(samples: Sequence[Sample], nm: Floats, white: str) -> tuple[list[str], Floats, Floats]:
    if not samples:
        raise PaintError("There is no sample to fit. Give drawdowns of each paint and of its mixtures with white.")
    names = sorted({name for parts, _ in samples for name in parts})
    if white not in names:
        raise PaintError(f"No sample holds the white, “{white}”. Name the white that the samples were mixed with.")
    shares = np.array([[parts.get(name, 0.0) for name in names] for parts, _ in samples], dtype=np.float64)
    if not np.all(np.isfinite(shares)) or np.any(shares < 0) or np.any(abs(shares.sum(axis=1) - 1.0) > _PARTS_OFF):
        raise PaintError("The parts of every sample are by mass, from 0 up, and add to 1. Correct those that do not.")
    rows = [np.asarray(told, dtype=np.float64) for _, told in samples]
    if any(row.shape != nm.shape for row in rows):
        raise PaintError(f"Every sample needs a reflectance at each of the {len(nm)} wavelengths.")
    measured = np.stack(rows)
    if not np.all((measured >= 0) & (measured <= 1.2)):
        raise PaintError("Reflectances run from 0 to 1. Divide by 100 what is in per cent.")
    return names, shares, measured


def _held_under_mixtures(k1: float, shares: Floats, measured: Floats) -> float:
    """``k1``, or less where a mixture is so dark that hardly any light would be left from within it."""
    mixed = shares.max(axis=1) < 1.0 - _PARTS_OFF
    return min(k1, _MOST_OF_A_MIXTURE * float(measured[mixed].min())) if mixed.any() else k1


def _tied(names: list[str], shares: Floats, white: str) -> set[str]:
    """The paints whose strength beside the white can be told: those that a chain of mixtures ties to it."""
    tied, grew = {names.index(white)}, True
    while grew:
        together = [{int(i) for i in np.flatnonzero(row)} for row in shares]
        more = {i for each in together if each & tied for i in each} - tied
        tied |= more
        grew = bool(more)
    return {names[i] for i in tied}


def _slope(within: Floats, k2: float) -> Floats:
    """How fast the measured reflectance falls with K/S."""
    by_ks = 2.0 * within**2 / (1.0 - within**2)
    return np.asarray(by_ks * (1.0 - k2) / (1.0 - k2 * within) ** 2)


def _at_wavelength(shares: Floats, q: Floats, slope: Floats, w: int) -> tuple[Floats, Floats]:
    """sum c k - q sum c s = 0 for each sample, with s of the white 1."""
    from scipy.optimize import nnls

    count = shares.shape[1]
    others = [i for i in range(count) if i != w]
    rows = np.concatenate([shares, -q[:, None] * shares[:, others]], axis=1)
    wanted = q * shares[:, w]
    weight = slope
    k, s = np.zeros(count), np.ones(count)
    for _ in range(_ROUNDS):
        weighted = np.maximum(weight, _LEAST_WEIGHT * weight.max())
        columns = np.maximum(np.linalg.norm(rows * weighted[:, None], axis=0), 1e-12)
        solution = nnls(rows * weighted[:, None] / columns, wanted * weighted)[0] / columns
        k, s[others] = solution[:count], solution[count:]
        weight = slope / np.maximum(shares @ s, 1e-6)
    # What neither absorbs nor scatters anywhere is no paint; it would leave a mixture without colour.
    s[(k == 0) & (s == 0)] = 1e-9
    return k, s


def _alone(i: int, shares: Floats, q: Floats, k: Floats, s: Floats) -> None:
    own = shares[:, i] > 1.0 - _PARTS_OFF
    if not own.any():
        raise PaintError(
            "Some paints are mixed with each other only. Add a sample of one of them mixed with the white."
        )
    s[i] = 1.0
    k[i] = q[own].mean(axis=0)


def _own_k1(i: int, shares: Floats, measured: Floats, k1: float, k2: float) -> Floats:
    """``k1``, or less where the paint alone was measured darker than any paint with that surface can be."""
    own = shares[:, i] > 1.0 - _PARTS_OFF
    if not own.any():
        return np.full(measured.shape[1], k1)
    through = (1.0 - k2) * DARKEST / (1.0 - k2 * DARKEST)
    return np.asarray(np.clip((measured[own].mean(axis=0) - through) / (1.0 - through), 0.0, k1))
