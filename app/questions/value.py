"""The value panel: what is under the pointer, the steps and their shares, and where the values have strayed."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox, QGridLayout, QWidget

from app.actions import KeyButton
from app.findings import Area
from app.questions.parts import Line, Lines, Panel, Stepper, row, text
from app.questions.shares import ShareStrip
from app.studio import Reading, Studio
from app.view import FEWEST_STEPS, MOST_STEPS, SQUINTS_MM, Subject
from core import words

_KEY = "Blue is too dark, ochre too light, by up to the figure in value steps. Dark grey (?) is withheld."
_LARGE = 0.5
"""Differences from half a step are told (the tolerance of the check)."""


class ValuePanel(Panel):
    """Follows the studio."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Value", parent)
        self._studio = studio
        self._areas: tuple[Area, ...] = ()
        self._add_pointer()
        self._add_steps(actions)
        self._add_squint(actions)
        self._add_difference(actions)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.shares_changed.connect(self.refresh_shares)
        studio.ledge_changed.connect(self.refresh_shares)
        studio.findings_changed.connect(self.refresh_findings)
        self.refresh()
        self.refresh_findings()
        self.show_reading(None)

    def show_reading(self, reading: Reading | None) -> None:
        """What is under the pointer; None when it is off the canvas."""
        reading = reading or Reading()
        for label, value in ((self.reference_value, reading.reference), (self.canvas_value, reading.canvas)):
            label.setText("–" if value is None else f"{value:.1f}")
        if reading.withheld:
            self.verdict.setText("Withheld here: glare, or out of the photo.")
        elif reading.reference is None or reading.canvas is None:
            self.verdict.setText("Munsell value under the pointer: 0 is black, 10 is white.")
        elif reading.light_out:
            steps = reading.canvas - reading.reference
            close = abs(steps) < _LARGE
            self.verdict.setText(
                "The same within half a step." if close else f"{words.value_fault(steps)}.".capitalize()
            )
        else:
            self.verdict.setText("The canvas is read as photographed; a check takes the light out.")

    def refresh(self) -> None:
        count, view = self._studio.view.steps, self._studio.view
        self.steps.show_number(f"{count} steps", can_less=count > FEWEST_STEPS, can_more=count < MOST_STEPS)
        self.squint.show_number(
            f"{view.squint_mm:g} mm", can_less=view.squint_mm > SQUINTS_MM[0], can_more=view.squint_mm < SQUINTS_MM[-1]
        )
        self.numbers.setChecked(view.areas)
        self.refresh_shares()

    def refresh_shares(self) -> None:
        if not self.isVisible():
            return
        for strip, subject in ((self.reference_shares, Subject.REFERENCE), (self.canvas_shares, Subject.CANVAS)):
            strip.show_shares(self._studio.shares(subject))
        source = self._studio.source(Subject.CANVAS)
        self.canvas_shares.setVisible(source is not None and source.can_lie_flat)

    def refresh_findings(self) -> None:
        checked = self._studio.checked
        self._areas = checked.findings.areas if checked is not None else ()
        if checked is None:
            self.within.setText("A check says where the canvas is too light or too dark.")
        else:
            sure = checked.findings.value_uncertainty
            give = f" Each value is good to ± {sure:.1f} step." if sure is not None else ""
            self.within.setText(checked.findings.within + give)
        self.key.setVisible(checked is not None and checked.difference is not None)
        self.areas.show_lines([Line(area.number, area.say) for area in self._areas])
        self.numbers.setVisible(bool(self._areas))

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh_shares()

    def _add_pointer(self) -> None:
        grid = QGridLayout()
        self.reference_value, self.canvas_value = text("–", "figure"), text("–", "figure")
        self.reference_value.setAccessibleName("Value of the reference under the pointer")
        self.canvas_value.setAccessibleName("Value of the canvas under the pointer")
        for column, (name, label) in enumerate((("Reference", self.reference_value), ("Canvas", self.canvas_value))):
            grid.addWidget(text(name, "note"), 0, column)
            grid.addWidget(label, 1, column)
        self.verdict = text(role="note")
        self.column.addWidget(text("Under the pointer", "subheading"))
        self.column.addLayout(grid)
        self.column.addWidget(self.verdict)

    def _add_steps(self, actions: dict[str, QAction]) -> None:
        self.steps = Stepper("value steps")
        self.steps.stepped.connect(lambda by: actions["more_steps" if by > 0 else "fewer_steps"].trigger())
        self.reference_shares = ShareStrip("Reference, per cent in each step")
        self.canvas_shares = ShareStrip("Canvas, per cent in each step")
        self.column.addWidget(text("Value steps", "subheading"))
        self.column.addLayout(row(KeyButton.of(actions["steps"], "Steps"), self.steps, stretch=1))
        self.column.addWidget(self.reference_shares)
        self.column.addWidget(self.canvas_shares)

    def _add_squint(self, actions: dict[str, QAction]) -> None:
        self.squint = Stepper("squint")
        self.squint.stepped.connect(lambda by: actions["squint_more" if by > 0 else "squint_less"].trigger())
        self.column.addWidget(text("Squint", "subheading"))
        self.column.addLayout(row(KeyButton.of(actions["squint"], "Squint"), self.squint, stretch=1))

    def _add_difference(self, actions: dict[str, QAction]) -> None:
        self.within = text()
        self.key = text(_KEY, "note")
        self.areas = Lines()
        self.areas.chosen.connect(self._go)
        self.numbers = QCheckBox("Number the areas on the wall")
        self.numbers.toggled.connect(self._number)
        self.column.addWidget(text("Difference", "subheading"))
        self.column.addWidget(KeyButton.of(actions["difference"], "Show the difference", wide=True))
        self.column.addWidget(self.within)
        self.column.addWidget(self.key)
        self.column.addWidget(self.numbers)
        self.column.addWidget(self.areas)

    def _number(self, on: bool) -> None:
        from dataclasses import replace

        self._studio.change_view(replace(self._studio.view, areas=on))

    def _go(self, index: int) -> None:
        area = self._areas[index]
        self._studio.choose(area=area.number)
        self.go_to.emit(area.x_mm, area.y_mm, max(20.0, 1.6 * (area.area_cm2 * 100) ** 0.5))
