"""Where the canvas lies in a photo, and how surely: the one call that everything downstream uses."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.corners import checked_corners
from core.canvas.edge_picture import EdgePicture
from core.canvas.given import lens_of, trace_given
from core.canvas.likeness import Reference
from core.canvas.outline import NOT_FOUND, Outline, find_outline, outline_near
from core.canvas.uncertainty import BY_HAND_PX, uncertainty_of_corners, uncertainty_of_lines
from core.errors import CanvasError
from core.photo import Photo
from core.size import Size

REFUSED_BELOW = 0.3
"""An outline less likely than this is not worth offering."""
CERTAIN_FROM = 0.7
_WHERE = {"top": "at the top", "right": "on the right", "bottom": "at the bottom", "left": "on the left"}


@dataclass(frozen=True)
class CanvasFix:
    """Where the canvas lies in a photo.

    ``corners_px``: ``(4, 2)`` float64 photo px, TL TR BR BL. ``k1``: the lens (:mod:`core.canvas.lens`).
    ``px_per_mm``: what the photo supports. ``uncertainty_mm``: RMS over the canvas. ``confidence``: 0-1 that the
    corners are the canvas's. ``notes``: whole sentences for the painter.
    """

    corners_px: NDArray[np.float64]
    found_by: Literal["given", "outline", "tabs"]
    k1: float
    px_per_mm: float
    uncertainty_mm: float
    confidence: float
    notes: tuple[str, ...] = field(default=())


def locate_canvas(
    photo: Photo, size: Size, *, corners_px: ArrayLike | None = None, reference: Reference | None = None
) -> CanvasFix:
    """Find the canvas, or take the corners as given and only read the lens from the edges between them.

    ``corners_px``: ``(4, 2)`` photo px, TL TR BR BL; kept as they are. ``reference``: see
    :func:`core.canvas.outline.find_outline`. Raises CanvasError with a sentence when the canvas cannot be found, runs
    out of the photo, or the corners cannot be a canvas.
    """
    if corners_px is not None:
        return _given(photo, size, checked_corners(corners_px, photo.width, photo.height))
    return _outlined(photo, size, find_outline(photo, size=size, reference=reference))


def locate_near(
    photo: Photo, edges: EdgePicture, size: Size, corners_px: ArrayLike, k1: float, *, reference: Reference
) -> CanvasFix:
    """The canvas whose outline lies near a guess ``(4, 2)`` photo px; see :func:`core.canvas.outline.outline_near`.

    Raises CanvasError with a sentence when it is not found there.
    """
    guess = checked_corners(corners_px, photo.width, photo.height)
    return _outlined(photo, size, outline_near(photo, edges, guess, k1, size=size, reference=reference))


def _outlined(photo: Photo, size: Size, outline: Outline) -> CanvasFix:
    if outline.cropped:
        sides = " and ".join(_WHERE[side] for side in outline.cropped)
        raise CanvasError(
            f"The canvas seems to run out of the photo {sides}. Photograph it with a little of its surround showing on "
            "every side, or place its four corners by hand."
        )
    if outline.confidence < REFUSED_BELOW or outline.lines is None:
        raise CanvasError(NOT_FOUND)
    canvas = CanvasMap(outline.corners_px, size, photo.width, photo.height, outline.k1)
    return CanvasFix(
        corners_px=outline.corners_px,
        found_by="outline",
        k1=outline.k1,
        px_per_mm=_supported(canvas),
        uncertainty_mm=float(
            np.hypot(uncertainty_of_lines(canvas, outline.lines), uncertainty_of_corners(canvas, outline.stray_px))
        ),
        confidence=outline.confidence,
        notes=_notes(outline),
    )


def _given(photo: Photo, size: Size, corners: NDArray[np.float64]) -> CanvasFix:
    sides = trace_given(photo, corners)
    lens = lens_of(sides)
    canvas = CanvasMap(corners, size, photo.width, photo.height, lens.k1)
    each: NDArray[np.float64] = np.full(4, BY_HAND_PX)
    notes: tuple[str, ...] = ()
    if sides is not None:
        # Where the canvas's own edges are plain they say how well the hand has done.
        away = np.linalg.norm(corners - sides.corners_px, axis=1) / np.sqrt(2)
        each = np.hypot(away, sides.uncertainty_px)
    else:
        notes = (
            "The canvas's edges are too faint to tell the lens from: it was taken to draw straight lines straight.",
        )
    return CanvasFix(
        corners_px=corners,
        found_by="given",
        k1=lens.k1,
        px_per_mm=_supported(canvas),
        uncertainty_mm=uncertainty_of_corners(canvas, each, k1_sigma=lens.sigma),
        confidence=1.0,
        notes=notes,
    )


def _supported(canvas: CanvasMap) -> float:
    return float(canvas.scales(grid_mm(canvas.size)).min())


def _notes(outline: Outline) -> tuple[str, ...]:
    notes = []
    if outline.confidence < CERTAIN_FROM:
        notes.append(
            "The canvas's outline was found, but not with certainty: look at its corners before trusting the rest."
        )
    if outline.turned:
        notes.append("The canvas is seen turned in this photo; its top left corner was told from the reference.")
    return tuple(notes)
