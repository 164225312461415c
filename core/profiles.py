"""Colour profiles: from a file's numbers to linear light in the sRGB primaries.

Matrix and grey profiles are read here (ICC.1:2022, clauses 7-10; also version 2) so that nothing is clipped on the
way; profiles built of tables are kept whole for the colour engine (:mod:`core.develop`).
"""

import struct
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import WHITE, XYZ_TO_RGB, luminance_of_lightness

Floats = NDArray[np.float64]
Curve = Callable[[Floats], Floats]

# ICC.1:2022, 7.2.16: the white of the profile connection space.
ICC_WHITE = np.array([0.9642, 1.0, 0.8249])
# Lam 1985; the matrix of ICC.1:2022 annex E.
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_SAME = 0.002  # a matrix this near to identity is the sRGB primaries, rounded on the way through ICC's fixed point
_LARGEST = 16.0  # no honest colorant or curve goes near this


class ProfileError(ValueError):
    """A profile is damaged or of a kind that cannot be read."""


@dataclass(frozen=True)
class MatrixProfile:
    """Three curves to linear light, then ``matrix`` (3, 3) to linear light in the sRGB primaries."""

    name: str
    curves: tuple[Curve, Curve, Curve]
    matrix: Floats

    @property
    def has_srgb_primaries(self) -> bool:
        return bool(np.abs(self.matrix - np.eye(3)).max() < _SAME)


@dataclass(frozen=True)
class GreyProfile:
    """One curve from grey numbers (0-1) to linear light."""

    name: str
    curve: Curve


@dataclass(frozen=True)
class TableProfile:
    """A profile of look-up tables, kept as its file (``data``); ``channels`` is ``RGB``, ``CMYK`` or ``L``."""

    name: str
    data: bytes
    channels: str


Profile = MatrixProfile | GreyProfile | TableProfile


def bradford(white_from: ArrayLike, white_to: ArrayLike) -> Floats:
    """Chromatic adaptation matrix (3, 3) on XYZ from one white (XYZ) to another, Bradford cone responses."""
    gain = (_BRADFORD @ np.asarray(white_to, np.float64)) / (_BRADFORD @ np.asarray(white_from, np.float64))
    return np.asarray(np.linalg.inv(_BRADFORD) @ np.diag(gain) @ _BRADFORD)


ICC_TO_RGB = XYZ_TO_RGB @ bradford(ICC_WHITE, WHITE)
"""From the profile connection space (XYZ, D50) to linear light in the sRGB primaries, (3, 3)."""


def from_primaries(name: str, primaries: ArrayLike, white: ArrayLike, curve: Curve) -> MatrixProfile:
    """Profile of an RGB space from xy chromaticities: ``primaries`` (3, 2) and ``white`` (2,)."""
    corners = np.array([_xyz_of_xy(xy) for xy in np.asarray(primaries, np.float64)]).T
    white_xyz = _xyz_of_xy(np.asarray(white, np.float64))
    if not (np.isfinite(corners).all() and np.isfinite(white_xyz).all()) or abs(np.linalg.det(corners)) < 1e-6:
        raise ProfileError("primaries that do not span a colour space")
    to_xyz = corners * np.linalg.solve(corners, white_xyz)
    return MatrixProfile(name, (curve, curve, curve), _checked(XYZ_TO_RGB @ bradford(white_xyz, WHITE) @ to_xyz))


def gamma_curve(exponent: float) -> Curve:
    """Linear light as a power of the number."""
    return partial(_power, exponent=exponent)


def read_profile(data: bytes, ink: str) -> Profile:
    """The profile in ``data`` for pixels of ``ink`` ``rgb``, ``grey`` or ``cmyk``.

    Raises ProfileError when it is damaged, or belongs to another kind of picture.
    """
    try:
        space, tags = data[16:20], _tags(data)
        name = _description(tags)
        if space == b"GRAY" and ink == "grey":
            return GreyProfile(name, _grey_curve(data, tags)) if b"kTRC" in tags else TableProfile(name, data, "L")
        if space == b"RGB " and ink in ("rgb", "grey"):
            # Tables take precedence over the matrix (ICC.1:2022, 9.1).
            by_tables = any(tag in tags for tag in (b"A2B0", b"A2B1"))
            return TableProfile(name, data, "RGB") if by_tables else _matrix_profile(name, tags)
        if space == b"CMYK" and ink == "cmyk":
            return TableProfile(name, data, "CMYK")
    except (struct.error, ValueError, IndexError, KeyError, OverflowError) as error:
        raise ProfileError(str(error)) from error
    raise ProfileError(f"a profile for {space!r} on a {ink} picture")


def _matrix_profile(name: str, tags: dict[bytes, bytes]) -> MatrixProfile:
    colorants = np.stack([_xyz(tags[tag]) for tag in (b"rXYZ", b"gXYZ", b"bXYZ")], axis=1)
    red, green, blue = (_curve(tags[tag]) for tag in (b"rTRC", b"gTRC", b"bTRC"))
    return MatrixProfile(name, (red, green, blue), _checked(ICC_TO_RGB @ colorants))


