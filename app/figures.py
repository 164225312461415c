"""What a measure says: its length, how often the painter's own unit goes into it, and how it leans."""

from dataclasses import dataclass, replace

from app.measures import Measure, NamedUnit
from core.drawing.landmark_table import figure
from core.drawing.proportion import (
    Point,
    handy_ratio,
    handy_words,
    in_units,
    lean_words,
    length_words,
    ratio,
)


@dataclass(frozen=True)
class Figures:
    """``length`` and ``units`` (such as ``2.40 ± 0.02 heads``) with how sure they are; ``short``: both without it.

    ``handy``: such as ``12 : 5, within 1 %``. What is of the painter's unit is empty where there is none.
    """

    length: str
    units: str
    handy: str
    lean: str
    ends: str
    short: str

    @property
    def rest(self) -> str:
        """Everything else."""
        return " · ".join(part for part in (self.handy, self.lean, self.ends) if part)


def figures_of(measure: Measure, by: NamedUnit | None, unit: str, canvas_uncertainty_mm: float | None) -> Figures:
    """``by``: the painter's unit. ``unit``: mm, cm or in. ``canvas_uncertainty_mm``: of what is taken on the painting,
    None when it is not known."""
    sure = measure.uncertainty_mm(canvas_uncertainty_mm)
    span = measure.span
    short = length_words(span.length_mm, unit)
    units = handy = ""
    if by is not None:
        same = abs(span.length_mm - by.length_mm) < 1e-9
        found = ratio(
            span.length_mm,
            by.length_mm,
            length_uncertainty_mm=None if same else sure,
            unit_uncertainty_mm=None if same else by.uncertainty_mm,
        )
        units = in_units(found, by.name)
        short += f" · {in_units(replace(found, uncertainty=None), by.name)}"
        near = handy_ratio(span.length_mm, by.length_mm) if span.length_mm > 0 and not same else None
        if near is not None:
            handy = handy_words(near, relative_uncertainty=(found.uncertainty or 0.0) / found.value)
    return Figures(
        length=length_words(span.length_mm, unit, uncertainty_mm=sure),
        units=units,
        handy=handy,
        lean=lean_words(span, place_uncertainty_mm=sure),
        ends=_ends(measure),
        short=short,
    )


def place_words(at: Point, unit: str) -> str:
    """How far right and how far down, such as ``→ 12.04  ↓ 4.58 cm``."""
    return f"→ {figure(at[0], unit)}  ↓ {figure(at[1], unit)} {unit}"


def _ends(measure: Measure) -> str:
    start, end = measure.start.name, measure.end.name
    if start and end:
        return f"{start} to {end}"
    if start:
        return f"from {start}"
    return f"to {end}" if end else ""
