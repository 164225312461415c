"""The drawing panel: the acetate, how far the painted drawing has strayed from it, and the page of proportion."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QHBoxLayout, QPushButton, QSlider, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.questions.drift import DriftPart
from app.questions.parts import Panel, Stepper, button, flow, row, text
from app.questions.proportion import ProportionPage
from app.questions.swatch import Swatch
from app.studio import Studio
from app.view import ACETATE_COLOURS, WEIGHTS_MM, AcetateStyle


class DrawingPanel(Panel):
    """Follows the studio."""

    bring_in = Signal()
    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Drawing", parent)
        self._studio = studio
        self.about, self.notes = text(), text(role="note")
        self.bring = button("Bring in…", self.bring_in.emit)
        self.bring.setAccessibleName("Bring in a drawing")
        self.sheet = self._acetate(actions)
        self.drift = DriftPart(studio)
        self.drift.go_to.connect(self.go_to)
        self._unfolding = QTimer(self)  # what unfolds is laid out before it is brought into sight
        self._unfolding.setSingleShot(True)
        self._unfolding.timeout.connect(self._show_unfolded)
        self.drift.unfolded.connect(self._unfolding.start)
        self.proportion: ProportionPage | None = None
        self.lines, column = _box()
        self.column.addWidget(self.lines)
        self.trace = KeyButton.of(actions["trace"], "Trace lines", wide=True)
        self.project = KeyButton.of(actions["project"], "Project…", wide=True)
        self.sheets = KeyButton.of(actions["sheets"], "Sheets…", wide=True)
        column.addLayout(row(self.about, self.bring, stretch=0))
        column.addWidget(flow(self.trace, self.project, self.sheets))
        for part in (
            self.notes,
            self.sheet,
            self.drift,
        ):
            column.addWidget(part)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.drawing_changed.connect(self.refresh)
        self.refresh()

    def add_proportion(self, page: ProportionPage) -> None:
        """Give the panel its second page, and the two buttons that change between them."""
        self.proportion = page
        page.go_to.connect(self.go_to)
        self.page_buttons = [QPushButton(words) for words in ("Acetate", "Proportion")]
        group = QButtonGroup(self)
        for each in self.page_buttons:
            each.setCheckable(True)
            group.addButton(each)
        self.page_buttons[0].setChecked(True)
        self.page_buttons[1].toggled.connect(self._turn)
        self.column.insertLayout(0, row(*self.page_buttons, stretch=0))
        self.column.insertWidget(2, page)
        page.hide()

    def show_proportion(self) -> None:
        self.page_buttons[1].setChecked(True)

    def refresh(self) -> None:
        drawing, style = self._studio.drawing, self._studio.view.acetate
        if drawing is None:
            self.about.setText(
                "No line drawing yet. Trace it here, or bring in an SVG file that is true to the canvas’s size, or a "
                "photo of a drawing on paper."
            )
            self.notes.setText("")
        else:
            self.about.setText(f"{_count(len(drawing.lines), 'line')}, {_count(len(drawing.landmarks), 'landmark')}.")
            self.notes.setText("\n".join(drawing.notes))
        self.notes.setVisible(bool(self.notes.text()))
        self.sheet.setVisible(drawing is not None)
        at = _nearest(style.weight_mm)
        self.weight.show_number(f"lines {WEIGHTS_MM[at]:g} mm", can_less=at > 0, can_more=at < len(WEIGHTS_MM) - 1)
        with QSignalBlocker(self.strength), QSignalBlocker(self.landmarks):
            self.strength.setValue(round(100 * style.strength))
            self.landmarks.setChecked(style.landmarks)
        for swatch in self.swatches:
            swatch.setChecked(swatch.name == style.colour)

    def _acetate(self, actions: dict[str, QAction]) -> QWidget:
        sheet, column = _box()
        self.strength = QSlider(Qt.Orientation.Horizontal)
        self.strength.setRange(10, 100)
        self.strength.setPageStep(10)
        self.strength.setAccessibleName("Strength of the acetate")
        self.strength.valueChanged.connect(lambda v: self._style(lambda s: replace(s, strength=v / 100)))
        self.weight = Stepper("line weight")
        self.weight.stepped.connect(self._weigh)
        self.landmarks = QCheckBox("Show the landmarks")
        self.landmarks.toggled.connect(lambda on: self._style(lambda s: replace(s, landmarks=on)))
        column.addLayout(row(KeyButton.of(actions["acetate"], "Acetate"), self.strength, stretch=1))
        column.addLayout(self._swatches())
        column.addWidget(self.weight)
        column.addWidget(self.landmarks)
        return sheet

    def _swatches(self) -> QHBoxLayout:
        group = QButtonGroup(self)
        self.swatches = [Swatch(name) for name in ACETATE_COLOURS]
        for swatch in self.swatches:
            group.addButton(swatch)
            swatch.clicked.connect(lambda _=False, name=swatch.name: self._style(lambda s: replace(s, colour=name)))
        line = row(*self.swatches)
        line.addStretch(1)
        return line

    def _show_unfolded(self) -> None:
        inside, part = self.widget(), self.drift.chosen
        if part.isVisible() and inside is not None:
            # The columns around it keep the height they worked out before its labels wrapped, and would cut it short.
            around: QWidget | None = part
            while around is not None and around is not self.viewport():
                layout = around.layout()
                if layout is not None:
                    layout.invalidate()
                around = around.parentWidget()
            inside.resize(inside.width(), max(inside.heightForWidth(inside.width()), self.viewport().height()))
            self.ensureWidgetVisible(part, 0, 12)
            if self.drift.chosen_line is not None:
                self.ensureWidgetVisible(self.drift.chosen_line, 0, 12)  # where both do not fit, the top of it

    def _turn(self, to_proportion: bool) -> None:
        if self.proportion is not None:
            self.lines.setVisible(not to_proportion)
            self.proportion.setVisible(to_proportion)
            self.verticalScrollBar().setValue(0)

    def _style(self, change: Callable[[AcetateStyle], AcetateStyle]) -> None:
        view = self._studio.view
        self._studio.change_view(replace(view, acetate=change(view.acetate)))

    def _weigh(self, by: int) -> None:
        at = min(max(_nearest(self._studio.view.acetate.weight_mm) + by, 0), len(WEIGHTS_MM) - 1)
        self._style(lambda style: replace(style, weight_mm=WEIGHTS_MM[at]))


def _box() -> tuple[QWidget, QVBoxLayout]:
    box = QWidget()
    column = QVBoxLayout(box)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(8)
    return box, column


def _nearest(weight_mm: float) -> int:
    return min(range(len(WEIGHTS_MM)), key=lambda i: abs(WEIGHTS_MM[i] - weight_mm))


def _count(number: int, word: str) -> str:
    return f"{number or 'no'} {word}{'' if number == 1 else 's'}"
