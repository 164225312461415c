"""The value plan: how many steps, where their boundaries lie, what is joined, and each step alone."""

from dataclasses import replace

import numpy as np
from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QRadioButton

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import Stepper, button, flow, row, text
from app.questions.shares import ShareStrip
from app.studio import Studio
from app.values.histogram import HistogramBar
from app.values.settings import SMALLEST_MM2, Between, Values, nearest_smallest
from app.view import FEWEST_STEPS, MOST_STEPS, SQUINTS_MM, Subject

_WORDS = {Between.EQUAL: "Equal", Between.BEST: "Best separation", Between.HAND: "By hand"}
_SAYS = {
    Between.EQUAL: "Steps of equal Munsell value. Drag a boundary to move it; arrow keys: ↑ ↓ choose, ← → move.",
    Between.BEST: "The boundaries that leave the least spread of value within the steps.",
    Between.HAND: "Drag a boundary; arrow keys: ↑ ↓ choose, ← → move.",
}


class PlanFold(Fold):
    """Follows the studio."""

    shapes_wanted = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Value plan")
        self._studio = studio
        self.steps, self.smallest, self.alone = Stepper("value steps"), Stepper("smallest shape"), Stepper("step alone")
        self.squint = Stepper("squint")
        self.histogram = HistogramBar()
        self.says = text(role="note")
        self.reference_shares = ShareStrip("Reference, per cent in each step")
        self.canvas_shares = ShareStrip("Canvas, per cent in each step")
        self.between = {each: QRadioButton(words) for each, words in _WORDS.items()}
        group = QButtonGroup(self)
        for each, radio in self.between.items():
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, each=each: self._part(each))
        self.shapes = button("Shapes as lines", self.shapes_wanted.emit)
        self.shapes.setToolTip(
            "Put the borders between the steps into the drawing, in place of those of an earlier plan"
        )
        self.column.addLayout(row(KeyButton.of(actions["steps"], "Steps"), self.steps, stretch=1))
        self.column.addWidget(flow(*self.between.values()))
        self.column.addWidget(self.histogram)
        self.column.addWidget(self.says)
        self.column.addWidget(self.smallest)
        self.column.addLayout(row(KeyButton.of(actions["squint"], "Squint"), self.squint, stretch=1))
        self.column.addWidget(flow(KeyButton.of(actions["step_alone"], "One step alone")))
        self.column.addWidget(self.alone)
        self.column.addWidget(self.reference_shares)
        self.column.addWidget(self.canvas_shares)
        self.column.addWidget(flow(self.shapes))
        self._connect(actions)

    def refresh(self) -> None:
        view = self._studio.view
        values = view.values
        self.steps.show_number(
            f"{view.steps} steps", can_less=view.steps > FEWEST_STEPS, can_more=view.steps < MOST_STEPS
        )
        self.squint.show_number(
            f"{view.squint_mm:g} mm", can_less=view.squint_mm > SQUINTS_MM[0], can_more=view.squint_mm < SQUINTS_MM[-1]
        )
        at = nearest_smallest(values.smallest_mm2)
        self.smallest.show_number(
            smallest_words(values.smallest_mm2), can_less=at > 0, can_more=at < len(SMALLEST_MM2) - 1
        )
        alone = values.alone
        self.alone.show_number(
            "all steps" if alone is None else f"step {alone + 1} of {view.steps}",
            can_less=alone is None or alone > 0,
            can_more=alone is None or alone < view.steps - 1,
        )
        with QSignalBlocker(self.between[values.between]):
            self.between[values.between].setChecked(True)
        self.says.setText(_SAYS[values.between])
        self.refresh_read()

    def refresh_read(self) -> None:
        """What comes from reading the pictures: the histogram and the shares."""
        if not (self.isVisible() and self.is_open):
            return
        reads = self._studio.values
        tones, boundaries = reads.tones(), reads.boundaries()
        shares = np.empty(0) if tones is None else tones.histogram.shares
        made = self._studio.in_steps(Subject.REFERENCE)
        self.histogram.show_values(shares, boundaries or (), () if made is None else made.greys)
        for strip, subject in ((self.reference_shares, Subject.REFERENCE), (self.canvas_shares, Subject.CANVAS)):
            made = self._studio.in_steps(subject)
            strip.show_shares(made.shares if made is not None else (), made.greys if made is not None else ())
        source = self._studio.source(Subject.CANVAS)
        self.canvas_shares.setVisible(source is not None and source.can_lie_flat)

    def _connect(self, actions: dict[str, QAction]) -> None:
        for stepper, less, more in (
            (self.steps, "fewer_steps", "more_steps"),
            (self.squint, "squint_less", "squint_more"),
            (self.alone, "darker_step", "lighter_step"),
        ):
            stepper.stepped.connect(lambda by, less=less, more=more: actions[more if by > 0 else less].trigger())
        self.smallest.stepped.connect(lambda by: self._set(self._studio.view.values.smallest_by(by)))
        self.histogram.moved.connect(self._moved)
        self.histogram.refused.connect(self.says.setText)
        self.heading.toggled.connect(self.refresh_read)

    def _part(self, between: Between) -> None:
        """Part the steps this way; by hand begins with the boundaries that there are."""
        values = self._studio.view.values
        own = values.own
        if between is Between.HAND and values.between is not Between.HAND:
            own = tuple(round(each, 2) for each in self._studio.values.boundaries() or ())
            if len(own) != self._studio.view.steps - 1:
                self.refresh()
                return
        self._set(replace(values, between=between, own=own, at=1))

    def _moved(self, boundaries: tuple[float, ...]) -> None:
        self._set(replace(self._studio.view.values, between=Between.HAND, own=boundaries, at=1))

    def _set(self, values: Values) -> None:
        self._studio.change_view(replace(self._studio.view, values=values))
        self.refresh()


def smallest_words(mm2: float) -> str:
    """What the size of the shapes that are joined is called."""
    if mm2 <= 0:
        return "keep every shape"
    return f"join under {mm2 / 100:g} cm²" if mm2 >= 100 else f"join under {mm2:g} mm²"
