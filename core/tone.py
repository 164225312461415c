"""Tone of whole pictures, fast: Munsell value, greys and screen codes by table look-up.

A picture arrives as codes ``(H, W, 3)`` uint8 or uint16 with the one ``curve`` that turns a code into linear light
(see :class:`core.photo.Photo`), or as linear light ``(H, W, 3)`` float32. Either is worked in strips small enough
to stay in the processor's cache. :mod:`core.colorimetry` has the exact formulas; each function states how far it
may stray from them.
"""

from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, encode_srgb, luminance_of_value, munsell_value

Codes = NDArray[Any]  # uint8 or uint16
Linear = NDArray[np.float32]

_FULL = 65535
_STRIP_PIXELS = 160_000
# The root of luminance is close to a perceptual scale, so 16 bits of it are fine everywhere from black to glare.
_ROOT_TOP = 2.0
_VALUE_TOP = 15.0


def value_map(codes: Codes, curve: Linear) -> NDArray[np.float32]:
    """Munsell value ``(H, W)`` float32 (0-10; above 10 only where the curve goes above 1) of ``codes`` ``(H, W, 3)``.

    Within 0.003 V of :func:`core.colorimetry.munsell_value` (the luminance is rounded to 1/65535 per channel).
    """
    return _by_luminance(codes, curve, _value_table(), np.dtype(np.float32))


def grey_codes(codes: Codes, curve: Linear) -> NDArray[np.uint8]:
    """sRGB code ``(H, W)`` uint8 of the neutral grey with the same luminance as each pixel; within 1 code."""
    return _by_luminance(codes, curve, _grey_table(), np.dtype(np.uint8))


def display_codes(codes: Codes, curve: Linear) -> NDArray[np.uint8]:
    """sRGB codes ``(H, W, 3)`` uint8 for the screen; light outside 0-1 is clipped. Rounded exactly."""
    table = _display_table(curve)
    if codes.dtype == np.uint8 and np.array_equal(table, np.arange(256)):
        return codes.astype(np.uint8, copy=True)
    shown = np.empty(codes.shape, np.uint8)
    for rows in strips(codes.shape):
        shown[rows] = _look_up(codes[rows], table)
    return shown


def value_of_linear(linear: Linear) -> NDArray[np.float32]:
    """Munsell value ``(H, W)`` float32 of linear light ``(H, W, 3)``.

    Within 0.0005 V of the exact formula. Negative luminance reads 0, luminance above 340 % reads V = 15,
    NaN stays NaN.
    """
    return _by_root(linear, _value_by_root(), np.dtype(np.float32))


def grey_of_linear(linear: Linear) -> NDArray[np.uint8]:
    """sRGB code ``(H, W)`` uint8 of the neutral grey with the luminance of linear light ``(H, W, 3)``; NaN is black."""
    return _by_root(linear, _code_by_root(), np.dtype(np.uint8))


def display_of_linear(linear: Linear) -> NDArray[np.uint8]:
    """sRGB codes ``(..., 3)`` uint8 of linear light ``(..., 3)``, clipped to 0-1; NaN is black. Within 1 code."""
    flat = np.ascontiguousarray(linear, dtype=np.float32).reshape(1, -1)
    shown = np.empty(flat.shape, np.uint8)
    for start in range(0, flat.shape[1], 3 * _STRIP_PIXELS):
        part = slice(start, start + 3 * _STRIP_PIXELS)
        shown[:, part] = _look_up(_root_index(flat[:, part]), _code_by_root())
    return shown.reshape(np.shape(linear))


def linear_of_codes(codes: Codes, curve: Linear) -> Linear:
    """Linear light float32 of ``codes`` ``(H, W, 3)``, exactly."""
    light = np.empty(codes.shape, np.float32)
    for rows in strips(codes.shape):
        light[rows] = _look_up(codes[rows], curve)
    return light


def luminance_of_linear(linear: Linear) -> NDArray[np.float32]:
    """Relative luminance Y ``(H, W)`` float32 of linear light ``(H, W, 3)``."""
    return np.asarray(cv2.transform(np.ascontiguousarray(linear, dtype=np.float32), _WEIGHTS)).reshape(linear.shape[:2])


def value_of_luminance(y: NDArray[np.float32]) -> NDArray[np.float32]:
    """Munsell value ``(H, W)`` float32 of relative luminance ``(H, W)``; as :func:`value_of_linear`."""
    answer = np.empty(y.shape, np.float32)
    for rows in strips(y.shape):
        answer[rows] = _look_up(_root_index(y[rows]), _value_by_root())
        _keep_unknown(answer[rows], y[rows])
    return answer


