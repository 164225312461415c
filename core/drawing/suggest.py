"""Suggested lines: a line drawing proposed from the reference, from its few strongest contours to every small form.

Edges are the steepest places of CIELAB along its flow (:mod:`core.drawing.suggest_edges`), at a fine and at a coarse
scale; each is measured on both its sides (:mod:`core.drawing.suggest_measure`), mended (:mod:`~.suggest_link`) and
weighed (:mod:`~.suggest_rank`). All is found once; an amount only says from which weight on a line is shown.

Two ways of finding edges were measured, with the same mending and weighing, on a 400 × 300 mm canvas. ``found``: share
of the known contours with a suggested line within 1 mm. ``true``: share of the suggested length within 1 mm of a line
that is there. At the amount 0.5 (``tests/measure/suggest.py``):

===================================  ===================  ================
scene                                gradient along flow  flow-guided DoG
===================================  ===================  ================
demo still life, contours found      0.87                 0.62
demo still life, inner forms found   0.95                 0.46
demo still life, cast shadows found  0.74                 0.36
demo still life, true                0.86                 0.93
four rendered scenes, found          0.997-1.000          0.41-0.75
four rendered scenes, true           0.987-1.000          0.68-0.96
===================================  ===================  ================

The other is the flow-guided difference of Gaussians of Kang, Lee and Chui 2007 with the parameters of Winnemöller,
Kyprianidis and Olsen 2012, its dark bands thinned: it sees lightness alone and lies to the dark side of an edge. Of the
strongest two metres of lines, 0.95 (chelsea, fur), 1.00 (coffee) and 1.00 (astronaut) are suggested again in a
photograph made a stop darker and noisy by the first way, 0.78, 0.99 and 0.99 by the second.

The layer is a guess. Of the demo's painted edges 2 % of the length is taken for ``shadow edge``, of its cast shadows
80 % is recognised. ``contour`` and ``inner form`` are told apart by weight alone: no more is known of them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing.drawing import Drawing, Line
from core.drawing.fit_curve import fit_curves
from core.drawing.sampling import sampled
from core.drawing.suggest_edges import edges_at
from core.drawing.suggest_link import Piece, linked, met, not_doubled, strong_parts
from core.drawing.suggest_measure import measured
from core.drawing.suggest_rank import weights
from core.photo import Photo
from core.size import Size

Array = NDArray[np.float64]
Picture = NDArray[np.float32]
Progress = Callable[[float, str], None]

WORKING_MM = 400.0
"""A canvas whose longer side is this is worked at the lengths below; others in proportion: one steps back from them."""
PX_PER_MM = 3.0
FINE_MM, COARSE_MM = 0.5, 1.5
"""Scales (sigma) at which edges are looked for; the coarse one finds soft edges, where the fine one found none."""
COARSE_PX_PER_MM = 1.0
SHORTEST_MM = 8.0
"""No line is shorter: what is, is speckle."""
GAP_MM = 4.0
"""Gaps that a line goes on across (:func:`core.drawing.suggest_link.linked`)."""
SAME_MM = 2.5
"""A soft edge this near a sharp one is the same."""
MEETING_MM = 3.0
"""A line that ends this near before another is led on to it."""
FAINTEST_STEP = 0.6
"""Change of colour per mm below which nothing is an edge."""
FAINTEST = 2.0
"""Least contrast of a line: about the smallest difference of colour that is seen at all (CIE 1976)."""
TAIL = 0.25
"""A line ends where its contrast falls below this share of what it has where it is strong."""
TOLERANCE_MM = 0.15
SOFT = 0.5
"""A soft edge counts this share of a sharp one."""
UNTINTED = 0.3
"""A shadow's edge changes lightness, and colour by no more than this share of the whole change ..."""
SOFTER = 1.2
"""... and is this many times softer than the picture's sharp edges."""
STRONG = 4.0
"""Contrast above which an edge tells how sharp the picture is."""
CONTOUR_WEIGHT = 0.55


@dataclass(frozen=True)
class SuggestedLine:
    """A line with its ``weight``, 0-1: how much of a contour it is. ``line.layer`` is the layer guessed."""

    line: Line
    weight: float


@dataclass(frozen=True)
class Suggestion:
    """What was found, most important line first. ``shortest_mm``: no line is shorter."""

    size: Size
    lines: tuple[SuggestedLine, ...]
    shortest_mm: float

    def at(self, amount: float) -> list[Line]:
        """The lines for an ``amount`` from 0 (few) to 1 (all); more always adds to what less has."""
        if not 0.0 <= amount <= 1.0:
            raise ValueError(f"An amount of lines is within 0-1, not {amount}.")
        return [each.line for each in self.lines if each.weight >= 1.0 - amount]

    def drawing(self, amount: float) -> Drawing:
        """The same as a drawing, layer by layer."""
        return Drawing(self.size, tuple(sorted(self.at(amount), key=lambda line: line.layer)))


