"""The settings beside the final photo: what goes in, the paper, whose name, which photo, and its colours."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QSizePolicy,
    QStyle,
    QStyleOptionComboBox,
    QWidget,
)  # fmt: skip

from app import look
from app.questions.parts import Panel, text
from app.reporting.wish import MOST_NAME, PAPER_NAMES, Audience, Wish
from app.sittings.words import first_up
from core.painting import CanvasPhotoRecord
from core.painting_report.card import Edition
from core.painting_report.parts import Part
from core.size import PAPERS

NO_PHOTO = "No canvas photo yet"
_AUDIENCES = {
    Audience.BUYER: "For a buyer",
    Audience.STUDENT: "For a student",
    Audience.OWN: "Part by part",
}
_EDITIONS: dict[Edition | None, str] = {
    None: "Card: told by its patches",
    **{each: f"Card: made {each}" for each in reversed(Edition)},
}
_LEFT_OUT = "The checks, and what is still to mend, are left out."
_FEWEST_LETTERS = 12
_ROOM_PX = 6


class Settings(Panel):
    """``wish`` gives what is set; ``changed`` says that it may be another."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("The painting’s report", parent)
        self._there: Mapping[Part, bool] = {}
        self._own: tuple[Part, ...] = ()
        self.audience = Choices("What goes in")
        for each, words in _AUDIENCES.items():
            self.audience.addItem(words, each)
        self.goes_in = text(role="note")
        self.parts = {part: QCheckBox() for part in Part}
        self.paper = Choices("Paper")
        for name in PAPER_NAMES:
            self.paper.addItem(f"{name} ({PAPERS[name].in_cm()})", name)
        self.by = QLineEdit()
        self.by.setMaxLength(MOST_NAME)
        self.by.setAccessibleName("Whose name stands on it")
        self.final = Choices("The final photo")
        self.by_card = QCheckBox("Colours put right by a card in it")
        self.by_card.setAccessibleName("Put its colours right by a colour card in it")
        self.edition = Choices("When the colour card was made")
        for which, words in _EDITIONS.items():
            self.edition.addItem(words, which)
        self.says = text(role="note")
        self._lay_out()
        self._connect()

    def show_wish(self, wish: Wish, photos: Sequence[CanvasPhotoRecord], there: Mapping[Part, bool]) -> None:
        """Show what is kept. ``photos``: those that may be the final one, in their order. ``there``: whether the
        painting has anything for a part."""
        with QSignalBlocker(self):
            self.audience.setCurrentIndex(self.audience.findData(wish.audience))
            for part, check in self.parts.items():
                check.setChecked(part in wish.own)
            self.paper.setCurrentIndex(self.paper.findData(wish.paper))
            self.by.setText(wish.by)
            self.by_card.setChecked(wish.by_card)
            self.edition.setCurrentIndex(self.edition.findData(wish.edition))
            self.show_photos(wish.final, photos, there)

    def show_photos(self, final: int | None, photos: Sequence[CanvasPhotoRecord], there: Mapping[Part, bool]) -> None:
        """What the painting holds has changed."""
        self._there = there
        with QSignalBlocker(self):
            self.final.clear()
            if photos:
                self.final.addItem(f"The last: {_named(photos[-1])}", None)
            else:
                self.final.addItem(NO_PHOTO, None)
            for photo in photos:
                self.final.addItem(_named(photo), photo.id)
            self.final.setCurrentIndex(max(0, self.final.findData(final)))
            self.final.setEnabled(bool(photos))
            self._follow()

    def wish(self) -> Wish:
        """What is set."""
        return Wish(
            audience=Audience(self.audience.currentData()),
            own=tuple(part for part, check in self.parts.items() if check.isChecked()),
            paper=str(self.paper.currentData()),
            by=self.by.text().strip(),
            final=self.final.currentData(),
            by_card=self.by_card.isChecked(),
            edition=_edition(self.edition.currentData()),
        )

    def say(self, says: Sequence[str], *, card: bool) -> None:
        """What is told of the final photo's colours. ``card``: whether there is one whose edition may be chosen."""
        self.says.setText("\n".join(says))
        self.says.setVisible(bool(says))
        self.edition.setVisible(card or (self.by_card.isChecked() and self.edition.currentIndex() > 0))

    def _lay_out(self) -> None:
        self.says.hide()
        self.edition.hide()
        name = _heading("Whose name stands on it")
        name.setBuddy(self.by)
        for each in (
            _heading("What goes in"),
            self.audience,
            *self.parts.values(),
            self.goes_in,
            _heading("Paper"),
            self.paper,
            name,
            self.by,
            _heading("The final photo"),
            self.final,
            self.by_card,
            self.edition,
            self.says,
        ):
            self.column.addWidget(each)
        self.column.addStretch(1)

    def _connect(self) -> None:
        for box in (self.audience, self.paper, self.final, self.edition):
            box.currentIndexChanged.connect(self._change)
        for check in (*self.parts.values(), self.by_card):
            check.toggled.connect(self._change)
        self.by.textEdited.connect(lambda _: self.changed.emit())

    def _change(self) -> None:
        self._follow()
        self.changed.emit()

    def _follow(self) -> None:
        """Show what belongs to the choice, and hide what does not."""
        wish = self.wish()
        own = wish.audience is Audience.OWN
        for part, check in self.parts.items():
            check.setText(first_up(str(part)) + ("" if self._there.get(part, True) else " (none yet)"))
            check.setVisible(own)
        self.goes_in.setVisible(not own)
        there = [str(part) for part in wish.parts if self._there.get(part, True)]
        missing = [str(part) for part in wish.parts if not self._there.get(part, True)]
        told = [f"{first_up(', '.join(there))}."]
        told += [_LEFT_OUT] if wish.audience is Audience.BUYER else []
        told += [f"Not there yet, and left away: {', '.join(missing)}."] if missing else []
        self.goes_in.setText(" ".join(told))


class Choices(QComboBox):
    """As wide as the panel and not as what is chosen, whose end is told by dots where it has no room."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(_FEWEST_LETTERS)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.currentTextChanged.connect(self.setToolTip)

    def initStyleOption(self, option: QStyleOptionComboBox) -> None:
        super().initStyleOption(option)
        part = QStyle.SubControl.SC_ComboBoxEditField
        room = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, part, self).width()
        words = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room - _ROOM_PX)
        option.currentText = words


def _named(photo: CanvasPhotoRecord) -> str:
    sitting = f"Sitting {photo.sitting}"
    return photo.name if photo.name.casefold() == sitting.casefold() else f"{photo.name} ({sitting.lower()})"


def _edition(data: str | None) -> Edition | None:
    return None if data is None else Edition(data)


def _heading(words: str) -> QLabel:
    label = QLabel(words)
    look.set_role(label, "subheading")
    return label
