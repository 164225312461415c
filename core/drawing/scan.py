"""A photo or scan of a drawing, on paper or acetate, as a drawing in mm.

The sheet is laid flat by its corners (:mod:`core.drawing.scan_sheet`), the light taken out
(:mod:`core.drawing.scan_light`), a printed ruling too (:mod:`core.drawing.scan_ruling`), ink told from paper
(:mod:`core.drawing.scan_ink`), thinned and mended (:mod:`core.drawing.scan_lines`), and smooth curves fitted.

Small crosses, dots and circles are taken as lines where they are large enough, never as landmarks: a cross may as well
be a twinkle in an eye. Landmarks are put by hand.

Measured on 20 random drawings (curves, closed forms, polygons, crossings, details of 2 mm, dashes, hatching; lines of
0.3-1.2 mm in black, soft or hard pencil on paper with tooth) photographed by hand at 6-8 pixels per mm with 2:1 uneven
light, vignetting, noise and JPEG (``python -m tests.measure.scan``): of the true length 98.8 % has a line within 0.4 mm
(worst drawing 96.4 %), of the length found 0.3 % has no truth there (worst 1.5 %), and there are no doubled lines
(length found over true at most 1.00). Lines are off by 0.06 mm, root mean square. What is missed lies where lines run
into one another. Neither coloured pencil, squared or ruled paper, acetate with reflections over weave, nor a hand's or
phone's shadow changes this by more than 1 %.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.flat import Flat
from core.drawing.drawing import Drawing, Line
from core.drawing.fit_curve import fit_curves
from core.drawing.scan_ink import Ink, ink_of
from core.drawing.scan_join import Stroke
from core.drawing.scan_light import bare_sheet, darkness, glare_share, paper_roughness
from core.drawing.scan_lines import off_the_edge, strokes_of
from core.drawing.scan_place import OUTSIDE, is_outside, laid_on, placing
from core.drawing.scan_ruling import Ruling, without_ruling
from core.drawing.scan_sheet import check_shape, flatbed_corners, sheet_flat
from core.drawing.scan_sides import LIKE_PAPER, sides_alike
from core.drawing.scan_weight import layers_of
from core.errors import DrawingError
from core.photo import Photo
from core.size import Size
from core.words import as_share

Progress = Callable[[float, str], None]

TOLERANCE_MM = 0.1
MARGIN_MM = 1.0
"""Nothing is looked for this near the sheet's edge: corners placed by hand are no better."""
ROUGHEST, ROUGHEST_RMS = 0.01, 0.35
MOST_INK = 0.25
PLAIN_PX_PER_MM = 4.0
MOST_SPECKS = 20
NOTED_GLARE = 0.005
_PHOTOGRAPH = (
    "This looks like a photograph, not a line drawing: there is hardly any bare paper between its darks. Give a photo "
    "of the drawing's lines alone."
)
_EDGES = (
    "This looks like a photograph, not a line drawing: most of its darks are the edges of something light, and not "
    "lines with paper on both sides. Give a photo of the drawing's lines alone."
)
_NO_LINES = (
    "No lines were found on the sheet. Check that its corners are placed on the drawing, and photograph it nearer, in "
    "even light, or go over its lines with a darker pencil."
)


@dataclass(frozen=True, eq=False)
class Scan:
    """What was found on a sheet.

    ``drawing``: its lines in mm on the canvas, longest first; ``notes``: whole sentences on what was left out or is
    doubtful. ``sheet``: the sheet laid flat. ``ink``: ``(H, W)`` bool on the grid of ``sheet``, what was taken for ink.
    ``ink_share``: of the sheet's area, 0-1. ``widths_mm``: ``(n,)`` float64, how broad each line of the drawing is.
    """

    drawing: Drawing
    notes: tuple[str, ...]
    sheet: Flat
    ink: NDArray[np.bool_]
    ink_share: float
    widths_mm: NDArray[np.float64] = field(repr=False)


def scan_drawing(
    photo: Photo,
    size: Size,
    *,
    corners_px: ArrayLike,
    k1: float = 0.0,
    sheet: Size | None = None,
    sheet_corners_mm: ArrayLike | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    progress: Progress | None = None,
) -> Scan:
    """The drawing in a photo, for a canvas of ``size``.

    ``corners_px``: ``(4, 2)`` photo px, the sheet's corners TL TR BR BL. ``k1``: the lens, as for
    :class:`core.canvas.canvas_map.CanvasMap`. ``sheet``: the sheet's own size; None when it is the canvas's.
    ``sheet_corners_mm``: ``(4, 2)``, where the sheet's corners lie on the canvas; None for its middle, upright, in the
    sheet's own size. ``tolerance_mm``: how far, on the sheet, the curves may be off what was found.
    ``progress(share, doing)`` may raise CancelledError. Raises DrawingError, with a sentence, when the corners cannot
    be a sheet's, the sheet is cut off, the photo is too small, there are no lines, or it is no line drawing.
    """
    if not (np.isfinite(tolerance_mm) and tolerance_mm > 0.0):
        raise ValueError("The tolerance must be more than 0 mm.")
    tell = progress or (lambda share, doing: None)
    page = size if sheet is None else sheet
    onto_canvas = placing(page, size, sheet_corners_mm)
    tell(0.0, "laying the sheet flat")
    flat = sheet_flat(photo, corners_px, page, k1=k1)
    tell(0.3, "taking out the light")
    dark, rulings, glare = _dark(flat, tell)
    tell(0.6, "finding the lines")
    ink = ink_of(dark, flat.px_per_mm)
    if ink.mask.mean() > MOST_INK:
        raise DrawingError(_PHOTOGRAPH)
    tell(0.7, "thinning the lines")
    strokes, edges = _strokes(flat, ink)
    tell(0.9, "fitting curves")
    drawing = laid_on(Drawing(page, _lines(strokes, tolerance_mm)), size, onto_canvas)
    notes = _notes(drawing, flat, ink, rulings, glare, edges)
    tell(1.0, "done")
    widths = np.array([stroke.width_mm for stroke in strokes])
    return Scan(replace(drawing, notes=notes), notes, flat, ink.mask, float(ink.mask.mean()), widths)


