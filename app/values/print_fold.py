"""What is printed of the values: the first marks with the order of work, and the grey pair."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QRadioButton

from app.questions.fold import Fold
from app.questions.paper import PaperBox
from app.questions.parts import button, flow, text
from app.studio import Studio
from app.values.settings import Printed


class PrintFold(Fold):
    """The buttons say what is wanted; the settings are kept with the painting."""

    marks_wanted = Signal()
    pair_wanted = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__("Print", is_open=False)
        self._studio = studio
        self.paper = PaperBox()
        self.paper.chosen.connect(lambda name: self._set(paper=name))
        self.marks = button("First marks and order…", self.marks_wanted.emit)
        self.pair = button("Grey pair…", self.pair_wanted.emit)
        self.fitted, self.scaled = QRadioButton("On one page"), QRadioButton("At canvas scale")
        group = QButtonGroup(self)
        for radio, fitted in ((self.fitted, True), (self.scaled, False)):
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, fitted=fitted: self._set(fitted=fitted))
        self.grid = QCheckBox("With the wall’s squaring grid")
        self.grid.toggled.connect(lambda on: self._set(with_grid=on))
        self.column.addWidget(self.paper)
        self.column.addWidget(flow(self.marks))
        self.column.addWidget(text("The reference in colour and in grey, to hang beside the easel:", "note"))
        self.column.addWidget(flow(self.fitted, self.scaled))
        self.column.addWidget(self.grid)
        self.column.addWidget(flow(self.pair))

    def refresh(self) -> None:
        printed = self._studio.view.values.printed
        self.paper.show_paper(printed.paper)
        for part, on in (
            (self.fitted if printed.fitted else self.scaled, True),
            (self.grid, printed.with_grid),
        ):
            with QSignalBlocker(part):
                part.setChecked(on)

    def _set(self, **parts: object) -> None:
        view = self._studio.view
        printed: Printed = replace(view.values.printed, **parts)  # type: ignore[arg-type]
        self._studio.change_view(replace(view, values=replace(view.values, printed=printed)))
