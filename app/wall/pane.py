"""One place on the wall: a title in big type, the sheet, and a foot for the scale bar and the legend."""

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app import look
from app.wall.hanging import Hanging
from app.wall.scale_bar import LONGEST_PX, paint_scale_bar
from app.wall.sheet import Sheet

_MARK_PX = 4
_RING_PX = 3
_SCALE_ROOM_PX = LONGEST_PX + 80.0


class Pane(QWidget):
    """Paints title and foot itself, at fixed heights: another picture in its place moves nothing."""

    chosen = Signal()
    deserted = Signal()  # the keyboard has gone elsewhere

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.sheet = Sheet(self)
        self._selected = False
        self._mark_selection = False
        self._scale_unit = ""
        self._ringed = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def hanging(self) -> Hanging | None:
        return self.sheet.hanging

    def show_hanging(self, hanging: Hanging) -> None:
        self.sheet.show_hanging(hanging)
        self.setAccessibleName(hanging.title)
        self.setAccessibleDescription(hanging.legend.spoken if hanging.legend else "")
        self.update()

    def mark(self, *, selected: bool, among_several: bool) -> None:
        """Show whether this place is the chosen one; where it is the only one no mark is needed."""
        if (selected, among_several) != (self._selected, self._mark_selection):
            self._selected, self._mark_selection = selected, among_several
            self.update()

    def show_scale(self, unit: str) -> None:
        """Show a scale bar in this unit in the foot; with "" none."""
        if unit != self._scale_unit:
            self._scale_unit = unit
            self.update(self._foot())

    def sight_changed(self) -> None:
        """The zoom has changed: so does the scale bar."""
        if self._scale_unit:
            self.update(self._foot())

    def lie_in(self, place: QRect) -> None:
        """Take this place on the wall, at once: also when nothing is shown yet, or only the type has changed."""
        self.setGeometry(place)
        top, foot = self.title_height(), self.foot_height()
        self.sheet.setGeometry(0, top, self.width(), max(1, self.height() - top - foot))
        self.update()

    @staticmethod
    def title_height() -> int:
        return QFontMetrics(look.font("title")).height() + 14 + _MARK_PX

    @staticmethod
    def foot_height() -> int:
        return QFontMetrics(look.font("note")).height() + 24

    def _foot(self) -> QRect:
        return QRect(0, self.height() - self.foot_height(), self.width(), self.foot_height())

    def focusInEvent(self, event: QFocusEvent) -> None:
        self._ringed = event.reason() in (
            Qt.FocusReason.TabFocusReason,
            Qt.FocusReason.BacktabFocusReason,
            Qt.FocusReason.ShortcutFocusReason,
        )
        self.chosen.emit()
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._ringed = False
        self.deserted.emit()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        shades = look.shades()
        painter.fillRect(self.rect(), shades.colour("surround"))
        if self.hanging is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_title(painter, self.hanging)
        self._paint_foot(painter, self.hanging)
        if self._ringed:
            painter.setPen(QPen(shades.colour("ink"), _RING_PX, j=Qt.PenJoinStyle.MiterJoin))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self._title()).adjusted(1.5, 1.5, -1.5, -1.5))

    def _title(self) -> QRect:
        return QRect(0, 0, self.width(), self.title_height())

    def _paint_title(self, painter: QPainter, hanging: Hanging) -> None:
        marked = self._selected and self._mark_selection
        font = look.font("title selected" if marked else "title")
        painter.setFont(font)
        painter.setPen(look.shades().colour("ink"))
        room = self._title().adjusted(10, 4, -10, -_MARK_PX)
        text = QFontMetrics(font).elidedText(hanging.title, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)
        if marked:
            painter.fillRect(
                QRect(0, self.title_height() - _MARK_PX, self.width(), _MARK_PX), look.shades().colour("ink")
            )

    def _paint_foot(self, painter: QPainter, hanging: Hanging) -> None:
        foot = QRectF(self._foot()).adjusted(6, 0, -6, 0)
        if self._scale_unit:
            paint_scale_bar(painter, foot, self.sheet.sight.zoom, self._scale_unit)
            foot.setLeft(min(foot.left() + _SCALE_ROOM_PX, foot.right()))
        if hanging.legend is not None:
            hanging.legend.paint(painter, foot)
