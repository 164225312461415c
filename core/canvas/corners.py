"""Four corners of a canvas in a photo: whether they can be a canvas, and what is wrong when they cannot."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import CanvasError

NAMES = ("top left", "top right", "bottom right", "bottom left")
FARTHEST_OUTSIDE = 0.25
"""A corner may lie this far outside the photo, as a share of its longer side: the canvas is then cropped a little."""
SMALLEST_SIDE_PX = 16.0
_STRAIGHT = np.sin(np.radians(4.0))


def checked_corners(
    corners_px: ArrayLike, width: int | None = None, height: int | None = None, *, of: str = "canvas"
) -> NDArray[np.float64]:
    """The corners as ``(4, 2)`` float64: top left, top right, bottom right, bottom left, photo px.

    ``of``: what has the corners, as the sentences call it. Raises CanvasError with a sentence when they are not four
    numbers each, cross, turn the wrong way round, make a dent, have three in a line, or (with ``width, height``) lie
    far outside the photo.
    """
    try:
        corners = np.array(corners_px, dtype=np.float64)
    except (TypeError, ValueError):
        corners = np.empty(0)
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        raise CanvasError(f"A {of} needs four corners, x and y each: top left, top right, bottom right, bottom left.")
    if width is not None and height is not None:
        _check_inside(corners, width, height, of)
    _check_shape(corners, of)
    return corners


def _check_inside(corners: NDArray[np.float64], width: int, height: int, of: str) -> None:
    margin = FARTHEST_OUTSIDE * max(width, height)
    outside = ((corners < -margin) | (corners > np.array([width, height]) - 1 + margin)).any(axis=1)
    for corner, name in zip(corners[outside], np.array(NAMES)[outside], strict=True):
        raise CanvasError(
            f"The {name} corner ({corner[0]:g}, {corner[1]:g}) lies far outside the photo of {width} × {height} "
            f"pixels. Place the corners on the {of} in this photo."
        )


def _check_shape(corners: NDArray[np.float64], of: str) -> None:
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    if lengths.min() < SMALLEST_SIDE_PX:
        first = int(lengths.argmin())
        raise CanvasError(
            f"The {NAMES[first]} and {NAMES[(first + 1) % 4]} corners lie on top of each other. "
            f"Place each on its own corner of the {of}."
        )
    turns = _turns(sides, lengths)
    flat = np.abs(turns) < _STRAIGHT
    if flat.any():
        middle = int(np.abs(turns).argmin())
        names = [NAMES[(middle + step) % 4] for step in (-1, 0, 1)]
        raise CanvasError(
            f"The {names[0]}, {names[1]} and {names[2]} corners lie in one line. "
            f"Place each on its own corner of the {of}."
        )
    if (turns < 0).all():
        raise CanvasError(
            "The corners go the wrong way round. Give them as top left, top right, bottom right, bottom left."
        )
    if (turns < 0).sum() == 1:
        raise CanvasError(
            f"The {NAMES[int(turns.argmin())]} corner makes a dent in the {of}. Place it on the {of}'s own corner."
        )
    if (turns < 0).any():
        raise CanvasError(
            f"The {of}'s sides cross. Give its corners as top left, top right, bottom right, bottom left."
        )


def _turns(sides: NDArray[np.float64], lengths: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sine of the turn at each corner, > 0 for clockwise on the screen (y down)."""
    before, scale = np.roll(sides, 1, axis=0), np.roll(lengths, 1) * lengths
    return np.asarray((before[:, 0] * sides[:, 1] - before[:, 1] * sides[:, 0]) / scale)
