"""The value strip: the two values along the measure that is chosen, and where they are farthest apart."""

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QAction

from app.actions import KeyButton
from app.measuring import Measuring
from app.questions.fold import Fold
from app.questions.parts import flow, text
from app.studio import Studio
from app.values.strip_chart import StripChart
from core import words

if TYPE_CHECKING:
    from core.value.strip import Strip

WIDTH_MM = 2.0
_NO_CHECK = "A check of the canvas photo comes first: it takes the light out."
_NO_LINE = "Measure from point to point across the pictures: the values along that line are shown here."
_HOW_TO_READ = "Unbroken: the reference. Broken: the canvas, the light taken out. A gap cannot be judged."
_RIGHT_STEPS = 0.5


class StripFold(Fold):
    """Follows what is measured and the studio's findings."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Value strip", is_open=False)
        self._studio = studio
        self._measuring: Measuring | None = None
        self.says, self.chart = text(), StripChart()
        self.how_to_read = text(_HOW_TO_READ, role="note")
        self.column.addWidget(flow(KeyButton.of(actions["measure"], "Measure")))
        for part in (self.says, self.chart, self.how_to_read):
            self.column.addWidget(part)
        self.heading.toggled.connect(self.refresh)

    def follow(self, measuring: Measuring) -> None:
        """Show the values along what is measured from now on."""
        self._measuring = measuring
        measuring.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        if not self.is_open:
            return
        strip, why_not = self._strip()
        for part in (self.chart, self.how_to_read):
            part.setVisible(strip is not None)
        said = why_not if strip is None else strip_words(strip)
        self.says.setText(said)
        if strip is not None:
            self.chart.show_strip(strip, said)

    def _strip(self) -> "tuple[Strip | None, str]":
        from core.value.strip import value_strip

        checked = self._studio.checked
        measure = None if self._measuring is None else self._measuring.measures.current
        if checked is None or not {"value_reference", "value_canvas"} <= checked.maps.keys():
            return None, _NO_CHECK
        if measure is None or measure.start.at == measure.end.at:
            return None, _NO_LINE
        reference, canvas = checked.maps["value_reference"], checked.maps["value_canvas"]
        px_per_mm = reference.shape[1] / self._studio.painting.size.width_mm
        line = np.array([measure.start.at, measure.end.at])
        sure = checked.findings.value_uncertainty or 0.0
        return value_strip(reference, canvas, line, px_per_mm, WIDTH_MM, sure), ""


def strip_words(strip: "Strip") -> str:
    """Where the two are farthest apart, and how much of the line is right."""
    told = np.isfinite(strip.difference)
    if not told.any():
        return "Nothing along this line can be judged."
    at = int(np.nanargmax(np.abs(strip.difference)))
    within = float((np.abs(strip.difference[told]) <= _RIGHT_STEPS).mean())
    share = f"{words.as_share(within)} of the line is within half a step."
    steps = float(strip.difference[at])
    if abs(steps) <= _RIGHT_STEPS:
        return f"The same all along, within half a step ({abs(steps):.1f} at most)."
    fault = words.value_fault_within(steps, float(strip.uncertainty[at]))
    return f"Farthest apart at {strip.distance_mm[at]:.0f} mm: {fault}. {share}"
