"""The final photo, as large as there is room for, or why there is none."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QTransform
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.picture import Picture

_MARGIN_PX = 20.0
_NAME = "The final photo"


class FinalView(QWidget):
    """On the surround that colours are judged on."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture: Picture | None = None
        self.words = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(_NAME)

    def show_picture(self, picture: Picture) -> None:
        self.picture, self.words = picture, ""
        self.setAccessibleDescription("")
        self.update()

    def show_words(self, words: str) -> None:
        """No picture, and why."""
        self.picture, self.words = None, words
        self.setAccessibleDescription(words)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(900, 700)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 160)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        shades, room = look.shades(), QRectF(self.rect())
        painter.fillRect(self.rect(), shades.colour("surround"))
        inside = room.adjusted(_MARGIN_PX, _MARGIN_PX, -_MARGIN_PX, -_MARGIN_PX)
        if self.picture is not None:
            scale = min(inside.width() / self.picture.width, inside.height() / self.picture.height)
            left = inside.center().x() - scale * self.picture.width / 2
            top = inside.center().y() - scale * self.picture.height / 2
            to_screen = QTransform.fromTranslate(left, top).scale(scale, scale)
            self.picture.paint(painter, to_screen, room, self.devicePixelRatioF())
        elif self.words:
            painter.setPen(shades.colour("ink"))
            painter.setFont(look.font())
            painter.drawText(inside, int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap), self.words)
