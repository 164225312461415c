"""Before and after in one picture: a line between the two that is moved by mouse, finger or the arrow keys."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractSlider, QSizePolicy, QWidget

from app import look
from app.film.film_view import NONE_YET, fitted, focus_ring
from app.film.jobs import Pair

MOST = 1000
_STEP, _PAGE = 20, 100


class Divided(QAbstractSlider):
    """``value`` 0-1000: how far from the left the line stands; left of it the earlier picture is seen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pair: Pair | None = None
        self._says = NONE_YET
        self.setOrientation(Qt.Orientation.Horizontal)
        self.setRange(0, MOST)
        self.setSingleStep(_STEP)
        self.setPageStep(_PAGE)
        self.setValue(MOST // 2)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setCursor(Qt.CursorShape.SplitHCursor)
        self.setAccessibleName("Line between before and after")
        self.valueChanged.connect(lambda _: self.update())

    @property
    def pair(self) -> Pair | None:
        return self._pair

    def show_pair(self, pair: Pair | None, says: str = NONE_YET) -> None:
        """``says``: which two they are, or, without a pair, what is waited for."""
        self._pair, self._says = pair, says
        self.setAccessibleDescription(says)
        self.update()

    def lies(self) -> QRectF:
        """Where the picture is."""
        return QRectF(self.rect()) if self._pair is None else fitted(self._pair.after, self)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 180)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.setSliderDown(True)
            self._to(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.isSliderDown():
            self._to(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.setSliderDown(False)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), look.SURROUND)
        if self._pair is None:
            painter.setPen(look.INK)
            painter.setFont(look.font("title"))
            wrapped = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(24, 24, -24, -24), wrapped, self._says)
        else:
            self._paint_pair(painter, self._pair)
        if self.hasFocus():
            focus_ring(painter, self)

    def _paint_pair(self, painter: QPainter, pair: Pair) -> None:
        lies = self.lies()
        painter.drawImage(lies, pair.after)
        at = lies.left() + lies.width() * self.value() / MOST
        painter.save()
        painter.setClipRect(QRectF(lies.left(), lies.top(), at - lies.left(), lies.height()))
        painter.drawImage(lies, pair.before)
        painter.restore()
        top, foot = QPointF(at, lies.top()), QPointF(at, lies.bottom())
        for ink, width in ((look.INK, look.px(4)), (look.PAPER, look.px(2))):
            painter.setPen(QPen(ink, width))
            painter.drawLine(top, foot)
        self._paint_grip(painter, QPointF(at, lies.bottom() - look.target_px()))

    def _paint_grip(self, painter: QPainter, at: QPointF) -> None:
        """A big target with an arrow each way, low in the picture; but any press takes the line there."""
        radius = look.target_px() / 2
        painter.setPen(QPen(look.INK, look.px(2)))
        painter.setBrush(look.PAPER)
        painter.drawEllipse(at, radius, radius)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.INK)
        for way in (-1, 1):
            tip, back, half = 0.66 * radius * way, 0.22 * radius * way, 0.34 * radius
            arrow = [QPointF(tip, 0), QPointF(back, -half), QPointF(back, half)]
            painter.drawPolygon(QPolygonF([at + each for each in arrow]))

    def _to(self, at: QPointF) -> None:
        lies = self.lies()
        self.setValue(round(MOST * (at.x() - lies.left()) / max(lies.width(), 1.0)))
