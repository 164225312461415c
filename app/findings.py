"""The findings of a check as the panels tell them, read from its stored ``check.json`` (schema 1)."""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core import words
from core.size import Size

SURE, FAIR = 0.75, 0.5
"""Confidence from which a drift is called sure, and from which it is told at all."""


@dataclass(frozen=True)
class Landmark:
    """A landmark and how far it has strayed; None where it could not be measured."""

    number: int
    name: str
    x_mm: float
    y_mm: float
    dx_mm: float | None
    dy_mm: float | None
    confidence: float

    @property
    def is_told(self) -> bool:
        return self.dx_mm is not None and self.dy_mm is not None and self.confidence >= FAIR

    @property
    def across(self) -> str:
        """Such as ``2.1 mm left``: where it is painted, seen from where it should be."""
        return _sideways(self.dx_mm, "left", "right") if self.is_told else "–"

    @property
    def down(self) -> str:
        return _sideways(self.dy_mm, "higher", "lower") if self.is_told else "–"

    @property
    def how_sure(self) -> str:
        if not self.is_told:
            return "not measured"
        return "sure" if self.confidence >= SURE else "fairly sure"

    @property
    def length_mm(self) -> float:
        return math.hypot(self.dx_mm or 0.0, self.dy_mm or 0.0) if self.is_told else 0.0


@dataclass(frozen=True)
class Area:
    """A passage too light or too dark."""

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    steps: float
    say: str


@dataclass(frozen=True)
class Mend:
    """One line of the list to mend."""

    number: int
    question: str
    x_mm: float
    y_mm: float
    say: str


@dataclass(frozen=True)
class Findings:
    """One check, in words.

    ``whole``: the sentence about the drawing as a whole, empty when it sits well, None when that could not be told.
    """

    size: Size
    made_at: datetime | None = None
    is_current: bool = True
    whole: str | None = None
    landmarks: tuple[Landmark, ...] = ()
    areas: tuple[Area, ...] = ()
    mend: tuple[Mend, ...] = ()
    share_within: float | None = None
    value_uncertainty: float | None = None
    canvas_uncertainty_mm: float | None = None
    certainty: tuple[str, ...] = field(default=())

    @property
    def told_landmarks(self) -> tuple[Landmark, ...]:
        """Those that could be measured, the furthest strayed first."""
        return tuple(mark for mark in self.landmarks if mark.is_told)

    @property
    def untold_landmarks(self) -> tuple[Landmark, ...]:
        return tuple(mark for mark in self.landmarks if not mark.is_told)

    @property
    def within(self) -> str:
        """How much of the canvas has the right value, in a sentence."""
        if self.share_within is None:
            return "The values could not be compared."
        return f"{self.share_within:.0%} of the canvas is within half a step of the reference."


def stored(check: dict[str, Any], certainty: Sequence[str], outlines: Mapping[int, list[list[float]]]) -> str:
    """The text kept with the painting: ``check.json``, how sure it is, and the areas' outlines in mm by number."""
    rounded = {str(n): [[round(x, 1), round(y, 1)] for x, y in outline] for n, outline in outlines.items()}
    data = {"check": check, "certainty": list(certainty), "outlines": rounded}
    return json.dumps(data, ensure_ascii=False, allow_nan=False)


def read_outlines(text: str) -> dict[int, NDArray[np.float64]]:
    """The outlines ``(N, 2)`` mm of the areas, by number; none when they cannot be read."""
    try:
        found = json.loads(text)["outlines"].items()
        outlines = {int(n): np.asarray(outline, dtype=np.float64).reshape(-1, 2) for n, outline in found}
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}
    return {n: outline for n, outline in outlines.items() if len(outline) >= 3}


def read_findings(
    text: str, size: Size, *, made_at: datetime | None = None, is_current: bool = True
) -> Findings | None:
    """The findings in a stored text; None when it cannot be read (it is then as if no check had been made)."""
    try:
        data = json.loads(text)
        return _read(data["check"], tuple(map(str, data["certainty"])), size, made_at, is_current)
    except (ValueError, KeyError, TypeError):
        return None


def _read(
    check: dict[str, Any], certainty: tuple[str, ...], size: Size, made_at: datetime | None, is_current: bool
) -> Findings:
    drawing, value = check["drawing"], check["value"]
    whole = drawing["whole"]
    known = all(v is not None for v in (*whole["shift_mm"], whole["turn_deg"], whole["scale"]))
    shift = tuple(whole["shift_mm"])
    return Findings(
        size=size,
        made_at=made_at,
        is_current=is_current,
        whole=words.whole_drawing((shift[0], shift[1]), whole["turn_deg"], whole["scale"], size) if known else None,
        landmarks=_landmarks(drawing["landmarks"]),
        areas=_areas(value["areas"], size),
        mend=tuple(
            Mend(n, m["question"], m["x_mm"], m["y_mm"], m["say"]) for n, m in enumerate(check["mend"], start=1)
        ),
        share_within=value["share_within_half_step"],
        value_uncertainty=check["light"]["uncertainty_steps"],
        canvas_uncertainty_mm=check["canvas"]["uncertainty_mm"],
        certainty=certainty,
    )


def _landmarks(marks: list[dict[str, Any]]) -> tuple[Landmark, ...]:
    """The furthest strayed first; those not measured last."""
    read = [Landmark(0, m["name"], m["x_mm"], m["y_mm"], m["dx_mm"], m["dy_mm"], m["confidence"] or 0.0) for m in marks]
    ordered = sorted(read, key=lambda mark: (not mark.is_told, -mark.length_mm))
    return tuple(
        Landmark(n, m.name, m.x_mm, m.y_mm, m.dx_mm, m.dy_mm, m.confidence) for n, m in enumerate(ordered, start=1)
    )


def _areas(areas: list[dict[str, Any]], size: Size) -> tuple[Area, ...]:
    read = []
    for number, a in enumerate(areas, start=1):
        where = words.place(a["x_mm"], a["y_mm"], size).capitalize()
        say = f"{where}, {words.area(a['area_cm2'])}: {words.value_fault(a['steps'])}"
        read.append(Area(number, a["x_mm"], a["y_mm"], a["area_cm2"], a["steps"], say))
    return tuple(read)


def _sideways(mm: float | None, negative: str, positive: str) -> str:
    if mm is None or abs(mm) < words.SAME_MM:
        return "in place"
    return f"{abs(mm):.1f} mm {positive if mm > 0 else negative}"
