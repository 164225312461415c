"""The settings beside the page: paper, lines, grid, layers and the fineness of a picture."""

from collections.abc import Iterable

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QVBoxLayout, QWidget

from app import look
from app.printing.choice import MOST_COUNT, Choice, Grid
from app.printing.number_field import NumberField
from app.questions.fold import Fold
from app.questions.parts import Panel, Stepper, text
from app.size_fields import SizeFields
from core.drawing.sheet_request import FILM_WEIGHT_MM
from core.size import PAPERS, Size

OWN = "Own size"
_FEATURES = {
    "whole_canvas": "The whole canvas, with its edge",
    "mirrored": "Mirrored, to trace from the back",
    "film": "For clear film",
    "dots": "Landmarks as pricking dots",
}
_GRIDS = {Grid.NONE: "No grid", Grid.PROPORTION: "The grid of the wall", Grid.OWN: "A grid of its own"}


class Settings(Panel):
    """``choice`` gives what is set; ``changed`` says that it may be another."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Transfer sheets", parent)
        self._columns, self._rows = 4, 4
        self._without: tuple[str, ...] = ()
        self.paper = QComboBox()
        self.paper.setAccessibleName("Paper")
        for name, size in PAPERS.items():
            self.paper.addItem(f"{name} ({size.in_cm()})", size)
        self.paper.addItem(OWN)
        self.own = SizeFields(of="paper")
        self.own.set_unit("mm")
        self.overlap = NumberField("Overlap", "mm", "10")
        self.margin = NumberField("Printer’s margin", "mm", "6")
        self.weight = NumberField("Line weight", "mm", "0.5")
        self.dpi = NumberField("Fineness of a PNG", "dpi", "300")
        self.film_note = text(f"On film, lines are at most {FILM_WEIGHT_MM:g} mm wide.", role="note")
        self.checks = {name: QCheckBox(words) for name, words in _FEATURES.items()}
        self.layers: dict[str, QCheckBox] = {}
        self._layer_box = QWidget()
        self._layer_column = QVBoxLayout(self._layer_box)
        self._layer_column.setContentsMargins(0, 0, 0, 0)
        self._layer_column.setSpacing(0)
        self._make_grid()
        self._lay_out()
        self._connect()

    def show_choice(self, choice: Choice, layers: Iterable[str]) -> None:
        """Show what is kept, for a drawing with these layers."""
        with QSignalBlocker(self):
            named = [self.paper.itemData(i) for i in range(len(PAPERS))]
            at = next((i for i, each in enumerate(named) if choice.paper in (each, each.turned)), len(PAPERS))
            self.paper.setCurrentIndex(at)
            self.own.show_size(choice.paper)
            for field, number in (
                (self.overlap, choice.overlap_mm),
                (self.margin, choice.margin_mm),
                (self.weight, choice.weight_mm),
                (self.dpi, choice.dpi),
            ):
                field.show_number(number)
            for name, check in self.checks.items():
                check.setChecked(getattr(choice, name))
            self.grid.setCurrentIndex(list(_GRIDS).index(choice.grid))
            self._columns, self._rows = choice.columns, choice.rows
            self.thirds.setChecked(choice.thirds)
            self.diagonals.setChecked(choice.diagonals)
            self._show_layers(choice, tuple(dict.fromkeys(layers)))
            self._follow()

    def choice(self) -> Choice:
        """Raises PainterError with a sentence about the first thing that cannot be read."""
        size = self.paper.currentData()
        shown = {name for name, check in self.layers.items() if not check.isChecked()}
        return Choice(
            paper=size if isinstance(size, Size) else self.own.size_mm(),
            overlap_mm=self.overlap.number(),
            margin_mm=self.margin.number(),
            weight_mm=self.weight.number(),
            grid=list(_GRIDS)[self.grid.currentIndex()],
            columns=self._columns,
            rows=self._rows,
            thirds=self.thirds.isChecked(),
            diagonals=self.diagonals.isChecked(),
            without=tuple(sorted(shown | {name for name in self._without if name not in self.layers})),
            dpi=self.dpi.number(),
            **{name: check.isChecked() for name, check in self.checks.items()},
        )

    def restyle(self) -> None:
        """The size of the type has changed."""
        for field in (self.overlap, self.margin, self.weight, self.dpi):
            field.restyle()
        for stepper in (self.columns, self.rows):
            stepper.restyle()

    def _make_grid(self) -> None:
        self.grid = QComboBox()
        self.grid.setAccessibleName("Squaring grid")
        self.grid.addItems(list(_GRIDS.values()))
        self.columns, self.rows = GridStepper("columns"), GridStepper("rows")
        self.thirds, self.diagonals = QCheckBox("Thirds"), QCheckBox("Diagonals of the whole")
        self._own_grid = QWidget()
        column = QVBoxLayout(self._own_grid)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for part in (self.columns, self.rows, self.thirds, self.diagonals):
            column.addWidget(part)

    def _lay_out(self) -> None:
        self.column.addWidget(_heading("Paper"))
        papers: tuple[QWidget, ...] = (self.paper, self.own, self.overlap, self.margin)
        for each in papers:
            self.column.addWidget(each)
        self.column.addWidget(_heading("What is drawn"))
        self.column.addWidget(self.weight)
        for part in (*self.checks.values(), self.film_note):
            self.column.addWidget(part)
        self.layer_fold, self.grid_fold = Fold("Layers"), Fold("Squaring grid")
        self.layer_fold.column.addWidget(self._layer_box)
        self.grid_fold.column.addWidget(self.grid)
        self.grid_fold.column.addWidget(self._own_grid)
        self.column.addWidget(self.layer_fold)
        self.column.addWidget(self.grid_fold)
        self.column.addWidget(_heading("As one picture"))
        self.column.addWidget(self.dpi)
        self.column.addStretch(1)

    def _connect(self) -> None:
        for box in (self.paper, self.grid):
            box.currentIndexChanged.connect(self._change)
        for field in (self.own, self.overlap, self.margin, self.weight, self.dpi):
            field.changed.connect(self._change)
        for check in (*self.checks.values(), self.thirds, self.diagonals):
            check.toggled.connect(self._change)
        self.columns.stepped.connect(lambda by: self._step(by, 0))
        self.rows.stepped.connect(lambda by: self._step(0, by))

    def _show_layers(self, choice: Choice, layers: tuple[str, ...]) -> None:
        self._without = choice.without
        for old in self.layers.values():
            self._layer_column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.layers = {name: QCheckBox(name[:1].upper() + name[1:]) for name in layers}
        for name, check in self.layers.items():
            check.setChecked(name not in choice.without)
            check.toggled.connect(self._change)
            self._layer_column.addWidget(check)
        self.layer_fold.setVisible(len(layers) > 1 or any(name in choice.without for name in layers))

    def _change(self) -> None:
        self._follow()
        self.changed.emit()

    def _step(self, columns: int, rows: int) -> None:
        self._columns = min(max(self._columns + columns, 1), MOST_COUNT)
        self._rows = min(max(self._rows + rows, 1), MOST_COUNT)
        self._change()

    def _follow(self) -> None:
        """Show what belongs to the choice, and hide what does not."""
        self.own.setVisible(self.paper.currentText() == OWN)
        self.film_note.setVisible(self.checks["film"].isChecked())
        self._own_grid.setVisible(list(_GRIDS)[self.grid.currentIndex()] is Grid.OWN)
        for stepper, count, word in ((self.columns, self._columns, "column"), (self.rows, self._rows, "row")):
            says = f"{count} {word}{'' if count == 1 else 's'}"
            stepper.show_number(says, can_less=count > 1, can_more=count < MOST_COUNT)


class GridStepper(Stepper):
    """A stepper whose buttons follow the size of the type."""

    def restyle(self) -> None:
        for each in (self.less, self.more):
            each.setFixedWidth(round(look.px(52)))


def _heading(words: str) -> QLabel:
    label = QLabel(words)
    look.set_role(label, "subheading")
    return label
