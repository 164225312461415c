"""A landmark placed by hand: a mark on the canvas photo that is dragged or nudged to where it was painted."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter

from app import look
from app.checking import Say
from app.findings import Landmark
from app.picture import Picture
from app.questions.drift import DriftPart
from app.studio import Studio
from app.view import Subject
from app.wall.corner_handle import COARSE_PX, FINE_PX, STEP_PX
from app.wall.grasp import CanvasTool
from app.wall.hand_mark import paint_advice, paint_belongs, paint_hand, paint_name
from app.wall.hanging import Hanging
from app.wall.magnifier import DIAMETER_PX, KEEP_AWAY_PX, MARGIN_PX, Magnifier
from app.wall.sheet import Sheet
from app.wall.sight import Placed
from app.wall.wall_view import WallView
from core.errors import PainterError
from core.painting import CanvasPhotoRecord

if TYPE_CHECKING:
    from core.canvas.canvas_map import CanvasMap
    from core.photo import Photo

Point = tuple[float, float]

SPAN_MM = 25.0
_HOLD_PX = 26.0
_ADVICE = "arrow keys nudge · Enter keeps · Esc leaves"
_LOOK_ONLY = "This painting is open only to look, so nothing can be placed by hand. Open it to work in it."
_DIRECTIONS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


@dataclass(frozen=True, eq=False)
class Placing:
    """A landmark on its way: where it belongs and where the mark lies, mm, in which photo."""

    photo: CanvasPhotoRecord
    name: str
    belongs: Point
    at: Point
    canvas: "CanvasMap"
    picture: Picture

    @property
    def at_px(self) -> Point:
        x, y = self.canvas.mm_to_px(self.at)
        return float(x), float(y)


class ByHand(QObject):
    """The tool of the wall while a landmark is placed; ``otherwise`` is its tool at all other times."""

    changed = Signal()

    def __init__(
        self, studio: Studio, wall: WallView, otherwise: CanvasTool, say: Say, focus_wall: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._studio, self._wall, self._otherwise, self._say = studio, wall, otherwise, say
        self._focus_wall = focus_wall
        self.placing: Placing | None = None
        self._hold: Point | None = None
        self._before: Point = (0.0, 0.0)
        self._glass: Magnifier | None = None
        wall.clicked.connect(self._click)
        wall.view_changed.connect(self._magnify)
        studio.view_changed.connect(self._leave_if_gone)
        studio.ledge_changed.connect(self._leave_if_gone)

    def follow(self, part: DriftPart) -> None:
        """Do what the painter wishes in the panel, and have it show what is being placed."""
        part.place.connect(self.begin)
        part.remove.connect(self.remove)
        part.kept.connect(self.keep)
        part.left.connect(self.leave)
        self.changed.connect(lambda: part.show_placing("" if self.placing is None else self.placing.name))

    def begin(self, mark: Landmark) -> None:
        """Show the canvas photo about the landmark, with the mark at the best guess there is."""
        studio, photo = self._studio, self._studio.canvas_photo
        source = studio.source(Subject.CANVAS)
        if studio.painting.read_only:
            self._say(_LOOK_ONLY)
        elif photo is not None and source is not None and source.corners is not None:
            self.leave()
            studio.read_for_corners(source, partial(self._begin, photo, mark))

    def keep(self) -> None:
        """Keep the landmark where the mark lies."""
        placing = self.placing
        if placing is None:
            return
        x, y = placing.at_px
        try:
            self._studio.painting.place_landmark_by_hand(
                placing.photo.id, placing.name, x, y,
                photo_width=placing.canvas.width, photo_height=placing.canvas.height,
            )  # fmt: skip
        except PainterError as trouble:
            self._say(str(trouble))
            return
        self.leave()
        self._say(f"“{placing.name}” is placed by hand.", passing=True)

    def leave(self) -> None:
        """Put the mark away; what was not kept changes nothing."""
        if self.placing is None:
            return
        self.placing = self._hold = None
        self._wall.removeEventFilter(self)
        self._wall.use(self._otherwise)
        self._drop_glass()
        self._wall.repaint_tool()
        self.changed.emit()

    def remove(self, name: str) -> None:
        """Take the hand's place away again: what was measured counts."""
        photo = self._studio.canvas_photo
        if photo is None:
            return
        try:
            self._studio.painting.remove_landmark_by_hand(photo.id, name)
        except PainterError as trouble:
            self._say(str(trouble))

    def paint(self, painter: QPainter, placed: Placed) -> None:
        placing = self.placing
        if placing is None:
            return
        if any(hanging.of_canvas and hanging.mapping is placed.mapping for hanging in self._wall.hangings):
            paint_hand(painter, placed, placing.at, placing.belongs, held=self._hold is not None)
            paint_advice(painter, placed, _ADVICE)
        else:
            paint_belongs(painter, placed, placing.belongs)
            paint_name(painter, placed, placing.belongs, placing.name)

    def take(self, at: Point, hanging: Hanging) -> bool:
        placing = self.placing
        if placing is None or not hanging.of_canvas or math.dist(at, placing.at) > self._mm(_HOLD_PX):
            return False
        # Where it was grabbed stays under the finger: the mark does not jump to it.
        self._hold, self._before = (at[0] - placing.at[0], at[1] - placing.at[1]), placing.at
        self._refresh()
        return True

    def move(self, at: Point, hanging: Hanging) -> None:
        if self._hold is not None and hanging.of_canvas:
            self._move((at[0] - self._hold[0], at[1] - self._hold[1]))

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        if moved:
            self.move(at, hanging)
        self._hold = None
        self._refresh()

    def cancel(self) -> None:
        if self._hold is not None:
            self._hold = None
            self._move(self._before)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The keys of the mark, before the wall's own."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and self.placing is not None:
            return self._key(event)
        return super().eventFilter(watched, event)

    def _begin(self, photo: CanvasPhotoRecord, mark: Landmark, whole: "Photo", picture: Picture) -> None:
        from core.canvas.canvas_map import CanvasMap

        studio = self._studio
        if studio.canvas_photo != photo:
            return
        canvas = CanvasMap(photo.corners, studio.painting.size, whole.width, whole.height, photo.lens_k1)  # type: ignore[arg-type]
        at = (mark.x_mm + (mark.dx_mm or 0.0), mark.y_mm + (mark.dy_mm or 0.0))
        self._say("")
        if not studio.view.shows_canvas:
            studio.change_view(studio.view.hang_canvas_photo(photo.id))
        self.placing = Placing(photo, mark.name, (mark.x_mm, mark.y_mm), self._onto(at), canvas, picture)
        self._wall.use(self)
        self._wall.installEventFilter(self)
        span = min(SPAN_MM, *(side / 4 for side in (studio.painting.size.width_mm, studio.painting.size.height_mm)))
        self._wall.go_to(*self.placing.at, span)
        self._wall.clear_place()
        self._make_room()
        self._focus_wall()
        self._refresh()

    def _make_room(self) -> None:
        """In a small picture the glass would lie over the mark in the middle: the mark is brought beside it."""
        sheet = self._sheet()
        if sheet is None:
            return
        taken, width = DIAMETER_PX + MARGIN_PX, sheet.width()
        if width / 2 < taken + KEEP_AWAY_PX:
            self._wall.pan_by(taken + max(width - taken, 0) / 2 - width / 2, 0.0)

    def _key(self, event: QKeyEvent) -> bool:
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.keep()
        elif key == Qt.Key.Key_Escape:
            if self._hold is not None:
                self.cancel()
            else:
                self.leave()
        elif key in _DIRECTIONS:
            self._nudge(*_DIRECTIONS[key], _step(event.modifiers()))
        else:
            return False
        return True

    def _nudge(self, right: float, down: float, step_px: float) -> None:
        """By so many pixels of the photo, along the canvas."""
        if self.placing is not None:
            (x, y), step = self.placing.at, step_px / self._px_per_mm
            self._move((x + right * step, y + down * step))
            self._keep_in_sight()

    @property
    def _px_per_mm(self) -> float:
        """Of the photo, where the mark lies."""
        assert self.placing is not None
        return float(self.placing.canvas.scales([self.placing.at]).mean())

    def _move(self, at: Point) -> None:
        if self.placing is not None:
            self.placing = replace(self.placing, at=self._onto(at))
            self._refresh()

    def _onto(self, at: Point) -> Point:
        size = self._studio.painting.size
        return min(max(at[0], 0.0), size.width_mm), min(max(at[1], 0.0), size.height_mm)

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        """A press on the canvas brings the mark there."""
        if self.placing is not None and self._wall.hangings[which].of_canvas:
            self._move((x_mm, y_mm))

    def _keep_in_sight(self) -> None:
        sheet = self._sheet()
        if sheet is None or self.placing is None:
            return
        at, room = sheet.placed().point(*self.placing.at), QRectF(sheet.rect()).adjusted(20, 20, -20, -20)
        if not room.contains(at):
            away = room.center() - at
            self._wall.pan_by(away.x(), away.y())

    def _refresh(self) -> None:
        self._wall.repaint_tool()
        self._magnify()
        self.changed.emit()

    def _magnify(self) -> None:
        placing, sheet = self.placing, self._sheet()
        if placing is None or sheet is None:
            return
        if self._glass is None or self._glass.parentWidget() is not sheet:
            self._drop_glass()
            self._glass = Magnifier(sheet)
            self._glass.destroyed.connect(self._glass_gone)
        at: QPointF = sheet.placed().point(*placing.at)
        self._glass.stay_out_of_the_way(sheet.size(), [at], 0)
        self._glass.show_point(placing.picture, *placing.at_px)

    def _drop_glass(self) -> None:
        if self._glass is not None:
            self._glass.hide()
            self._glass.deleteLater()
            self._glass = None

    def _glass_gone(self, gone: QObject) -> None:
        if gone is self._glass:
            self._glass = None

    def _sheet(self) -> Sheet | None:
        """The widget of the first place where the canvas hangs."""
        pairs = zip(self._wall.hangings, self._wall.sheets, strict=True)
        return next((sheet for hanging, sheet in pairs if hanging.of_canvas), None)

    def _leave_if_gone(self) -> None:
        """Another photo hangs, or its corners lie otherwise now."""
        placing, studio = self.placing, self._studio
        if placing is None:
            return
        photo = studio.canvas_photo
        same = photo is not None and (photo.id, photo.corners) == (placing.photo.id, placing.photo.corners)
        if not same or not studio.view.shows_canvas:
            self.leave()

    def _mm(self, px: float) -> float:
        return look.px(px) / self._wall.sight.zoom


def _step(modifiers: Qt.KeyboardModifier) -> float:
    if modifiers & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
        return FINE_PX
    return COARSE_PX if modifiers & Qt.KeyboardModifier.ShiftModifier else STEP_PX
