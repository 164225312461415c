"""One canvas photo on the ledge."""

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QImage, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from app import look
from core.painting import CanvasPhotoRecord

_PICTURE = QSize(108, 72)
_MOST_FAULTS = 2


class Card(QAbstractButton):
    """Its small picture with its name; the one that hangs is framed; a blank, missing corners and a photo's faults are
    said."""

    stepped = Signal(int)  # to the card before or after
    remove_wanted = Signal()

    def __init__(self, photo: CanvasPhotoRecord, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.photo = photo
        self._image: QImage | None = None
        self._faults: tuple[str, ...] = ()
        self._advice = self._told = ""
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.setAccessibleName(f"{photo.name}, sitting {photo.sitting}")
        self._describe()

    @property
    def remark(self) -> str:
        if self.photo.photo.state == "missing":
            return "file not found"
        if self.photo.is_blank:
            return "blank"
        return ", ".join(self._faults[:_MOST_FAULTS]) if self.photo.corners is not None else "corners?"

    def show_rating(self, faults: tuple[str, ...], advice: str) -> None:
        """Show in a word or two what is wrong with the photo, the worst first; the advice is told on asking."""
        if (faults, advice) != (self._faults, self._advice):
            self._faults, self._advice = faults, advice
            self._describe()
            self.update()

    def _describe(self) -> None:
        """What is told of it; what others have put below it in its tooltip stays."""
        state = self.remark or "corners placed"
        self.setAccessibleDescription(f"{state}. {self._advice}" if self._advice else state)
        below = self.toolTip().removeprefix(self._told)
        remark = "" if self._advice and self.remark.startswith(self._faults) else self.remark
        self._told = "\n".join(line for line in (self.photo.name, remark, self._advice) if line)
        self.setToolTip(self._told + below)

    def show_image(self, image: QImage) -> None:
        self._image = image
        self.update()

    def sizeHint(self) -> QSize:
        line = QFontMetrics(look.font("note")).height()
        return QSize(_PICTURE.width() + 12, _PICTURE.height() + line + 14)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        picture = QRect(6, 5, _PICTURE.width(), _PICTURE.height())
        if self.isChecked():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shades.colour("pressed"))
            painter.drawRoundedRect(self.rect(), 5, 5)
        self._paint_picture(painter, picture)
        font = look.font("note")
        metrics = QFontMetrics(font)
        painter.setFont(font)
        painter.setPen(shades.colour("on_pressed" if self.isChecked() else "ink"))
        room = QRect(6, picture.bottom() + 3, picture.width(), metrics.height() + 2)
        name = metrics.elidedText(self.photo.name, Qt.TextElideMode.ElideMiddle, room.width())
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, name)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(shades.colour("on_pressed" if self.isChecked() else "ink"), 2))
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 5, 5)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.stepped.emit(-1 if event.key() == Qt.Key.Key_Left else 1)
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove_wanted.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def _paint_picture(self, painter: QPainter, room: QRect) -> None:
        shades = look.shades()
        painter.fillRect(room, look.SURROUND)
        if self._image is not None:
            size = self._image.size().scaled(room.size(), Qt.AspectRatioMode.KeepAspectRatio)
            shown = QRect(room.topLeft(), size)
            shown.moveCenter(room.center())
            painter.drawImage(shown, self._image)
        if self.remark:
            font = look.font("note")
            most = room.width() - 10
            remark = QFontMetrics(font).elidedText(self.remark, Qt.TextElideMode.ElideRight, most)
            width = QFontMetrics(font).horizontalAdvance(remark) + 10
            height = QFontMetrics(font).height() + 2
            plate = QRect(room.right() - width, room.bottom() - height, width, height)
            painter.fillRect(plate, shades.colour("field"))
            painter.setFont(font)
            painter.setPen(shades.colour("ink"))
            painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, remark)
