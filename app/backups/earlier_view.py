"""The earlier days of the painting in the ledge's place, each to be looked at."""

from datetime import date
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app import look
from app.backups.words import morning_words
from app.questions.parts import button, text
from app.studio import Studio
from core.errors import PainterError
from core.painting import DayCopy

_SIDE_PX, _GAP_PX = 300, 8
_KEPT = "The last seven days of work and four weeks before them, each as it was when first opened that day."
_NONE = "None yet. A copy is kept when the painting is first opened on another day than it was made."


class EarlierView(QFrame):
    """``left``: back to the ledge. ``said``: what stands in the way. ``wanted``: a DayCopy is to be looked at."""

    left = Signal()
    said = Signal(str)
    wanted = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.days: tuple[QPushButton, ...] = ()
        self.looked_at: DayCopy | None = None
        self.says = text(role="note")
        self.back = button("Back to the ledge", self.left.emit)
        self._side = QWidget(self)
        column = QVBoxLayout(self._side)
        column.setContentsMargins(0, 0, _GAP_PX, 0)
        column.addWidget(self.back)
        column.addWidget(self.says)
        column.addStretch(1)
        inside = QWidget()
        self._row = QHBoxLayout(inside)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addStretch(1)
        self._scroll = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self._side)
        whole.addWidget(scroll, 1, Qt.AlignmentFlag.AlignTop)
        self.setAccessibleName("Earlier days")

    def refresh(self) -> None:
        """Show the copies that are there now, the newest first."""
        try:
            copies = self._studio.painting.copies()
        except PainterError as trouble:
            self.said.emit(str(trouble))
            copies = ()
        for old in self.days:
            self._row.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.days = tuple(map(self._day, copies))
        for place, day in enumerate(self.days):
            self._row.insertWidget(place, day, 0, Qt.AlignmentFlag.AlignTop)
        highest = max((day.sizeHint().height() for day in self.days), default=0)
        self._scroll.setFixedHeight(highest + self._scroll.horizontalScrollBar().sizeHint().height())
        self.says.setText(_KEPT if copies else _NONE)
        self.says.setVisible(self.looked_at is None)  # else the bar over the page says enough
        narrow = self.back.sizeHint().width() + _GAP_PX
        self._side.setFixedWidth(round(look.px(_SIDE_PX)) if self.looked_at is None else narrow)
        QTimer.singleShot(0, self, self._show_looked_at)  # once the days are laid out

    def _day(self, copy: DayCopy) -> QPushButton:
        morning = morning_words(copy.day, date.today())
        made = button(morning.replace(" ", "\n", 2).replace("\n", " ", 1), partial(self._press, copy))
        made.setAccessibleName(f"Look at the painting: {morning}")
        made.setCheckable(True)
        made.setChecked(copy == self.looked_at)
        return made

    def _show_looked_at(self) -> None:
        for day in self.days:
            if day.isChecked():
                self._scroll.ensureWidgetVisible(day)

    def _press(self, copy: DayCopy) -> None:
        """That of the day that is looked at stays down."""
        if copy == self.looked_at:
            self.refresh()
        else:
            self.wanted.emit(copy)
