"""The mix in hand carried through steps of value, with how warm each step is, and the page of it."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox

from app.mixing.fold import MixFold
from app.mixing.jobs import Strings
from app.mixing.reads import NO_REFERENCE
from app.mixing.settings import FEWEST_STRING, MOST_STRING
from app.mixing.string_chart import StringChart
from app.questions.parts import Stepper, button, flow, text
from app.studio import Studio
from app.view import Subject

_HOW = "Mix a passage first: its mix is then carried lighter and darker."
_NO_WAY = "This palette has neither a white nor a black to carry it. Choose tubes that do, or lay out another palette."
_ONE_WAY = (
    "This palette lacks a white or a black, and both families are carried lighter and darker. Choose tubes for both "
    "ways, or lay out another palette."
)
_LOOKING = "Being mixed…"
_WARMTH = "T is warmth on the warm–cool axis, neutral 0: compare steps, and a string with the one beside it."


class StringFold(MixFold):
    """``page_wanted``: it is to be printed."""

    page_wanted = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "String", is_open=False)
        self.says = text(_HOW)
        self.lighter, self.darker = QComboBox(), QComboBox()
        for box, name, setting in ((self.lighter, "Lighter by", "lighter"), (self.darker, "Darker by", "darker")):
            box.setAccessibleName(name)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(12)
            box.activated.connect(lambda i, box=box, setting=setting: self.set_view(**{setting: box.itemText(i)}))
        self.steps = Stepper("steps of the string")
        self.steps.stepped.connect(lambda by: self.set_view(steps=self.settings.steps + by))
        self.beside = QCheckBox("Plain grey beside it")
        self.beside.toggled.connect(lambda on: self.set_view(beside=on))
        self.families = QCheckBox("Of light and shadow family")
        self.families.toggled.connect(lambda on: self.set_view(families=on))
        self.heading_of_two, self.chart, self.notes = text("", "note"), StringChart(), text()
        self.page = button("Print the string…", self.page_wanted.emit)
        self._ends = text("Lighter by", "note"), self.lighter, text("Darker by", "note"), self.darker
        self._of_mix = self.steps, self.beside
        self._found = self.heading_of_two, self.chart, self.notes, text(_WARMTH, "note"), flow(self.page)
        for part in (self.families, self.says, *self._ends, *self._of_mix, *self._found):
            self.column.addWidget(part)

    def show_now(self) -> None:
        lighter, darker = self.reads.string_ends()
        names = self.reads.palette.tubes
        for box, name in ((self.lighter, lighter), (self.darker, darker)):
            with QSignalBlocker(box):
                box.clear()
                box.addItems(list(names))
                box.setCurrentIndex(names.index(name) if name in names else -1)
        steps = self.settings.steps
        self.steps.show_number(f"{steps} steps", can_less=steps > FEWEST_STRING, can_more=steps < MOST_STRING)
        with QSignalBlocker(self.beside):
            self.beside.setChecked(self.settings.beside and self.reads.greys() is not None)
            self.families.setChecked(self.settings.families)
        self.beside.setEnabled(self.reads.greys() is not None)  # of the palette's own white and black
        strings = self._strings(lighter, darker)
        for parts, seen in (
            (self._ends, self.settings.families or self.reads.recipe() is not None),
            (self._of_mix, not self.settings.families and self.reads.recipe() is not None),
            (self._found, strings is not None),
        ):
            for part in parts:
                part.setVisible(seen)
        self.chart.show_strings(strings)
        self.notes.setText("" if strings is None else " ".join(strings.notes))
        self.notes.setVisible(bool(self.notes.text()))
        two = strings is not None and strings.second is not None
        self.heading_of_two.setText(_side_by_side(strings) if strings is not None and two else "")
        self.heading_of_two.setVisible(two)

    def _strings(self, lighter: str, darker: str) -> Strings | None:
        """What is shown; where there is nothing, why is said."""
        why = ""
        if self.settings.families:
            lost = self.studio.source(Subject.REFERENCE) is None
            why = NO_REFERENCE if lost else "" if lighter and darker else _ONE_WAY
        elif self.reads.recipe() is None:
            why = _HOW
        elif not (lighter or darker):
            why = _NO_WAY
        strings = None if why else self.reads.strings()
        self.says.setText(why or self.reads.string_trouble or _LOOKING)
        self.says.setVisible(strings is None)
        return strings


def _side_by_side(strings: Strings) -> str:
    return f"{strings.headings[0]}, and beside it: {strings.headings[1].lower()}"
