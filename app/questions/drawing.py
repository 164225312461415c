"""The drawing panel: the acetate, and how far the painted drawing has strayed from it."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QHBoxLayout, QSlider, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.findings import Findings, Landmark
from app.questions.parts import Line, Lines, Panel, Stepper, button, row, text
from app.questions.swatch import Swatch
from app.studio import Studio
from app.view import ACETATE_COLOURS, WEIGHTS_MM, AcetateStyle

TIMES = (1.0, 3.0, 5.0, 10.0)
_SPAN_MM = 25.0


class DrawingPanel(Panel):
    """Follows the studio."""

    bring_in = Signal()
    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Drawing", parent)
        self._studio = studio
        self._marks: tuple[Landmark, ...] = ()
        self.about, self.notes = text(), text(role="note")
        self.bring = button("Bring in…", self.bring_in.emit)
        self.bring.setAccessibleName("Bring in a drawing")
        self.sheet = self._acetate(actions)
        self.whole = text()
        self.drift = self._drift()
        self.untold = text(role="note")
        self.column.addLayout(row(self.about, self.bring, stretch=0))
        for part in (self.notes, self.sheet, text("Drift", "subheading"), self.whole, self.drift, self.untold):
            self.column.addWidget(part)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.drawing_changed.connect(self.refresh)
        studio.drawing_changed.connect(self.refresh_findings)
        studio.findings_changed.connect(self.refresh_findings)
        self.refresh()
        self.refresh_findings()

    def refresh(self) -> None:
        drawing, style = self._studio.drawing, self._studio.view.acetate
        if drawing is None:
            self.about.setText("No line drawing yet. It comes as an SVG file, true to the canvas’s size.")
            self.notes.setText("")
        else:
            self.about.setText(f"{_count(len(drawing.lines), 'line')}, {_count(len(drawing.landmarks), 'landmark')}.")
            self.notes.setText("\n".join(drawing.notes))
        self.notes.setVisible(bool(self.notes.text()))
        self.sheet.setVisible(drawing is not None)
        at = _nearest(style.weight_mm)
        self.weight.show_number(f"lines {WEIGHTS_MM[at]:g} mm", can_less=at > 0, can_more=at < len(WEIGHTS_MM) - 1)
        with QSignalBlocker(self.strength), QSignalBlocker(self.landmarks), QSignalBlocker(self.arrows):
            self.strength.setValue(round(100 * style.strength))
            self.landmarks.setChecked(style.landmarks)
            self.arrows.setChecked(self._studio.view.arrows)
        for swatch in self.swatches:
            swatch.setChecked(swatch.name == style.colour)

    def refresh_findings(self) -> None:
        checked = self._studio.checked
        findings = checked.findings if checked is not None else None
        self.whole.setText(
            _whole(findings, has_landmarks=bool(self._studio.drawing and self._studio.drawing.landmarks))
        )
        self._marks = findings.told_landmarks if findings is not None else ()
        self.landmark_lines.show_lines([Line(m.number, m.name, _drift_words(m)) for m in self._marks])
        self.drift.setVisible(bool(self._marks))
        untold = findings.untold_landmarks if findings is not None else ()
        self.untold.setText(_untold_words(untold))
        self.untold.setVisible(bool(untold))

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

    def _drift(self) -> QWidget:
        drift, column = _box()
        self.arrows = QCheckBox("Arrows on the canvas photo")
        self.arrows.toggled.connect(lambda on: self._studio.change_view(replace(self._studio.view, arrows=on)))
        self.times = Stepper("length of the arrows")
        self.times.stepped.connect(self._lengthen)
        self.landmark_lines = Lines()
        self.landmark_lines.chosen.connect(self._go)
        column.addWidget(text("An arrow runs from where a landmark should be to where it was painted.", "note"))
        for part in (self.arrows, self.times, self.landmark_lines):
            column.addWidget(part)
        self._show_times()
        return drift

    def _style(self, change: Callable[[AcetateStyle], AcetateStyle]) -> None:
        view = self._studio.view
        self._studio.change_view(replace(view, acetate=change(view.acetate)))

    def _weigh(self, by: int) -> None:
        at = min(max(_nearest(self._studio.view.acetate.weight_mm) + by, 0), len(WEIGHTS_MM) - 1)
        self._style(lambda style: replace(style, weight_mm=WEIGHTS_MM[at]))

    def _lengthen(self, by: int) -> None:
        at = min(max(TIMES.index(self._studio.arrows_times) + by, 0), len(TIMES) - 1)
        self._studio.lengthen_arrows(TIMES[at])
        self._show_times()

    def _show_times(self) -> None:
        times = self._studio.arrows_times
        says = "arrows in true length" if times == 1 else f"arrows {times:g} times as long"
        self.times.show_number(says, can_less=times > TIMES[0], can_more=times < TIMES[-1])

    def _go(self, index: int) -> None:
        mark = self._marks[index]
        self._studio.choose(landmark=mark.number)
        self.go_to.emit(mark.x_mm, mark.y_mm, _SPAN_MM)


def _whole(findings: Findings | None, *, has_landmarks: bool) -> str:
    """The whole drawing first; then what is local."""
    if findings is None:
        return "A check says how far the painted drawing has strayed, in mm on the canvas."
    if findings.whole is None:
        return "How the drawing sits as a whole could not be told."
    first = findings.whole or "As a whole the drawing sits well."
    if findings.landmarks or has_landmarks:
        return first
    return f"{first} Bring in a drawing with landmarks to have each of them measured."


def _drift_words(mark: Landmark) -> str:
    parts = [part for part in (mark.across, mark.down) if part != "in place"]
    return f"{', '.join(parts) if parts else 'in place'} · {mark.how_sure}"


def _untold_words(marks: Sequence[Landmark]) -> str:
    names = ", ".join(mark.name for mark in marks)
    return f"Too little there to measure {'it' if len(marks) == 1 else 'them'} by: {names}."


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
