"""From millimetres on the canvas face to the pixels of a picture, and back.

Picture coordinates here have their origin at the outer corner of the first pixel, as painting needs it; the centre of
that pixel is (0.5, 0.5). Photo coordinates, with whole numbers at pixel centres, are these minus a half.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.lens import bend, straighten
from core.size import Size

Points = NDArray[np.float64]

# From photo coordinates, whole at pixel centres, to picture coordinates.
_TO_EDGES: Points = np.array([[1.0, 0.0, 0.5], [0.0, 1.0, 0.5], [0.0, 0.0, 1.0]])


@dataclass(frozen=True)
class Lens:
    """How the lens of a photo of ``width`` × ``height`` pixels bends: see :mod:`core.canvas.lens`."""

    k1: float
    width: int
    height: int

    def bend(self, straight: Points) -> Points:
        """Picture coordinates ``(N, 2)`` where the lens puts straight ones."""
        return bend(straight - 0.5, self.k1, self.width, self.height) + 0.5

    def straighten(self, bent: Points) -> Points:
        """The inverse of :meth:`bend`."""
        return straighten(bent - 0.5, self.k1, self.width, self.height) + 0.5


@dataclass(frozen=True, eq=False)
class Mapping:
    """How canvas mm lie in a picture. Make one with :meth:`flat` or :meth:`as_shot`.

    ``matrix``: (3, 3), mm to picture coordinates. ``px_per_mm``: picture pixels per mm; over the whole canvas, in the
    mean, for a picture as shot.
    """

    matrix: Points
    px_per_mm: float
    is_flat: bool
    lens: Lens | None = None

    @classmethod
    def flat(cls, px_per_mm: float) -> "Mapping":
        """Of a picture laid flat, whose top left corner is that of the canvas."""
        return cls(np.diag([px_per_mm, px_per_mm, 1.0]), px_per_mm, is_flat=True)

    @classmethod
    def as_shot(
        cls, homography: ArrayLike, size: Size, *, lens_k1: float = 0.0, photo_size: tuple[int, int] | None = None
    ) -> "Mapping":
        """Of a canvas photo as it was taken.

        ``homography``: (3, 3), from mm to photo pixels (whole numbers at pixel centres), as a straight lens would show
        them. ``lens_k1`` bends those, about the middle of a photo of ``photo_size`` (width, height) pixels.
        """
        matrix = _TO_EDGES @ np.asarray(homography, np.float64)
        w, h = size.width_mm, size.height_mm
        corners = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
        depth = np.column_stack([corners, np.ones(4)]) @ matrix[2]
        if not (np.all(depth > 0.0) or np.all(depth < 0.0)):
            raise ValueError("the homography puts part of the canvas behind the camera")
        matrix = matrix / depth[0]
        lens = None
        if lens_k1 != 0.0:
            if photo_size is None:
                raise ValueError("a lens needs the size of the photo")
            lens = Lens(lens_k1, *photo_size)
        unscaled = cls(matrix, 1.0, is_flat=False, lens=lens)
        area = _area(unscaled.to_picture(corners))
        return cls(matrix, math.sqrt(area / (w * h)), is_flat=False, lens=lens)

    @classmethod
    def of_photo(cls) -> "Mapping":
        """Of a photo whose own pixels (whole numbers at their centres) stand for mm."""
        return cls(_TO_EDGES, 1.0, is_flat=False)

    @cached_property
    def _inverse(self) -> Points:
        return np.asarray(np.linalg.inv(self.matrix), dtype=np.float64)

    def to_picture(self, mm: ArrayLike) -> Points:
        """Picture coordinates ``(N, 2)`` of ``(N, 2)`` mm; NaN where the camera could not see."""
        if self.is_flat:
            return np.asarray(mm, dtype=np.float64).reshape(-1, 2) * self.px_per_mm
        points = _through(self.matrix, mm)
        return points if self.lens is None else self.lens.bend(points)

    def to_mm(self, picture: ArrayLike) -> Points:
        """Mm ``(N, 2)`` of picture coordinates ``(N, 2)``; NaN above the horizon of the canvas's plane."""
        points = np.asarray(picture, dtype=np.float64).reshape(-1, 2)
        if self.lens is not None:
            points = self.lens.straighten(points)
        return _through(self._inverse, points)

    def local_px_per_mm(self, x_mm: float, y_mm: float) -> float:
        """Picture pixels per mm about one point: the square root of the growth of area there."""
        if self.is_flat:
            return self.px_per_mm
        around = [(x_mm + dx, y_mm + dy) for dx, dy in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))]
        return math.sqrt(_area(self.to_picture(around)))


def _through(matrix: Points, points: ArrayLike) -> Points:
    flat = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    x, y, w = (np.column_stack([flat, np.ones(len(flat))]) @ matrix.T).T
    w = np.where(w > 1e-12, w, np.nan)
    return np.column_stack([x / w, y / w])


def _area(corners: Points) -> float:
    """Of a polygon ``(N, 2)``, by the shoelace formula."""
    x, y = corners.T
    return abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2.0