def suggest_lines(reference: Flat | Photo, *, size: Size | None = None, progress: Progress | None = None) -> Suggestion:
    """Propose the lines of a reference that fills the canvas, in mm on its face.

    ``reference``: a Flat, or a Photo (then ``size`` is needed) cropped to the canvas; any resolution. A picture that is
    even all over gives no lines. ``progress(share, doing)`` may raise CancelledError.
    """
    tell = progress if progress is not None else _silent
    canvas = reference.size if isinstance(reference, Flat) else size
    if canvas is None:
        raise ValueError("A photo needs the canvas size.")
    unit = max(canvas.width_mm, canvas.height_mm) / WORKING_MM
    tell(0.0, "Looking at the reference")
    lab = _lab(reference, canvas, working_px_per_mm(canvas))
    tell(0.2, "Finding edges")
    seen = reference.seen if isinstance(reference, Flat) else None
    fine = _pieces(lab, PX_PER_MM, FINE_MM, 1.0, seen)
    tell(0.6, "Finding soft edges")
    small = _shrunk(lab, COARSE_PX_PER_MM / PX_PER_MM)
    coarse = _pieces(small, COARSE_PX_PER_MM, COARSE_MM, SOFT, seen)
    tell(0.75, "Joining lines")
    least = round(0.5 * SHORTEST_MM * COARSE_PX_PER_MM)
    pieces = fine + not_doubled(coarse, fine, within_mm=SAME_MM, least=least)
    pieces = [piece for piece in linked(pieces, gap_mm=GAP_MM) if piece.length_mm >= SHORTEST_MM]
    pieces = met(pieces, reach_mm=MEETING_MM)
    tell(0.85, "Drawing lines")
    lines = _drawn(pieces, canvas, unit)
    tell(1.0, "Done")
    return Suggestion(canvas, tuple(lines), SHORTEST_MM * unit)


def working_px_per_mm(size: Size) -> float:
    """The resolution at which a canvas is looked at: a finer reference is no better."""
    return PX_PER_MM * WORKING_MM / max(size.width_mm, size.height_mm)


def _silent(share: float, doing: str) -> None:
    pass


def _lab(reference: Flat | Photo, size: Size, px_per_mm: float) -> Picture:
    """CIELAB of the reference at the working resolution ``(H, W, 3)``."""
    width, height = round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm)
    linear = reference.linear if isinstance(reference, Flat) else reference.reduced(max(width, height))
    shape = linear.shape[:2]
    if shape != (height, width):
        way = cv2.INTER_AREA if width <= shape[1] else cv2.INTER_CUBIC
        linear = np.asarray(cv2.resize(linear, (width, height), interpolation=way), dtype=np.float32)
    return np.asarray(cv2.cvtColor(np.clip(np.nan_to_num(linear), 0.0, 1.0), cv2.COLOR_LRGB2Lab), dtype=np.float32)


def _shrunk(picture: Picture, share: float) -> Picture:
    return np.asarray(cv2.resize(picture, None, fx=share, fy=share, interpolation=cv2.INTER_AREA), dtype=np.float32)


def _pieces(
    lab: Picture, px_per_mm: float, sigma_mm: float, share: float, seen: NDArray[np.bool_] | None
) -> list[Piece]:
    """What counts among the edges at one scale, in working mm."""
    sigma = sigma_mm * px_per_mm
    faintest = FAINTEST_STEP / px_per_mm * FINE_MM / sigma_mm
    least = max(3, round(0.5 * SHORTEST_MM * px_per_mm))
    edges = edges_at(lab, sigma_px=sigma, faintest=faintest, spur_px=2.5 * px_per_mm, least=least)
    lines = edges.lines
    if not lines:
        return []
    found = measured(lines, lab, edges.steep, px_per_mm=px_per_mm, sigma_px=sigma)
    score = share * np.sqrt(found.near * found.far) * found.crest
    if seen is not None:
        score = score * _well_seen(seen, lab.shape, np.concatenate([line.points for line in lines]), 3.0 * sigma)
    soft = found.tint < UNTINTED
    if share == 1.0:  # at the coarse scale, only what the fine one found too soft is left
        strong = score > STRONG
        sharpest = np.percentile(found.width[strong], 25) if strong.any() else np.inf
        soft &= found.width > SOFTER * sharpest
    cuts = np.flatnonzero(np.diff(found.of)) + 1
    parts = zip(lines, np.split(score, cuts), np.split(soft, cuts), strict=True)
    whole = [Piece((line.points + 0.5) / px_per_mm, part, flag, line.closed) for line, part, flag in parts]
    gap = round(GAP_MM * px_per_mm)
    return [
        part
        for piece in whole
        for part in strong_parts(piece, faintest=FAINTEST * share, share=TAIL, gap=gap, least=least)
    ]


def _well_seen(seen: NDArray[np.bool_], shape: tuple[int, ...], points: Array, margin_px: float) -> NDArray[np.bool_]:
    """Whether points ``(n, 2)`` px of a picture of ``shape`` are farther than a margin from what was not seen."""
    scaled = cv2.resize(seen.astype(np.uint8), (shape[1], shape[0]), interpolation=cv2.INTER_NEAREST)
    inside = cv2.distanceTransform(scaled, cv2.DIST_L2, cv2.DIST_MASK_5)
    return np.asarray(sampled(np.asarray(inside, dtype=np.float32), points) > margin_px)


def _sparse(points: Array) -> Array:
    """Every other point, and the last."""
    return np.concatenate([points[:-1:2], points[-1:]])


def _drawn(pieces: Sequence[Piece], size: Size, unit: float) -> list[SuggestedLine]:
    """The pieces as smooth lines in mm, most important first."""
    chains = fit_curves(
        [_sparse(piece.points) * unit for piece in pieces],
        tolerance_mm=TOLERANCE_MM * unit,
        closed=[piece.closed for piece in pieces],
    )
    weighed = weights(pieces, size.width_mm / unit, size.height_mm / unit)
    answer = []
    for piece, chain, weight in zip(pieces, chains, weighed, strict=True):
        layer = "contour" if weight >= CONTOUR_WEIGHT else "inner form"
        layer = "shadow edge" if piece.soft.mean() > 0.5 else layer
        line = Line(chain, closed=piece.closed, layer=layer)
        if np.linalg.norm(np.diff(line.polyline(), axis=0), axis=1).sum() >= SHORTEST_MM * unit:
            answer.append(SuggestedLine(line, weight))
    return sorted(answer, key=lambda each: -each.weight)
