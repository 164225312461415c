"""The value question as part of the desk: what its panel's buttons and its actions do."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.pointer_reading import read_at
from app.pointers import Teller
from app.prints import PrintKey
from app.questions.value import ValuePanel
from app.saving import Saving
from app.studio import Studio
from app.values.jobs import draw_plan, measure_reach
from app.values.marks import place_at
from app.values.pages import MarksOrder, PairOrder, write_marks, write_pair
from app.values.settings import KEYINGS, Values
from app.view import Look, Question, Subject
from core.drawing.drawing import Drawing

if TYPE_CHECKING:
    from app.view import View

SHAPES, MEASURE, PRINT = "shapes of the plan", "measure the reach", "saving a page of values"
_READING = "The reference is still being read. Try again in a moment."
_DRAWING_READ = "The painting’s own drawing is still being read. Try again in a moment."
_NEEDS_CHECK = "The reach is measured on a canvas photo that has been checked: check the canvas first."


class Valuing:
    """``handlers`` are those of the desk's actions."""

    def __init__(self, studio: Studio, panel: ValuePanel, dialogs: Dialogs, say: Say, desk: QWidget) -> None:
        self._studio, self._panel, self._say = studio, panel, say
        self._saving = Saving(studio.worker, dialogs, say, desk)
        panel.plan.shapes_wanted.connect(self.draw_shapes)
        panel.reach.measure_wanted.connect(self.measure)
        panel.reach.refused.connect(say)
        panel.prints.marks_wanted.connect(self.print_marks)
        panel.prints.pair_wanted.connect(self.print_pair)

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {
            "first_marks": partial(self._show, lambda v: replace(v, marks=not v.marks)),
            "order_of_work": partial(self._show, lambda v: replace(v, order=not v.order)),
            "next_region": partial(self._panel.order.step, 1),
            "previous_region": partial(self._panel.order.step, -1),
            "keying": partial(self._show, next_keying),
            "beyond_reach": partial(self._show, lambda v: replace(v, beyond=not v.beyond)),
            "grey_pair": self.print_pair,
        }

    @property
    def teller(self) -> Teller:
        """What is told of the place under the pointer."""

        def show(at: tuple[float, float] | None) -> None:
            self._panel.show_reading(None if at is None else read_at(self._studio, *at))

        return Teller(show, lambda x_mm, y_mm: read_at(self._studio, x_mm, y_mm).at_pointer)

    def draw_shapes(self) -> None:
        """Put the borders of the plan into the drawing, in one step that can be undone."""
        studio = self._studio
        sheet, plan = studio.values.sheet(), studio.values.plan()
        if sheet is None or plan is None:
            self._say(self._why_not())
            return
        work = partial(draw_plan, sheet, studio.values.keyed, plan, studio.values.squint_mm, studio.painting.size)
        studio.worker.run(SHAPES, work, self._take_shapes, self._say)

    def measure(self) -> None:
        """Take the darkest and the lightest that stand on the canvas for the reach."""
        checked = self._studio.checked
        value_canvas = checked.maps.get("value_canvas") if checked is not None else None
        if checked is None or value_canvas is None:
            self._say(_NEEDS_CHECK)
            return
        sure = checked.findings.value_uncertainty or 0.0
        work = partial(measure_reach, value_canvas, self._studio.painting.size, sure)
        self._studio.worker.run(MEASURE, work, self._panel.reach.take, self._say)

    def print_marks(self) -> None:
        """Write the page of first marks and the order of work."""
        studio, reads = self._studio, self._studio.values
        sheet, marks, work, key = reads.sheet(), reads.marks(), reads.work(), self._key()
        if sheet is None or marks is None or work is None or key is None:
            self._say(self._why_not())
            return
        path = self._saving.ask("first marks", studio.painting.title)
        if path is not None:
            values = studio.view.values
            order = MarksOrder(
                sheet, key, marks, work, place_at(work, values.at), values.printed, studio.painting.title
            )
            self._saving.write(PRINT, path, partial(write_marks, order))

    def print_pair(self) -> None:
        """Write the grey pair."""
        studio, key = self._studio, self._key()
        if key is None:
            self._say(self._why_not())
            return
        path = self._saving.ask("grey pair", studio.painting.title)
        if path is not None:
            view, printed = studio.view, studio.view.values.printed
            squaring = view.squaring.held_to(studio.painting.size) if printed.with_grid else None
            keyed = ", keyed," if key.keyed is not None else ""
            order = PairOrder(
                key, studio.room.held_photo(key.source), printed, squaring, f"{studio.painting.title}{keyed}"
            )
            self._saving.write(PRINT, path, partial(write_pair, order))

    def _key(self) -> PrintKey | None:
        """The reference as it hangs in colour."""
        source = self._studio.source(Subject.REFERENCE)
        return None if source is None else PrintKey(source, True, Look.COLOUR, keyed=self._studio.values.keyed)

    def _why_not(self) -> str:
        return self._studio.values.why_not() or _READING

    def _take_shapes(self, shapes: Drawing) -> None:
        """Those of an earlier plan go; all other lines and the landmarks stay."""
        studio = self._studio
        if not studio.keep_now():
            return  # and it has been said why
        if studio.worker.is_busy("drawing"):
            self._say(_DRAWING_READ)
            return
        from core.plan_drawing import LAYER

        before = studio.drawing or Drawing(shapes.size)
        others = tuple(line for line in before.lines if line.layer != LAYER)
        many = len(shapes.lines)
        studio.keep_drawing(Drawing(shapes.size, (*others, *shapes.lines), before.landmarks), "drew the value plan")
        if studio.keep_now():
            self._say(f"{many} line{'' if many == 1 else 's'} of the value plan are in the drawing.", passing=True)

    def _show(self, change: Callable[[Values], Values]) -> None:
        """Change what lies over the reference, with the panel beside it."""
        view: View = replace(self._studio.view, values=change(self._studio.view.values))
        self._studio.change_view(replace(view, question=Question.VALUE))


def next_keying(values: Values) -> Values:
    """The next way to key, and after the last none."""
    return replace(values, keying=KEYINGS[(KEYINGS.index(values.keying) + 1) % len(KEYINGS)])