def _grey_curve(data: bytes, tags: dict[bytes, bytes]) -> Curve:
    curve = _curve(tags[b"kTRC"])
    return partial(_through_lightness, curve=curve) if data[20:24] == b"Lab " else curve


def _tags(data: bytes) -> dict[bytes, bytes]:
    if data[36:40] != b"acsp":
        raise ProfileError("not an ICC profile")
    (count,) = struct.unpack_from(">I", data, 128)
    if count > 200:
        raise ProfileError("an impossible number of tags")
    tags = {}
    for index in range(count):
        signature, offset, size = struct.unpack_from(">4sII", data, 132 + 12 * index)
        if offset + size > len(data):
            raise ProfileError("a tag beyond the end of the profile")
        tags[signature] = data[offset : offset + size]
    return tags


def _description(tags: dict[bytes, bytes]) -> str:
    text = tags.get(b"desc", b"")
    if text[:4] == b"desc":
        (length,) = struct.unpack_from(">I", text, 8)
        name = text[12 : 12 + length].decode("latin-1")
    elif text[:4] == b"mluc":
        length, offset = struct.unpack_from(">II", text, 20)
        name = text[offset : offset + length].decode("utf-16-be", "replace")
    else:
        name = ""
    name = "".join(letter for letter in name if letter.isprintable()).strip()[:80]
    return name or "unnamed profile"


def _xyz(tag: bytes) -> Floats:
    if tag[:4] != b"XYZ ":
        raise ProfileError("a colorant that is not XYZ")
    return np.array(struct.unpack_from(">3i", tag, 8)) / 65536.0


def _curve(tag: bytes) -> Curve:
    """Tone curve of a ``curv`` or ``para`` tag (ICC.1:2022, 10.6 and 10.18)."""
    if tag[:4] == b"curv":
        (count,) = struct.unpack_from(">I", tag, 8)
        points = np.frombuffer(tag, ">u2", count=count, offset=12).astype(np.float64)
        if count == 0:
            return gamma_curve(1.0)
        return gamma_curve(_exponent(points[0] / 256.0)) if count == 1 else partial(_sampled, points=points / 65535.0)
    if tag[:4] == b"para":
        (kind,) = struct.unpack_from(">H", tag, 8)
        count = (1, 3, 4, 5, 7)[kind]
        numbers = [number / 65536.0 for number in struct.unpack_from(f">{count}i", tag, 12)]
        return partial(_parametric, kind=kind, numbers=(_exponent(numbers[0]), *numbers[1:]))
    raise ProfileError("a tone curve of an unknown kind")


def _parametric(x: Floats, *, kind: int, numbers: tuple[float, ...]) -> Floats:
    """ICC.1:2022, table 68; parameters in the order g, a, b, c, d, e, f."""
    g, a, b, c, d, e, f = (*numbers, *(0.0,) * (7 - len(numbers)))
    if kind == 0:
        return _bounded(np.asarray(x**g))
    power = np.maximum(a * x + b, 0.0) ** g
    if kind in (1, 2):
        # Below -b/a the power stops; a = 0 leaves only the constant.
        y = np.where(a * x + b >= 0.0, power, 0.0) + (c if kind == 2 else 0.0)
    else:
        y = np.where(x >= d, power + e, c * x + f)
    return _bounded(y)


def _sampled(x: Floats, *, points: Floats) -> Floats:
    return np.interp(x, np.linspace(0.0, 1.0, len(points)), points)


def _power(x: Floats, *, exponent: float) -> Floats:
    return np.asarray(np.asarray(x, np.float64) ** exponent)


def _through_lightness(x: Floats, *, curve: Curve) -> Floats:
    return luminance_of_lightness(100.0 * curve(x))


def _exponent(number: float) -> float:
    if not 0.05 <= number <= _LARGEST:
        raise ProfileError(f"a tone curve of gamma {number:g}")
    return number


def _bounded(y: Floats) -> Floats:
    return np.nan_to_num(np.clip(y, -_LARGEST, _LARGEST))


def _checked(matrix: Floats) -> Floats:
    white = matrix.sum(axis=1)
    if not np.isfinite(matrix).all() or np.abs(matrix).max() > _LARGEST or np.abs(np.linalg.det(matrix)) < 1e-4:
        raise ProfileError("colorants that do not span a colour space")
    if white.min() <= 0.0:
        raise ProfileError("colorants whose sum is not a white")
    return matrix


def _xyz_of_xy(xy: Floats) -> Floats:
    x, y = xy
    if y <= 0.0:
        raise ProfileError("a chromaticity without luminance")
    return np.array([x / y, 1.0, (1.0 - x - y) / y])
