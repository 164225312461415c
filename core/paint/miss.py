"""In which way a mix misses a colour, in a painter's words: too light, too warm, too dull, with how much each counts.

What counts most comes first: the one change, of lightness, warmth or strength alone, that would bring the wanted colour
most CIEDE2000 nearer to the mix; then, with that made, the next. What is left when none helps is a turn of hue, told by
the axis of CIELAB that it goes along. Amounts are the whole difference, mix less wanted.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import TO_WARM, delta_e_2000, warmth_of_lab
from core.paint.target import Lab, value_of

Floats = NDArray[np.float64]
Kind = Literal["value", "warmth", "strength", "hue"]

SEEN = 1.0
"""CIEDE2000 under which two colours side by side pass for the same: common practice, no source."""
AS_NEAR = "as near as can be seen"
_WORDS: dict[Kind, tuple[str, str]] = {
    "value": ("too light", "too dark"),
    "warmth": ("too warm", "too cool"),
    "strength": ("too strong", "too dull"),
}
_HUES = ("red", "yellow", "green", "blue")
_LEAST: dict[Kind, float] = {"value": 0.05, "warmth": 0.5, "strength": 0.5}
"""Amounts that are told as 0 are no words: 0.1 step, 1 of T, 1 of chroma."""
_COUNTS = 0.25
_GREY = 0.5


@dataclass(frozen=True)
class Fault:
    """``amount``: above 0 too light, warm or strong, else below: value steps, T, or CIELAB chroma; of hue, how far off
    it is across a* and b*. ``counts``: CIEDE2000."""

    kind: Kind
    word: str
    amount: float
    counts: float

    def __str__(self) -> str:
        size = abs(self.amount)
        if self.kind == "value":
            told = f"{size:.1f} steps" if size >= 1.05 else "one step" if size >= 0.95 else f"{size:.1f} of a step"
            return f"{self.word} by {told}"
        return f"{self.word} by {size:.0f}"


@dataclass(frozen=True)
class Miss:
    """``delta_e``: CIEDE2000; ``faults``: what counts most first, none where the mix is as near as can be seen."""

    delta_e: float
    faults: tuple[Fault, ...]

    def __str__(self) -> str:
        return ", ".join(str(fault) for fault in self.faults) or AS_NEAR


def miss_of(mix: Lab, wanted: Lab) -> Miss:
    """How ``mix`` misses ``wanted``, both CIELAB under D65."""
    goal, here = np.asarray(mix, dtype=np.float64), np.asarray(wanted, dtype=np.float64)
    whole = _apart(here, goal)
    if whole < SEEN:
        return Miss(whole, ())
    amounts = _amounts(here, goal)
    left = [kind for kind, least in _LEAST.items() if abs(amounts[kind]) >= least]
    faults: list[Fault] = []
    while left:
        made = {kind: _changed(here, goal, kind, amounts[kind]) for kind in left}
        gains = {kind: _apart(here, goal) - _apart(there, goal) for kind, there in made.items()}
        kind = max(left, key=lambda each: gains[each])
        if gains[kind] < _COUNTS:
            break
        faults.append(Fault(kind, _WORDS[kind][amounts[kind] < 0], amounts[kind], gains[kind]))
        here = made[kind]
        left.remove(kind)
    rest = _apart(here, goal)
    if rest >= SEEN or not faults:
        faults.append(_hue_fault(here, goal, rest))
        faults.sort(key=lambda fault: -fault.counts)
    return Miss(whole, tuple(faults))


def _amounts(here: Floats, goal: Floats) -> dict[Kind, float]:
    return {
        "value": float(value_of(goal) - value_of(here)),
        "warmth": float(warmth_of_lab(goal) - warmth_of_lab(here)),
        "strength": float(np.hypot(*goal[1:]) - np.hypot(*here[1:])),
    }


def _changed(here: Floats, goal: Floats, kind: Kind, amount: float) -> Floats:
    """``here`` with the lightness, warmth or chroma of ``goal``; as it was where that would go against ``amount``."""
    there = here.copy()
    if kind == "value":
        there[0] = goal[0]
        return there
    left = _amounts(here, goal)[kind]
    if left * amount <= 0:
        return there
    if kind == "warmth":
        there[1:] += left * np.array(TO_WARM)
    elif (chroma := float(np.hypot(*here[1:]))) > _GREY:
        there[1:] *= float(np.hypot(*goal[1:])) / chroma
    return there


def _hue_fault(here: Floats, goal: Floats, counts: float) -> Fault:
    off = goal[1:] - here[1:]
    quarter = round(float(np.degrees(np.arctan2(off[1], off[0]))) / 90.0) % 4
    return Fault("hue", f"too {_HUES[quarter]}", float(np.hypot(*off)), counts)


def _apart(one: Floats, other: Floats) -> float:
    return float(delta_e_2000(one, other))
