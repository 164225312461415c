"""Light and shadow: where they part, what is brushed into them by hand, how warm each is, and what commonly goes with
it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox, QSlider

from app.actions import KeyButton
from app.questions.brush_parts import BrushParts
from app.questions.fold import Fold
from app.questions.parts import button, flow, row, text
from app.studio import Studio
from app.temperatures.jobs import Parted
from app.temperatures.reading_fold import NAMES, set_warmth
from app.temperatures.settings import LEAST_BOUNDARY, MOST_BOUNDARY
from app.view import Subject
from core.temperature.strokes import Family
from core.words import as_share, signed

_PER_VALUE = 20
"""Places of the slider to a Munsell value."""
_AFTER_CHECK = "The canvas’s families come with a check, which takes the light out."
_ONE = "All of it lies in one family: move the boundary, or brush passages into the other."
_HOW = (
    "Brush a passage into the light or into the shadow, in either picture: it counts in both, before the boundary, a "
    "later stroke before an earlier one. “As found” takes back what was brushed there; Undo takes the last stroke back."
)
_REMINDER = "A reminder, not a verdict: look at your own motif."


class FamiliesFold(Fold):
    """Follows the view and what has been read of the pictures."""

    brush_wanted = Signal()
    clear_wanted = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Light and shadow")
        self._studio = studio
        self.boundary_says = text()
        self.boundary = QSlider(Qt.Orientation.Horizontal)
        self.boundary.setRange(round(LEAST_BOUNDARY * _PER_VALUE), round(MOST_BOUNDARY * _PER_VALUE))
        self.boundary.setPageStep(_PER_VALUE // 2)
        self.boundary.setAccessibleName("Boundary between light and shadow, Munsell value")
        self.boundary.valueChanged.connect(lambda at: self._set(boundary=at / _PER_VALUE))
        self.automatic = button("As found", lambda: self._set(boundary=None))
        self.automatic.setToolTip("Find the boundary again: where the values part best into two")
        self.outline = QCheckBox("Outline them on the pictures")
        self.outline.toggled.connect(lambda on: self._set(outline=on))
        self.brush = BrushParts("Brush by hand", Family, _HOW, actions)
        self.brush.wanted.connect(self.brush_wanted)
        self.brush.cleared.connect(self.clear_wanted)
        self.brush.chosen.connect(lambda family: self._set(family=family))
        self.brush.widened.connect(lambda width_mm: self._set(brush_mm=width_mm))
        self.says = {subject: text() for subject in Subject}
        self.means = {subject: text(role="note") for subject in Subject}
        self.rule = text(role="note")
        self.column.addWidget(flow(KeyButton.of(actions["families"], "Show the split")))
        self.column.addWidget(self.boundary_says)
        self.column.addLayout(row(self.boundary, self.automatic, stretch=0))
        self.column.addWidget(self.outline)
        for subject in Subject:
            self.column.addWidget(self.says[subject])
            self.column.addWidget(self.means[subject])
        self.column.addWidget(self.rule)
        self.column.addWidget(self.brush)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        if not (self.isVisible() and self.is_open):
            return
        settings = self._studio.view.temperatures
        parted = {subject: self._parted(subject) for subject in Subject}
        reference = parted[Subject.REFERENCE]
        found = reference.families.boundary if reference is not None else None
        at = settings.boundary if settings.boundary is not None else found
        with QSignalBlocker(self.boundary), QSignalBlocker(self.outline):
            if at is not None:
                self.boundary.setValue(round(at * _PER_VALUE))
            self.outline.setChecked(settings.outline)
        how = "as found, in each picture its own" if settings.boundary is None else "set by hand, in both pictures"
        self.boundary_says.setText(
            "Where light and shadow part is being found…" if at is None else f"They part at value {at:.1f}, {how}."
        )
        self.automatic.setEnabled(settings.boundary is not None)
        self.brush.show_brush(settings.family, settings.brush_mm)
        self.brush.show_strokes(len(self._studio.warmths.brushwork.strokes), "both pictures")
        for subject in Subject:
            says, means = self._told(subject, parted[subject])
            self.says[subject].setText(says)
            self.means[subject].setText(means)
            self.means[subject].setVisible(bool(means))
        self.rule.setText(reminder([each for each in parted.values() if each is not None]))
        self.rule.setVisible(bool(self.rule.text()))

    def _parted(self, subject: Subject) -> Parted | None:
        reads = self._studio.warmths
        if subject is Subject.CANVAS and self._studio.lit_canvas is None:
            return None
        return None if reads.why_not(subject) else reads.families(subject)

    def _told(self, subject: Subject, parted: Parted | None) -> tuple[str, str]:
        reads, name = self._studio.warmths, NAMES[subject]
        if parted is None:
            if subject is Subject.CANVAS and self._studio.lit_canvas is None:
                return _AFTER_CHECK, ""
            return f"{name}: {reads.why_not(subject) or 'being found…'}", ""
        found = parted.families
        if not np.isfinite(found.difference):
            return f"{name}: {_ONE}", ""
        share = f"{as_share(found.light_share)} of it lies in the light"
        balance = reads.balance(subject)
        means = f", light {signed(found.light)}, shadow {signed(found.shadow)} on average" if balance.absolute else ""
        if not balance.absolute:
            share += "; each family’s own T is only told once the white balance is known"
        return f"{name}: {found.measured}", f"{share}{means}."

    def _set(self, **changes: float | bool | Family | None) -> None:
        set_warmth(self._studio, replace(self._studio.view.temperatures, **changes))  # type: ignore[arg-type]


def reminder(parted: Sequence[Parted]) -> str:
    """What commonly goes with light and shadow, and where it may not hold; empty while nothing is known."""
    if not parted:
        return ""
    from core.temperature.families import DOUBT, RULE

    held = f" {DOUBT}" if any(each.families.several_lights for each in parted) else ""
    return f"{RULE} {_REMINDER}{held}"
