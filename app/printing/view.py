"""One page of the sheets, large: moved and zoomed as the pictures on the wall are, and sharp at every zoom."""

import math

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from app import look
from app.picture import Picture
from app.wall.hanging import Hanging
from app.wall.mapping import Mapping
from app.wall.sheet import Sheet
from app.wall.sight import LEAST_OF_FIT, Placed, Reach, Sight, centred
from core.size import Size

MOST_PIXELS = 12_000_000
"""Of a page; it cannot be looked at more closely than this is sharp."""
SHARPEN_AFTER_MS = 120
_MARGIN_PX = 20.0
_CLOSEST_PX = 40.0  # on a mm of paper


class PageView(QWidget):
    """``wished`` says that a picture of another fineness is wanted: ``px_per_mm``."""

    wished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._paper = Size(210, 297)
        self._fitted, self._dimmed = True, False
        self.sheet = Sheet(self)
        hands = self.sheet.hands
        hands.panned.connect(lambda dx, dy: self._look_at(self.sheet.placed().panned(dx, dy)))
        hands.zoomed.connect(self._zoom)
        hands.fit_wished.connect(self.fit)
        self._sharpening = QTimer(self)
        self._sharpening.setSingleShot(True)
        self._sharpening.setInterval(SHARPEN_AFTER_MS)
        self._sharpening.timeout.connect(self._sharpen)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("The page as it will be printed")

    @property
    def px_per_mm(self) -> float:
        """Picture pixels on a mm of paper for the screen as it looks at the page now."""
        return min(self.sheet.sight.zoom * self.devicePixelRatioF(), self._finest())

    @property
    def is_dimmed(self) -> bool:
        return self._dimmed

    @property
    def hanging(self) -> Hanging | None:
        return self.sheet.hanging

    def take_paper(self, paper: Size) -> None:
        """The pages have this size from now on."""
        if paper != self._paper:
            self._paper, self._fitted = paper, True
        if self._fitted:
            self.fit()

    def show_page(self, picture: Picture, px_per_mm: float) -> None:
        self._dimmed = False
        self.sheet.show_hanging(Hanging("", picture, Mapping.flat(px_per_mm)))
        if self._fitted:
            self.fit()

    def dim(self) -> None:
        """What is shown is not what was asked for last."""
        hanging = self.sheet.hanging
        if hanging is not None and not self._dimmed:
            self._dimmed = True
            self.sheet.show_hanging(Hanging("", hanging.picture, hanging.mapping, overlays=(_Veil(),)))

    def clear(self) -> None:
        """Let the picture go."""
        self._sharpening.stop()
        self._fitted, self._dimmed = True, False
        self.sheet.show_hanging(None)

    def fit(self) -> None:
        """Show the whole page."""
        paper = self._paper
        self._look_at(centred(paper.width_mm, paper.height_mm, self._fit_zoom()), fitted=True)

    def zoom(self, factor: float) -> None:
        """Look closer, or from further away."""
        self._zoom(factor, None)

    def sizeHint(self) -> QSize:
        return QSize(900, 700)

    def minimumSizeHint(self) -> QSize:
        return QSize(280, 220)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.sheet.setGeometry(self.rect())
        if self._fitted:
            self.fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.sheet.hanging is None or not self.sheet.hands.take_key(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self.sheet.hands.release_key(event):
            super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QEvent) -> None:
        self.sheet.hands.hold_space(False)

    def _zoom(self, factor: float, about: QPointF | None) -> None:
        if self.sheet.hanging is None:
            return
        placed = self.sheet.placed()
        self._look_at(placed.zoomed(factor, about or placed.viewport.center()))

    def _look_at(self, sight: Sight, *, fitted: bool = False) -> None:
        self._fitted = fitted
        fit = self._fit_zoom()
        most = max(self._finest() / self.devicePixelRatioF(), fit)
        reach = Reach(self._paper.width_mm, self._paper.height_mm, fit * LEAST_OF_FIT, most)
        self.sheet.look_at(self._on_whole_pixels(reach.hold(sight)))
        hanging = self.sheet.hanging
        if hanging is not None and not math.isclose(hanging.mapping.px_per_mm, self.px_per_mm):
            self._sharpening.start()

    def _on_whole_pixels(self, sight: Sight) -> Sight:
        """Moved by less than a pixel, so that the picture's pixels lie on the screen's."""
        ratio, middle = self.devicePixelRatioF(), QRectF(self.sheet.rect()).center()

        def moved(mm: float, at: float) -> float:
            edge = round((at - sight.zoom * mm) * ratio) / ratio
            return (at - edge) / sight.zoom

        return Sight(moved(sight.x_mm, middle.x()), moved(sight.y_mm, middle.y()), sight.zoom)

    def _sharpen(self) -> None:
        if self.sheet.hanging is not None and not self._dimmed:
            self.wished.emit()

    def _finest(self) -> float:
        return min(math.sqrt(MOST_PIXELS / (self._paper.width_mm * self._paper.height_mm)), _CLOSEST_PX)

    def _fit_zoom(self) -> float:
        wide, high = self.sheet.width() - 2 * _MARGIN_PX, self.sheet.height() - 2 * _MARGIN_PX
        return max(min(wide / self._paper.width_mm, high / self._paper.height_mm), 0.05)


class _Veil:
    """Over a page that is no longer what will be printed."""

    def paint(self, painter: QPainter, placed: Placed) -> None:
        veil = QColor(look.shades().colour("surround"))
        veil.setAlphaF(0.6)
        painter.fillRect(placed.viewport, veil)
