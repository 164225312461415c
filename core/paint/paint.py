"""A paint by what it absorbs and scatters at each wavelength, and the colour of several stirred together."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import PaintError
from core.paint.kubelka_munk import film, reflectance
from core.paint.surface import K1, K2, saunderson, saunderson_inverse

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Paint:
    """``k``, ``s``: ``(n,)`` absorption and scattering at each of ``wavelengths`` ``(n,)`` nm, per part by mass, in a
    unit in which the white of the set has S = 1. ``k1``, ``k2``: surface constants (Saunderson 1942); ``k1`` may differ
    from wavelength to wavelength. ``strength_known``: whether it was seen in a mixture; if not, its K and S have the
    right ratio only, and it cannot be mixed.

    ValueError where lengths differ, or K, S or a constant is below 0 or not finite.
    """

    k: Floats
    s: Floats
    wavelengths: Floats
    k1: Floats
    k2: float = K2
    strength_known: bool = True

    def __post_init__(self) -> None:
        for name in ("k", "s", "wavelengths", "k1"):
            held = np.asarray(getattr(self, name), dtype=np.float64)
            object.__setattr__(self, name, held)
        object.__setattr__(self, "k1", np.broadcast_to(self.k1, self.k.shape))
        if self.k.ndim != 1 or not self.k.shape == self.s.shape == self.wavelengths.shape:
            raise ValueError("K, S and the wavelengths of a paint are of one length")
        told = np.concatenate([self.k, self.s, self.k1, [self.k2]])
        if not np.all(np.isfinite(told) & (told >= 0)):
            raise ValueError("K, S and the surface constants of a paint are finite and not below 0")

    @classmethod
    def of(cls, k: ArrayLike, s: ArrayLike, wavelengths: ArrayLike, *, k1: ArrayLike = K1, k2: float = K2) -> "Paint":
        """A paint of what is given as lists."""
        absorbed, scattered, nm, outer = (np.asarray(each, dtype=np.float64) for each in (k, s, wavelengths, k1))
        return cls(absorbed, scattered, nm, outer, k2)


@dataclass(frozen=True, eq=False)
class Mixture:
    """What several paints are together: K, S and surface constants ``(n,)``."""

    k: Floats
    s: Floats
    k1: Floats
    k2: float

    def thick(self) -> Floats:
        """Reflectance, 0-1, of a layer too thick to see through."""
        return saunderson(reflectance(self.k, self.s), self.k1, self.k2)

    def over(self, ground: ArrayLike, thickness: float) -> Floats:
        """Reflectance of a film of ``thickness`` over a ``ground`` of measured reflectance ``(n,)``, 0-1.

        The unit of thickness is that of S: a film of the white of thickness 1 scatters 1.
        """
        below = np.clip(saunderson_inverse(np.asarray(ground, dtype=np.float64), 0.0, self.k2), 0.0, 1.0)
        return saunderson(film(self.k, self.s, thickness, below), self.k1, self.k2)


def predict(paints: Mapping[str, Paint], parts: Mapping[str, float]) -> Floats:
    """Reflectance ``(n,)``, 0-1, of a thick layer of paints stirred together, ``parts`` by mass in any unit.

    Raises PaintError for an unknown paint, parts below 0 or all 0, or a paint whose strength is not known beside
    others.
    """
    return mixture(paints, parts).thick()


def mixture(paints: Mapping[str, Paint], parts: Mapping[str, float]) -> Mixture:
    """K and S add up by parts (Duncan 1940). The surface is that of what scatters: dark paints of which less comes back
    than any surface should throw have a lower ``k1``, which in a mixture with white no longer shows."""
    shares = _shares(paints, parts)
    used = [(paints[name], share) for name, share in shares.items()]
    if len(used) > 1:
        unknown = sorted(name for name in shares if not paints[name].strength_known)
        if unknown:
            raise PaintError(
                f"How strong {_listed(unknown)} is in a mixture is not known. Add a sample of it mixed with white."
            )
    k = np.sum([share * paint.k for paint, share in used], axis=0)
    s = np.sum([share * paint.s for paint, share in used], axis=0)
    by_mass = np.sum([share * paint.k1 for paint, share in used], axis=0)
    by_scattering = np.sum([share * paint.s * paint.k1 for paint, share in used], axis=0)
    scattered = s > 0
    k1 = np.where(scattered, by_scattering / np.where(scattered, s, 1.0), by_mass)
    return Mixture(k, s, k1, sum(share * paint.k2 for paint, share in used))


def _shares(paints: Mapping[str, Paint], parts: Mapping[str, float]) -> dict[str, float]:
    strangers = sorted(name for name in parts if name not in paints)
    if strangers:
        raise PaintError(f"There is no paint {_listed(strangers)} here. Choose from {_listed(sorted(paints))}.")
    if not all(np.isfinite(part) and part >= 0 for part in parts.values()):
        raise PaintError("Parts of a mixture are numbers from 0 up. Correct the ones that are not.")
    total = sum(parts.values())
    if total <= 0:
        raise PaintError("A mixture needs at least one paint with more than 0 parts.")
    return {name: part / total for name, part in parts.items() if part > 0}


def _listed(names: list[str]) -> str:
    return ", ".join(f"“{name}”" for name in names)
