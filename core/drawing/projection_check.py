"""How far a projected drawing is out, from two photos of the canvas: with the projector black, and with its marks."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import project
from core.canvas.corners import NAMES as CORNERS
from core.canvas.lay_flat import lay_flat, supported_px_per_mm
from core.canvas.locate import CanvasFix, locate_canvas
from core.drawing.projection import Points, Projection
from core.drawing.projection_find import FoundMarks, Plane, away_from_marks, find_marks, thrown_light
from core.drawing.projection_fit import MarkFit, fit_marks
from core.drawing.projection_marks import NAMES, MarkPattern, mark_pattern
from core.errors import CanvasError, DrawingError
from core.photo import Photo
from core.tone import luminance_of_linear
from core.words import direction

MARKS_NEEDED = 6
_FINEST_PX_PER_MM = 6.0
_MOST_SIDE_PX = 2600
_EDGE = 0.25  # of half a mark's side: nearer to the canvas's edge than this its middle cannot be made out
_OUTLIER, _OUTLIER_MM = 5.0, 0.5
_SAME = 0.45  # agreement of two photographs of one canvas, away from the marks
_PLAIN = 0.04  # a canvas with less than this of light and dark has nothing to be known by

NONE_SEEN = (
    "The projected marks cannot be seen in the second photo. The room may be too bright for the projector: darken it, "
    "show the marks at full brightness, and take both photos again."
)
NOT_THE_SAME = (
    "The two photos do not seem to be of the same canvas. Take both from the same place, one with the projector black "
    "and one with its marks, and move nothing between."
)


@dataclass(frozen=True)
class CornerOut:
    """How far one projected corner is out.

    ``dx_mm, dy_mm``: where it falls minus the canvas's own corner (x right, y down). ``uncertainty_mm``: one standard
    deviation along either. ``nudge_px``: the move of the corner on the screen that mends it.
    """

    name: str
    dx_mm: float
    dy_mm: float
    uncertainty_mm: float
    nudge_px: tuple[float, float]

    @property
    def say(self) -> str:
        """Such as ``Top left: 2.1 mm too far right and 1.0 mm too low (± 0.2 mm)``."""
        where = direction(self.dx_mm, self.dy_mm)
        return f"{self.name[:1].upper()}{self.name[1:]}: {where} (±\u00a0{max(self.uncertainty_mm, 0.05):.1f}\u00a0mm)"


@dataclass(frozen=True, eq=False)
class ProjectionCheck:
    """``corners``: the four, TL TR BR BL. ``mended``: the projection that would fall on the canvas.

    ``marks_mm``: ``(9, 2)`` where the marks fell, NaN where one was not seen. ``residual_mm``: RMS of the marks about
    the projection found. ``notes``: whole sentences.
    """

    corners: tuple[CornerOut, ...]
    mended: Projection
    marks_mm: Points
    residual_mm: float
    notes: tuple[str, ...] = ()

    @property
    def farthest_mm(self) -> float:
        return max(float(np.hypot(each.dx_mm, each.dy_mm)) for each in self.corners)


def check_projection(
    dark: Photo,
    lit: Photo,
    projection: Projection,
    *,
    dark_corners_px: ArrayLike | None = None,
    lit_corners_px: ArrayLike | None = None,
) -> ProjectionCheck:
    """Measure a projection from a photo with the projector black and one with its marks (``rendered_marks``).

    ``projection``: the corners in use when the second photo was taken. ``*_corners_px``: ``(4, 2)`` photo px of the
    canvas, None to find its outline. Each photo is laid flat by its own canvas, so the camera may have moved between.
    Raises CanvasError where a canvas is not found and DrawingError where the marks are not, each with a sentence.
    """
    size, pattern = projection.size, mark_pattern(projection.size)
    dark_fix = _located(dark, projection, dark_corners_px, "with the projector black")
    lit_fix = _located(lit, projection, lit_corners_px, "with the marks")
    px_per_mm = min(
        _FINEST_PX_PER_MM,
        _MOST_SIDE_PX / max(size.width_mm, size.height_mm),
        *(
            supported_px_per_mm(fix.corners_px, size, fix.k1, photo.width, photo.height)
            for photo, fix in ((dark, dark_fix), (lit, lit_fix))
        ),
    )
    plain = _luminance(dark, dark_fix, projection, px_per_mm)
    marked = _luminance(lit, lit_fix, projection, px_per_mm)
    away = away_from_marks((plain.shape[0], plain.shape[1]), px_per_mm, pattern)
    _check_same(plain, marked, away, px_per_mm)
    found = find_marks(thrown_light(plain, marked, _gain(plain, marked, away)), px_per_mm, pattern)
    return _answer(found, pattern, projection, lit_fix)


def _located(photo: Photo, projection: Projection, corners: ArrayLike | None, which: str) -> CanvasFix:
    try:
        return locate_canvas(photo, projection.size, corners_px=corners)
    except CanvasError as trouble:
        raise CanvasError(f"In the photo {which}: {trouble}") from trouble


def _luminance(photo: Photo, fix: CanvasFix, projection: Projection, px_per_mm: float) -> Plane:
    flat = lay_flat(photo, fix.corners_px, projection.size, k1=fix.k1, px_per_mm=px_per_mm)
    return luminance_of_linear(flat.linear)


def _gain(dark: Plane, lit: Plane, away: NDArray[np.bool_]) -> float:
    """How much longer the second photo was exposed: its light over the first's, away from the marks."""
    bright = away & (dark > np.percentile(dark[away], 30)) & (dark > 0)
    if not bright.any():
        return 1.0
    return float(np.clip(np.median(lit[bright] / dark[bright]), 0.02, 50.0))


