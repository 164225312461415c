"""Pressing on passages to pin them, or on a neutral, and brushing them into light or shadow, in reference or canvas."""

import math
from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum

from PySide6.QtGui import QPainter

from app.brushing import MANY
from app.measures import onto
from app.stepping import MOST_STROKES
from app.temperatures.kept import (
    MOST_PINS,
    NOTHING_BRUSHED,
    Brushwork,
    NeutralPlace,
    keep_brushwork,
    keep_neutrals,
    keep_pins,
)
from app.view import Question, Subject
from app.wall.hanging import Hanging
from app.wall.sight import Placed
from app.wall_tool import PressTool
from core.errors import PainterError
from core.temperature.strokes import Family, FamilyStroke

Point = tuple[float, float]

_NEEDS_CORNERS = "Place the canvas’s corners first: warmth is read on the canvas laid flat."
_LOOK_ONLY = "This painting is open only to look, so nothing can be pointed at. Open it to work in it."
_MANY = f"{MOST_PINS} passages are pinned already: take some away first."
_READING = "The picture is still being read. Try again in a moment."
_BESIDE = "That is beside the canvas. Press on it."
_BALANCED = "The {name} is balanced by that place. If it is not neutral, take it away under White balance."


class For(StrEnum):
    """What is being pointed at."""

    PIN = "pin"
    NEUTRAL = "neutral"
    BRUSH = "brush"


_ADVICE: dict[StrEnum, str] = {
    For.PIN: "press on passages to pin them · Esc leaves",
    For.NEUTRAL: "press on a grey or white that is neutral · Esc leaves",
    For.BRUSH: "brush a passage · hold Space to move the picture · Esc leaves",
}
_BRUSHED = {
    Family.LIGHT: "brushed a passage into the light",
    Family.SHADOW: "brushed a passage into the shadow",
    Family.AS_FOUND: "brushed a passage back as found",
}
"""Labels of the steps."""


class Pointing(PressTool):
    """The tool of the wall while passages are pointed at."""

    advice = _ADVICE
    look_only = _LOOK_ONLY

    def pin_at_pointer(self) -> None:
        """Pin where the pointer is, else in the middle of what is seen; the panel shows it."""
        sight = self.wall.sight
        view = self._studio.view
        shown = replace(view.temperatures, pins=True)
        self._studio.change_view(replace(view, question=Question.TEMPERATURE, temperatures=shown))
        self.pin(self.pointer or (sight.x_mm, sight.y_mm))

    def pin(self, at: Point) -> None:
        pins = self._studio.warmths.pins
        if len(pins.places) >= MOST_PINS:
            self._say(_MANY)
        elif self._on_canvas(at):
            self._keep(lambda: keep_pins(self._studio.painting, pins.added(at), "pinned a passage"))

    def remove_pin(self, number: int) -> None:
        pins = self._studio.warmths.pins.without(number)
        self._keep(lambda: keep_pins(self._studio.painting, pins, "took a pin away"))

    def name_pin(self, number: int, name: str) -> None:
        """Give a pin a name, or take it back with an empty one."""
        pins = self._studio.warmths.pins.named(number, name)
        if pins != self._studio.warmths.pins:
            self._keep(lambda: keep_pins(self._studio.painting, pins, "named a pin"))

    def clear_brushwork(self) -> None:
        self._keep(lambda: keep_brushwork(self._studio.painting, NOTHING_BRUSHED, "cleared what was brushed"))

    def remove_pins(self) -> None:
        pins = replace(self._studio.warmths.pins, places=())
        self._keep(lambda: keep_pins(self._studio.painting, pins, "took all pins away"))

    def take_neutral(self, subject: Subject, at: Point) -> None:
        """Balance a picture by a place, if it can be; what cannot is said and nothing is kept."""
        studio, source = self._studio, self._studio.source(subject)
        if source is None or not self._on_canvas(at):
            return
        try:
            if not studio.warmths.can_balance(subject, at):
                self._say(_READING)
                return
        except PainterError as trouble:
            self._say(str(trouble))
            return
        place = NeutralPlace(at, source.corners)
        neutrals = studio.warmths.neutrals | {source.photo_id: place}
        if not self._keep(lambda: keep_neutrals(studio.painting, neutrals, "pointed at a neutral")):
            return
        self.leave()
        self._say(_BALANCED.format(name="reference" if subject is Subject.REFERENCE else "canvas photo"), passing=True)

    def remove_neutral(self, subject: Subject) -> None:
        source = self._studio.source(subject)
        if source is not None:
            neutrals = {photo: at for photo, at in self._studio.warmths.neutrals.items() if photo != source.photo_id}
            self._keep(lambda: keep_neutrals(self._studio.painting, neutrals, "took a neutral away"))

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.at is For.BRUSH:
            self._brush.paint(painter, placed, self._studio.view.temperatures.brush_mm, self.pointer)
        super().paint(painter, placed)

    @property
    def shows_pointer(self) -> bool:
        return self.at is For.BRUSH

    def take(self, at: Point, hanging: Hanging) -> bool:
        if self.at is not For.BRUSH:
            return False
        if len(self._studio.warmths.brushwork.strokes) >= MOST_STROKES:
            self._say(MANY)
            return False
        self._brush.take(at)
        self.wall.repaint_tool()
        return True

    def move(self, at: Point, hanging: Hanging) -> None:
        self._brush.move(at, self._studio.view.temperatures.brush_mm)
        self.wall.repaint_tool()

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        points = self._brush.drop(at, moved=moved)
        self.wall.repaint_tool()
        studio, settings = self._studio, self._studio.view.temperatures
        away = [math.dist(onto(each, studio.painting.size), each) for each in points]
        if away and min(away) > settings.brush_mm / 2:
            self._say(_BESIDE)
        elif points:
            stroke = FamilyStroke(points, settings.brush_mm, settings.family)
            brushwork = Brushwork((*studio.warmths.brushwork.strokes, stroke))
            self._keep(lambda: keep_brushwork(studio.painting, brushwork, _BRUSHED[settings.family]))

    def cancel(self) -> None:
        self._brush.cancel()
        self.wall.repaint_tool()

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        if self.at is None:
            return
        hanging = self.wall.hangings[which]
        if not hanging.is_measured:
            self._say(_NEEDS_CORNERS)
        elif self.at is For.PIN:
            self.pin((x_mm, y_mm))
        elif self.at is For.NEUTRAL:
            self.take_neutral(Subject.CANVAS if hanging.of_canvas else Subject.REFERENCE, (x_mm, y_mm))

    def _on_canvas(self, at: Point) -> bool:
        """Whether a place lies on the canvas; when it does not, that is said."""
        inside = onto(at, self._studio.painting.size) == (float(at[0]), float(at[1]))
        if not inside:
            self._say(_BESIDE)
        return inside

    def _keep(self, keep: Callable[[], None]) -> bool:
        """When that cannot be done it is said."""
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
            return False
        try:
            keep()
        except PainterError as trouble:
            self._say(str(trouble))
            return False
        return True

    def _leave_if_gone(self) -> None:
        if self._studio.view.question is not Question.TEMPERATURE:
            self.leave()
