"""The temperature question as part of the desk: what its panel's buttons and its actions do, and what lies over the
pictures."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject

from app.checking import Checking, Say
from app.pointers import Teller
from app.questions.temperature import TemperaturePanel
from app.studio import Studio
from app.temperatures.pointing import For, Pointing
from app.temperatures.reading_fold import set_warmth
from app.temperatures.words import shortly
from app.view import Hung, Look, Question, Subject
from app.wall.areas import NumberedArea, NumberedAreas
from app.wall.grasp import CanvasTool
from app.wall.hanging import Overlay
from app.wall.pin_marks import MarkedPin, PinMarks
from app.wall.wall_view import WallView

_OUTLINED = frozenset({Look.COLOUR, Look.GREY, Look.LEAN})


class Warming(QObject):
    """``handlers`` are those of the desk's actions; ``teller`` tells of the place under the pointer."""

    def __init__(
        self,
        studio: Studio,
        panel: TemperaturePanel,
        wall: WallView,
        otherwise: CanvasTool,
        say: Say,
        focus_wall: Callable[[], None],
        rest: Callable[[], None],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._studio, self._panel = studio, panel
        self._passage: int | None = None
        self._photo: int | None = None
        self.pointing = Pointing(studio, wall, otherwise, say, focus_wall, rest, self)
        panel.pins.point_wanted.connect(partial(self.pointing.toggle, For.PIN))
        panel.pins.remove_wanted.connect(self.pointing.remove_pin)
        panel.pins.remove_all_wanted.connect(self.pointing.remove_pins)
        panel.pins.name_wanted.connect(self.pointing.name_pin)
        panel.families.brush_wanted.connect(self.brush)
        panel.families.clear_wanted.connect(self.pointing.clear_brushwork)
        panel.balance.point_wanted.connect(partial(self.pointing.toggle, For.NEUTRAL))
        panel.balance.remove_wanted.connect(self.pointing.remove_neutral)
        panel.compare.chosen.connect(self._choose)
        self.pointing.changed.connect(self._show_pointing)
        studio.laid_over.append(self.laid_over)

    def handlers(self, checking: Checking) -> dict[str, Callable[[], object]]:
        return {
            "pin_warmth": self.pointing.pin_at_pointer,
            "warmth_difference": partial(checking.toggle_difference, Look.WARMTH_DIFFERENCE),
        }

    @property
    def teller(self) -> Teller:
        return Teller(self._panel.show_at, self._written)

    def leave(self) -> None:
        self.pointing.leave()

    def brush(self) -> None:
        """Take the brush up, where light and shadow are told apart in the pictures, or put it away."""
        studio, view = self._studio, self._studio.view
        looks = {hung.look for hung in view.hung}
        if self.pointing.at is not For.BRUSH and Look.FAMILIES not in looks:
            if looks & _OUTLINED:
                set_warmth(studio, replace(view.temperatures, outline=True))
            else:
                studio.change_view(view.toggle_look(Look.FAMILIES))
        self.pointing.toggle(For.BRUSH)

    def laid_over(self, hung: Hung) -> Sequence[Overlay]:
        """While the panel is open: passages over the difference, the outline of the light, and the pins."""
        view, reads = self._studio.view, self._studio.warmths
        found = self._passages(hung)
        if view.question is not Question.TEMPERATURE:
            return found
        settings = view.temperatures
        parting = None
        can_be = hung.subject is Subject.REFERENCE or self._studio.lit_canvas is not None
        if settings.outline and can_be and hung.look in _OUTLINED and not reads.why_not(hung.subject):
            parted = reads.newest_families(hung.subject)
            parting = None if parted is None else parted.parting
        pins = self._pins() if settings.pins else ()
        return [*found, PinMarks(pins, parting)] if pins or parting is not None else found

    def _pins(self) -> tuple[MarkedPin, ...]:
        places = self._studio.warmths.pins.places
        if not places:
            return ()
        from core.temperature.pins import RADIUS_MM

        chosen = self._panel.pins.chosen
        return tuple(
            MarkedPin(place.number, place.at, RADIUS_MM, place.number == chosen, place.name) for place in places
        )

    def _passages(self, hung: Hung) -> list[Overlay]:
        view, checked = self._studio.view, self._studio.checked
        if view.canvas_photo != self._photo:
            self._photo, self._passage = view.canvas_photo, None
        passages = checked.warmth.passages if checked is not None and checked.warmth is not None else ()
        wanted = hung.look is Look.WARMTH_DIFFERENCE and view.areas
        chosen = self._passage is not None and view.question is Question.TEMPERATURE
        if hung.subject is not Subject.CANVAS or not passages or not (wanted or chosen):
            return []
        areas = tuple(
            NumberedArea(str(each.number), (each.outline_mm,), label_at=(each.x_mm, each.y_mm)) for each in passages
        )
        return [NumberedAreas(areas, chosen=None if self._passage is None else str(self._passage))]

    def _choose(self, number: int) -> None:
        self._photo, self._passage = self._studio.view.canvas_photo, number
        self._studio.wall_changed.emit()

    def _written(self, x_mm: float, y_mm: float) -> Callable[[Subject], tuple[str, ...]]:
        """What stands beside the pointer over each picture."""

        def told(subject: Subject) -> tuple[str, ...]:
            reads = self._studio.warmths
            found = None if reads.why_not(subject) else reads.against_surround(subject, x_mm, y_mm)
            return () if found is None else shortly(found[1])

        return told

    def _show_pointing(self) -> None:
        self._panel.pins.point.setChecked(self.pointing.at is For.PIN)
        self._panel.families.brush.brush.setChecked(self.pointing.at is For.BRUSH)
        self._panel.balance.point.setChecked(self.pointing.at is For.NEUTRAL)
