"""Measuring on the wall: the tool for lengths, the plumb and level lines, and what is kept of both."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPainter

from app import look
from app.checking import Say
from app.figures import Figures, figures_of, place_words
from app.measures import MOST_MEASURES, MOST_PINS, SETTING, End, Measure, Measures, onto
from app.studio import SAVE_AFTER_MS, Studio
from app.wall.hanging import Hanging
from app.wall.measure import ShownMeasure, paint_measures
from app.wall.plumb import paint_pin, paint_plumb
from app.wall.sight import Placed
from app.wall.wall_view import WallView
from core.drawing.proportion import Point

NUDGE_MM, FAR_NUDGE_MM = 0.5, 5.0
CAUGHT_PX, CAUGHT_MM, CAUGHT_LEAST_PX = 12.0, 3.0, 8.0
POINTING_PX = 0.5
"""Standard deviation each way of pointing at a place with the cross: ours, no source."""

_HOLD_PX = 16.0
_LEAST_MM = 0.05  # what is shorter was only a press

_ARROWS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}
_NEEDS_CORNERS = "Lengths can be taken on this photo once the canvas’s corners are placed."


@dataclass(frozen=True)
class _Held:
    """What a press has taken hold of: a pin by its index, or an end of a measure; ``before`` brings all back."""

    before: Measures
    pin: int | None = None
    measure: int | None = None
    by_start: bool = False


class Measuring(QObject):
    """A tool of the wall. ``changed`` says that anything of it has; what is kept is saved with the painting."""

    changed = Signal()

    def __init__(
        self,
        studio: Studio,
        wall: WallView,
        say: Say,
        ask_name: Callable[[str, str], str | None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio, self._wall, self._say, self._ask_name = studio, wall, say, ask_name
        self._size = studio.painting.size
        self.measures = Measures.from_json(studio.painting.setting(SETTING), self._size)
        self.is_on = False
        self.unit = "cm"
        self._begun: Measure | None = None  # its first end is placed
        self._second_press = False
        self._held: _Held | None = None
        self._pointer: Point | None = None
        self._saving = QTimer(self)
        self._saving.setSingleShot(True)
        self._saving.setInterval(SAVE_AFTER_MS)
        self._saving.timeout.connect(self.save)
        wall.use(self)
        wall.installEventFilter(self)
        wall.pointer_moved.connect(self._point)
        wall.pointer_left.connect(self._leave)
        wall.clicked.connect(self._click)
        wall.unit_changed.connect(self._change_unit)
        for signal in (studio.view_changed, studio.findings_changed, studio.drawing_changed):
            signal.connect(self._tell)

    def toggle(self) -> None:
        """Take the tool up, or put it away; its measures are shown while it is up."""
        self.is_on = not self.is_on
        self._begun = None
        self._tell()

    def choose(self, number: int) -> None:
        self._change(replace(self.measures, chosen=number))

    def remove(self) -> None:
        """Take the chosen measure away."""
        if self.measures.chosen is not None:
            self._change(self.measures.without(self.measures.chosen))

    def remove_all(self) -> None:
        self._change(replace(self.measures, kept=(), chosen=None))

    def take_unit(self) -> None:
        """Ask for a name and measure by the chosen measure from now on."""
        if self.measures.current is None:
            return
        present = self.measures.unit.name if self.measures.unit is not None else "head"
        name = self._ask_name("What is this length? It becomes the unit (a head, an eye, the jug).", present)
        if name is not None:
            self._change(self.measures.take_unit(name, self.canvas_uncertainty_mm))

    def forget_unit(self) -> None:
        self._change(replace(self.measures, unit=None))

    def pin(self) -> None:
        """Pin plumb and level lines where the pointer is, else in the middle of what is seen; show them."""
        if len(self.measures.pins) >= MOST_PINS:
            self._say(f"{MOST_PINS} pairs are pinned already: take some away first.")
            return
        sight = self._wall.sight
        at = onto(self._pointer or (sight.x_mm, sight.y_mm), self._size)
        self._studio.change_view(replace(self._studio.view, plumb=True))
        self._change(replace(self.measures, pins=(*self.measures.pins, at)))

    def unpin(self, index: int | None = None) -> None:
        """Take one pinned pair away, or all."""
        pins = self.measures.pins
        self._change(replace(self.measures, pins=() if index is None else pins[:index] + pins[index + 1 :]))

    def figures(self, measure: Measure) -> Figures:
        return figures_of(measure, self.measures.unit, self.unit, self.canvas_uncertainty_mm)

    @property
    def canvas_uncertainty_mm(self) -> float | None:
        """How flat the canvas photo lies; None when no check has told it, or it is of an earlier state."""
        checked = self._studio.checked
        return checked.findings.canvas_uncertainty_mm if checked is not None and checked.findings.is_current else None

    def save(self) -> None:
        self._saving.stop()
        self._studio.keep(SETTING, self.measures.to_json())

    def close(self) -> None:
        """Keep what is not kept yet."""
        if self._saving.isActive():
            self.save()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self._studio.view.plumb:
            if self._pointer is not None and self._held is None:
                paint_plumb(painter, placed, self._pointer, self._size)
            for index, pin in enumerate(self.measures.pins):
                held = self._held is not None and self._held.pin == index
                paint_pin(painter, placed, pin, self._size, place_words(pin, self.unit), held=held)
        if self.is_on:
            begun = () if self._begun is None else (self._begun,)
            chosen = self._begun.number if self._begun is not None else self.measures.chosen
            measures = (*self.measures.kept, *begun)
            paint_measures(painter, placed, [self._shown(each, chosen=each.number == chosen) for each in measures])

    def take(self, at: Point, hanging: Hanging) -> bool:
        if self.is_on and self._begun is not None:
            self._second_press = True
            self._held = _Held(self.measures, measure=self._begun.number)
            self._stretch(at, hanging)
            return True
        self._held = self._free_end(at, hanging) if self.is_on else None
        self._held = self._held or self._pin_at(at)
        if self._held is not None:
            self._wall.repaint_tool()
            return True
        return self.is_on and self._begin(at, hanging)

    def move(self, at: Point, hanging: Hanging) -> None:
        held = self._held
        if held is None:
            return
        if held.pin is not None:
            pins = [*self.measures.pins]
            pins[held.pin] = onto(at, self._size)
            self.measures = replace(self.measures, pins=tuple(pins))
            self._tell()
        elif self._begun is not None:
            self._stretch(at, hanging)
        elif held.measure is not None:
            self._put_end(at, hanging, held)

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        held = self._held
        self._held = None
        if held is None:
            return
        if held.pin is not None:
            self._change(self.measures)
        elif self._begun is not None:
            if moved or self._second_press:
                self._stretch(at, hanging)
                self._finish()
        elif held.measure is not None:
            self.choose(held.measure)

    def cancel(self) -> None:
        if self._held is not None:
            self.measures = self._held.before
            self._held = None
        self._begun = None
        self._tell()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The keys of the tool, while it is up, before the wall's own."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and self.is_on:
            return self._key(event)
        return super().eventFilter(watched, event)

    def _key(self, event: QKeyEvent) -> bool:
        shift = Qt.KeyboardModifier.ShiftModifier
        if event.modifiers() & ~(shift | Qt.KeyboardModifier.KeypadModifier):
            return False
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            if self._begun is None:
                self.toggle()
            else:
                self.cancel()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove()
        elif key in _ARROWS and self.measures.current is not None:
            self._nudge(*_ARROWS[key], FAR_NUDGE_MM if event.modifiers() & shift else NUDGE_MM)
        else:
            return False
        return True

    def _nudge(self, right: float, down: float, step_mm: float) -> None:
        measure = self.measures.current
        if measure is not None:
            x, y = measure.end.at
            end = End(onto((x + right * step_mm, y + down * step_mm), self._size), slack_mm=self._slack_mm)
            self._change(self.measures.with_measure(replace(measure, end=end)))

    def _begin(self, at: Point, hanging: Hanging) -> bool:
        beside = math.dist(at, onto(at, self._size)) > self._mm(_HOLD_PX)
        if beside:
            return False
        if len(self.measures.kept) >= MOST_MEASURES:
            self._say(f"There are {MOST_MEASURES} measures already: take some away first.")
            return False
        start = self._caught(at, hanging)
        number = self.measures.next_number
        self._begun = Measure(number, start, start, hanging.of_canvas)
        self._second_press = False
        self._held = _Held(self.measures, measure=number)
        self._wall.repaint_tool()
        return True

    def _stretch(self, at: Point, hanging: Hanging) -> None:
        """Bring the second end of the measure that is begun here."""
        if self._begun is not None:
            self._begun = replace(self._begun, end=self._caught(at, hanging), on_canvas=hanging.of_canvas)
            self._wall.repaint_tool()

    def _finish(self) -> None:
        if self._begun is not None and self._begun.span.length_mm > _LEAST_MM:
            made, self._begun = self._begun, None
            self._change(self.measures.with_measure(made))

    def _put_end(self, at: Point, hanging: Hanging, held: _Held) -> None:
        measure = next(each for each in self.measures.kept if each.number == held.measure)
        there = self._caught(at, hanging)
        moved = replace(measure, start=there) if held.by_start else replace(measure, end=there)
        moved = replace(moved, on_canvas=hanging.of_canvas)
        self._change(self.measures.with_measure(moved))

    def _free_end(self, at: Point, hanging: Hanging) -> _Held | None:
        """An end of the chosen measure that can be taken hold of here; from a landmark a new measure begins."""
        measure = self.measures.current
        if measure is None or self._caught(at, hanging).name:
            return None
        near = self._mm(_HOLD_PX)
        if math.dist(measure.end.at, at) <= near:
            return _Held(self.measures, measure=measure.number)
        if math.dist(measure.start.at, at) <= near:
            return _Held(self.measures, measure=measure.number, by_start=True)
        return None

    def _pin_at(self, at: Point) -> _Held | None:
        pins = self.measures.pins if self._studio.view.plumb else ()
        near = min(range(len(pins)), key=lambda i: math.dist(pins[i], at), default=None)
        if near is None or math.dist(pins[near], at) > self._mm(_HOLD_PX):
            return None
        return _Held(self.measures, pin=near)

    def _caught(self, at: Point, hanging: Hanging) -> End:
        """The landmark nearby; else the place itself, as well as it can be pointed at."""
        here = onto(at, self._size)
        reach = max(min(self._mm(CAUGHT_PX), CAUGHT_MM), self._mm(CAUGHT_LEAST_PX))
        near = [(math.dist(place, here), place, name) for name, place in self._landmarks(hanging)]
        distance, place, name = min(near, default=(math.inf, here, ""))
        return End(place, name) if distance <= reach else End(here, slack_mm=self._slack_mm)

    def _landmarks(self, hanging: Hanging) -> list[tuple[str, Point]]:
        """Where landmarks are drawn; on the painting also where they were found."""
        drawing, checked = self._studio.drawing, self._studio.checked
        found = [(mark.name, (mark.x_mm, mark.y_mm)) for mark in (drawing.landmarks if drawing is not None else ())]
        if hanging.of_canvas and checked is not None and checked.findings.is_current:
            found += [
                (f"{mark.name} as painted", (mark.x_mm + (mark.dx_mm or 0.0), mark.y_mm + (mark.dy_mm or 0.0)))
                for mark in checked.findings.told_landmarks
            ]
        return [(name, onto(place, self._size)) for name, place in found]

    def _shown(self, measure: Measure, *, chosen: bool) -> ShownMeasure:
        has_length = measure.span.length_mm > _LEAST_MM
        words = self.figures(measure).short if has_length else ""
        caught = tuple(end.at for end in (measure.start, measure.end) if end.name)
        return ShownMeasure(measure.start.at, measure.end.at, str(measure.number), words, chosen, caught)

    @property
    def _slack_mm(self) -> float:
        return POINTING_PX / self._wall.sight.zoom

    def _mm(self, px: float) -> float:
        """A length on the screen, in mm of the canvas at the zoom in use."""
        return look.px(px) / self._wall.sight.zoom

    def _point(self, x_mm: float, y_mm: float, which: int) -> None:
        self._pointer = (x_mm, y_mm)
        if self._begun is not None and self._held is None:
            self._stretch(self._pointer, self._wall.hangings[which])
        elif self._studio.view.plumb:
            self._wall.repaint_tool()

    def _leave(self) -> None:
        self._pointer = None
        if self._studio.view.plumb:
            self._wall.repaint_tool()

    def _click(self, _x_mm: float, _y_mm: float, which: int) -> None:
        if self.is_on and not self._wall.hangings[which].is_measured:
            self._say(_NEEDS_CORNERS)

    def _change_unit(self, unit: str) -> None:
        self.unit = unit
        self._tell()

    def _change(self, measures: Measures) -> None:
        self.measures = measures
        self._saving.start()
        self._tell()

    def _tell(self) -> None:
        self._wall.repaint_tool()
        self.changed.emit()
