"""The earlier days of the painting in the ledge's place, each to be looked at."""

from datetime import date
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app import look
from app.backups.words import morning_words
from app.ledge.shelf import GAP_PX, SIDE_PX, Shelf
from app.questions.parts import button
from app.studio import Studio
from core.errors import PainterError
from core.painting import DayCopy

_KEPT = "The last seven days of work and four weeks before them, each as it was when first opened that day."
_NONE = "None yet. A copy is kept when the painting is first opened on another day than it was made."


class EarlierView(Shelf):
    """``wanted``: a DayCopy is to be looked at."""

    wanted = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__("Earlier days", parent)
        self._studio = studio
        self.days: tuple[QPushButton, ...] = ()
        self.looked_at: DayCopy | None = None
        self._whole.setAlignment(self._scroll, Qt.AlignmentFlag.AlignTop)

    def refresh(self) -> None:
        """Show the copies that are there now, the newest first."""
        try:
            copies = self._studio.painting.copies()
        except PainterError as trouble:
            self.said.emit(str(trouble))
            copies = ()
        old, self.days = self.days, tuple(map(self._day, copies))
        self._lay(old, self.days)
        highest = max((day.sizeHint().height() for day in self.days), default=0)
        self._scroll.setFixedHeight(highest + self._scroll.horizontalScrollBar().sizeHint().height())
        self.says.setText(_KEPT if copies else _NONE)
        self.says.setVisible(self.looked_at is None)  # else the bar over the page says enough
        narrow = self.back.sizeHint().width() + GAP_PX
        self._side.setFixedWidth(round(look.px(SIDE_PX)) if self.looked_at is None else narrow)
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
