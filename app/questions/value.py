"""The value panel: what is under the pointer, and folds for the value plan, first marks, reach and what has strayed."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QGridLayout, QWidget

from app.actions import KeyButton
from app.pointer_reading import Reading
from app.questions.fold import Fold
from app.questions.parts import Panel, flow, text
from app.studio import Studio
from app.values.difference_fold import DifferenceFold
from app.values.glare_fold import GlareFold
from app.values.light_fold import LightFold
from app.values.marks_fold import MarksFold, OrderFold
from app.values.plan_fold import PlanFold
from app.values.print_fold import PrintFold
from app.values.reach_fold import ReachFold, UnderpaintingFold
from app.values.strip_fold import StripFold


class ValuePanel(Panel):
    """Follows the studio."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Value", parent)
        self._studio = studio
        self._add_pointer(actions)
        self.plan = PlanFold(studio, actions)
        self.marks, self.order = MarksFold(studio, actions), OrderFold(studio, actions)
        self.reach, self.underpainting = ReachFold(studio, actions), UnderpaintingFold(studio, actions)
        self.difference = DifferenceFold(studio, actions)
        self.strip, self.light = StripFold(studio, actions), LightFold(studio)
        self.glare, self.prints = GlareFold(studio, actions), PrintFold(studio)
        groups: dict[str, tuple[Fold, ...]] = {
            "Before painting": (self.plan, self.marks, self.order, self.reach, self.underpainting, self.prints),
            "The canvas against it": (self.difference, self.strip, self.light, self.glare),
        }
        self.steps, self.squint = self.plan.steps, self.plan.squint
        self.reference_shares, self.canvas_shares = self.plan.reference_shares, self.plan.canvas_shares
        self.within, self.areas, self.numbers = self.difference.within, self.difference.lines, self.difference.numbers
        for name, folds in groups.items():
            self.column.addWidget(text(name, "note"))
            for fold in folds:
                self.column.addWidget(fold)
                fold.opened.connect(partial(self.bring_up, fold))
        for going in (self.marks, self.order, self.difference):
            going.go_to.connect(self.go_to)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.shares_changed.connect(self.refresh_read)
        studio.ledge_changed.connect(self.refresh_read)
        studio.findings_changed.connect(self.refresh_findings)
        self.refresh()
        self.refresh_findings()
        self.show_reading(None)

    def show_reading(self, reading: Reading | None) -> None:
        """What is under the pointer; None when it is off the canvas."""
        reading = reading or Reading()
        for label, value in ((self.reference_value, reading.reference), (self.canvas_value, reading.canvas)):
            label.setText("–" if value is None else f"{value:.1f}")
        self.verdict.setText(reading.verdict)

    def refresh(self) -> None:
        for fold in (
            self.plan, self.marks, self.order, self.reach, self.underpainting, self.prints, self.difference, self.strip,
            self.light, self.glare,
        ):  # fmt: skip
            fold.refresh()
        self._note()

    def refresh_read(self) -> None:
        """More has been read of the pictures."""
        if self.isVisible():
            self.plan.refresh_read()
            for fold in (self.marks, self.order, self.reach):
                fold.refresh()
            self._note()

    def refresh_findings(self) -> None:
        self.difference.refresh_findings()
        for fold in (self.strip, self.light, self.reach):
            fold.refresh()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()

    def restyle(self) -> None:
        """The size of the type has changed."""
        for field in (self.reach.darkest, self.reach.lightest):
            field.restyle()
        self.light.restyle()

    def _note(self) -> None:
        note, at_length = self._studio.values.looks_lighter() if self.isVisible() else ("", "")
        self.note.setText(note)
        self.note.setToolTip(at_length)
        self.note.setVisible(bool(note))

    def _add_pointer(self, actions: dict[str, QAction]) -> None:
        grid = QGridLayout()
        self.reference_value, self.canvas_value = text("–", "figure"), text("–", "figure")
        self.reference_value.setAccessibleName("Value of the reference under the pointer")
        self.canvas_value.setAccessibleName("Value of the canvas under the pointer")
        for column, (name, label) in enumerate((("Reference", self.reference_value), ("Canvas", self.canvas_value))):
            grid.addWidget(text(name, "note"), 0, column)
            grid.addWidget(label, 1, column)
        self.verdict, self.note = text(role="note"), text(role="note")
        self.column.addWidget(text("Under the pointer", "subheading"))
        self.column.addLayout(grid)
        self.column.addWidget(self.verdict)
        self.column.addWidget(self.note)
        ways = (("hang_grey_pair", "Grey pair"), ("light_out", "Light out"), ("numbers_at_pointer", "On the wall"))
        self.column.addWidget(flow(*(KeyButton.of(actions[name], word) for name, word in ways)))
