"""Pointing at a grey of known value in the canvas photo as shot: a card on the canvas or beside it, or bare ground."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter

from app import look
from app.checking import NEEDS_CANVAS, Say
from app.studio import Studio
from app.values.greys import SETTING, Grey, from_json, to_json
from app.view import Subject
from app.wall import marks
from app.wall.grasp import CanvasTool
from app.wall.hand_mark import paint_advice
from app.wall.hanging import Hanging
from app.wall.sight import Placed
from app.wall.wall_view import WallView
from app.work import Progress
from core.painting import CanvasPhotoRecord

if TYPE_CHECKING:
    from core.canvas.canvas_map import CanvasMap
    from core.check_light import KnownGrey
    from core.photo import Photo
    from core.size import Size

Point = tuple[float, float]

CHANNEL = "measure a grey"
_NEEDS_CORNERS = "Place the canvas’s corners first: a grey is measured in the plane of the canvas."
_LOOK_ONLY = "This painting is open only to look, so nothing can be pointed at. Open it to work in it."
_BACK = 0.55
"""The canvas is seen from farther away: a card may lie beside it."""
_ADVICE = "press on the middle of it · Esc leaves"


@dataclass(frozen=True)
class Pointing:
    """What is being pointed at."""

    kind: str
    value: float


class Lighting(QObject):
    """The tool of the wall while a grey is pointed at; ``otherwise`` is its tool at all other times."""

    changed = Signal()

    def __init__(
        self, studio: Studio, wall: WallView, otherwise: CanvasTool, say: Say, focus_wall: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._studio, self._wall, self._otherwise, self._say = studio, wall, otherwise, say
        self._focus_wall = focus_wall
        self._kept = from_json(studio.painting.setting(SETTING))
        self.pointing: Pointing | None = None
        self._was_as_shot = False
        wall.clicked.connect(self._click)
        studio.view_changed.connect(self._leave_if_gone)
        studio.ledge_changed.connect(self._leave_if_gone)
        studio.checker.greys = self.known

    def greys(self, canvas_photo: int | None) -> tuple[Grey, ...]:
        return () if canvas_photo is None else self._kept.get(canvas_photo, ())

    def known(self, canvas_photo: int) -> "tuple[KnownGrey, ...]":
        """As a check takes them."""
        from core.check_light import KnownGrey

        return tuple(
            KnownGrey(each.x_px, each.y_px, each.value, "card" if each.kind == "card" else "ground")
            for each in self.greys(canvas_photo)
        )

    def begin(self, kind: str, value: float) -> None:
        """Show the canvas photo as shot, and wait for a press on the grey."""
        photo = self._studio.canvas_photo
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
        elif photo is None:
            self._say(NEEDS_CANVAS)
        elif photo.corners is None:
            self._say(_NEEDS_CORNERS)
        else:
            self._say("")
            view = self._studio.view
            view = view if view.shows_canvas else view.hang_canvas_photo(photo.id)
            if self.pointing is None:
                self._was_as_shot = view.as_shot
            self._studio.change_view(replace(view, as_shot=True))
            self.pointing = Pointing(kind, value)
            self._wall.use(self)
            self._wall.installEventFilter(self)
            self._wall.fit()
            self._wall.zoom_by(_BACK)
            self._focus_wall()
            self._wall.repaint_tool()
            self.changed.emit()

    def leave(self) -> None:
        """Point no more; what was measured stays."""
        if self.pointing is None:
            return
        self.pointing = None
        self._studio.change_view(replace(self._studio.view, as_shot=self._was_as_shot))
        self._wall.fit()
        self._studio.worker.cancel(CHANNEL)
        self._wall.removeEventFilter(self)
        self._wall.use(self._otherwise)
        self._wall.repaint_tool()
        self.changed.emit()

    def remove(self, index: int) -> None:
        """Take one of the greys of the photo that hangs away."""
        photo = self._studio.canvas_photo
        if photo is not None:
            greys = self.greys(photo.id)
            self._keep(photo.id, greys[:index] + greys[index + 1 :])

    def paint(self, painter: QPainter, placed: Placed) -> None:
        photo = self._studio.canvas_photo
        hanging = next((h for h in self._wall.hangings if h.mapping is placed.mapping), None)
        if photo is None or hanging is None or not hanging.of_canvas:
            return
        for grey in self.greys(photo.id):
            outline = _canvas(photo, self._studio.painting.size, grey.width, grey.height).px_to_mm(grey.outline_px)
            polygon = placed.polygon(outline)
            marks.outline(painter, polygon)
            plate = marks.text_rect(f"{grey.value:g}", look.font("strong"))
            plate.moveCenter(polygon.boundingRect().center())
            marks.plate(painter, plate, f"{grey.value:g}", look.font("strong"))
        paint_advice(painter, placed, _ADVICE)

    def take(self, at: Point, hanging: Hanging) -> bool:
        return False  # the picture is moved; a press comes as a click

    def move(self, at: Point, hanging: Hanging) -> None:
        """Nothing is ever held."""

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        """Nothing is ever held."""

    def cancel(self) -> None:
        """Nothing is ever held."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
            self.leave()
            return True
        return super().eventFilter(watched, event)

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        photo, pointing = self._studio.canvas_photo, self.pointing
        source = self._studio.source(Subject.CANVAS)
        if pointing is None or photo is None or source is None or not self._wall.hangings[which].of_canvas:
            return

        def measure(read: "Photo", _picture: object) -> None:
            work = partial(measured, read, photo, self._studio.painting.size, (x_mm, y_mm), pointing)
            self._studio.worker.run(CHANNEL, work, partial(self._measured, photo.id), self._say)

        self._studio.read_for_corners(source, measure)

    def _measured(self, canvas_photo: int, grey: Grey) -> None:
        self._keep(canvas_photo, (*self.greys(canvas_photo), grey))
        self._say(f"{grey.say}, is measured. The next check takes its level and colour from it.", passing=True)
        self.leave()

    def _keep(self, canvas_photo: int, greys: tuple[Grey, ...]) -> None:
        self._kept[canvas_photo] = greys
        self._studio.keep(SETTING, to_json(self._kept))
        self._wall.repaint_tool()
        self.changed.emit()

    def _leave_if_gone(self) -> None:
        if self.pointing is not None and not self._studio.view.shows_canvas:
            self.leave()
        self.changed.emit()