def scan_flatbed(
    photo: Photo,
    size: Size,
    *,
    sheet: Size | None = None,
    sheet_corners_mm: ArrayLike | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    progress: Progress | None = None,
) -> Scan:
    """:func:`scan_drawing` of a flatbed scan, cropped to the sheet and square to it.

    Raises DrawingError too when the scan has not the shape of the sheet, within 2 %.
    """
    check_shape(photo, size if sheet is None else sheet)
    return scan_drawing(
        photo,
        size,
        corners_px=flatbed_corners(photo),
        sheet=sheet,
        sheet_corners_mm=sheet_corners_mm,
        tolerance_mm=tolerance_mm,
        progress=progress,
    )


def _strokes(flat: Flat, ink: Ink) -> tuple[list[Stroke], int]:
    """The strokes of the drawing, longest first, and how many were the sheet's own edge. Raises DrawingError."""
    found = strokes_of(ink, flat.px_per_mm)
    strokes = off_the_edge(found, flat.size)
    if not strokes:
        raise DrawingError(_NO_LINES)
    if sides_alike(strokes, flat.linear, flat.px_per_mm) < LIKE_PAPER:
        raise DrawingError(_EDGES)
    return strokes, len(found) - len(strokes)


def _lines(strokes: list[Stroke], tolerance_mm: float) -> tuple[Line, ...]:
    """Curves through strokes, on the sheet, in their layers."""
    rings = [stroke.closed for stroke in strokes]
    chains = fit_curves([stroke.points for stroke in strokes], tolerance_mm=tolerance_mm, closed=rings)
    layers = layers_of([stroke.width_mm for stroke in strokes], [stroke.length_mm for stroke in strokes])
    return tuple(
        Line(chain, closed=ring, layer=layer) for chain, ring, layer in zip(chains, rings, layers, strict=True)
    )


def _dark(flat: Flat, tell: Progress) -> tuple[NDArray[np.float32], tuple[Ruling, ...], float]:
    """Darkness of the sheet without its ruling, the ruling, and the share of the sheet in glare."""
    bare = bare_sheet(flat.linear, flat.px_per_mm)
    typical, rms = paper_roughness(bare, flat.px_per_mm)
    if typical > ROUGHEST or rms > ROUGHEST_RMS:
        raise DrawingError(_PHOTOGRAPH)
    tell(0.4, "taking out the light")
    dark = darkness(flat.linear, bare)
    tell(0.5, "taking out the light")
    dark, rulings = without_ruling(dark, flat.px_per_mm)
    margin = max(1, round(MARGIN_MM * flat.px_per_mm))
    dark[:margin] = dark[-margin:] = dark[:, :margin] = dark[:, -margin:] = 0.0
    return dark, rulings, glare_share(bare)


def _notes(
    drawing: Drawing, flat: Flat, ink: Ink, rulings: tuple[Ruling, ...], glare: float, edges: int
) -> tuple[str, ...]:
    notes = []
    if flat.px_per_mm < PLAIN_PX_PER_MM:
        notes.append(
            f"The photo has {flat.px_per_mm:.1f} pixels for each mm of the sheet: lines finer than "
            f"{1.2 / flat.px_per_mm:.1f} mm may be missing. From nearer, or with more pixels, they would show."
        )
    if rulings:
        kind = "squared" if len(rulings) > 1 else "ruled"
        spacing = " and ".join(sorted({f"{ruling.spacing_mm:.1f}" for ruling in rulings}))
        notes.append(
            f"The paper is {kind}, {spacing} mm apart: its ruling was left out. A faint straight line drawn "
            "exactly on it went too."
        )
    if glare > NOTED_GLARE:
        notes.append(
            f"Glare covers {as_share(glare)} of the sheet: lines there cannot be seen. Check them, or turn the lamp."
        )
    if ink.specks > MOST_SPECKS:
        notes.append(f"{ink.specks} dots and specks under 1.5 mm were left out.")
    if edges:
        notes.append("Something dark along the sheet's edge was taken for the edge itself, and left out.")
    if is_outside(drawing):
        notes.append(OUTSIDE)
    return tuple(notes)
