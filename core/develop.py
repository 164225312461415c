"""From a raster to linear light: its colour profile applied, see-through places laid on neutral grey."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import decode_srgb, luminance_of_value
from core.decoding.raster import Raster
from core.engine import Engine
from core.profiles import (
    Curve,
    GreyProfile,
    MatrixProfile,
    Profile,
    ProfileError,
    TableProfile,
    read_profile,
)
from core.spaces import ADOBE_RGB, SRGB
from core.tone import Codes, Linear, strips

GROUND_VALUE = 5.0  # Munsell N5, laid under see-through places
_SRGB_LIKE = 0.0008  # linear; the curves of sRGB profiles as makers wrote them stay within this of the standard
_HALF_TOP = 65504.0
_DAMAGED_PROFILE = "Its colour profile is damaged or does not fit the picture: the colours are read as sRGB."
_DAMAGED_CAMERA_NOTES = "What the camera noted (EXIF) is damaged: if the picture lies on its side, turn it."
_INK_RULE = (
    "It has no usable profile for its printing inks: they were read by a simple rule, so colours and values are "
    "approximate. Export the picture as sRGB for a sound reading."
)

ToLinear = Callable[[Codes], Linear]


def develop(raster: Raster) -> tuple[Codes, Linear, str, tuple[str, ...]]:
    """Codes ``(H, W, 3)`` and their curve, as :class:`core.photo.Photo` holds them, the profile's name and notes.

    Pixels in the sRGB primaries keep their own numbers as codes. All others become linear light in the sRGB
    primaries, unclipped, as half floats (11 significant bits) whose 16 bits are the codes.
    """
    try:
        return _develop(raster)
    except ProfileError:
        notes = raster.notes if raster.ink == "cmyk" else (*raster.notes, _DAMAGED_PROFILE)
        return _develop(replace(raster, profile=None, notes=notes))


@cache
def srgb_curve(codes: int = 256) -> Linear:
    """Linear light of every sRGB code: ``(256,)`` or ``(65536,)`` float32 (IEC 61966-2-1). Read-only."""
    return _frozen(decode_srgb(np.linspace(0.0, 1.0, codes)).astype(np.float32))


@cache
def half_curve() -> Linear:
    """Linear light ``(65536,)`` float32 of codes that are the bits of half floats; no NaN or infinity. Read-only."""
    halves = np.arange(65536, dtype=np.uint32).astype(np.uint16).view(np.float16).astype(np.float32)
    return _frozen(np.nan_to_num(halves, nan=0.0, posinf=_HALF_TOP, neginf=-_HALF_TOP))


def half_codes(linear: Linear) -> NDArray[np.uint16]:
    """Codes for :func:`half_curve` of linear light, any shape; NaN becomes a code for 0."""
    return np.clip(linear, -_HALF_TOP, _HALF_TOP).astype(np.float16).view(np.uint16)


def _develop(raster: Raster) -> tuple[Codes, Linear, str, tuple[str, ...]]:
    profile = _profile(raster)
    notes = raster.notes if raster.camera.readable else (*raster.notes, _DAMAGED_CAMERA_NOTES)
    if profile is None:
        by_rule = partial(_by_ink_rule, steps=_steps(raster))
        return _half_codes(raster, by_rule), half_curve(), "inks without a profile", (*notes, _INK_RULE)
    curve = _shared_curve(raster, profile) if raster.alpha is None else None
    if curve is not None:
        codes = raster.samples if raster.ink == "rgb" else np.repeat(raster.samples, 3, axis=2)
        is_srgb = curve is srgb_curve(_steps(raster)) and isinstance(profile, MatrixProfile)
        return codes, curve, "sRGB" if is_srgb else profile.name, notes
    return _half_codes(raster, _to_linear(raster, profile)), half_curve(), profile.name, notes


def _profile(raster: Raster) -> Profile | None:
    """The profile to read the raster with; None for inks without one."""
    if raster.profile is not None:
        return read_profile(raster.profile, raster.ink)
    if raster.ink == "cmyk":
        return None
    if raster.stated is not None:
        return raster.stated
    return ADOBE_RGB if raster.camera.says_adobe_rgb else SRGB


def _shared_curve(raster: Raster, profile: Profile | None) -> Linear | None:
    """The one curve of all three channels, when that is all the profile does."""
    steps = _steps(raster)
    if isinstance(profile, GreyProfile):
        curves = [_table(profile.curve, steps)]
    elif isinstance(profile, MatrixProfile) and (profile.has_srgb_primaries or raster.ink == "grey"):
        curves = [_table(curve, steps) for curve in profile.curves]
    else:
        return None
    standard = srgb_curve(steps)
    if all(np.abs(curve - standard).max() < _SRGB_LIKE for curve in curves):
        return standard
    if any(np.abs(curve - curves[0]).max() > 1e-4 for curve in curves):
        return None
    return _frozen(curves[0])


def _to_linear(raster: Raster, profile: Profile) -> ToLinear:
    if isinstance(profile, TableProfile):
        return Engine(profile, raster.samples)
    steps = _steps(raster)
    if isinstance(profile, GreyProfile):
        return partial(_by_matrix, tables=[_table(profile.curve, steps)] * 3, matrix=None)
    matrix = None if profile.has_srgb_primaries else profile.matrix.astype(np.float32)
    return partial(_by_matrix, tables=[_table(curve, steps) for curve in profile.curves], matrix=matrix)


def _by_matrix(samples: Codes, *, tables: list[Linear], matrix: Linear | None) -> Linear:
    channels = cv2.split(samples) if samples.shape[2] == 3 else [samples[..., 0]] * 3
    light = cv2.merge([cv2.LUT(channel, table.reshape(1, -1)) for channel, table in zip(channels, tables, strict=True)])
    return np.asarray(light if matrix is None else cv2.transform(light, matrix))


def _by_ink_rule(samples: Codes, *, steps: int) -> Linear:
    """Each ink takes its share of one sRGB channel and black of all: the naive rule for ``device-cmyk`` in CSS
    Color 5 (from memory)."""
    paper = 1.0 - samples.astype(np.float32) / np.float32(steps - 1)
    return decode_srgb(paper[..., :3] * paper[..., 3:]).astype(np.float32)


def _half_codes(raster: Raster, to_linear: ToLinear) -> NDArray[np.uint16]:
    height, width = raster.samples.shape[:2]
    codes = np.empty((height, width, 3), np.uint16)
    ground = np.float32(luminance_of_value(GROUND_VALUE))
    for rows in strips(codes.shape):
        samples = raster.samples[rows]
        if raster.alpha is None:
            codes[rows] = half_codes(to_linear(samples))
            continue
        opacity = (raster.alpha[rows].astype(np.float32) / np.float32(_steps(raster) - 1))[..., None]
        if raster.premultiplied:
            samples = _unmultiplied(samples, opacity)
        codes[rows] = half_codes(ground + (to_linear(samples) - ground) * opacity)
    return codes


def _unmultiplied(samples: Codes, opacity: Linear) -> Codes:
    whole = samples / np.maximum(opacity, np.float32(1e-6))
    return np.minimum(np.rint(whole), np.iinfo(samples.dtype).max).astype(samples.dtype)


def _steps(raster: Raster) -> int:
    return 256 if raster.samples.dtype == np.uint8 else 65536


def _table(curve: Curve, steps: int) -> Linear:
    return curve(np.linspace(0.0, 1.0, steps)).astype(np.float32)


def _frozen(curve: Linear) -> Linear:
    curve.setflags(write=False)
    return curve
