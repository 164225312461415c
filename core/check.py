"""One canvas photo against the reference: the canvas laid flat, then the questions asked in order.

The canvas is laid flat from its own corners, never from the painted picture; the drift is measured next, since a
moved form would otherwise be counted as a wrong value; then the light is taken out and the values are compared.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.beside import beside
from core.blank import blank_flat
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix, locate_canvas
from core.check_edges import CheckedEdges, edges_of_check
from core.check_glare import LampMoved, WithoutGlare, glare_taken_out
from core.check_light import KnownGrey, light_of
from core.check_reference import ReferenceKept, ReferenceWanted
from core.check_warmth import CheckedWarmth, warmth_of_check
from core.drawing.by_hand import Hand, corrected
from core.drawing.drawing import Drawing
from core.drawing.drift import Drift, measure_drift, warp_reference
from core.drawing.svg_read import read_drawing
from core.edge.brief import EdgeBrief
from core.edge.compare import ReferenceEdges
from core.errors import PainterError
from core.mend import Finding, to_mend
from core.mend_weights import USUAL_WEIGHTS, MendWeights
from core.photo import Photo, load_photo
from core.size import Size
from core.tone import value_of_linear
from core.value.compare import ValueComparison, compare_values
from core.value.glare import Glare
from core.value.keying import Keying
from core.value.light import LightCorrection
from core.value.reach import OIL, Reach
from core.words import as_share

Map = NDArray[np.float32]
Progress = Callable[[float, str], None]
_Blank = tuple[Flat | None, tuple[str, ...]]

FINEST_PX_PER_MM = 4.0
_HARDLY_TOLD_STEPS = 3.0
MOST_PIXELS = 4_000_000
"""The pictures compared are no finer than these: brushwork says nothing below a quarter of a millimetre."""


@dataclass(frozen=True)
class CheckRequest:
    """Everything one check needs. ``corners_px``: ``(4, 2)`` photo pixels, or None to find the outline.

    ``by_hand``: landmarks that the painter placed on the canvas photo, by name. ``keying``: how the reference is keyed
    into the ``reach`` of the paint (None: that of oil) before anything is compared with it; None: not at all.
    ``greys``: places in the canvas photo whose value is known; ``chart``: whether a colour chart lies in it.
    ``lamp_moved``: photos of the painting in the same state with the lamp moved, which take the glare out of ``photo``;
    the blank, greys and chart belong to the light of ``photo``. ``weights``: of the questions in the list to mend.
    ``edge_brief``: of the edge plan that the canvas is held against; None: against the reference's own edges.
    """

    reference: Photo
    photo: Photo
    size: Size
    drawing: Drawing | None = None
    corners_px: NDArray[np.float64] | None = None
    blank: Photo | None = None
    steps: int = 10
    reference_crop: NDArray[np.float64] | None = None
    by_hand: Mapping[str, Hand] = field(default_factory=dict)
    keying: Keying | None = None
    reach: Reach | None = None
    greys: tuple[KnownGrey, ...] = ()
    chart: bool = False
    lamp_moved: tuple[LampMoved, ...] = ()
    weights: MendWeights = USUAL_WEIGHTS
    edge_brief: EdgeBrief | None = None

    @property
    def keyed(self) -> bool:
        return self.keying is not None and self.keying is not Keying.NONE


@dataclass(frozen=True)
class CheckResult:
    """What was found. Pictures are laid flat at ``canvas.px_per_mm``; light is taken out of ``canvas_lit``; the
    reference is the keyed one where the request asks for it.

    ``drift`` has the landmarks placed by hand in it; ``measured`` is the drift without them, None when there are none.
    ``warmth``, ``edges``: the answers to those questions; of warmth there is none when reference or canvas have no
    colour, or too little is right to tell, which ``warmth_refused`` says.
    ``merged``: how glare was taken out by photos with the lamp moved, None when none was given; ``canvas`` has it done.
    """

    request: CheckRequest
    fix: CanvasFix
    reference: Flat
    canvas: Flat
    canvas_lit: Map
    glare: Glare
    light: LightCorrection
    drift: Drift
    values: ValueComparison
    value_reference: Map
    value_canvas: Map
    mend: tuple[Finding, ...]
    notes: tuple[str, ...] = field(default=())
    measured: Drift | None = None
    merged: WithoutGlare | None = None
    warmth: CheckedWarmth | None = None
    edges: CheckedEdges | None = None
    warmth_refused: str = ""

    @property
    def size(self) -> Size:
        return self.request.size

    @property
    def withheld(self) -> NDArray[np.bool_]:
        """Places of the canvas that the photo does not show, ``(H, W)`` bool: glare, or out of the frame."""
        return _withheld(self.glare, self.canvas)

    @property
    def certainty(self) -> tuple[str, ...]:
        """How sure the answers are and what was withheld, in sentences."""
        corners = {"given": "as given", "tabs": "by their tabs"}.get(self.fix.found_by, "found by their outline")
        shared = [
            f"Canvas: laid flat to within {max(0.1, self.fix.uncertainty_mm):.1f} mm, its corners {corners}; "
            f"the photo supports {self.fix.px_per_mm:.1f} px/mm.",
            _light_words(self.light),
        ]
        merged = self.merged
        if merged is not None and merged.say:
            shared.append(merged.say)
        shared += [each.certainty for each in (self.edges, self.warmth) if each is not None]
        if self.drift.landmarks:
            by_hand = sum(mark.by_hand for mark in self.drift.landmarks)
            measured = sum(mark.confidence >= 0.5 and not mark.by_hand for mark in self.drift.landmarks)
            placed = f", {by_hand} placed by hand" if by_hand else ""
            shared.append(f"Drawing: {measured} of {len(self.drift.landmarks)} landmarks could be measured{placed}.")
        if self.request.keyed:
            reach = self.request.reach or OIL
            shared.append(
                f"Values: judged against the keyed reference ({self.request.keying}, "
                f"within {reach.darkest:.1f} to {reach.lightest:.1f})."
            )
        reasons = {
            "under glare" if merged is None or merged.taken_out is None else "under glare in every photo": (
                self.glare.share
            ),
            "over-exposed": self.glare.burnt_out,
            "where the drawing has moved": self.values.moved_share,
        }
        told = ", ".join(f"{as_share(share, places=1)} {why}" for why, share in reasons.items() if share >= 0.0005)
        withheld = float(np.isnan(self.values.difference).mean())
        shared.append(f"Withheld: {as_share(withheld)} of the values{f' ({told})' if told else ''}.")
        return (*shared, *self.notes)


def load_request(
    *,
    reference: Path,
    photo: Path,
    size: Size,
    drawing: Path | None = None,
    corners_px: ArrayLike | None = None,
    blank: Path | None = None,
    steps: int = 10,
    **more: Any,
) -> CheckRequest:
    """Read the files of one check. Raises a PainterError sentence for any that cannot be used.

    ``more``: other fields of :class:`CheckRequest`, as they are.
    """
    if not 2 <= steps <= 10:
        raise PainterError(f"Value steps go from 2 to 10; {steps} was asked for.")
    return CheckRequest(
        reference=load_photo(reference),
        photo=load_photo(photo),
        size=size,
        drawing=None if drawing is None else read_drawing(drawing, size),
        corners_px=None if corners_px is None else np.asarray(corners_px, dtype=np.float64),
        blank=None if blank is None else load_photo(blank),
        steps=steps,
        **more,
    )


def run_check(
    request: CheckRequest,
    *,
    progress: Progress | None = None,
    kept: ReferenceKept | None = None,
    fix: CanvasFix | None = None,
) -> CheckResult:
    """Ask the questions of one canvas photo.

    ``progress(share 0-1, what is being done)`` may raise CancelledError to stop. ``kept``: the reference's side of the
    checks before, which saves making it again; ``fix``: where the canvas lies in the photo, when that has just been
    found. Raises CanvasError when the canvas cannot be found or laid flat.
    """
    tell = progress or (lambda share, doing: None)
    tell(0.0, "finding the canvas")
    if fix is None:
        fix = locate_canvas(request.photo, request.size, corners_px=request.corners_px, reference=request.reference)
    px_per_mm = working_px_per_mm(request.size, fix.px_per_mm)
    tell(0.2, "laying it flat")
    held = kept or ReferenceKept()
    canvas = lay_flat(request.photo, fix.corners_px, request.size, k1=fix.k1, px_per_mm=px_per_mm)
    reference, crop_notes = held.flat(
        ReferenceWanted(
            request.reference, request.reference_crop, request.size, px_per_mm, request.keying, request.reach
        )
    )
    found = fix
    with (
        beside(lambda: held.edges(reference)) as reference_edges,
        beside(lambda: _blank(request, found, px_per_mm)) as blank,
    ):
        answer = _asked(request, fix, canvas, reference, reference_edges, blank, tell)
    tell(1.0, "done")
    return replace(answer, notes=_once(*crop_notes, *answer.notes))


def _asked(
    request: CheckRequest,
    fix: CanvasFix,
    canvas: Flat,
    reference: Flat,
    reference_edges: Callable[[], ReferenceEdges],
    blank: Callable[[], _Blank],
    tell: Progress,
) -> CheckResult:
    seen = glare_taken_out(
        canvas,
        reference,
        request.lamp_moved,
        like=request.reference,
        progress=lambda share, doing: tell(0.35 + 0.05 * share, doing),
    )
    canvas, glare = seen.canvas, seen.glare
    measured = measure_drift(
        reference,
        canvas,
        landmarks=request.drawing.landmarks if request.drawing else (),
        withheld=glare.withheld,
        progress=lambda share, _: tell(0.4 + 0.3 * share, "measuring the drawing"),
    )
    drift = corrected(measured, request.by_hand)
    tell(0.7, "taking out the light")
    moved = replace(reference, linear=warp_reference(reference, drift))
    light, light_notes = _light(request, fix, seen, moved, blank())
    lit = replace(canvas, linear=light.apply(canvas.linear))
    tell(0.75, "comparing edges and temperatures")
    withheld = _withheld(glare, canvas)
    with beside(
        lambda: warmth_of_check(reference, moved, lit, withheld=withheld, balance_known=light.level_known)
    ) as temperatures:
        edges, edge_notes = edges_of_check(
            reference,
            lit,
            drift=drift,
            withheld=withheld,
            photo=request.photo,
            fix=fix,
            prepared=reference_edges(),
            brief=request.edge_brief,
        )
    warmth, warmth_notes = temperatures()
    tell(0.9, "comparing values")
    answer = _compared(request, fix, reference, moved, canvas, lit, glare, light, drift, warmth, edges)
    doubt = answer.values.relations.contrast_doubt(light.contrast_left)
    drawing_notes = request.drawing.notes if request.drawing else ()
    told = (*fix.notes, *seen.notes, *light_notes, *light.notes, doubt, *edge_notes, *warmth_notes)
    return replace(
        answer,
        notes=(*drawing_notes, *told),
        warmth_refused="" if warmth is not None else " ".join(warmth_notes),
        measured=None if drift is measured else measured,
        merged=seen if request.lamp_moved else None,
    )


def _blank(request: CheckRequest, fix: CanvasFix, px_per_mm: float) -> _Blank:
    if request.blank is None:
        return None, ()
    return blank_flat(request.blank, request.photo, fix, request.size, px_per_mm)


def _light(
    request: CheckRequest, fix: CanvasFix, seen: WithoutGlare, moved: Flat, laid: _Blank
) -> tuple[LightCorrection, tuple[str, ...]]:
    """The light of the photo itself, in which the canvas still is when others have taken its glare out."""
    canvas, (blank, blank_notes) = seen.canvas, laid
    greys, hidden = seen.in_the_light(request.greys, request.photo, fix)
    light, grey_notes = light_of(
        request.photo,
        fix,
        canvas,
        moved,
        blank=blank,
        withheld=seen.glare.withheld,
        greys=greys,
        chart=request.chart,
    )
    return light, (*blank_notes, *hidden, *grey_notes)


def _compared(
    request: CheckRequest,
    fix: CanvasFix,
    reference: Flat,
    moved: Flat,
    canvas: Flat,
    lit: Flat,
    glare: Glare,
    light: LightCorrection,
    drift: Drift,
    warmth: CheckedWarmth | None,
    edges: CheckedEdges,
) -> CheckResult:
    value_reference, value_canvas = value_of_linear(reference.linear), value_of_linear(lit.linear)
    values = compare_values(
        value_reference,
        value_canvas,
        px_per_mm=canvas.px_per_mm,
        moved_reference_value=value_of_linear(moved.linear),
        withheld=_withheld(glare, canvas),
        uncertainty_steps=light.uncertainty_steps,
        level_known=light.level_known,
        keyed=request.keyed,
    )
    return CheckResult(
        request=request,
        fix=fix,
        reference=reference,
        canvas=canvas,
        canvas_lit=lit.linear,
        glare=glare,
        light=light,
        drift=drift,
        values=values,
        value_reference=value_reference,
        value_canvas=value_canvas,
        mend=to_mend(
            drift,
            values.passages,
            request.size,
            relations=values.relations,
            edges=edges.comparison.faults,
            edges_whole=edges.comparison.whole,
            warmth=() if warmth is None else warmth.comparison.passages,
            weights=request.weights,
        ),
        warmth=warmth,
        edges=edges,
    )


def _once(*sentences: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for each in sentences if each))


def working_px_per_mm(size: Size, supported: float) -> float:
    """The resolution pictures are compared at: what the photo supports, within what brushwork can tell."""
    by_pixels = float(np.sqrt(MOST_PIXELS / (size.width_mm * size.height_mm)))
    return min(FINEST_PX_PER_MM, supported, by_pixels)


def _light_words(light: LightCorrection) -> str:
    """How the light was taken out; by what is known of its level, the light itself tells."""
    way = {"blank": " by the photo of the blank canvas", "fit": " by a fit to the reference"}.get(light.source, "")
    if light.uncertainty_steps > _HARDLY_TOLD_STEPS:
        return f"Light: it could not be taken out{way}; the values can hardly be told. {light.level_note}".rstrip()
    told = f"Light: taken out{way}; values are good to ± {max(0.1, light.uncertainty_steps):.1f} step."
    return f"{told} {light.level_note}" if light.source == "card" else told


def _withheld(glare: Glare, canvas: Flat) -> NDArray[np.bool_]:
    return glare.withheld if canvas.seen is None else glare.withheld | ~canvas.seen
