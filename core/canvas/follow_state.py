"""The canvas's corners from frame to frame: what is known of them, loosened by motion, tightened by readings.

A Kalman filter of the eight numbers. Between two frames the camera moves as a whole, so that corners do not move
freely: a plane's motion in the picture under a small shift and turn of the camera (Longuet-Higgins and Prazdny 1980,
Proceedings of the Royal Society B 208, 385-397) spans six ways, and the loosening lies along these, with a little all
round for a focal length that is not known.
"""

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import grid_mm, homography, project
from core.size import Size

Points = NDArray[np.float64]

FOCAL = 0.85
"""Over the picture's diagonal, where nothing is known: a main camera of a phone, or a webcam (from memory)."""
_FREE = 0.05
"""Share of a motion that may lie off the six ways, since the focal length is a guess."""
_AT_REST_PX = 0.002
"""What a canvas at rest may creep from frame to frame."""


class CornerState:
    """``corners``: ``(4, 2)`` straight px; ``covariance``: ``(8, 8)`` px²."""

    def __init__(self, corners: Points, sigma_px: float, size: Size, width: int, height: int) -> None:
        self.corners = np.array(corners, dtype=np.float64)
        self.covariance: Points = np.eye(8) * sigma_px**2
        self.size = size
        self._centre = np.array([(width - 1) / 2, (height - 1) / 2])
        self._focal_px = FOCAL * float(np.hypot(width, height))

    @property
    def corners(self) -> Points:
        return self._corners

    @corners.setter
    def corners(self, corners: Points) -> None:
        self._corners = corners
        self._matrix: Points | None = None

    @property
    def matrix(self) -> Points:
        """``(3, 3)``: canvas mm to straight px. Raises LinAlgError for corners in one line."""
        if self._matrix is None:
            self._matrix = homography(self._corners, self.size)
        return self._matrix

    def copied(self) -> "CornerState":
        other = object.__new__(CornerState)
        other.__dict__.update(self.__dict__)
        other.corners, other.covariance = self.corners.copy(), self.covariance.copy()
        return other

    def loosen(self, motion_px: float) -> None:
        """Before a frame: the corners may have moved by about so many px, 0 for a canvas at rest."""
        ways = self.ways()
        self.covariance = (
            self.covariance
            + (motion_px**2 / 2) * (ways @ ways.T)
            + np.eye(8) * ((_FREE * motion_px) ** 2 + _AT_REST_PX**2)
        )

    def tighten(self, slopes: Points, off: Points, sigma: Points) -> None:
        """By readings: ``off`` ``(m,)`` px by which they lie beyond what is expected, ``slopes`` ``(m, 8)`` by the
        corners, and one standard deviation ``(m,)`` of each."""
        weighed = slopes / (sigma**2)[:, None]
        tight = np.linalg.inv(np.linalg.inv(self.covariance) + slopes.T @ weighed)
        self.covariance = np.asarray((tight + tight.T) / 2, dtype=np.float64)
        self.corners = self.corners + (self.covariance @ (weighed.T @ off)).reshape(4, 2)

    def uncertainty_mm(self) -> float:
        """RMS over the canvas of what the covariance leaves open, one standard deviation."""
        places = grid_mm(self.size, 3)
        slopes = corner_slopes(self.corners, self.size, places)
        inverse = np.asarray(np.linalg.inv(self.matrix), dtype=np.float64)
        at = project(self.matrix, places)
        per_px = np.stack([(project(inverse, at + d) - project(inverse, at - d)) / 0.2 for d in np.eye(2) * 0.1], -1)
        in_mm = per_px @ slopes.reshape(len(places), 2, 8)
        spread = np.einsum("nij,jk,nik->n", in_mm, self.covariance, in_mm)
        return float(np.sqrt(max(float(spread.mean()), 0.0)))

    def ways(self) -> Points:
        """``(8, 6)``: how the corners move with the camera's shift and turn, each of 1 px RMS."""
        lifted = np.column_stack([face_corners(self.size), np.ones(4)]) @ self.matrix[2]
        near = lifted.mean() / lifted
        x, y = ((self.corners - self._centre) / self._focal_px).T
        nothing = np.zeros(4)
        ways = np.array([
            [near, nothing], [nothing, near], [x * near, y * near],
            [x * y, 1 + y * y], [1 + x * x, x * y], [-y, x],
        ])  # fmt: skip
        flat = ways.transpose(0, 2, 1).reshape(6, 8)
        return np.asarray((flat / np.sqrt((flat**2).sum(axis=1, keepdims=True) / 4)).T)


def face_corners(size: Size) -> Points:
    """The canvas's corners, ``(4, 2)`` mm, TL TR BR BL."""
    w, h = size.width_mm, size.height_mm
    return np.array([[0, 0], [w, 0], [w, h], [0, h]])


def corner_slopes(corners: Points, size: Size, places: Points) -> Points:
    """``(2 n, 8)``: how places ``(n, 2)`` canvas mm move in the picture, x and y each, by the corners' eight numbers.

    With the homography's lower right element 1, exact: the eight equations that the corners give, differentiated.
    """
    matrix = homography(corners, size)
    own = _equations(face_corners(size), corners, matrix)
    theirs = _equations(places, project(matrix, places), matrix)
    return np.asarray(theirs @ np.linalg.inv(own))


def _equations(places: Points, seen: Points, matrix: Points) -> Points:
    """``(2 n, 8)``: slopes of ``seen`` by the homography's first eight elements."""
    x, y = places.T
    lifted = (np.column_stack([places, np.ones(len(places))]) @ matrix[2])[:, None]
    one, nothing = np.ones(len(places)), np.zeros(len(places))
    u, v = seen.T
    across = np.column_stack([x, y, one, nothing, nothing, nothing, -u * x, -u * y]) / lifted
    down = np.column_stack([nothing, nothing, nothing, x, y, one, -v * x, -v * y]) / lifted
    return np.stack([across, down], axis=1).reshape(-1, 8)