def _check_same(dark: Plane, lit: Plane, away: NDArray[np.bool_], px_per_mm: float) -> None:
    """Raise DrawingError when what is light and dark on the canvas is not so in both photos."""
    one, other = (_pattern_of(flat, px_per_mm)[_thin(away, px_per_mm)] for flat in (dark, lit))
    spread = one.std() ** 2 + other.std() ** 2
    if spread < 2 * _PLAIN**2:
        return
    if 2 * float(np.mean((one - one.mean()) * (other - other.mean()))) < _SAME * spread:
        raise DrawingError(NOT_THE_SAME)


def _pattern_of(flat: Plane, px_per_mm: float) -> Plane:
    """Light and dark of the paint at one sample in 2 mm: logarithm of the light, less its slow change."""
    small = _thinned(flat, px_per_mm)
    tone = np.log(np.maximum(small, 0) + np.float32(0.1 * max(float(small.mean()), 1e-5)))
    return np.asarray(tone - cv2.GaussianBlur(tone, (0, 0), 0.15 * max(tone.shape)), dtype=np.float32)


def _thinned(flat: Plane, px_per_mm: float) -> Plane:
    wide, high = (max(8, round(side / px_per_mm / 2)) for side in (flat.shape[1], flat.shape[0]))
    return np.asarray(cv2.resize(flat, (wide, high), interpolation=cv2.INTER_AREA)).reshape(high, wide)


def _thin(away: NDArray[np.bool_], px_per_mm: float) -> NDArray[np.bool_]:
    return _thinned(away.astype(np.float32), px_per_mm) > 0.99


def _answer(found: FoundMarks, pattern: MarkPattern, projection: Projection, fix: CanvasFix) -> ProjectionCheck:
    if found.seen.sum() < 4:
        raise DrawingError(NONE_SEEN)
    kept, fit = _fitted(found, pattern)
    notes, off = _missing(kept, fit.matrix, pattern, projection)
    if kept.sum() < MARKS_NEEDED:
        raise DrawingError(
            (f"The {NAMES[off[0]]} mark does not fall on the canvas. " if off else "Too few of the marks can be seen. ")
            + "Bring the projected corners closer to the canvas's own by eye, and take both photos again."
        )
    size = projection.size
    face = np.array([[0, 0], [size.width_mm, 0], [size.width_mm, size.height_mm], [0, size.height_mm]])
    out = project(fit.matrix, face) - face
    spread = np.hypot(fit.sigma_at(face), fix.uncertainty_mm / np.sqrt(2))
    mended = projection.moved(
        projection.mm_to_px(project(np.asarray(np.linalg.inv(fit.matrix), dtype=np.float64), face))
    )
    nudges = mended.corners_px - projection.corners_px
    corners = tuple(
        CornerOut(name, float(dx), float(dy), float(sigma), (float(nudge[0]), float(nudge[1])))
        for name, (dx, dy), sigma, nudge in zip(CORNERS, out, spread, nudges, strict=True)
    )
    residual = float(np.sqrt((fit.weights * fit.left_mm**2).sum() / fit.weights.sum()))
    return ProjectionCheck(corners, mended, found.points, residual, (*notes, *fix.notes))


def _fitted(found: FoundMarks, pattern: MarkPattern) -> tuple[NDArray[np.bool_], MarkFit]:
    """Which marks agree on one projection, and that projection."""
    kept = found.seen.copy()
    while True:
        fit = fit_marks(pattern.points[kept], found.points[kept], found.sigma_mm[kept])
        if fit is None:
            raise DrawingError(NONE_SEEN)
        worst = int(fit.left_mm.argmax())
        if kept.sum() <= MARKS_NEEDED or fit.left_mm[worst] < max(
            _OUTLIER_MM, _OUTLIER * float(np.median(fit.left_mm))
        ):
            return kept, fit
        kept[np.flatnonzero(kept)[worst]] = False


def _missing(
    kept: NDArray[np.bool_], fit: Points, pattern: MarkPattern, projection: Projection
) -> tuple[list[str], list[int]]:
    """Sentences about marks that do not count, and which of them fall beside the canvas."""
    size, rim = projection.size, _EDGE * pattern.half_mm
    fallen = project(fit, pattern.points)
    inside = ((fallen > rim) & (fallen < np.array([size.width_mm, size.height_mm]) - rim)).all(axis=1)
    off = [int(index) for index in np.flatnonzero(~kept & ~inside)]
    unseen = [int(index) for index in np.flatnonzero(~kept & inside)]
    notes = [f"The {NAMES[index]} mark does not fall on the canvas; the others were measured." for index in off]
    notes += [f"The {NAMES[index]} mark could not be made out; the others were measured." for index in unseen]
    return notes, off
