"""Light in a layer of paint: Kubelka and Munk's theory of absorption K and scattering S.

Kubelka and Munk, Zeitschrift für technische Physik 12, 1931, 593; Kubelka, J. Opt. Soc. Am. 38, 1948, 448. All
reflectances here are inside the paint, before its surface (see ``core.paint.surface``), and arrays broadcast.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_TINY = 1e-300


def ks(r: ArrayLike) -> Floats:
    """K/S of a layer too thick to see through, from its reflectance ``r`` in (0, 1]. ValueError outside."""
    told = np.asarray(r, dtype=np.float64)
    if not np.all((told > 0) & (told <= 1)):
        raise ValueError("a reflectance lies above 0 and not over 1")
    return np.asarray((1.0 - told) ** 2 / (2.0 * told))


def reflectance(k: ArrayLike, s: ArrayLike) -> Floats:
    """Reflectance, 0-1, of a layer too thick to see through, from K and S at or above 0, in one unit.

    With no scattering it is 0, with no absorption 1. ValueError where K or S is below 0, or both are 0.
    """
    absorbed, scattered = _coefficients(k, s)
    if np.any((absorbed == 0) & (scattered == 0)):
        raise ValueError("a paint absorbs or scatters: K and S are both 0")
    # S / (K + S + sqrt(K (K + 2 S))) is 1 + q - sqrt(q^2 + 2 q) without the loss of digits in the dark.
    return np.asarray(scattered / (absorbed + scattered + _kappa(absorbed, scattered)))


def film(k: ArrayLike, s: ArrayLike, thickness: ArrayLike, ground: ArrayLike) -> Floats:
    """Reflectance of a film of ``thickness`` over a ``ground`` of known reflectance, 0-1.

    K and S are per unit of thickness. A film of no thickness gives the ground, one without bound ``reflectance(k, s)``.
    ValueError for anything below 0, or a ground over 1.
    """
    absorbed, scattered = _coefficients(k, s)
    deep, under = np.asarray(thickness, dtype=np.float64), np.asarray(ground, dtype=np.float64)
    if not (np.all(deep >= 0) and np.all((under >= 0) & (under <= 1))):
        raise ValueError("a film's thickness is not below 0, and its ground reflects from 0 to 1")
    sinh_part, cosh_part = _hyperbolic(absorbed, scattered, deep)
    lost = absorbed + scattered
    above = scattered * sinh_part - under * (lost * sinh_part - cosh_part)
    return np.asarray(above / (lost * sinh_part - under * scattered * sinh_part + cosh_part))


def transmittance(k: ArrayLike, s: ArrayLike, thickness: ArrayLike) -> Floats:
    """What a film of ``thickness`` lets through, 0-1. ValueError for anything below 0."""
    absorbed, scattered = _coefficients(k, s)
    deep = np.asarray(thickness, dtype=np.float64)
    if not np.all(deep >= 0):
        raise ValueError("a film's thickness is not below 0")
    sinh_part, cosh_part = _hyperbolic(absorbed, scattered, deep)
    # Both parts are divided by cosh(kappa X); so is the numerator.
    across = np.minimum(_kappa(absorbed, scattered) * deep, 700.0)
    return np.asarray(1.0 / np.cosh(across) / ((absorbed + scattered) * sinh_part + cosh_part))


@dataclass(frozen=True, eq=False)
class Opacity:
    """Of a film measured over two grounds: ``a`` = (K + S)/S, and ``scattering`` S times its thickness."""

    a: Floats
    scattering: Floats

    @property
    def absorption(self) -> Floats:
        """K times its thickness."""
        return (self.a - 1.0) * self.scattering


def over_two_grounds(
    over_white: ArrayLike, over_black: ArrayLike, *, white: ArrayLike, black: ArrayLike, most: float = 50.0
) -> Opacity:
    """K and S of a film of which the reflectance is known over a ``white`` and a ``black`` ground (Kubelka 1948).

    ``most``: S times thickness where the film hides so well that the two cannot be told apart. ValueError where the
    white ground is not the lighter.
    """
    on_white, on_black, g_white, g_black = (
        np.asarray(each, dtype=np.float64) for each in (over_white, over_black, white, black)
    )
    if not np.all(g_white > g_black):
        raise ValueError("the white ground must be lighter than the black one")
    # A film cannot be darker over white than over black; what noise makes so is taken as hiding.
    on_black = np.minimum(on_black, on_white)
    one = (1 + on_white * g_white) * (on_black - g_black) - (1 + on_black * g_black) * (on_white - g_white)
    other = (on_white + g_white) * (on_black - g_black) - (on_black + g_black) * (on_white - g_white)
    a = np.maximum(one / np.where(other == 0, _TINY, other), 1.0)
    b = np.sqrt(np.maximum(a * a - 1.0, 0.0))
    over, under, ground = on_white, g_white, g_white
    top, bottom = 1 + over * ground - a * (over + under), over - under
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        coth = top / np.where(bottom == 0, _TINY, bottom)
        without_loss = (over - under) / np.where(b > 0, 1.0, (1 - over) * (1 - under))
        hidden = np.arctanh(np.clip(b / np.where(coth == 0, _TINY, coth), -1.0, 1.0)) / np.where(b > 0, b, 1.0)
    scattering = np.where(b > 0, hidden, without_loss)
    return Opacity(a, np.clip(np.nan_to_num(scattering, nan=most, posinf=most, neginf=0.0), 0.0, most))


def _coefficients(k: ArrayLike, s: ArrayLike) -> tuple[Floats, Floats]:
    absorbed, scattered = np.asarray(k, dtype=np.float64), np.asarray(s, dtype=np.float64)
    if not (np.all(absorbed >= 0) and np.all(scattered >= 0)):
        raise ValueError("K and S are not below 0")
    return absorbed, scattered


def _kappa(absorbed: Floats, scattered: Floats) -> Floats:
    """b S, which stays finite where nothing scatters."""
    return np.asarray(np.sqrt(absorbed * (absorbed + 2.0 * scattered)))


def _hyperbolic(absorbed: Floats, scattered: Floats, thickness: Floats) -> tuple[Floats, Floats]:
    """sinh(kappa X) / kappa and cosh(kappa X), both divided by cosh(kappa X): finite for every film."""
    kappa = _kappa(absorbed, scattered)
    across = kappa * thickness
    slender = across < 1e-6
    ratio = np.where(slender, thickness, np.tanh(across) / np.where(slender, 1.0, kappa))
    return np.asarray(ratio), np.ones_like(ratio)
