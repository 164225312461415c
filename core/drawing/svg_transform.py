"""SVG transform lists as matrices (SVG 2, chapter 8; CSS Transforms 1)."""

import math
import re

import numpy as np
from numpy.typing import NDArray

from core.drawing.svg_path import numbers
from core.errors import DrawingError

# (a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f.
Matrix = tuple[float, float, float, float, float, float]

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
MOST_CHARACTERS = 10_000

_FUNCTION = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)", re.ASCII)
_UNIT = re.compile(r"(?<=[\d.])(?:px|deg)\b")
_COUNTS = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewx": (1,), "skewy": (1,)}


def multiply(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix that does ``inner`` first, then ``outer``."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f)


def apply(matrix: Matrix, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """``(n, 2)`` points carried by the matrix, as a new array."""
    a, b, c, d, e, f = matrix
    return np.asarray(points @ np.array(((a, b), (c, d))) + (e, f))


def translation(x: float, y: float) -> Matrix:
    """The matrix that moves by ``x`` and ``y``."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def scaling(x: float, y: float) -> Matrix:
    """The matrix that scales from the origin."""
    return (x, 0.0, 0.0, y, 0.0, 0.0)


def about(matrix: Matrix, x: float, y: float) -> Matrix:
    """The matrix carried out with ``(x, y)`` for its origin."""
    return multiply(translation(x, y), multiply(matrix, translation(-x, -y)))


def parse_transform(text: str) -> Matrix:
    """The matrix of a ``transform`` list: the functions from right to left, angles in degrees.

    Raises DrawingError when the list is malformed.
    """
    if text.strip() in {"", "none"}:
        return IDENTITY
    matrix, place = IDENTITY, 0
    if len(text) <= MOST_CHARACTERS:
        while found := _FUNCTION.match(text, place):
            matrix = multiply(matrix, _function(found[1], found[2]))
            place = found.end()
        if not text[place:].strip(" \t\r\n\f,"):
            return matrix
    raise DrawingError(f"The drawing is moved or turned in a way that cannot be read: “{text[place : place + 40]}”.")


def _function(name: str, arguments: str) -> Matrix:
    values = numbers(_UNIT.sub("", arguments))
    kind = name.lower()
    if len(values) not in _COUNTS.get(kind, ()) or not all(map(math.isfinite, values)):
        raise DrawingError(f"The drawing is moved or turned in a way that cannot be read: “{name}({arguments[:40]})”.")
    if kind == "matrix":
        a, b, c, d, e, f = values
        return (a, b, c, d, e, f)
    if kind == "translate":
        return translation(values[0], values[1] if len(values) > 1 else 0.0)
    if kind == "scale":
        return scaling(values[0], values[-1])
    if kind == "rotate":
        return _rotation(*values)
    tangent = math.tan(math.radians(values[0]))
    return (1.0, 0.0, tangent, 1.0, 0.0, 0.0) if kind == "skewx" else (1.0, tangent, 0.0, 1.0, 0.0, 0.0)


def _rotation(degrees: float, x: float = 0.0, y: float = 0.0) -> Matrix:
    angle = math.radians(degrees)
    cos, sin = math.cos(angle), math.sin(angle)
    return about((cos, sin, -sin, cos, 0.0, 0.0), x, y)
