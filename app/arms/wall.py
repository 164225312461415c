"""The pictures at arm's length: a wall of their own, in the surround that is chosen, with larger titles and marks."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QPointF, QRect, QSize
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QApplication, QStyle, QWidget

from app.arms.surround import SURROUNDS, USUAL, shown_in
from app.look import Shades
from app.wall.hanging import Hanging
from app.wall.pane import Pane
from app.wall.place import Place
from app.wall.sheet import Sheet
from app.wall.wall_view import GAP_PX, WallView
from core.size import Size

_MARKS = 1.25
"""How much larger than usual the marks over the pictures are: more, and many of them hide what they are about."""


class _ArmsSheet(Sheet):
    shades: Shades = SURROUNDS[USUAL]

    def paintEvent(self, event: QPaintEvent) -> None:
        with shown_in(self.shades, _MARKS):
            super().paintEvent(event)


class _ArmsPane(Pane):
    """Its sheet is made anew, since a pane makes its own. It has a foot only where one of the pictures has a legend,
    and where room is scarce no title: all that height is the pictures'."""

    shades: Shades = SURROUNDS[USUAL]
    has_foot, has_title = False, True

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        plain, self.sheet = self.sheet, _ArmsSheet(self)
        plain.hide()
        plain.deleteLater()

    def lie_in(self, place: QRect) -> None:
        super().lie_in(place)
        top, foot = self.title_height() if self.has_title else 0, self.foot_height() if self.has_foot else 0
        self.sheet.setGeometry(0, top, self.width(), max(1, self.height() - top - foot))

    def paintEvent(self, event: QPaintEvent) -> None:
        with shown_in(self.shades):
            super().paintEvent(event)


class ArmsWall(WallView):
    """Nothing is pointed at here, and no key is answered: the window knows them all."""

    def __init__(self, size: Size, parent: QWidget) -> None:
        self._shades, self._has_foot, self._has_titles = SURROUNDS[USUAL], False, True
        super().__init__(size, parent)
        self.setAccessibleName("Pictures")
        self.new_sheet: Callable[[Sheet], object] = lambda sheet: None

    def use_shades(self, shades: Shades) -> None:
        """Lay the pictures on another surround."""
        self._shades = shades
        for pane in self._panes:
            self._shade(pane)
            QApplication.sendEvent(pane.sheet, QEvent(QEvent.Type.PaletteChange))  # its frames are of the old surround
            pane.sheet.update()
            pane.update()
        self.update()

    def show_titles(self, shown: bool) -> None:
        if shown != self._has_titles:
            self._has_titles = shown
            self._arrange()

    def show_all(self, hangings: list[Hanging]) -> None:
        """Hang these; where as many hang already nothing moves."""
        if len(hangings) != len(self.hangings):
            self.hang(hangings)
            return
        for index, hanging in enumerate(hangings):
            if hanging is not self.hangings[index]:
                self.rehang(index, hanging)
        if self._foot_wanted() != self._has_foot:
            self._arrange()

    def mark(self, x_mm: float, y_mm: float, span_mm: float) -> None:
        """Ring a place, where the sight is kept."""
        place = Place(x_mm, y_mm, span_mm)
        if place == self._place:
            return
        self.clear_place()
        self._place = place
        moving = self.style().styleHint(QStyle.StyleHint.SH_Widget_Animation_Duration) > 0 and self.isVisible()
        self._ring(0.0 if moving else 1.0)
        if moving:
            self._pulse.start()

    @property
    def shape(self) -> tuple[float, ...]:
        """What the room that the pictures want depends on; the same while only the pictures change."""
        return (len(self._hangings), self._foot_wanted(), self.best_zoom(QSize(2000, 1000)))

    def best_zoom(self, room: QSize) -> float:
        """The zoom at which the pictures would show whole in this room; 0 when none hang."""
        if not self._hangings or room.width() < 1 or room.height() < 1:
            return 0.0
        count = len(self._hangings)
        wide = QRect(0, 0, max(1, (room.width() + GAP_PX) // count - GAP_PX), room.height())
        high = QRect(0, 0, room.width(), max(1, (room.height() + GAP_PX) // count - GAP_PX))
        with shown_in(self._shades):
            for place in (wide, high):
                saved = 0 if self._foot_wanted() else Pane.foot_height()
                saved += 0 if self._has_titles else Pane.title_height()
                place.setHeight(place.height() + saved)
            return max(self._fit_in(wide), self._fit_in(high))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        with shown_in(self._shades):
            super().paintEvent(event)

    def _arrange(self) -> None:
        self._has_foot = self._foot_wanted()
        for pane in self._panes:
            if isinstance(pane, _ArmsPane):
                pane.has_foot, pane.has_title = self._has_foot, self._has_titles
        with shown_in(self._shades):
            super()._arrange()

    def _foot_wanted(self) -> bool:
        return any(hanging.legend is not None for hanging in self._hangings)

    def _new_pane(self) -> Pane:
        pane = _ArmsPane(self)
        self._shade(pane)
        sheet, hands = pane.sheet, pane.sheet.hands
        hands.panned.connect(lambda dx, dy: self._look_at(sheet.placed().panned(dx, dy), fitted=False))
        hands.zoomed.connect(lambda factor, about: self._zoom(pane, factor, about))
        hands.fit_wished.connect(self.fit)
        self.new_sheet(sheet)
        pane.show()
        return pane

    def _refresh_panes(self) -> None:
        super()._refresh_panes()
        for pane in self._panes:
            pane.mark(selected=False, among_several=False)
            pane.show_scale("")

    def _ring(self, pulse: Any) -> None:
        with shown_in(self._shades, _MARKS):
            super()._ring(pulse)

    def _point(self, pane: Pane, at: QPointF) -> None:
        """No cross: from afar nobody points."""

    def _shade(self, pane: Pane) -> None:
        if isinstance(pane, _ArmsPane) and isinstance(pane.sheet, _ArmsSheet):
            pane.shades = pane.sheet.shades = self._shades
