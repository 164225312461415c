"""One sheet that fills its view: the hands on it, and its acetate lifted while the key is held."""

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.wall.sheet import Sheet
from app.wall.sight import Sight
from app.wall.wall_view import LIFT_KEY


class SheetView(QWidget):
    """A kind of view says what is fitted, how far it may be looked at, and which other keys it takes."""

    sheet: Sheet

    def __init__(self, sheet: type[Sheet], says: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sheet = sheet(self)
        self._fitted = True
        hands = self.sheet.hands
        hands.panned.connect(lambda dx, dy: self._look_at(self.sheet.placed().panned(dx, dy)))
        hands.zoomed.connect(self._zoom)
        hands.fit_wished.connect(self.fit)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(says)

    def fit(self) -> None:
        """Show the whole canvas; each view knows how much lies round it."""
        raise NotImplementedError

    def sizeHint(self) -> QSize:
        return QSize(1000, 700)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 240)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.sheet.setGeometry(self.rect())
        self._arrange()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == LIFT_KEY and not event.modifiers():
            self._lift(True)
        elif not self._take_key(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == LIFT_KEY:
            if not event.isAutoRepeat():
                self._lift(False)
        elif not self.sheet.hands.release_key(event):
            super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QEvent) -> None:
        self.sheet.hands.hold_space(False)
        self._lift(False)

    def _take_key(self, event: QKeyEvent) -> bool:
        """Whether a key is for this view."""
        return self.sheet.hands.take_key(event)

    def _lift(self, lifted: bool) -> None:
        """While lifted, no lines are shown."""
        self.sheet.lift_acetate(lifted)

    def _arrange(self) -> None:
        if self._fitted:
            self.fit()

    def _zoom(self, factor: float, about: QPointF | None) -> None:
        placed = self.sheet.placed()
        self._look_at(placed.zoomed(factor, about or placed.viewport.center()))

    def _look_at(self, sight: Sight, *, fitted: bool = False) -> None:
        """Show it so; each view repaints what it lays over the sheet. A widget's class cannot be abstract."""
        raise NotImplementedError
