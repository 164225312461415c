"""Two strings beside each other, and the pair that a picture in light and shadow is painted from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.errors import PaintError
from core.paint.string_parts import MOST_PARTS
from core.paint.tubes import Tube
from core.paint.value_string import Mix, StringStep, ValueString, value_of_mix, value_string

SAME_WARMTH = 2.0
"""T under which two are told to be the same. The limit is ours."""
_TOLD = 0.5
"""T that is told as 1."""
BLACKEST, WHITEST = 0.0, 10.0
_SMALLEST_STEP, _LARGEST_STEP = 0.1, 5.0


@dataclass(frozen=True, eq=False)
class StepPair:
    """What two strings have at one Munsell ``value``; None where one does not reach it."""

    value: float
    first: StringStep | None
    second: StringStep | None

    @property
    def warmer_by(self) -> float | None:
        """T of the first less T of the second."""
        return None if self.first is None or self.second is None else self.first.warmth - self.second.warmth


def beside(first: ValueString, second: ValueString) -> tuple[StepPair, ...]:
    """The two step by step, the darkest first, at every value that either of them has."""
    values = sorted({round(step.asked, 6) for string in (first, second) for step in string.steps})
    return tuple(StepPair(value, first.at(value), second.at(value)) for value in values)


def say_beside(first: ValueString, second: ValueString) -> str:
    """Which of the two is the warmer, in a sentence."""
    told = [pair.warmer_by for pair in beside(first, second) if pair.warmer_by is not None]
    if not told:
        return "The two strings share no value."
    least, most = min(told), max(told)
    if max(abs(least), abs(most)) < SAME_WARMTH:
        return f"{_capital(first.name)} and {second.name} are as warm as each other at every step."
    if least <= -_TOLD and most >= _TOLD:
        return (
            f"Neither is the warmer all along: {first.name} is from {_by(least)} to {_by(most)} than {second.name}, "
            "step by step."
        )
    way, ends = ("warmer", (least, most)) if most > -least else ("cooler", (-most, -least))
    if ends[0] < _TOLD:
        other = "cooler" if way == "warmer" else "warmer"
        return f"{_capital(first.name)} is nowhere {other} than {second.name}, and up to {ends[1]:.0f} {way}."
    return f"{_capital(first.name)} is {way} than {second.name} at every step, by {ends[0]:.0f} to {ends[1]:.0f}."


@dataclass(frozen=True, eq=False)
class FamilyStrings:
    """``light``: the string of the light family, from the ``boundary`` (Munsell value) up; ``shadow``: that of the
    shadow family, from it down. ``apart``: T of the light's step at the boundary less that of the shadow's; None where
    one of them does not reach it."""

    boundary: float
    light: ValueString
    shadow: ValueString
    apart: float | None

    def say(self) -> str:
        """How far apart in warmth the two are where they meet."""
        if self.apart is None:
            short = [each.name for each in (self.light, self.shadow) if each.at(self.boundary) is None]
            return f"{_capital(' and '.join(short))} cannot be brought to value {self.boundary:.1f}, the boundary."
        if abs(self.apart) < SAME_WARMTH:
            return f"At the boundary, value {self.boundary:.1f}, light and shadow are as warm as each other."
        return f"At the boundary, value {self.boundary:.1f}, the light's mix is {_by(self.apart)} than the shadow's."


def family_strings(
    light: Mix,
    shadow: Mix,
    tubes: Mapping[str, Tube],
    *,
    boundary: float,
    lighter: Mix,
    darker: Mix,
    step: float = 1.0,
    most_parts: int = MOST_PARTS,
) -> FamilyStrings:
    """The mix of the light family carried from the ``boundary`` up, that of the shadow family from it down, in steps
    of ``step`` Munsell values. A lighter mixture that is darker than one of them is of no use to that one, nor a darker
    one that is lighter. Raises PaintError as :func:`value_string`, and for a boundary or step off range."""
    if not BLACKEST < boundary < WHITEST:
        raise PaintError(f"The boundary between light and shadow is a Munsell value from 0 to 10; {boundary:g} is not.")
    if not _SMALLEST_STEP <= step <= _LARGEST_STEP:
        raise PaintError(
            f"Steps of a string are from {_SMALLEST_STEP:g} to {_LARGEST_STEP:g} Munsell values; {step:g} is not that."
        )
    up = _from(boundary, step, WHITEST)
    down = _from(boundary, -step, BLACKEST)
    strings = []
    for mix, values, called in ((light, up, "The light’s string"), (shadow, down, "The shadow’s string")):
        own, top, bottom = (value_of_mix(each, tubes) for each in (mix, lighter, darker))
        string = value_string(
            mix,
            tubes,
            lighter=lighter if top >= own else None,
            darker=darker if bottom <= own else None,
            values=values,
            most_parts=most_parts,
        )
        strings.append(replace(string, called=called))
    at = [string.at(boundary) for string in strings]
    apart = None if at[0] is None or at[1] is None else at[0].warmth - at[1].warmth
    return FamilyStrings(boundary, strings[0], strings[1], apart)


def _from(start: float, step: float, end: float) -> Sequence[float]:
    """Even steps away from the start, short of the end."""
    count = int(np.ceil(abs(end - start) / abs(step) - 1e-9))
    return [start + step * k for k in range(count)]


def _by(warmth: float) -> str:
    return f"{abs(warmth):.0f} {'warmer' if warmth >= 0 else 'cooler'}"


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
