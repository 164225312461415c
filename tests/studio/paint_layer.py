"""Layers of paint by radiative transfer, as a known truth that does not share Kubelka and Munk's assumptions.

Light runs in many directions, not two; pigments scatter forwards more than back; the surface reflects by Fresnel's
law, and is entered at an angle of 0 and watched at 45 degrees, the gloss kept out, in part or wholly. Adding and
doubling: van de Hulst, *Multiple Light Scattering*, 1980; quadrature and Henyey-Greenstein redistribution after Prahl,
in Welch and van Gemert, *Optical-Thermal Response of Laser-Irradiated Tissue*, 1995, chapter 5.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

OIL_INDEX = 1.48
_DIRECTIONS = 12
_THIN = 1e-3


@dataclass(frozen=True, eq=False)
class Stuff:
    """``absorbs``, ``scatters``: per unit of thickness and of mass share, ``(n,)``; ``forward``: mean cosine g."""

    absorbs: Floats
    scatters: Floats
    forward: float


def drawdown(shares: dict[str, float], stuff: dict[str, Stuff], thickness: float, card: Floats, gloss: float) -> Floats:
    """Reflectance ``(n,)`` of a film over a ``card`` that scatters evenly; ``gloss``: share of the surface's own
    reflection that is measured with it, 0-1."""
    parts = [(stuff[name], share) for name, share in shares.items()]
    absorbs = sum(share * each.absorbs for each, share in parts)
    scatters = sum(share * each.scatters for each, share in parts)
    forward = sum(share * each.scatters * each.forward for each, share in parts) / scatters
    return np.array(
        [_one(float(a), float(s), float(g), thickness, float(c), gloss) for a, s, g, c in zip(
            absorbs, scatters, forward, card, strict=True)]
    )  # fmt: skip


def _one(absorbs: float, scatters: float, g: float, thickness: float, card: float, gloss: float) -> float:
    mu, weight = _directions()
    reflect, through = _layer(absorbs + scatters, scatters, g, thickness)
    share = 2 * mu * weight
    under = card * np.outer(np.ones(len(mu)), share)  # Lambert's card sends the same back in every direction
    identity = np.eye(len(mu))
    within = reflect + through @ np.linalg.solve(identity - under @ reflect, under @ through)
    inner = np.diag(_fresnel_from_within(mu))
    # Light comes in diffusely just below the surface, is thrown back and forth, and leaves towards 45 degrees.
    out = 1 - _fresnel_from_within(mu)
    leaves = np.linalg.solve(identity - within @ inner, within)
    entering = _entering(mu)
    seen = entering @ leaves.T
    at = np.sqrt(1 - 0.5 / OIL_INDEX**2)
    radiance = np.interp(at, mu, seen) * float(np.interp(at, mu, out)) / OIL_INDEX**2
    bare = ((OIL_INDEX - 1) / (OIL_INDEX + 1)) ** 2
    return float(radiance + gloss * bare)


@cache
def _directions() -> tuple[Floats, Floats]:
    """Cosines and weights on 0-1; Gauss and Legendre's."""
    x, w = np.polynomial.legendre.leggauss(_DIRECTIONS)
    return (x + 1) / 2, w / 2


def _fresnel_from_within(mu: Floats) -> Floats:
    sine = OIL_INDEX * np.sqrt(1 - mu**2)
    total = sine >= 1
    outside = np.sqrt(np.maximum(1 - sine**2, 0))
    s = ((OIL_INDEX * mu - outside) / (OIL_INDEX * mu + outside)) ** 2
    p = ((mu - OIL_INDEX * outside) / (mu + OIL_INDEX * outside)) ** 2
    return np.where(total, 1.0, (s + p) / 2)


def _entering(mu: Floats) -> Floats:
    """Radiance just below the surface, per direction, of light that falls on it straight, spread over its ray."""
    _, weight = _directions()
    bare = ((OIL_INDEX - 1) / (OIL_INDEX + 1)) ** 2
    ray = np.zeros(len(mu))
    ray[-1] = (1 - bare) / (2 * mu[-1] * weight[-1])
    return ray


@cache
def _phase(g: float) -> tuple[Floats, Floats]:
    """Henyey and Greenstein's redistribution between directions, forwards and back, normalised."""
    mu, weight = _directions()
    orders = np.arange(2 * _DIRECTIONS)
    legendre = np.polynomial.legendre.legvander(mu, len(orders) - 1)
    moments = (g**orders - g ** len(orders)) / (1 - g ** len(orders))  # delta-M
    ahead = (legendre * (2 * orders + 1) * moments) @ legendre.T
    back = (legendre * (2 * orders + 1) * moments * (-1.0) ** orders) @ legendre.T
    total = ((ahead + back) * weight).sum(axis=1, keepdims=True) / 2
    return ahead / total, back / total


def _layer(extinction: float, scatters: float, g: float, thickness: float) -> tuple[Floats, Floats]:
    """Reflection and transmission of radiance, rows: out, columns: in, without surfaces."""
    mu, weight = _directions()
    kept = g ** (2 * _DIRECTIONS)
    depth = (extinction - scatters * kept) * thickness
    albedo = scatters * (1 - kept) / (extinction - scatters * kept)
    doublings = max(0, int(np.ceil(np.log2(depth / _THIN))))
    thin = depth / 2**doublings
    ahead, back = _phase(g)
    per = albedo * thin / (2 * mu[:, None]) * weight[None, :]
    identity = np.eye(len(mu))
    a = np.diag(thin / mu) / 2 - per * ahead / 2
    b = per * back / 2
    # Wiscombe's diamond: second order in the thin layer.
    inverse = np.linalg.inv(identity + a)
    gain = inverse @ b
    core = np.linalg.inv(identity + a - b @ gain)
    through = 2 * core - identity
    reflect = 2 * gain @ core
    for _ in range(doublings):
        bounce = np.linalg.inv(identity - reflect @ reflect)
        reflect, through = reflect + through @ bounce @ reflect @ through, through @ bounce @ through
    return reflect, through
