"""From the view to what hangs: the titles, what lies over each picture, and its legend."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from PySide6.QtGui import QColor, QImage

from app import look
from app.checks import Checked
from app.edges.hung import EdgeShown
from app.picture import Picture
from app.prints import Print, PrintKey, Source
from app.temperatures.hung import warm_legend, warm_title
from app.temperatures.looks import Warm
from app.values.looks import PlanKey, keyed_key, reach_of
from app.values.settings import Between
from app.view import COMPARED, EDGE_LOOKS, Hung, Look, Question, Subject, View
from app.wall.acetate import Acetate, Ink
from app.wall.areas import NumberedArea, NumberedAreas
from app.wall.arrows import DriftArrow, DriftArrows
from app.wall.hanging import Hanging, Overlay
from app.wall.legend import Legend
from app.wall.squaring import SquaringGrid
from app.wall.value_marks import ValueMarks
from core.drawing.squaring import Grid, Squaring, squaring_grid
from core.size import Size

ACETATE = {
    "black": QColor(16, 16, 16),
    "white": QColor(250, 250, 250),
    "vermilion": QColor(213, 94, 0),
    "blue": QColor(0, 90, 170),
    "yellow": QColor(240, 228, 66),
}
"""Told apart by lightness too, and by colour-blind eyes: vermilion and yellow after Okabe and Ito (2008)."""

LaysOver = Callable[[Hung], Sequence[Overlay]]
MOST_ARROWS = 40
_HATCHED = (Look.COLOUR, Look.GREY)
"""The looks in which what is beyond the reach of paint is hatched."""


@dataclass(frozen=True, eq=False)
class Material:
    """All that the hangings of one moment are made from. ``light_out``: the light is taken out of ``canvas``.
    ``boundaries`` between the value steps: None until known. ``warm``: what the warmth of each picture is shown by;
    ``edge``: what the reference's edges are.
    ``laid_over``: what the questions lay over a picture beside what a check found."""

    view: View
    reference: Source | None
    canvas: Source | None
    canvas_name: str
    light_out: bool
    ink: Ink | None
    checked: Checked | None
    chosen_area: int | None = None
    chosen_landmark: int | None = None
    arrows_times: float = 1.0
    boundaries: tuple[float, ...] | None = None
    marks: ValueMarks | None = None
    pointed: Overlay | None = None
    warm: Mapping[Subject, Warm] = field(default_factory=dict)
    edge: EdgeShown = field(default_factory=EdgeShown)
    laid_over: tuple[LaysOver, ...] = ()


def print_key(material: Material, hung: Hung) -> PrintKey | None:
    """The print that a place wants; None when its picture is not there, or is the difference."""
    source = material.canvas if hung.subject is Subject.CANVAS else material.reference
    if source is None or hung.look in COMPARED:
        return None
    view, plan = material.view, plan_of(material)
    of_reference = hung.subject is Subject.REFERENCE
    key = PrintKey(
        source=source,
        flat=lies_flat(material, hung),
        look=hung.look,
        squint_mm=view.squint_mm if view.squint else 0.0,
        keyed=keyed_key(view.values) if of_reference else None,
        beyond=_beyond(view) if of_reference and hung.look in _HATCHED else None,
    )
    if hung.subject in material.warm and (warm := material.warm[hung.subject].key(view.temperatures, hung.look)):
        return replace(key, warm=warm, keyed=None)
    if hung.look in EDGE_LOOKS:
        edge = material.edge.key(hung.look)
        return replace(key, look=Look.COLOUR) if edge is None else replace(key, edge=edge, keyed=None)
    if hung.look is Look.UNDERPAINTING:
        return replace(key, earth=view.values.earth) if of_reference else replace(key, look=Look.COLOUR)
    if hung.look is not Look.STEPS:
        return key
    # Until the boundaries have been found, grey stands in.
    return replace(key, look=Look.GREY) if plan is None else replace(key, plan=plan)


def plan_of(material: Material) -> PlanKey | None:
    """The value plan as it is shown: the same for the reference and for the canvas; None until it is known."""
    values, boundaries = material.view.values, material.boundaries
    if boundaries is None:
        return None
    return PlanKey(boundaries, values.between is Between.EQUAL, values.smallest_mm2, values.alone)


def _beyond(view: View) -> tuple[float, float] | None:
    if not view.values.beyond:
        return None
    reach = reach_of(view.values)
    return reach.darkest, reach.lightest


def lies_flat(material: Material, hung: Hung) -> bool:
    """The reference always does; the canvas once its corners are placed, unless it is wanted as shot."""
    if hung.subject is Subject.REFERENCE:
        return True
    source = material.canvas
    return source is not None and source.can_lie_flat and not material.view.as_shot


def title(material: Material, hung: Hung) -> str:
    view = material.view
    if hung.look in COMPARED:
        known = material.checked is not None and material.checked.compared(hung.look) is not None
        named = "Value difference" if hung.look is Look.DIFFERENCE else "Warmth difference"
        return f"{named} · {material.canvas_name}{'' if known else ' · not checked yet'}"
    subject = _reference_title(view) if hung.subject is Subject.REFERENCE else material.canvas_name
    words = {Look.GREY: "grey", Look.STEPS: _steps_title(view), Look.UNDERPAINTING: f"in {view.values.earth}"}
    words |= warm_title(view.temperatures) | material.edge.titles
    parts = [subject, *([words[hung.look]] if hung.look in words else [])]
    if view.squint:
        parts.append(f"squint {view.squint_mm:g} mm")
    if hung.subject is Subject.CANVAS and material.canvas is not None:
        if not material.canvas.can_lie_flat:
            parts.append("corners not placed")
        elif view.as_shot:
            parts.append("as shot")
        elif material.light_out:
            parts.append("light out")
    return " · ".join(parts)


def _reference_title(view: View) -> str:
    return "Reference, keyed" if view.values.is_keyed else "Reference"


def _steps_title(view: View) -> str:
    alone = view.values.alone
    return f"{view.steps} steps" if alone is None else f"step {alone + 1} of {view.steps}"


def hang(material: Material, hung: Hung, made: Print) -> Hanging:
    """One place on the wall."""
    return Hanging(
        title=title(material, hung),
        picture=made.picture,
        mapping=made.mapping,
        overlays=tuple(overlays(material, hung)),
        legend=difference_legend() if hung.look is Look.DIFFERENCE else warm_legend(hung.look, material.view),
        is_measured=_is_placed(material, hung),
        of_canvas=hung.subject is Subject.CANVAS,
    )


def overlays(material: Material, hung: Hung) -> Sequence[Overlay]:
    """The squaring grid undermost, then the acetate, areas and arrows, first marks and the order of work."""
    found: list[Overlay] = []
    on_canvas = hung.subject is Subject.CANVAS
    placed = _is_placed(material, hung)
    source = material.reference or material.canvas
    if material.view.grid and placed and source is not None:
        found.append(SquaringGrid(_grid(source.size, material.view.squaring)))
    if hung.acetate and material.ink is not None and placed:
        found.append(acetate_of(material.ink, material.view))
    if material.checked is not None and on_canvas and placed:
        found += _found(material, material.checked, hung)
    if material.marks is not None and not on_canvas:
        found.append(material.marks)
    if material.pointed is not None and on_canvas and placed:
        found.append(material.pointed)
    for lay in material.laid_over if placed else ():
        found += lay(hung)
    return found


def acetate_of(ink: Ink, view: View) -> Acetate:
    """The line drawing as the painter wants it to look."""
    style = view.acetate
    return Acetate(
        ink,
        strength=style.strength,
        colour=ACETATE[style.colour],
        weight_mm=style.weight_mm,
        landmarks=style.landmarks,
    )


@lru_cache(maxsize=4)
def _grid(size: Size, wanted: Squaring) -> Grid:
    """The same grid for every hanging, so that its lines are made only once."""
    return squaring_grid(size, wanted.held_to(size))


def _is_placed(material: Material, hung: Hung) -> bool:
    """Whether it is known how the canvas lies in the picture."""
    return hung.subject is Subject.REFERENCE or (material.canvas is not None and material.canvas.can_lie_flat)


def difference_legend() -> Legend:
    """The colours of the value difference with as few words as fit under them."""
    from core.value.picture import legend

    stops = tuple((QColor(*rgb), _short(low, high)) for _, rgb, (low, high) in legend())
    return Legend(stops, title="Steps too dark (−) or too light (+)")


def _short(low: float, high: float) -> str:
    """How far a colour goes, as short as can be: the bound that is further from right."""
    if math.isnan(low):
        return "?"
    if low < 0 < high:
        return "0"
    if math.isinf(low):
        return f"< {_signed(high)}"
    return f"> {_signed(low)}" if math.isinf(high) else _signed(high if high > 0 else low)


def _signed(steps: float) -> str:
    return f"{steps:g}" if steps > 0 else f"−{abs(steps):g}"


def _found(material: Material, checked: Checked, hung: Hung) -> list[Overlay]:
    found: list[Overlay] = []
    wants_areas = (material.view.areas and hung.look is Look.DIFFERENCE) or material.chosen_area is not None
    if wants_areas and checked.outlines:
        areas = tuple(NumberedArea(str(n), outlines) for n, outlines in checked.outlines.items())
        chosen = None if material.chosen_area is None else str(material.chosen_area)
        found.append(NumberedAreas(areas, chosen=chosen))
    told = checked.findings.told_landmarks[:MOST_ARROWS]
    # Over greys they would hide the values, unless it is the drawing that is asked about.
    question = material.view.question
    clear = hung.look is Look.COLOUR or (hung.look is Look.GREY and question is Question.DRAWING)
    clear &= question not in (Question.EDGE, Question.TEMPERATURE)  # the numbers there are their own
    if material.view.arrows and told and clear:
        arrows = tuple(
            DriftArrow(
                str(mark.number),
                (mark.x_mm, mark.y_mm),
                (mark.x_mm + (mark.dx_mm or 0.0), mark.y_mm + (mark.dy_mm or 0.0)),
                mark.by_hand,
            )
            for mark in told
        )
        chosen = None if material.chosen_landmark is None else str(material.chosen_landmark)
        numbered = question is not Question.MEND  # the list there counts otherwise
        times = material.arrows_times
        found.append(DriftArrows(arrows, times=times, colour=look.INK, chosen=chosen, numbered=numbered))
    return found


@cache
def plain_sheet() -> Picture:
    """For the moment before the first picture is ready."""
    image = QImage(8, 6, QImage.Format.Format_RGB32)
    image.fill(QColor(look.neutral(6.0)))
    return Picture.from_qimage(image)
