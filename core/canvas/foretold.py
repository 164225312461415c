"""Where the canvas lies in a new photo, foretold from the last one and confirmed by the canvas's own edges.

What both photos show in the canvas's plane is matched, and takes the last corners to the new photo; that is the guess,
good to a few px. The corners answered are where the edges near it meet, by one of two ways: traced as with corners
placed by hand, or settled among all edges within 5 % as an outline is; where both answer, that which is nearer to the
guess. The painted picture only says where to look: a painting that has moved on its canvas moves no corner.

Measured on 28 pairs of photos before and after a sitting (``python -m tests.measure.foretold 28``), corners off in mm:
28 told, median 0.11, worst 0.74; traced alone 27, worst 2.45 (the easel's clamp laps over the canvas); settled alone,
where certain, 23, worst 5.15; the outline alone, told which picture it is, refuses one, is wrong by 5.2 once while it
calls itself certain, and is not certain of 5 more. Where the painting moved 7 mm on its canvas in between
(``20 --shift 6``): 14 of 20, median 0.13, worst 0.73, and 17 with the outline where that is certain; traced alone none.
Nothing was foretold in a photo of another painting. It takes about 0.6 s of a photo of 3 megapixels.
"""

from contextlib import suppress
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm, project
from core.canvas.corners import checked_corners
from core.canvas.distortion import bend, straighten
from core.canvas.edge_picture import edge_picture, opponent
from core.canvas.given import TracedSides, lens_of, trace_given
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix, locate_canvas, locate_near
from core.canvas.uncertainty import uncertainty_of_corners
from core.errors import CanvasError
from core.photo import Photo
from core.size import Size

Points = NDArray[np.float64]

NOT_FORETOLD = "This photo shows the canvas too differently from the last one for its corners to be foretold."
LOOKED_AT_PX = 800
_MOST_FEATURES = 2000
_BESIDE = 0.05
"""Matched too is what lies this near the canvas, as a share of its sides: tabs, stretcher, easel."""
_RATIO, _MISS_PX = 0.8, 3.0
_FEWEST = 12
CONFIDENCE = 0.98
"""Ours: all of the 28 were within 3 mm, which by the rule of three says no more than nine in ten for certain."""
SURE = 0.97
"""Outlines more certain than this are taken unasked: 99 of 100 are right (:mod:`core.canvas.certainty`)."""
_LIKENESS_PX = 160


Marks = tuple[Points, NDArray[np.float32]]
"""Places ``(n, 2)`` photo px, and what is there, ``(n, 128)``."""


@dataclass(frozen=True, eq=False)
class LastSeen:
    """What is known of a photo whose corners were placed: how its canvas lies, ``marks`` on it and near beside, and its
    picture laid flat, small, ``(h, w, 3)`` linear light."""

    canvas: CanvasMap
    marks: Marks
    likeness: NDArray[np.float32]

    @classmethod
    def of(
        cls, photo: Photo, corners_px: ArrayLike, size: Size, k1: float = 0.0, *, marks: Marks | None = None
    ) -> "LastSeen":
        """``corners_px``: ``(4, 2)`` photo px, TL TR BR BL. ``marks``: all of the photo's, where they have been looked
        for. Raises CanvasError for what cannot be a canvas."""
        canvas = CanvasMap(np.asarray(corners_px, dtype=np.float64), size, photo.width, photo.height, k1)
        px_per_mm = _LIKENESS_PX / max(size.width_mm, size.height_mm)
        flat = lay_flat(photo, canvas.corners_px, size, k1=k1, px_per_mm=px_per_mm)
        return cls(canvas, _near(marks or marks_of(photo), canvas.corners_px), flat.linear)


def locate_again(photo: Photo, last: LastSeen, *, marks: Marks | None = None) -> CanvasFix:
    """The canvas of the last photo in a new one: foretold, or else its outline where that is found for certain.

    ``marks``: of :func:`marks_of` the photo, where they have been looked for.

    Raises CanvasError with a sentence when neither can be, and the corners have to be placed.
    """
    try:
        return foretell(photo, last, marks=marks)
    except CanvasError:
        return _sure(locate_canvas(photo, last.canvas.size, reference=last.likeness))


def _sure(fix: CanvasFix) -> CanvasFix:
    if fix.confidence < SURE:
        raise CanvasError(NOT_FORETOLD)
    return fix


