"""The colour of a passage of a picture, to be mixed: the mean of its light, as an eye sees it from a distance."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import luminance
from core.disc import disc_of
from core.errors import PaintError
from core.paint.target import Target

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]

_OVER = 1.0 + 1e-3


def passage_target(
    linear: NDArray[Any],
    x_mm: float,
    y_mm: float,
    *,
    diameter_mm: float,
    px_per_mm: float,
    withheld: Mask | None = None,
) -> Target:
    """The mean of linear light ``(H, W, 3)`` (sRGB primaries, NaN: withheld) in a disc about a point of the canvas; at
    least one pixel is read.

    Raises PaintError where the point lies outside, less than half of the disc is known, or it is lighter than white.
    ValueError when a size is not above 0.
    """
    if not (px_per_mm > 0 and diameter_mm > 0):
        raise ValueError(f"px_per_mm and diameter_mm must be above 0, got {px_per_mm}, {diameter_mm}")
    height, width = linear.shape[:2]
    column, row = x_mm * px_per_mm - 0.5, y_mm * px_per_mm - 0.5
    if not (-0.5 <= column <= width - 0.5 and -0.5 <= row <= height - 0.5):
        raise PaintError("That place lies outside the picture. Choose one on it.")
    disc = disc_of(linear, x_mm, y_mm, diameter_mm / 2, px_per_mm=px_per_mm, withheld=withheld)
    if disc is None:
        raise PaintError("Too little of that place is known to read its colour. Choose another, or a smaller one.")
    return _target_of(disc.mean)


def step_target(linear: NDArray[Any], index: NDArray[Any], step: int, *, withheld: Mask | None = None) -> Target:
    """The mean of linear light ``(H, W, 3)`` over one step of a picture in value steps: where ``index`` ``(H, W)`` is
    ``step``, 0 the darkest.

    Raises PaintError where no known pixel is in that step. ValueError where the shapes differ.
    """
    if index.shape != linear.shape[:2]:
        raise ValueError(f"steps {index.shape} and light {linear.shape} are not of one picture")
    inside = index == step
    pixels = np.asarray(linear[inside], dtype=np.float64)
    known = _known(pixels, None if withheld is None else withheld[inside])
    if not known.any():
        raise PaintError(f"Nothing of the picture lies in value step {step + 1} from the dark. Choose another step.")
    return _target_of(pixels[known].mean(axis=0))


def _known(light: Floats, withheld: Mask | None) -> Mask:
    known = np.isfinite(light).all(axis=-1)
    return np.asarray(known if withheld is None else known & ~withheld)


def _target_of(mean: Floats) -> Target:
    seen = float(luminance(mean))
    if seen > _OVER:
        raise PaintError("That passage is lighter than white: glare, or over-exposed. Choose another place.")
    if seen <= 0:
        return Target((0.0, 0.0, 0.0))
    # A wide-gamut photograph has colours that sRGB does not, and paint may have them.
    return Target.of_linear(mean / max(seen, 1.0), within_srgb=False)
