"""The film as it is played: one moment of it, crossed from the pictures of two photos."""

from bisect import bisect_right
from itertools import accumulate

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.film.jobs import Stills
from core.progress_film.film import FilmSettings, Moment, timeline

NONE_YET = "Looking at the photos…"


class Reel:
    """The pictures on the film's own time line. ``count``: frames in all."""

    def __init__(self, stills: Stills, settings: FilmSettings) -> None:
        self.stills, self.rate = stills, settings.rate
        self._moments = timeline(len(stills.images), settings)
        self._ends = list(accumulate(moment.frames for moment in self._moments))

    @property
    def count(self) -> int:
        return self._ends[-1]

    def moment(self, frame: int) -> Moment:
        """What is seen at a frame, from 0."""
        return self._moments[bisect_right(self._ends, min(max(frame, 0), self.count - 1))]

    def starts(self) -> list[int]:
        """The frame at which each photo stands still."""
        begun = [0, *self._ends[:-1]]
        return [start for start, moment in zip(begun, self._moments, strict=True) if not moment.share]

    def image(self, frame: int) -> QImage:
        """As the file has it: two photos cross in sRGB codes, their titles do not."""
        moment, images = self.moment(frame), self.stills.images
        first = images[moment.photo]
        if not moment.share:
            return first
        second = images[moment.photo + 1]
        crossed = (first if moment.share < 0.5 else second).copy()
        seen = QRectF(0, 0, crossed.width(), self.stills.picture_high)
        painter = QPainter(crossed)
        painter.drawImage(seen, first, seen)
        painter.setOpacity(moment.share)
        painter.drawImage(seen, second, seen)
        painter.end()
        return crossed


class FilmView(QWidget):
    """Shows one frame as large as there is room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._image: QImage | None = None
        self._says = ""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The film")

    def show_image(self, image: QImage | None, says: str = "") -> None:
        """``says``: what is seen, for who cannot; or, without an image, what is waited for."""
        self._image, self._says = image, says
        self.setAccessibleDescription(says)
        self.update()

    @property
    def image(self) -> QImage | None:
        return self._image

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 180)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look.SURROUND)
        if self._image is None:
            painter.setPen(look.INK)
            painter.setFont(look.font("title"))
            wrapped = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(24, 24, -24, -24), wrapped, self._says)
        else:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(fitted(self._image, self), self._image)
        if self.hasFocus():
            focus_ring(painter, self)


def fitted(image: QImage, widget: QWidget) -> QRectF:
    """Where a picture lies in a widget, whole, with a margin about it."""
    margin = look.px(14)
    room = QRectF(widget.rect()).adjusted(margin, margin, -margin, -margin)
    times = max(min(room.width() / image.width(), room.height() / image.height()), 1e-6)
    lies = QRectF(0, 0, image.width() * times, image.height() * times)
    lies.moveCenter(QPointF(room.center()))
    return lies


def focus_ring(painter: QPainter, widget: QWidget) -> None:
    """Just inside a picture's widget while it has the keyboard."""
    painter.setPen(QPen(look.INK, 3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(widget.rect().adjusted(2, 2, -3, -3))
