"""What the projector is showing: the one thing that the projected window and its control page both follow."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QImage

from app.picture import qimage_from_grey, qimage_from_srgb
from app.projection.slides import Slides
from app.projection.state import MODE_WORDS, SETTING, Mode, Throw, screen_key
from app.studio import Studio
from app.view import Subject
from app.wall.quad import NAMES
from core.errors import PainterError

if TYPE_CHECKING:
    from core.drawing.drawing import Drawing
    from core.drawing.projection import Projection
    from core.drawing.projection_light import Slide

PICTURES = frozenset({Mode.COLOUR, Mode.GREY, Mode.STEP})
SAVE_AFTER_MS = 400
SMALLEST_SCREEN_PX = 240
NO_DRAWING = "There is no line drawing yet: trace one, or bring one in."
NO_REFERENCE = "The reference is not there to be shown."
MAKING = "Making the picture…"
LOOK_ONLY = "This painting is open only to look: the corners cannot be kept."


class Projector(QObject):
    """``corner``: the one that the keys move, or None. ``sentence``: what could not be done, until the next thing."""

    changed = Signal()

    def __init__(self, studio: Studio, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.throw = Throw.from_json(studio.painting.setting(SETTING))
        self.slides = Slides(studio, self)
        self.screen = ""
        self.projection: Projection | None = None
        self.corner: int | None = None
        self.sentence = ""
        self._rendered: tuple[object, QImage] | None = None
        self._saving = QTimer(self)
        self._saving.setSingleShot(True)
        self._saving.setInterval(SAVE_AFTER_MS)
        self._saving.timeout.connect(self.save)
        self.slides.ready.connect(self.changed)
        studio.room.ready.connect(self._again)
        studio.drawing_changed.connect(self._again)
        studio.view_changed.connect(self._again)

    def use_screen(self, name: str, width: int, height: int) -> None:
        """Throw on a screen of so many of its own pixels: its corners are as they were left there.

        A window hears of sizes that are no screen's before it is opened: those are passed over.
        """
        key = screen_key(name, width, height)
        if self.screen != key and min(width, height) >= SMALLEST_SCREEN_PX:
            self.screen = key
            self.projection = self.throw.projection(key, self._studio.painting.size, width, height)
            self._tell()

    def show_mode(self, mode: Mode) -> None:
        self._change(replace(self.throw, mode=mode))

    def walk(self, by: int) -> None:
        """To a lighter (+1) or darker (-1) value step; the first time, to the darkest."""
        step = min(self.throw.step, self.steps - 1)
        step = step + by if self.throw.mode is Mode.STEP else step
        self._change(replace(self.throw, mode=Mode.STEP, step=min(max(step, 0), self.steps - 1)))

    def brighten(self, by: int) -> None:
        self._change(self.throw.brighter(by))

    def weigh(self, by: int) -> None:
        self._change(self.throw.heavier(by))

    def toggle_help(self) -> None:
        self._change(replace(self.throw, help=not self.throw.help))

    def choose_corner(self, corner: int | None) -> None:
        self.corner = corner
        self._tell()

    def nudge(self, dx_px: float, dy_px: float) -> None:
        """Move the chosen corner by screen pixels; refused with a sentence where the canvas would fold."""
        if self.projection is not None:
            if self.corner is None:
                self.corner = 0
            self._move(self.corner, dx_px, dy_px)

    def start_anew(self) -> None:
        """The canvas fitted into the screen again."""
        if self.projection is not None:
            from core.drawing.projection import Projection

            old = self.projection
            self._place(Projection.fitted(old.size, old.width, old.height))

    def mend(self, projection: "Projection") -> None:
        """Take corners that were measured."""
        self._place(projection)

    def say(self, sentence: str) -> None:
        self.sentence = sentence
        self.changed.emit()

    @property
    def steps(self) -> int:
        return self._studio.view.steps

    @property
    def status(self) -> str:
        """What is shown, in words."""
        throw = self.throw
        parts = [MODE_WORDS[throw.mode]]
        if throw.mode is Mode.STEP:
            step = min(throw.step, self.steps - 1)
            which = "darkest" if step == 0 else "lightest" if step == self.steps - 1 else ""
            parts = [f"Value step {step + 1} of {self.steps}" + (f", the {which}" if which else "")]
        if throw.mode is Mode.LINES:
            parts.append(f"lines {throw.weight_mm:g} mm")
        if throw.mode not in (Mode.DARK, Mode.MARKS):
            parts.append(f"brightness {throw.light * 100:g} %")
        if self.corner is not None:
            parts.append(f"{NAMES[self.corner]} corner")
        return " · ".join(parts)

    @property
    def missing(self) -> str:
        """Why there is nothing to see, in a sentence; empty when there is."""
        throw, studio = self.throw, self._studio
        if throw.mode is Mode.LINES and (studio.drawing is None or not studio.drawing.lines):
            return NO_DRAWING
        if throw.mode in PICTURES:
            if studio.source(Subject.REFERENCE) is None:
                return NO_REFERENCE
            if self.slides.slide(throw.mode, throw.step) is None:
                return self.slides.problem or MAKING
        return ""

    def image(self) -> QImage | None:
        """What the screen is to show, pixel for pixel; None for black."""
        projection, throw = self.projection, self.throw
        if projection is None or throw.mode is Mode.DARK or self.missing:
            return None
        drawing = self._studio.drawing if throw.mode is Mode.LINES else None
        slide = self.slides.slide(throw.mode, throw.step) if throw.mode in PICTURES else None
        key = (projection, drawing, slide, throw.mode, throw.brightness, throw.weight)
        if self._rendered is None or self._rendered[0] != key:
            self._rendered = (key, _render(projection, throw, drawing, slide))
        return self._rendered[1]

    def save(self) -> None:
        """Keep it with the painting."""
        self._saving.stop()
        self._studio.keep(SETTING, self.throw.to_json())

    def close(self) -> None:
        if self._saving.isActive():
            self.save()
        for signal in (self._studio.room.ready, self._studio.drawing_changed, self._studio.view_changed):
            signal.disconnect(self._again)

    def _move(self, corner: int, dx_px: float, dy_px: float) -> None:
        assert self.projection is not None
        try:
            self._place(self.projection.nudged(corner, dx_px, dy_px))
        except PainterError as refused:
            self.say(str(refused))

    def _place(self, projection: "Projection") -> None:
        self.projection = projection
        self._change(self.throw.with_corners(self.screen, projection))
        if self._studio.painting.read_only:
            self.say(LOOK_ONLY)

    def _change(self, throw: Throw) -> None:
        self.throw = throw
        self._saving.start()
        self._tell()

    def _tell(self) -> None:
        self.sentence = ""
        self.changed.emit()

    def _again(self) -> None:
        self.changed.emit()


def _render(projection: "Projection", throw: Throw, drawing: "Drawing | None", slide: "Slide | None") -> QImage:
    from core.drawing.projection_light import rendered_lines, rendered_picture
    from core.drawing.projection_marks import rendered_frame, rendered_marks

    if drawing is not None:
        lines = rendered_lines(drawing, projection, weight_mm=throw.weight_mm, brightness=throw.light)
        return qimage_from_grey(lines)
    if slide is not None:
        return qimage_from_srgb(rendered_picture(slide, projection, brightness=throw.light))
    if throw.mode is Mode.MARKS:  # to be seen by a camera: at full brightness
        return qimage_from_grey(rendered_marks(projection))
    return qimage_from_grey(rendered_frame(projection, brightness=throw.light))
