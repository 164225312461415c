"""The choice of the squaring grid."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QRadioButton

from app.actions import KeyButton
from app.measuring import Measuring
from app.questions.fold import Fold
from app.questions.parts import Stepper, flow, text
from app.studio import Studio
from core.drawing.proportion import length_words
from core.drawing.squaring import MOST_CELLS, Squaring, squaring_grid
from core.size import MM_PER_INCH

MOST_COUNT = 24
CELL_STEP_MM = {"mm": 5.0, "cm": 5.0, "in": MM_PER_INCH / 2}
_LEAST_CELL_STEPS = 2


class GridFold(Fold):
    """Which squaring grid lies over the pictures."""

    def __init__(self, studio: Studio, measuring: Measuring, actions: dict[str, QAction]) -> None:
        super().__init__("Squaring grid", is_open=studio.view.grid)
        self._studio, self._measuring = studio, measuring
        self._was_on = studio.view.grid
        self.by_number, self.by_size = QRadioButton("So many cells"), QRadioButton("Square cells")
        group = QButtonGroup(self)
        for each in (self.by_number, self.by_size):
            group.addButton(each)
        self.by_number.clicked.connect(lambda: self._set(lambda g: replace(g, cell_mm=None)))
        self.by_size.clicked.connect(lambda: self._set(self._squared))
        self.columns, self.rows, self.cell = Stepper("columns"), Stepper("rows"), Stepper("size of a cell")
        self.columns.stepped.connect(
            lambda by: self._set(lambda g: replace(g, columns=min(max(g.columns + by, 1), MOST_COUNT)))
        )
        self.rows.stepped.connect(lambda by: self._set(lambda g: replace(g, rows=min(max(g.rows + by, 1), MOST_COUNT))))
        self.cell.stepped.connect(lambda by: self._set(lambda g: replace(g, cell_mm=self._stepped(g, by))))
        self.says = text(role="note")
        self.checks = {
            name: self._check(name, words)
            for name, words in (
                ("halves", "Halves"),
                ("thirds", "Thirds"),
                ("diagonals", "Diagonals of the whole"),
                ("cell_diagonals", "Diagonals of each cell"),
            )
        }
        self.column.addWidget(flow(KeyButton.of(actions["grid"], "Grid over the pictures")))
        self.column.addWidget(flow(self.by_number, self.by_size))
        for part in (self.columns, self.rows, self.cell, self.says):
            self.column.addWidget(part)
        self.column.addWidget(flow(self.checks["halves"], self.checks["thirds"]))
        self.column.addWidget(self.checks["diagonals"])
        self.column.addWidget(self.checks["cell_diagonals"])

    def refresh(self) -> None:
        view, size = self._studio.view, self._studio.painting.size
        if view.grid and not self._was_on:
            self.open()
        self._was_on = view.grid
        wanted = view.squaring.held_to(size)
        by_size = wanted.cell_mm is not None
        for radio, on in ((self.by_number, not by_size), (self.by_size, by_size)):
            with QSignalBlocker(radio):
                radio.setChecked(on)
        for part, on in ((self.columns, not by_size), (self.rows, not by_size), (self.cell, by_size)):
            part.setVisible(on)
        for stepper, number, word in ((self.columns, wanted.columns, "column"), (self.rows, wanted.rows, "row")):
            says = f"{number} {word}{'' if number == 1 else 's'}"
            stepper.show_number(says, can_less=number > 1, can_more=number < MOST_COUNT)
        if wanted.cell_mm is not None:
            least, most = self._bounds()
            can_less, can_more = wanted.cell_mm > least + 1e-6, wanted.cell_mm < most - 1e-6
            self.cell.show_number(self._words(wanted.cell_mm), can_less=can_less, can_more=can_more)
        for name, check in self.checks.items():
            with QSignalBlocker(check):
                check.setChecked(getattr(wanted, name))
        self.says.setText(self._cells(wanted))

    def _check(self, name: str, words: str) -> QCheckBox:
        check = QCheckBox(words)
        check.toggled.connect(lambda on: self._set(lambda g: replace(g, **{name: on})))
        return check

    def _set(self, change: Callable[[Squaring], Squaring]) -> None:
        """Change the grid; it is then shown."""
        view = self._studio.view
        wanted = change(view.squaring.held_to(self._studio.painting.size))
        self._studio.change_view(replace(view, squaring=wanted, grid=True))
        self.refresh()

    def _bounds(self) -> tuple[float, float]:
        """The least and the largest cell that can be chosen, mm."""
        size, step = self._studio.painting.size, CELL_STEP_MM[self._measuring.unit]
        short, long = sorted((size.width_mm, size.height_mm))
        least = max(_LEAST_CELL_STEPS, -(-long // (MOST_CELLS * step))) * step
        return least, max(least, short // step * step)

    def _squared(self, grid: Squaring) -> Squaring:
        """Square cells, about as many as there are rows now."""
        side = self._studio.painting.size.height_mm / max(grid.rows, 1)
        return replace(grid, cell_mm=self._stepped(replace(grid, cell_mm=side), 0))

    def _stepped(self, grid: Squaring, by: int) -> float:
        least, most = self._bounds()
        step = CELL_STEP_MM[self._measuring.unit]
        return min(max((round((grid.cell_mm or least) / step) + by) * step, least), most)

    def _cells(self, wanted: Squaring) -> str:
        grid = squaring_grid(self._studio.painting.size, wanted)
        if grid.cell_mm is None:
            return ""
        wide, high = (self._words(each) for each in grid.cell_mm)
        says = f"Cells of {wide}." if wide == high else f"Cells of {wide} by {high}."
        right, below = grid.left_over_mm
        if right:
            says += f" The last column is {self._words(right)} wide."
        if below:
            says += f" The last row is {self._words(below)} high."
        return says

    def _words(self, mm: float) -> str:
        return length_words(mm, self._measuring.unit)
