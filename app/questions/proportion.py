"""Proportion, a page of the drawing panel: measures, plumb and level lines, the squaring grid, the landmarks' table."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.measuring import Measuring
from app.questions.fold import Fold
from app.questions.grid_fold import GridFold
from app.questions.parts import Line, Lines, button, flow, row, text
from app.questions.table_fold import TableFold
from app.studio import Studio
from core.drawing.proportion import length_words

_HOW = "Drag from one point to another on any picture, or press at the one and then at the other."


class ProportionPage(QWidget):
    """Follows the studio and what is measured."""

    go_to = Signal(float, float, float)
    said = Signal(str)

    def __init__(
        self, studio: Studio, measuring: Measuring, actions: dict[str, QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._studio, self._measuring = studio, measuring
        self.measures = MeasuresFold(measuring, actions)
        self.plumb = PlumbFold(measuring, actions)
        self.grid = GridFold(studio, measuring, actions)
        self.table = TableFold(studio, measuring)
        self.table.go_to.connect(self.go_to)
        self.table.said.connect(self.said)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for part in (self.measures, self.plumb, self.grid, self.table):
            column.addWidget(part)
        studio.view_changed.connect(self.refresh)
        studio.drawing_changed.connect(self.refresh)
        measuring.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        for part in (self.measures, self.plumb, self.grid, self.table):
            part.refresh()


class MeasuresFold(Fold):
    """The chosen measure large, all of them in a list, and the unit they are told in."""

    def __init__(self, measuring: Measuring, actions: dict[str, QAction]) -> None:
        super().__init__("Measures")
        self._measuring = measuring
        self.length, self.units, self.lean = text(role="figure"), text(role="subheading"), text()
        self.how = text(role="note")
        self.lines = Lines()
        self.lines.chosen.connect(self._choose)
        self.take = button("Take as the unit…", measuring.take_unit)
        self.remove = button("Remove", measuring.remove)
        self.remove.setAccessibleName("Remove the chosen measure")
        self.unit = text()
        self.forget = button("Forget", measuring.forget_unit)
        self.forget.setAccessibleName("Forget the unit")
        self.column.addWidget(flow(KeyButton.of(actions["measure"], "Measure"), self.remove))
        for part in (self.length, self.units, self.lean, self.take, self.how, self.lines):
            self.column.addWidget(part)
        self.column.addLayout(row(self.unit, self.forget, stretch=0))

    def refresh(self) -> None:
        measures, current = self._measuring.measures, self._measuring.measures.current
        self._show_current()
        told = [(each, self._measuring.figures(each)) for each in measures.kept]
        self.lines.setVisible(len(told) > 1)
        self.lines.show_lines([Line(each.number, says.short, says.rest) for each, says in told])
        self.lines.mark(next((i for i, (each, _) in enumerate(told) if each is current), None))
        unit = measures.unit
        for part in (self.unit, self.forget):
            part.setVisible(unit is not None)
        if unit is not None:
            self.unit.setText(f"Unit: {unit.name}, {length_words(unit.length_mm, self._measuring.unit)}")

    def _show_current(self) -> None:
        current = self._measuring.measures.current
        self.remove.setEnabled(current is not None)
        self.take.setVisible(current is not None)
        figures = None if current is None else self._measuring.figures(current)
        _say(self.length, figures.length if figures is not None else "")
        units = ", ".join(part for part in (figures.units, figures.handy) if part) if figures is not None else ""
        _say(self.units, units)
        lean = " · ".join(part for part in (figures.lean, figures.ends) if part) if figures is not None else ""
        _say(self.lean, lean[:1].upper() + lean[1:])
        if self._measuring.is_on:
            _say(self.how, _HOW if current is None else "Arrow keys nudge its last end. Esc puts the measures away.")
        else:
            _say(self.how, "" if current is not None else f"Press Measure. {_HOW}")

    def _choose(self, index: int) -> None:
        self._measuring.choose(self._measuring.measures.kept[index].number)


class PlumbFold(Fold):
    """The lines through the pointer, and those that are pinned."""

    def __init__(self, measuring: Measuring, actions: dict[str, QAction]) -> None:
        super().__init__("Plumb and level")
        self._measuring = measuring
        self.pin = KeyButton.of(actions["pin"], "Pin")
        self.unpin = button("Unpin", lambda: measuring.unpin(len(measuring.measures.pins) - 1))
        self.unpin.setAccessibleName("Unpin the last pair of lines")
        self.says = text(role="note")
        self.column.addWidget(flow(KeyButton.of(actions["plumb"], "Lines"), self.pin, self.unpin))
        self.column.addWidget(self.says)

    def refresh(self) -> None:
        pins = self._measuring.measures.pins
        self.unpin.setEnabled(bool(pins))
        if pins:
            self.says.setText(
                "Drag a pinned pair by the ring where its lines cross. → is from the left edge, ↓ from the top."
            )
        else:
            self.says.setText("They follow the pointer, in all pictures at once. Pinned lines stay.")


def _say(label: QLabel, words: str) -> None:
    """Words, or no room for them."""
    label.setText(words)
    label.setVisible(bool(words))