def luminance_of_values(value: NDArray[np.float32]) -> NDArray[np.float32]:
    """Relative luminance ``(H, W)`` float32 of Munsell values ``(H, W)``, the other way round.

    Within the luminance of 0.00012 V of the exact formula. Negative values read 0, above 15 as 15; NaN stays NaN.
    """
    answer = np.empty(value.shape, np.float32)
    for rows in strips(value.shape):
        scaled = np.fmin(np.fmax(value[rows], np.float32(0.0)), np.float32(_VALUE_TOP)) * np.float32(_FULL / _VALUE_TOP)
        answer[rows] = _look_up((scaled + np.float32(0.5)).astype(np.uint16), _luminance_by_value())
        _keep_unknown(answer[rows], value[rows])
    return answer


def strips(shape: tuple[int, ...], pixels: int = _STRIP_PIXELS) -> Iterator[slice]:
    """Row slices of an ``(H, W, ...)`` picture, each of about ``pixels`` pixels."""
    height, width = shape[:2]
    rows = max(1, pixels // max(1, width))
    return (slice(top, min(top + rows, height)) for top in range(0, height, rows))


def _by_luminance(codes: Codes, curve: Linear, table: NDArray[Any], kind: np.dtype[Any]) -> NDArray[Any]:
    """Add the three channels' shares of luminance, then look the sum up in ``table`` (65536,)."""
    if curve.min() < 0.0 or curve.max() > 1.0:
        return _outside_srgb(codes, curve, kind)
    shares = [np.rint(curve.astype(np.float64) * (weight * _FULL)).astype(np.uint16) for weight in LUMINANCE]
    answer = np.empty(codes.shape[:2], kind)
    for rows in strips(codes.shape):
        red, green, blue = (
            _look_up(channel, share) for channel, share in zip(cv2.split(codes[rows]), shares, strict=True)
        )
        # cv2.add saturates, so three roundings upwards cannot wrap white round to black.
        answer[rows] = _look_up(cv2.add(cv2.add(red, green), blue), table)
    return answer


def _outside_srgb(codes: Codes, curve: Linear, kind: np.dtype[Any]) -> NDArray[Any]:
    of_linear: Callable[[Linear], NDArray[Any]] = grey_of_linear if kind == np.uint8 else value_of_linear
    answer = np.empty(codes.shape[:2], kind)
    for rows in strips(codes.shape):
        answer[rows] = of_linear(_look_up(codes[rows], curve))
    return answer


def _by_root(linear: Linear, table: NDArray[Any], kind: np.dtype[Any]) -> NDArray[Any]:
    answer = np.empty(linear.shape[:2], kind)
    for rows in strips(linear.shape):
        y = luminance_of_linear(linear[rows])
        answer[rows] = _look_up(_root_index(y), table)
        if kind == np.float32:
            _keep_unknown(answer[rows], y)
    return answer


def _keep_unknown(answer: NDArray[np.float32], given: NDArray[np.float32]) -> None:
    """NaN where it was NaN, in place."""
    unknown = np.isnan(given)
    if unknown.any():
        answer[unknown] = np.nan


def _root_index(light: Linear) -> NDArray[np.uint16]:
    # NaN compares false, so the maximum also turns it into 0 before the root.
    root = cv2.sqrt(np.fmax(light, np.float32(0.0)))
    scaled = np.fmin(root, np.float32(_ROOT_TOP)) * np.float32(_FULL / _ROOT_TOP)
    return np.asarray(scaled + np.float32(0.5)).astype(np.uint16)


def _look_up(codes: NDArray[Any], table: NDArray[Any]) -> NDArray[Any]:
    return np.asarray(cv2.LUT(codes, table.reshape(1, -1))).reshape(codes.shape)


def _display_table(curve: Linear) -> NDArray[np.uint8]:
    return _to_codes(curve.astype(np.float64))


def _to_codes(light: NDArray[Any]) -> NDArray[np.uint8]:
    return np.rint(255.0 * encode_srgb(np.clip(light, 0.0, 1.0))).astype(np.uint8)


@cache
def _value_table() -> NDArray[np.float32]:
    return munsell_value(np.arange(_FULL + 1) / _FULL).astype(np.float32)


@cache
def _grey_table() -> NDArray[np.uint8]:
    return _to_codes(np.linspace(0.0, 1.0, _FULL + 1))


@cache
def _value_by_root() -> NDArray[np.float32]:
    return munsell_value((np.arange(_FULL + 1) * (_ROOT_TOP / _FULL)) ** 2).astype(np.float32)


@cache
def _luminance_by_value() -> NDArray[np.float32]:
    return luminance_of_value(np.arange(_FULL + 1) * (_VALUE_TOP / _FULL)).astype(np.float32)


@cache
def _code_by_root() -> NDArray[np.uint8]:
    return _to_codes((np.arange(_FULL + 1) * (_ROOT_TOP / _FULL)) ** 2)


_WEIGHTS = LUMINANCE.astype(np.float32).reshape(1, 3)
