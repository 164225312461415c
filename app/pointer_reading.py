"""The values of reference and canvas under the pointer, and the words for them in the panel and on the wall."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from app.checks import value_at
from app.view import Subject
from core import words

if TYPE_CHECKING:
    from app.studio import Studio

SAME = 0.5
"""Differences from half a step are told (the tolerance of the check)."""


@dataclass(frozen=True)
class Reading:
    """Munsell values at a point. ``keyed``: what the reference is keyed to there, if it is. ``light_out``: the canvas's
    value has the light taken out of it; ``uncertainty``: how well, nine times in ten, steps. ``withheld``: the canvas's
    value cannot be told there."""

    reference: float | None = None
    canvas: float | None = None
    keyed: float | None = None
    light_out: bool = False
    uncertainty: float | None = None
    withheld: bool = False

    @property
    def steps(self) -> float | None:
        """Canvas minus the reference as it hangs; None while the light is in the canvas's value."""
        wanted = self.reference if self.keyed is None else self.keyed
        return None if wanted is None or self.canvas is None or not self.light_out else self.canvas - wanted

    @property
    def verdict(self) -> str:
        """In a sentence."""
        keyed = "" if self.keyed is None else f"Keyed, the reference is {self.keyed:.1f} here. "
        if self.withheld:
            return f"{keyed}Withheld here: glare, or out of the photo."
        if self.reference is None or self.canvas is None:
            return f"{keyed}Munsell value under the pointer: 0 is black, 10 is white."
        if self.steps is None:
            return f"{keyed}The canvas is read as photographed; a check takes the light out."
        sure = "" if self.uncertainty is None else f", good to ± {max(0.1, self.uncertainty):.1f}"
        same = abs(self.steps) < SAME
        return f"{keyed}{'The same within half a step' if same else words.value_fault(self.steps).capitalize()}{sure}."

    def at_pointer(self, subject: Subject) -> tuple[str, ...]:
        """What stands beside the pointer over a picture: its value, and of the canvas how far it is off."""
        if subject is Subject.REFERENCE:
            shown = self.reference if self.keyed is None else self.keyed
            return () if shown is None else (f"{shown:.1f}",)
        if self.withheld:
            return ("withheld",)
        if self.canvas is None:
            return ()
        if self.steps is None:
            return f"{self.canvas:.1f}", "light not taken out"
        same = abs(self.steps) < SAME
        return f"{self.canvas:.1f}", f"the same within {SAME:g}" if same else words.value_fault(self.steps)


def read_at(studio: "Studio", x_mm: float, y_mm: float) -> Reading:
    """The values at a point of the canvas; those of pictures that are still being read are None."""
    reference = keyed = None
    sheet = studio.values.sheet()
    if sheet is not None and sheet.value is not None:
        reference = value_at(sheet.value, x_mm, y_mm, studio.painting.size)
    if reference is not None and studio.view.values.is_keyed:
        tones = studio.values.tones()
        if tones is not None and tones.curve is not None:
            keyed = float(tones.curve.of(np.array([reference]))[0])
    checked = studio.checked
    if checked is not None and checked.maps and checked.findings.is_current:
        canvas = checked.at("value_canvas", x_mm, y_mm)
        hidden = canvas is None and reference is not None
        sure = checked.findings.value_uncertainty
        return Reading(reference, canvas, keyed, light_out=True, uncertainty=sure, withheld=hidden)
    return Reading(reference, _as_photographed(studio, x_mm, y_mm), keyed)


def _as_photographed(studio: "Studio", x_mm: float, y_mm: float) -> float | None:
    source = studio.source(Subject.CANVAS)
    sheet = studio.room.value(source) if source is not None else None
    return None if sheet is None or sheet.value is None else value_at(sheet.value, x_mm, y_mm, studio.painting.size)