def foretell(photo: Photo, last: LastSeen, *, marks: Marks | None = None) -> CanvasFix:
    """Raises CanvasError when nothing can be foretold, or the edges where it points to are too faint to confirm it."""
    guess, size = guessed_corners(photo, last, marks=marks), last.canvas.size
    edges = edge_picture(photo)
    found = []
    sides = trace_given(photo, guess, edges=edges)
    if sides is not None:
        found.append(_traced(photo, sides, size))
    with suppress(CanvasError):
        found.append(_sure(locate_near(photo, edges, size, guess, last.canvas.k1, reference=last.likeness)))
    if not found:
        raise CanvasError(NOT_FORETOLD)
    return min(found, key=lambda fix: float(np.linalg.norm(fix.corners_px - guess, axis=1).max()))


def _traced(photo: Photo, sides: TracedSides, size: Size) -> CanvasFix:
    lens = lens_of(sides)
    canvas = CanvasMap(sides.corners_px, size, photo.width, photo.height, lens.k1)
    return CanvasFix(
        corners_px=sides.corners_px,
        found_by="outline",
        k1=lens.k1,
        px_per_mm=float(canvas.scales(grid_mm(size)).min()),
        uncertainty_mm=uncertainty_of_corners(canvas, sides.uncertainty_px, k1_sigma=lens.sigma),
        confidence=CONFIDENCE,
    )


def guessed_corners(photo: Photo, last: LastSeen, *, marks: Marks | None = None) -> Points:
    """Corners ``(4, 2)`` photo px, from what both photos show. Raises CanvasError when that is too little."""
    (old, old_marks), (new, new_marks) = last.marks, marks or marks_of(photo)
    if min(len(old), len(new)) < _FEWEST:
        raise CanvasError(NOT_FORETOLD)
    pairs = cv2.BFMatcher(cv2.NORM_L2).knnMatch(old_marks, new_marks, k=2)
    kept = [pair[0] for pair in pairs if len(pair) == 2 and pair[0].distance < _RATIO * pair[1].distance]
    if len(kept) < _FEWEST:
        raise CanvasError(NOT_FORETOLD)
    flat = last.canvas.px_to_mm(old[[each.queryIdx for each in kept]])
    straight = straighten(new[[each.trainIdx for each in kept]], last.canvas.k1, photo.width, photo.height)
    miss = _MISS_PX * max(photo.width, photo.height) / LOOKED_AT_PX
    matrix, agree = cv2.findHomography(flat, straight, cv2.USAC_MAGSAC, miss, None, 4000, 0.999)
    if matrix is None or int(agree.sum()) < _FEWEST:
        raise CanvasError(NOT_FORETOLD)
    w, h = last.canvas.size.width_mm, last.canvas.size.height_mm
    corners = project(np.asarray(matrix), np.array([[0, 0], [w, 0], [w, h], [0, h]]))
    bent = bend(corners, last.canvas.k1, photo.width, photo.height)
    return checked_corners(bent, photo.width, photo.height)


def marks_of(photo: Photo) -> Marks:
    """Places that can be known again, wherever they are in a photo (Lowe 2004, scale-invariant features)."""
    light = opponent(photo.reduced(LOOKED_AT_PX))[..., 0]
    grey = np.clip(255 * light / max(float(np.quantile(light, 0.99)), 0.05), 0, 255).astype(np.uint8)
    scale = np.array([grey.shape[1] / photo.width, grey.shape[0] / photo.height])
    places, marks = cv2.SIFT.create(nfeatures=_MOST_FEATURES, contrastThreshold=0.02).detectAndCompute(grey, None)
    if marks is None:
        return np.empty((0, 2)), np.empty((0, 128), np.float32)
    return (np.array([each.pt for each in places]) + 0.5) / scale - 0.5, np.asarray(marks)


def _near(marks: Marks, corners: Points) -> Marks:
    """Those on the canvas and near beside it."""
    middle = corners.mean(axis=0)
    outline = middle + (1 + 2 * _BESIDE) * (corners - middle)
    side = np.roll(outline, -1, axis=0) - outline
    away = marks[0][:, None] - outline
    within = (side[:, 0] * away[..., 1] - side[:, 1] * away[..., 0] > 0).all(axis=1)
    return marks[0][within], marks[1][within]
