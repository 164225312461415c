"""The four corners of the canvas in a photo: which may be, and which are refused."""

import numpy as np
from numpy.typing import NDArray

Corners = NDArray[np.float64]

NAMES = ("top left", "top right", "bottom right", "bottom left")
LEAST_SIDE_PX = 16.0
BEYOND = 0.25  # how far outside the photo a corner may be put, as a share of the photo's side

CROSSED = (
    "The four corners must go round the canvas without crossing or bending inwards. "
    "Move the {name} corner the other way, or move another corner first."
)
TOO_CLOSE = "The {name} corner is too close to another corner. Move it away along the canvas's edge."


def inset_corners(width: int, height: int, share: float = 0.1) -> Corners:
    """Where the corners start when nothing is known: inset from the edges of the photo by ``share``."""
    x, y = share * (width - 1), share * (height - 1)
    right, bottom = width - 1 - x, height - 1 - y
    return np.array([[x, y], [right, y], [right, bottom], [x, bottom]])


def is_convex(corners: Corners) -> bool:
    """Whether (4, 2) corners, y down, go round to the right with every inner angle below 180°."""
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    return bool(np.all(sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0] > 0.0))


def refusal(corners: Corners, moved: int) -> str:
    """Why these corners cannot be, in a sentence about the one that ``moved``; empty when they can."""
    others = np.delete(corners, moved, axis=0)
    if np.min(np.linalg.norm(others - corners[moved], axis=1)) < LEAST_SIDE_PX:
        return TOO_CLOSE.format(name=NAMES[moved])
    return "" if is_convex(corners) else CROSSED.format(name=NAMES[moved])


def within_reach(point: Corners, width: int, height: int) -> Corners:
    """The nearest point that lies on the photo or not too far beside it."""
    size = np.array([width, height], dtype=np.float64)
    return np.clip(point, -BEYOND * size, (1.0 + BEYOND) * size - 1.0)
