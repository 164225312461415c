"""The mix in hand carried through steps of value, with how warm each step is, and the page of it."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox

from app.mixing.fold import MixFold
from app.mixing.settings import FEWEST_STRING, MOST_STRING
from app.mixing.string_chart import StringChart
from app.questions.parts import Stepper, button, flow, text
from app.studio import Studio

_HOW = "Mix a passage first: its mix is then carried lighter and darker."
_NO_WAY = "This palette has neither a white nor a black to carry it. Choose tubes that do, or lay out another palette."
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
        self.chart, self.left_out = StringChart(), text("", "note")
        self.page = button("Print the string…", self.page_wanted.emit)
        self._settings_of_it = (
            text("Lighter by", "note"), self.lighter, text("Darker by", "note"), self.darker, self.steps, self.beside,
            self.chart, self.left_out, text(_WARMTH, "note"), flow(self.page),
        )  # fmt: skip
        for part in (self.says, *self._settings_of_it):
            self.column.addWidget(part)

    def show_now(self) -> None:
        recipe = self.reads.recipe()
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
            self.beside.setChecked(self.settings.beside)
        carried = bool(lighter or darker)
        strings = self.reads.strings() if recipe is not None and carried else None
        for part in self._settings_of_it:
            part.setVisible(recipe is not None)
        self.chart.setVisible(strings is not None)
        self.page.setVisible(strings is not None)
        self.says.setVisible(recipe is None or not carried)
        self.says.setText(_HOW if recipe is None else _NO_WAY)
        self.chart.show_strings(strings)
        self.left_out.setText("" if strings is None else strings.string.say_left_out())
        self.left_out.setVisible(bool(self.left_out.text()))