def measured(
    photo: "Photo", record: CanvasPhotoRecord, size: "Size", at_mm: Point, pointing: Pointing, progress: Progress
) -> Grey:
    """The grey at a place on the plane of the canvas. Raises ValuesError with a sentence when it cannot be used."""
    from core.canvas.locate import CanvasFix
    from core.value.light_card import photo_card, photo_ground

    progress(say="Measuring the grey")
    canvas = _canvas(record, size, photo.width, photo.height)
    px_per_mm = float(canvas.scales([(size.width_mm / 2, size.height_mm / 2)]).mean())
    fix = CanvasFix(canvas.corners_px, "given", record.lens_k1, px_per_mm, 0.1, 1.0)
    x, y = (float(v) for v in canvas.mm_to_px(at_mm))
    way = photo_card if pointing.kind == "card" else photo_ground
    anchor = way(photo, fix, size, x, y, pointing.value)
    outline = tuple((round(float(px), 1), round(float(py), 1)) for px, py in anchor.outline_px)
    return Grey(x, y, pointing.value, pointing.kind, photo.width, photo.height, outline)


def _canvas(record: CanvasPhotoRecord, size: "Size", width: int, height: int) -> "CanvasMap":
    from core.canvas.canvas_map import CanvasMap

    return CanvasMap(np.asarray(record.corners), size, width, height, record.lens_k1)
