"""Pointing at a grey of known value in the canvas photo as shot: a card on the canvas or beside it, or bare ground; and
looking for a colour chart in it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject
from PySide6.QtGui import QPainter

from app.checking import NEEDS_CANVAS, Say
from app.message import Offer
from app.prints import Source, read_photo
from app.studio import Studio
from app.values.greys import CHART, Grey, keep_with, kept_with
from app.view import Question, Subject
from app.wall.grasp import CanvasTool
from app.wall.hand_mark import paint_advice
from app.wall.known_greys import KnownGreys
from app.wall.sight import Placed
from app.wall.wall_view import WallView
from app.wall_tool import HoldsNothing
from app.work import Progress
from core.errors import PainterError, ValuesError
from core.painting import CanvasPhotoRecord

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.canvas.canvas_map import CanvasMap
    from core.canvas.locate import CanvasFix
    from core.check_light import KnownGrey
    from core.photo import Photo
    from core.size import Size

Point = tuple[float, float]

CHANNEL, LOOK = "measure a grey", "look for a colour chart"
_NEEDS_CORNERS = "Place the canvas’s corners first: a grey is measured in the plane of the canvas."
_LOOK_ONLY = "This painting is open only to look, so nothing can be pointed at. Open it to work in it."
_BACK = 0.55
"""The canvas is seen from farther away: a card may lie beside it."""
_ADVICE = "press on the middle of it · Esc leaves"
_NEXT_CHECK = "The next check takes its level and colour from it."
_LABELS = {"card": "pointed at a grey card", "ground": "pointed at bare ground", CHART: "found a colour chart"}
_TAKEN = {"card": "took a grey card away", "ground": "took bare ground away", CHART: "took the colour chart away"}


@dataclass(frozen=True)
class Pointing:
    """What is being pointed at."""

    kind: str
    value: float


class Lighting(HoldsNothing):
    """The tool of the wall while a grey is pointed at; ``otherwise`` is its tool at all other times."""

    def __init__(
        self, studio: Studio, wall: WallView, otherwise: CanvasTool, say: Say, focus_wall: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._studio, self._wall, self._otherwise, self._say = studio, wall, otherwise, say
        self._focus_wall = focus_wall
        self._kept = kept_with(studio.painting)
        self.pointing: Pointing | None = None
        self.looking = False
        self._was_as_shot = False
        wall.clicked.connect(self._click)
        studio.view_changed.connect(self._leave_if_gone)
        studio.ledge_changed.connect(self._leave_if_gone)
        studio.history_changed.connect(self._read)
        studio.checker.greys, studio.checker.chart = self.known, self.has_chart
        studio.pointed = self.shown

    def greys(self, canvas_photo: int | None) -> tuple[Grey, ...]:
        """What was pointed at in a photo, a chart that was found in it with them."""
        return () if canvas_photo is None else self._kept.get(canvas_photo, ())

    def known(self, canvas_photo: int) -> "tuple[KnownGrey, ...]":
        """The greys as a check takes them."""
        from core.check_light import KnownGrey

        return tuple(
            KnownGrey(each.x_px, each.y_px, each.value, "card" if each.kind == "card" else "ground")
            for each in self.greys(canvas_photo)
            if each.value is not None
        )

    def has_chart(self, canvas_photo: int) -> bool:
        return any(each.kind == CHART for each in self.greys(canvas_photo))

    def shown(self) -> KnownGreys | None:
        """The outlines over the photo that hangs, while it hangs as shot and the question is value."""
        photo, view = self._studio.canvas_photo, self._studio.view
        if photo is None or photo.corners is None or not view.as_shot or view.question is not Question.VALUE:
            return None
        size = self._studio.painting.size
        return KnownGreys(
            tuple(
                (_canvas(photo, size, each.width, each.height).px_to_mm(each.outline_px), each.plate)
                for each in self.greys(photo.id)
                if each.outline_px
            )
        )

    def begin(self, kind: str, value: float) -> None:
        """Show the canvas photo as shot, and wait for a press on the grey."""
        photo = self._photo()
        if photo is None:
            return
        self._show_as_shot(photo)
        self.looking = False
        self._studio.worker.cancel(LOOK)
        self.pointing = Pointing(kind, value)
        self._wall.use(self)
        self._wall.installEventFilter(self)
        self._focus_wall()
        self._wall.repaint_tool()
        self.changed.emit()

    def look_for_chart(self) -> None:
        """Show the canvas photo as shot while a colour chart is looked for in it; a chart that is found is kept."""
        photo, source = self._photo(), self._studio.source(Subject.CANVAS)
        if photo is None or source is None or self.looking:
            return
        self.leave()
        self._show_as_shot(photo)
        self.looking = True
        self.changed.emit()
        work = partial(found_chart, self._studio.room.held_photo(source), source, photo, self._studio.painting.size)
        self._studio.worker.run(LOOK, work, partial(self._found, photo.id), self._say, self._looked)

    def leave(self) -> None:
        """Point no more and look no more; what was measured stays."""
        if self.pointing is None and not self.looking:
            return
        self.pointing, self.looking = None, False
        self._lay_flat()
        for channel in (CHANNEL, LOOK):
            self._studio.worker.cancel(channel)
        self._wall.removeEventFilter(self)
        self._wall.use(self._otherwise)
        self._wall.repaint_tool()
        self.changed.emit()

    def remove(self, index: int) -> None:
        """Take one of what was pointed at in the photo that hangs away."""
        photo = self._studio.canvas_photo
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
        elif photo is not None and index < len(self.greys(photo.id)):
            greys = self.greys(photo.id)
            self._keep(photo.id, greys[:index] + greys[index + 1 :], _TAKEN[greys[index].kind])

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if any(hanging.of_canvas and hanging.mapping is placed.mapping for hanging in self._wall.hangings):
            paint_advice(painter, placed, _ADVICE)

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
        if self._keep(canvas_photo, (*self.greys(canvas_photo), grey), _LABELS[grey.kind]):
            self._say(f"{grey.say}, is measured. {_NEXT_CHECK}", passing=True)
            self.leave()

    def _found(self, canvas_photo: int, found: "tuple[Grey, tuple[str, ...]]") -> None:
        """The photo goes on hanging as shot, so that it can be seen what was taken for the chart."""
        chart, notes = found
        others = tuple(each for each in self.greys(canvas_photo) if each.kind != CHART)
        if self._keep(canvas_photo, (*others, chart), _LABELS[CHART]):
            self.looking = False
            offers = [] if self._was_as_shot else [Offer("Lay the canvas flat again", self._lay_flat)]
            self._say(" ".join(("A colour chart is found: see its outline.", _NEXT_CHECK, *notes)), *offers)

    def _looked(self) -> None:
        if self.looking:  # and nothing came of it
            self.leave()
        self.changed.emit()

    def _photo(self) -> CanvasPhotoRecord | None:
        """The canvas photo that can be pointed in; None when there is none, and that is said."""
        photo = self._studio.canvas_photo
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
        elif photo is None:
            self._say(NEEDS_CANVAS)
        elif photo.corners is None:
            self._say(_NEEDS_CORNERS)
        else:
            self._say("")
            return photo
        return None

    def _show_as_shot(self, photo: CanvasPhotoRecord) -> None:
        view = self._studio.view
        view = view if view.shows_canvas else view.hang_canvas_photo(photo.id)
        if self.pointing is None and not self.looking:
            self._was_as_shot = view.as_shot
        self._studio.change_view(replace(view, as_shot=True))
        self._wall.fit()
        self._wall.zoom_by(_BACK)

    def _lay_flat(self) -> None:
        """As it hung before."""
        self._studio.change_view(replace(self._studio.view, as_shot=self._was_as_shot))
        self._wall.fit()

    def _keep(self, canvas_photo: int, greys: tuple[Grey, ...], label: str) -> bool:
        """Keep what was pointed at in a photo; when that cannot be done it is said."""
        try:
            keep_with(self._studio.painting, self._kept | {canvas_photo: greys}, label)
        except PainterError as trouble:
            self._say(str(trouble))
            return False
        return True

    def _read(self) -> None:
        """What is kept may have been changed, undone or done again."""
        kept = kept_with(self._studio.painting)
        if kept != self._kept:
            self._kept = kept
            self._studio.wall_changed.emit()
            self.changed.emit()

    def _leave_if_gone(self) -> None:
        if (self.pointing is not None or self.looking) and not self._studio.view.shows_canvas:
            self.leave()
        self.changed.emit()


def measured(
    photo: "Photo", record: CanvasPhotoRecord, size: "Size", at_mm: Point, pointing: Pointing, progress: Progress
) -> Grey:
    """The grey at a place on the plane of the canvas. Raises ValuesError with a sentence when it cannot be used."""
    from core.value.light_card import photo_card, photo_ground

    progress(say="Measuring the grey")
    fix = _fix(record, size, photo)
    x, y = (float(v) for v in _canvas(record, size, photo.width, photo.height).mm_to_px(at_mm))
    way = photo_card if pointing.kind == "card" else photo_ground
    anchor = way(photo, fix, size, x, y, pointing.value)
    return Grey(x, y, pointing.value, pointing.kind, photo.width, photo.height, _rounded(anchor.outline_px))


def found_chart(
    held: "Photo | None", source: Source, record: CanvasPhotoRecord, size: "Size", progress: Progress
) -> "tuple[Grey, tuple[str, ...]]":
    """The colour chart in a canvas photo, ``held`` or read from its source, and what is to be said of it.

    Raises ValuesError with a sentence when there is none, or it cannot be used.
    """
    from core.check_light import NO_CHART
    from core.value.light_chart import chart_anchor, find_chart

    progress(say="Reading the photograph")
    photo = held or read_photo(source.file)
    progress(say="Looking for a colour chart")
    chart = find_chart(photo)
    if chart is None:
        raise ValuesError(NO_CHART)
    anchor = chart_anchor(chart, photo, _fix(record, size, photo), size)
    x, y = (round(float(v), 1) for v in chart.patches_px.mean(axis=0))
    return Grey(x, y, None, CHART, photo.width, photo.height, _rounded(anchor.outline_px)), anchor.notes


def _rounded(outline_px: "NDArray[np.float64]") -> tuple[Point, ...]:
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in outline_px)


def _fix(record: CanvasPhotoRecord, size: "Size", photo: "Photo") -> "CanvasFix":
    from core.canvas.locate import CanvasFix

    canvas = _canvas(record, size, photo.width, photo.height)
    px_per_mm = float(canvas.scales([(size.width_mm / 2, size.height_mm / 2)]).mean())
    return CanvasFix(canvas.corners_px, "given", record.lens_k1, px_per_mm, 0.1, 1.0)


def _canvas(record: CanvasPhotoRecord, size: "Size", width: int, height: int) -> "CanvasMap":
    from core.canvas.canvas_map import CanvasMap

    return CanvasMap(np.asarray(record.corners), size, width, height, record.lens_k1)
