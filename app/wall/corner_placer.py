"""Placing the canvas's four corners by hand on a photo as it was shot."""

from functools import partial

import numpy as np
from numpy.typing import ArrayLike
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from app import look
from app.picture import Picture
from app.wall import marks
from app.wall.corner_handle import CornerHandle
from app.wall.hanging import Hanging
from app.wall.magnifier import LEAST_TIMES, MOST_TIMES, Magnifier
from app.wall.mapping import Mapping
from app.wall.quad import NAMES, Corners, inset_corners, refusal, within_reach
from app.wall.sheet import Sheet
from app.wall.sight import LEAST_OF_FIT, MOST_PX_PER_PX, Placed, Reach, Sight, centred, fit_zoom

_MARGIN_PX = 48.0
_LABEL_AWAY_PX = 46.0


class CornerPlacer(QWidget):
    """Corners are (4, 2) float64 photo pixels, whole numbers at pixel centres: top left, top right, bottom right,
    bottom left. Every array given out is a copy."""

    corners_changed = Signal(object)
    corners_committed = Signal(object)
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._corners: Corners = inset_corners(100, 100)
        self._before_drag: Corners = self._corners
        self._refusing = False
        self._fitted = True
        self.sheet = Sheet(self)
        self.sheet.paint_over(self._paint_quad)
        hands = self.sheet.hands
        hands.panned.connect(lambda dx, dy: self._look_at(self.sheet.placed().panned(dx, dy)))
        hands.zoomed.connect(self._zoom)
        hands.fit_wished.connect(self.fit)
        self.sheet.resized.connect(self._resized)
        self.handles = tuple(CornerHandle(self.sheet, index, hands) for index in range(4))
        for index, handle in enumerate(self.handles):
            handle.grabbed.connect(self._grab)
            handle.dragged.connect(partial(self._drag, index))
            handle.dropped.connect(self._drop)
            handle.taken_back.connect(self._take_back)
            handle.nudged.connect(partial(self._nudge, index))
            handle.focused.connect(self._magnify)
            handle.hide()
        self.magnifier = Magnifier(self.sheet)
        self.setFocusProxy(self.handles[0])
        self.setAccessibleName("Corners of the canvas")

    @property
    def corners(self) -> Corners:
        return self._corners.copy()

    def set_photo(self, picture: Picture, corners: ArrayLike | None = None) -> None:
        """Show a photo, whole; corners that are not given start a tenth inside its edges."""
        self._hang(picture)
        self.set_corners(inset_corners(picture.width, picture.height) if corners is None else corners)
        self.fit()

    def show_picture(self, picture: Picture) -> None:
        """The same photo shown otherwise (lighter, in grey): corners and sight stay."""
        self._hang(picture)
        self._magnify()

    def set_corners(self, corners: ArrayLike) -> None:
        """Put all four at once, as found in the photo. Raises ValueError for anything but (4, 2) finite numbers."""
        wanted = np.array(corners, dtype=np.float64)
        if wanted.shape != (4, 2) or not np.isfinite(wanted).all():
            raise ValueError(f"expected (4, 2) finite corners, got {wanted.shape}")
        self._corners = wanted
        self._follow()

    def set_magnification(self, times: float) -> None:
        """Of the glass: 4 to 8 screen pixels per photo pixel."""
        self.magnifier.times = min(max(times, LEAST_TIMES), MOST_TIMES)
        self.magnifier.update()

    def choose_corner(self, index: int) -> None:
        """Give a corner the keyboard and the glass."""
        self.handles[index].setFocus(Qt.FocusReason.OtherFocusReason)

    def commit(self) -> None:
        """Say that the corners are placed; refused, with a sentence, where they cannot be."""
        sentence = next(filter(None, (refusal(self._corners, index) for index in range(4))), "")
        if sentence:
            self.refused.emit(sentence)
        else:
            self.corners_committed.emit(self.corners)

    def fit(self) -> None:
        """Show the whole photo."""
        picture = self._picture
        if picture is not None:
            self._look_at(centred(picture.width - 1, picture.height - 1, self._fit_zoom(picture)), fitted=True)

    def sizeHint(self) -> QSize:
        return QSize(1000, 700)

    def minimumSizeHint(self) -> QSize:
        return QSize(480, 320)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.sheet.setGeometry(self.rect())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.commit()
        elif self._picture is None or not self.sheet.hands.take_key(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.sheet.hands.release_key(event):
            super().keyReleaseEvent(event)

    @property
    def _picture(self) -> Picture | None:
        return self.sheet.hanging.picture if self.sheet.hanging else None

    def _hang(self, picture: Picture) -> None:
        self.sheet.show_hanging(Hanging("", picture, Mapping.of_photo()))
        for handle in self.handles:
            handle.show()

    def _fit_zoom(self, picture: Picture) -> float:
        room = QRectF(self.sheet.rect())
        return fit_zoom(Mapping.of_photo(), picture.width, picture.height, room, _MARGIN_PX)

    def _look_at(self, sight: Sight, *, fitted: bool = False) -> None:
        picture = self._picture
        if picture is None:
            return
        self._fitted = fitted
        least = self._fit_zoom(picture) * LEAST_OF_FIT
        self.sheet.look_at(Reach(picture.width, picture.height, least, MOST_PX_PER_PX).hold(sight))
        self._follow()

    def _zoom(self, factor: float, about: QPointF | None) -> None:
        """About the pointer; from the keyboard about the corner that has it, so that it stays in sight."""
        placed = self.sheet.placed()
        active = self._active()
        middle = placed.viewport.center() if active is None else placed.point(*self._corners[active])
        self._look_at(placed.zoomed(factor, about or middle))

    def _resized(self) -> None:
        if self._fitted:
            self.fit()
        else:
            self._follow()

    def _active(self) -> int | None:
        return next((i for i, handle in enumerate(self.handles) if handle.hasFocus() or handle.held), None)

    def _grab(self) -> None:
        self._before_drag = self.corners

    def _drag(self, index: int, to: QPointF) -> None:
        mm = self.sheet.placed().mm_at(to)
        if mm is not None:
            self._move(index, np.array(mm))

    def _drop(self) -> None:
        self._refusing = False
        self._follow()

    def _take_back(self) -> None:
        self._refusing = False
        self.set_corners(self._before_drag)
        self.corners_changed.emit(self.corners)

    def _nudge(self, index: int, dx: float, dy: float) -> None:
        self._refusing = False
        self._move(index, self._corners[index] + (dx, dy))
        self._keep_in_sight(index)

    def _move(self, index: int, to: Corners) -> None:
        picture = self._picture
        if picture is None:
            return
        wanted = self.corners
        wanted[index] = within_reach(to, picture.width, picture.height)
        sentence = refusal(wanted, index)
        if sentence:
            # Once per drag, not at every step of it.
            if not self._refusing:
                self._refusing = True
                self.refused.emit(sentence)
            return
        self._refusing = False
        self._corners = wanted
        self._follow()
        self.corners_changed.emit(self.corners)

    def _keep_in_sight(self, index: int) -> None:
        placed = self.sheet.placed()
        at, room = placed.point(*self._corners[index]), placed.viewport.adjusted(20, 20, -20, -20)
        if not room.contains(at):
            away = room.center() - at
            self._look_at(placed.panned(away.x(), away.y()))

    def _follow(self) -> None:
        """Bring handles and glass to where the corners lie now."""
        if self._picture is None:
            return
        placed = self.sheet.placed()
        for handle, (x, y) in zip(self.handles, self._corners.tolist(), strict=True):
            handle.centre_on(placed.point(x, y), x, y)
        self.sheet.update()
        self._magnify()

    def _magnify(self) -> None:
        active, picture = self._active(), self._picture
        if active is None or picture is None:
            self.magnifier.hide()
            return
        placed = self.sheet.placed()
        self.magnifier.stay_out_of_the_way(
            self.sheet.size(), [placed.point(*corner) for corner in self._corners], active
        )
        self.magnifier.show_corner(picture, self._corners, active)

    def _paint_quad(self, painter: QPainter, placed: Placed) -> None:
        polygon = placed.polygon(self._corners)
        marks.outline(painter, polygon)
        middle = polygon.boundingRect().center()
        font = look.font("strong")
        for name, at in zip(NAMES, polygon.toList(), strict=True):
            plate = marks.text_rect(name, font)
            outward = QPointF(1 if at.x() >= middle.x() else -1, 1 if at.y() >= middle.y() else -1)
            plate.moveCenter(at + QPointF(outward.x() * (plate.width() / 2 + 4), outward.y() * _LABEL_AWAY_PX))
            marks.plate(painter, _kept_within(plate, placed.viewport), name, font)


def _kept_within(plate: QRectF, room: QRectF) -> QRectF:
    """The plate moved no farther than it takes to be seen whole."""
    left = max(min(plate.left(), room.right() - plate.width()), room.left())
    top = max(min(plate.top(), room.bottom() - plate.height()), room.top())
    return QRectF(left, top, plate.width(), plate.height())
