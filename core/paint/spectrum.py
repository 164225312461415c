"""Reflectance at each wavelength, and the colour it has: CIE 1931 2° observer, under D65 or D50.

The weights (``assets/make_observer.py``) are those of ASTM E2022 by colour-science.
"""

import json
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.assets import FOLDER
from core.colorimetry import WHITE, lab_from_xyz, rgb_from_xyz

Floats = NDArray[np.float64]
Light = Literal["D65", "D50"]

WAVELENGTHS: Floats = np.arange(380.0, 731.0, 10.0)
"""nm."""


def xyz(reflectance: ArrayLike, light: Light = "D65") -> Floats:
    """XYZ ``(…, 3)``, Y of the perfect diffuser 1, of a reflectance ``(…, 36)`` at ``WAVELENGTHS``, 0-1."""
    told = np.asarray(reflectance, dtype=np.float64)
    if told.shape[-1] != len(WAVELENGTHS):
        raise ValueError(f"a reflectance has {len(WAVELENGTHS)} wavelengths, got {told.shape[-1]}")
    return np.asarray(told @ weights(light))


def lab(reflectance: ArrayLike, light: Light = "D65") -> Floats:
    """CIELAB ``(…, 3)`` against the perfect diffuser in the same light: 100, 0, 0 for it."""
    return np.asarray(lab_from_xyz(xyz(reflectance, light), white_of(light)))


def linear_rgb(reflectance: ArrayLike) -> Floats:
    """Linear light in the sRGB primaries ``(…, 3)`` under D65; the perfect diffuser is 1, 1, 1. Not clipped."""
    return rgb_from_xyz(xyz(reflectance) * (WHITE / white_of("D65")))


def at_wavelengths(wavelengths: ArrayLike, values: ArrayLike) -> Floats:
    """``values`` ``(…, n)`` known at ``wavelengths`` ``(n,)`` nm, at ``WAVELENGTHS``: smooth between, never beyond its
    neighbours, level past the ends (Fritsch and Carlson 1980). ValueError unless the wavelengths rise."""
    from scipy.interpolate import PchipInterpolator

    known = np.asarray(wavelengths, dtype=np.float64)
    if known.ndim != 1 or len(known) < 2 or not np.all(np.diff(known) > 0):
        raise ValueError("wavelengths must rise, and be two at least")
    return np.asarray(PchipInterpolator(known, values, axis=-1)(np.clip(WAVELENGTHS, known[0], known[-1])))


@cache
def weights(light: Light) -> Floats:
    """``(36, 3)``: XYZ is reflectance times these."""
    held = json.loads((FOLDER / "observer.json").read_text(encoding="utf-8"))
    told: Floats = np.array(held["weights"][light], dtype=np.float64)
    told.setflags(write=False)
    return told


@cache
def white_of(light: Light) -> Floats:
    """XYZ of the perfect diffuser."""
    told: Floats = weights(light).sum(axis=0)
    told.setflags(write=False)
    return told
