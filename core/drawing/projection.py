"""The drawing thrown onto the canvas by a projector: its four corners on the screen, and the light that is sent there.

A screen's pixels have their centres at whole numbers, (x, y) from its top left, as a photo's have.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import homography, project
from core.canvas.corners import NAMES
from core.errors import DrawingError
from core.size import Size

Points = NDArray[np.float64]

MARGIN = 0.1
"""How far inside the screen the canvas starts, as a share of the screen's shorter side."""
SMALLEST_SIDE_PX = 48.0
FARTHEST_OUTSIDE = 0.5
"""A corner may lie this far outside the screen, as a share of its longer side: the canvas is then lit in part."""
_FLAT = np.sin(np.radians(8.0))


@dataclass(frozen=True, eq=False)
class Projection:
    """Where the canvas lies on a screen of ``width`` × ``height`` pixels.

    ``corners_px``: ``(4, 2)`` float64 screen px (TL TR BR BL of the canvas; the projector may hang turned or upside
    down, not mirrored). ``matrix``: ``(3, 3)`` float64, canvas mm to screen px. Raises DrawingError with a sentence for
    corners that cross, fall together, make a dent or lie too far outside the screen.
    """

    corners_px: Points
    size: Size
    width: int
    height: int
    matrix: Points = field(init=False, repr=False)

    def __post_init__(self) -> None:
        corners = _checked(self.corners_px, self.width, self.height)
        corners.setflags(write=False)
        object.__setattr__(self, "corners_px", corners)
        object.__setattr__(self, "matrix", homography(corners, self.size))

    @classmethod
    def fitted(cls, size: Size, width: int, height: int, *, margin: float = MARGIN) -> "Projection":
        """The canvas in its own shape, as large as the screen takes it with a ``margin`` and in its middle."""
        inside = np.array([width, height]) - 2 * margin * min(width, height)
        scale = float(min(inside[0] / size.width_mm, inside[1] / size.height_mm))
        half = scale * np.array([size.width_mm, size.height_mm]) / 2
        centre = (np.array([width, height]) - 1) / 2
        signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        return cls(centre + signs * half, size, width, height)

    def moved(self, corners_px: ArrayLike) -> "Projection":
        """The same canvas and screen with all four corners elsewhere. Raises DrawingError."""
        return Projection(np.asarray(corners_px), self.size, self.width, self.height)

    def nudged(self, corner: int, dx_px: float, dy_px: float) -> "Projection":
        """One corner (0-3) moved by so many screen pixels. Raises DrawingError, and then nothing has moved."""
        corners = self.corners_px.copy()
        corners[corner] += (dx_px, dy_px)
        return self.moved(corners)

    def mm_to_px(self, points_mm: ArrayLike) -> Points:
        """Canvas mm ``(..., 2)`` to screen px ``(..., 2)``."""
        return project(self.matrix, points_mm)

    def px_to_mm(self, points_px: ArrayLike) -> Points:
        """Screen px ``(..., 2)`` to canvas mm ``(..., 2)``."""
        return project(np.asarray(np.linalg.inv(self.matrix), dtype=np.float64), points_px)

    @property
    def px_per_mm(self) -> float:
        """Screen pixels per mm in the middle of the canvas: the root of the area that a square mm takes up."""
        middle = np.array([self.size.width_mm, self.size.height_mm]) / 2
        step = np.eye(2) * 0.5
        across, down = self.mm_to_px(middle + step) - self.mm_to_px(middle - step)
        return float(np.sqrt(abs(across[0] * down[1] - across[1] * down[0])))


def _checked(corners_px: ArrayLike, width: int, height: int) -> Points:
    try:
        corners = np.array(corners_px, dtype=np.float64)
    except (TypeError, ValueError):
        corners = np.empty(0)
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        raise DrawingError("The projection needs four corners, x and y each. Start its corners anew.")
    margin = FARTHEST_OUTSIDE * max(width, height)
    outside = ((corners < -margin) | (corners > np.array([width, height]) - 1 + margin)).any(axis=1)
    if outside.any():
        raise DrawingError(
            f"The {NAMES[int(outside.argmax())]} corner would lie too far outside the projected picture. "
            "Move the projector, or make its picture larger with its zoom."
        )
    _check_shape(corners)
    return corners


def _check_shape(corners: Points) -> None:
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    if lengths.min() < SMALLEST_SIDE_PX:
        first = int(lengths.argmin())
        raise DrawingError(
            f"The {NAMES[first]} and {NAMES[(first + 1) % 4]} corners would be too close together. "
            "Bring the projector closer, or enlarge its picture, so that the canvas takes up more of it."
        )
    before = np.roll(sides, 1, axis=0)
    turns = (before[:, 0] * sides[:, 1] - before[:, 1] * sides[:, 0]) / (np.roll(lengths, 1) * lengths)
    if (turns < -_FLAT).all():
        raise DrawingError(
            "The projected picture would be mirrored. Turn mirroring off in the projector, "
            "and give the corners as top left, top right, bottom right, bottom left."
        )
    if (turns < _FLAT).any():
        worst = NAMES[int(turns.argmin())]
        raise DrawingError(
            f"The {worst} corner would fold the projected canvas: its sides may not cross or bend inwards. "
            "Move it the other way, or move another corner first."
        )
