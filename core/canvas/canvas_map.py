"""Between millimetres on the canvas face and photo pixels: a homography and a lens."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.corners import checked_corners
from core.canvas.distortion import bend, straighten
from core.size import Size

Points = NDArray[np.float64]


def homography(corners: ArrayLike, size: Size) -> Points:
    """``(3, 3)`` float64 that takes canvas mm to the four corners ``(4, 2)`` (TL TR BR BL), lower right element 1.

    Closed form of Heckbert 1989, Fundamentals of Texture Mapping and Image Warping, section 2.2.3.
    """
    p = np.asarray(corners, dtype=np.float64)
    across, along, skew = p[1] - p[2], p[3] - p[2], p[0] - p[1] + p[2] - p[3]
    g, h = np.linalg.solve(np.column_stack([across, along]), skew)
    unit = np.array([[*(p[1] * (1 + g) - p[0])], [*(p[3] * (1 + h) - p[0])], [*p[0]]]).T
    matrix = np.vstack([unit, [g, h, 1.0]])
    return np.asarray(matrix @ np.diag([1 / size.width_mm, 1 / size.height_mm, 1.0]))


def project(matrix: Points, points: ArrayLike) -> Points:
    """Points ``(..., 2)`` through a ``(3, 3)`` homography."""
    p = np.asarray(points, dtype=np.float64)
    lifted = p @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(lifted[..., :2] / lifted[..., 2:])


@dataclass(frozen=True)
class CanvasMap:
    """Where each mm of a canvas lies in a photo of ``width`` × ``height`` pixels.

    ``corners_px``: ``(4, 2)`` photo px (TL TR BR BL), as the lens shows them. ``matrix``: ``(3, 3)`` float64, canvas mm
    to straightened px; with ``k1`` 0 these are the photo's own pixels. Raises CanvasError for corners that cannot
    be a canvas.
    """

    corners_px: Points
    size: Size
    width: int
    height: int
    k1: float = 0.0
    matrix: Points = field(init=False, repr=False)

    def __post_init__(self) -> None:
        corners = checked_corners(self.corners_px, self.width, self.height)
        straight = checked_corners(straighten(corners, self.k1, self.width, self.height))
        object.__setattr__(self, "corners_px", corners)
        object.__setattr__(self, "matrix", homography(straight, self.size))

    def mm_to_px(self, points_mm: ArrayLike) -> Points:
        """Canvas mm ``(..., 2)`` to photo px ``(..., 2)`` float64."""
        return bend(project(self.matrix, points_mm), self.k1, self.width, self.height)

    def px_to_mm(self, points_px: ArrayLike) -> Points:
        """Photo px ``(..., 2)`` to canvas mm ``(..., 2)`` float64; the inverse of :meth:`mm_to_px` to 1e-6 mm."""
        return project(
            np.asarray(np.linalg.inv(self.matrix), dtype=np.float64),
            straighten(points_px, self.k1, self.width, self.height),
        )

    def scales(self, points_mm: ArrayLike) -> Points:
        """Photo px per mm at points ``(n, 2)`` mm: ``(n, 2)``, along the directions of most and least scale."""
        p = np.asarray(points_mm, dtype=np.float64)
        step = 0.01
        columns = [(self.mm_to_px(p + d) - self.mm_to_px(p - d)) / (2 * step) for d in np.eye(2) * step]
        return np.asarray(np.linalg.svd(np.stack(columns, axis=-1), compute_uv=False))


def grid_mm(size: Size, count: int = 9) -> Points:
    """``(count², 2)`` points spread over the whole canvas face, edges included, mm."""
    x, y = np.meshgrid(np.linspace(0, size.width_mm, count), np.linspace(0, size.height_mm, count))
    return np.stack([x.ravel(), y.ravel()], axis=1)
