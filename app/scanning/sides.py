"""What stands beside the picture on the scan page: first the sheet, then its lines."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QPushButton, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.keys import shown_key
from app.questions.parts import Panel, button, flow, text
from app.scanning.choice import SheetChoice
from app.scanning.placement import Placement
from app.scanning.words import counted, lines_said
from core.drawing.drawing import Drawing


class SheetSide(Panel):
    """Which sheet it is, and what helps to place its corners."""

    turn_wished = Signal()
    find_wished = Signal()
    whole_wished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("The sheet the drawing is on", parent)
        self.says = text()
        self.choice = SheetChoice()
        self.turn = button("Turn a quarter", self.turn_wished.emit)
        self.turn.setToolTip("Name the corners anew, for a photo taken sideways or upside down")
        self.again = button("Find the outline again", self.find_wished.emit)
        self.whole = button("The whole picture is the sheet", self.whole_wished.emit)
        self.whole.setToolTip("For a scanner’s picture that shows the sheet and nothing else")
        parts: tuple[QWidget, ...] = (
            text("The drawing’s sheet", "heading"), self.says,
            text("Its size", "subheading"), self.choice,
            text("Its corners", "subheading"), flow(self.turn, self.again), self.whole,
        )  # fmt: skip
        for part in parts:
            self.column.addWidget(part)
        self.column.addStretch(1)


class LinesSide(Panel):
    """What was found, where it lies on the canvas, and what becomes of the lines there are."""

    toggled = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("The lines that were found", parent)
        self.found, self.notes = text(), text(role="note")
        self.show_lines = KeyButton("Lines", shown_key("acetate"))
        self.show_lines.setCheckable(True)
        self.show_lines.setChecked(True)
        self.show_lines.setToolTip(f"The lines over the photo, or the photo alone ({shown_key('acetate')})")
        self.show_lines.clicked.connect(lambda _=False: self.toggled.emit())
        self.placement = Placement()
        self.replace, self.add = QPushButton("Replace its lines"), QPushButton("Add to its lines")
        group = QButtonGroup(self)
        for each in (self.replace, self.add):
            each.setCheckable(True)
            group.addButton(each)
        self.there = text()
        self.choice = flow(self.replace, self.add)
        self.kept = QWidget()
        kept = QVBoxLayout(self.kept)
        kept.setContentsMargins(0, 0, 0, 0)
        kept.addWidget(text("The painting’s drawing", "subheading"))
        kept.addWidget(self.there)
        kept.addWidget(self.choice)
        parts: tuple[QWidget, ...] = (
            text("Lines found", "heading"), self.found, flow(self.show_lines), self.notes,
            text("On the canvas", "subheading"), self.placement, self.kept,
        )  # fmt: skip
        for part in parts:
            self.column.addWidget(part)
        self.column.addStretch(1)

    def begin(self) -> None:
        """For another photo: everything as it is usual."""
        self.placement.begin()
        self.replace.setChecked(True)

    def show_before(self, before: Drawing | None) -> None:
        """What becomes of the painting's drawing, where there is one."""
        self.show_lines.setChecked(True)
        lines, marks = (len(before.lines), len(before.landmarks)) if before is not None else (0, 0)
        self.kept.setVisible(bool(lines or marks))
        self.choice.setVisible(bool(lines))
        parts = [f"It has {counted(lines, 'line')}." if lines else "It has no lines yet."]
        if marks:
            parts.append("Its landmark stays." if marks == 1 else f"Its {marks} landmarks stay.")
        self.there.setText(" ".join(parts))

    def show_found(self, drawing: Drawing, length_mm: float, notes: tuple[str, ...]) -> None:
        self.found.setText(lines_said(drawing, length_mm))
        self.notes.setText("\n\n".join(notes))
        self.notes.setVisible(bool(notes))
