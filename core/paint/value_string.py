"""Strings: one mix carried through steps of value, lighter by one mixture and darker by another.

Munsell value is that of ASTM D1535. The warmth T of each step is told, a* cos 50° + b* sin 50° of CIELAB under D65, on
the warm-cool axis of Ou, Luo, Woodcock and Wright, Color Res. Appl. 29(3), 2004, 232-240: a neutral is 0.

What the mix takes of the lighter or darker mixture is found between neighbours of a row of shares, even in the ratio
of the two, by halving. Value does not always run one way: of all 1406 ordered pairs of the tubes that come with the
program 250 turn back by more than 0.02, complements such as pyrrole red and cerulean blue by 1.0; of those with a white
none, with a black 8, by 0.1 at most. There the smallest share that reaches the value is taken.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import WHITE, lab_from_xyz, munsell_value, rgb_from_xyz, warmth_of_lab
from core.errors import PaintError
from core.paint.palette_mixes import Slab, shares_of
from core.paint.spectrum import white_of
from core.paint.string_parts import MOST_PARTS, SAME_DIFFERENCE, whole_parts
from core.paint.tubes import Tube, UnknownTubeError, no_tube

Floats = NDArray[np.float64]
Mix = Mapping[str, float]

USUAL_VALUES = tuple(float(value) for value in range(1, 10))
FEWEST_STEPS, MOST_STEPS = 2, 20
_REACHED = 0.02
"""A value so close past an end of the reach is given that end."""
_TOLD_MISS = 0.05
_LOGITS = np.linspace(-16.0, 16.0, 129)
_HALVINGS = 40


@dataclass(frozen=True)
class Onward:
    """So many parts of the step before (``start``: the value it was asked for, None the mix itself), and so many of
    the lighter or darker mixture. ``difference``: CIEDE2000 from the step that is meant."""

    start: float | None
    parts: int
    added: int
    difference: float

    def say(self, adding: str) -> str:
        """Such as ``1 part of the step at 8, 5 of titanium white``."""
        before = "the mix" if self.start is None else f"the step at {say_value(self.start)}"
        return f"{self.parts} part{'s' if self.parts > 1 else ''} of {before}, {self.added} of {adding}"


@dataclass(frozen=True, eq=False)
class StringStep:
    """One step. ``asked``: Munsell value wanted; ``value``: that of ``parts``, by mass and adding to 1. ``added``: the
    share of them that is the lighter (above 0) or darker (below 0) mixture. ``whole``: parts to mix by, with their
    ``whole_value`` and how far their colour lies from that of ``parts``, CIEDE2000. ``lab``, ``linear_rgb``, ``warmth``
    are those of ``parts``: CIELAB under D65, linear light in the sRGB primaries, not clipped, and T. ``onward``: how to
    get here from the step before, nearer to the mix; None at the mix itself, and where nothing is to be added."""

    asked: float
    value: float
    parts: Mapping[str, float]
    added: float
    whole: Mapping[str, int]
    whole_value: float
    whole_difference: float
    lab: tuple[float, float, float]
    linear_rgb: tuple[float, float, float]
    warmth: float
    onward: "Onward | None" = None

    @property
    def miss(self) -> float:
        """Value steps that the whole parts are too light (above 0) or too dark by."""
        return self.whole_value - self.asked

    @property
    def rough(self) -> bool:
        """Whether no whole parts within the limit pass for the step."""
        return self.whole_difference > SAME_DIFFERENCE

    @property
    def better_onward(self) -> bool:
        """Whether it is better mixed on from the step before: where its own parts are rough, and that comes nearer."""
        return self.rough and self.onward is not None and self.onward.difference < self.whole_difference

    @property
    def rough_either_way(self) -> bool:
        """Whether neither its own parts nor those from the step before pass for it."""
        return self.rough and (self.onward is None or self.onward.difference > SAME_DIFFERENCE)

    def say_parts(self) -> str:
        """Such as ``3 yellow ochre, 1 ivory black``, with their value where it is another than asked for."""
        told = f"{self.whole_value:.1f}"
        off = "" if told == f"{self.asked:.1f}" or abs(self.miss) < _TOLD_MISS else f" (value {told})"
        return f"{say_mix(self.whole)}{off}"


@dataclass(frozen=True, eq=False)
class ValueString:
    """A ``mix`` in steps, the darkest first. ``darkest``, ``lightest``: Munsell values that it can be carried to.
    ``left_out``: the values asked for that lie beyond. ``called``: how a sentence of it begins."""

    mix: Mapping[str, float]
    lighter: Mapping[str, float]
    darker: Mapping[str, float]
    steps: tuple[StringStep, ...]
    darkest: float
    lightest: float
    left_out: tuple[float, ...] = ()
    called: str = "This string"

    @property
    def name(self) -> str:
        """Such as ``2 yellow ochre, 1 ivory black``."""
        return say_mix(self.mix)

    @property
    def warmest(self) -> StringStep | None:
        """The step of the most warmth."""
        return max(self.steps, key=lambda step: step.warmth, default=None)

    def at(self, value: float) -> StringStep | None:
        """The step that was asked for at this value."""
        return next((step for step in self.steps if abs(step.asked - value) < 1e-6), None)

    def say_onward(self, step: StringStep) -> str:
        """Such as ``1 part of the step at 8, 5 of titanium white``; empty where the step is not so mixed."""
        if step.onward is None:
            return ""
        word, mix = ("lighter", self.lighter) if step.added > 0 else ("darker", self.darker)
        return step.onward.say(say_mix(mix) if len(mix) == 1 else f"the {word} mixture")

    def say_left_out(self) -> str:
        """Which values cannot be reached, and why; empty where all are."""
        if not self.left_out:
            return ""
        told = ", ".join(say_value(value) for value in self.left_out)
        return (
            f"Not reached: value{'s' if len(self.left_out) > 1 else ''} {told}. "
            f"{self.called} goes from {self.darkest:.1f} to {self.lightest:.1f}."
        )

    @property
    def alike(self) -> tuple[tuple[float, ...], ...]:
        """The values of steps that cannot be told apart in whole parts: those that come out as one mix, and are no
        nearer when mixed on from the step before."""
        mixed: dict[tuple[tuple[str, int], ...], list[float]] = {}
        for step in self.steps:
            if not step.better_onward:
                mixed.setdefault(tuple(sorted(step.whole.items())), []).append(step.asked)
        return tuple(tuple(values) for values in mixed.values() if len(values) > 1)

    def say_alike(self) -> str:
        """Which steps come out alike in so few parts; empty where none do."""
        if not self.alike:
            return ""
        said = [[say_value(value) for value in values] for values in self.alike]
        told = "; or at ".join(f"{', '.join(values[:-1])} and {values[-1]}" for values in said)
        return f"In so few parts these steps cannot be told apart: those at {told}. Allow more parts."


def value_string(
    mix: Mix,
    tubes: Mapping[str, Tube],
    *,
    lighter: Mix | None = None,
    darker: Mix | None = None,
    values: Sequence[float] | None = None,
    steps: int | None = None,
    most_parts: int = MOST_PARTS,
) -> ValueString:
    """The ``mix`` carried up by the ``lighter`` mixture and down by the ``darker`` one, parts by mass of ``tubes``.

    ``values``: Munsell values wanted, 1 to 9 when not given; or ``steps``: so many even steps from the darkest to the
    lightest there is. What lies beyond the reach is left out, never made up. Raises PaintError for an unknown tube,
    parts or values off range, or a lighter mixture that is darker than the mix.
    """
    used = _laid_out(tubes, mix, lighter or {}, darker or {})
    slab = Slab(used)
    base = shares_of(mix, used)
    up = None if lighter is None else _Way(slab, base, shares_of(lighter, used, "lighter mixture"))
    down = None if darker is None else _Way(slab, base, shares_of(darker, used, "darker mixture"))
    _rightly(up, down, lighter, darker)
    own = float(slab.value(base))
    ends = [own, *(end for way in (up, down) if way for end in way.ends)]
    darkest, lightest = min(ends), max(ends)
    asked = _asked(values, steps, darkest, lightest)
    within = [each for each in asked if darkest - _REACHED <= each <= lightest + _REACHED]
    places = [(each, *_found(each, base, own, up, down)) for each in within]
    ways = [(up, 1.0), (down, -1.0)]
    onward = {
        asked: made
        for way, sign in ways
        if way is not None
        for asked, made in _onward(slab, way, [(a, sign * t) for a, _, t in places if sign * t > 0], most_parts)
    }
    made = [_step(slab, *place, most_parts, onward.get(place[0])) for place in places]
    return ValueString(
        _kept(mix), _kept(lighter), _kept(darker), tuple(made), darkest, lightest,
        tuple(each for each in asked if each not in within),
    )  # fmt: skip


class _Way:
    """From a mix, at share 0, to another mixture, at share 1."""

    def __init__(self, slab: Slab, base: Floats, other: Floats) -> None:
        self._slab, self._base, self._other = slab, base, other
        self._row = np.concatenate([[0.0], 1.0 / (1.0 + np.exp(-_LOGITS)), [1.0]])
        self._values = slab.value(self.mixed(self._row))
        self.own, self.goal = float(self._values[0]), float(self._values[-1])
        self.ends = float(self._values.min()), float(self._values.max())

    def mixed(self, share: Floats) -> Floats:
        """Shares of the tubes ``(…, n)`` at these shares of the other mixture."""
        at = np.asarray(share)[..., None]
        return np.asarray((1.0 - at) * self._base + at * self._other)

    def share(self, value: float) -> float | None:
        """The smallest share of the other mixture that gives this value; None where none does."""
        off = self._values - value
        crossing = np.flatnonzero(off[:-1] * off[1:] <= 0)
        if not len(crossing):
            nearest = int(np.abs(off).argmin())
            return float(self._row[nearest]) if abs(off[nearest]) <= _REACHED else None
        low, high = self._row[crossing[0]], self._row[crossing[0] + 1]
        rising = off[crossing[0] + 1] > off[crossing[0]]
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            above = float(self._slab.value(self.mixed(middle))) > value
            low, high = (low, middle) if above == rising else (middle, high)
        return float((low + high) / 2)


def value_of_mix(mix: Mix, tubes: Mapping[str, Tube]) -> float:
    """Munsell value of a mix by parts of tubes. Raises PaintError as :func:`value_string`."""
    used = _laid_out(tubes, mix)
    return float(Slab(used).value(shares_of(mix, used)))


def say_value(value: float) -> str:
    """A Munsell value to a tenth, or a quarter as it is: ``5``, ``4.3``, ``4.25``."""
    exact = abs(4 * value - round(4 * value)) < 1e-6
    return f"{value:.2f}".rstrip("0").rstrip(".") if exact else f"{value:.1f}".removesuffix(".0")


def say_mix(mix: Mapping[str, float]) -> str:
    """Such as ``2 yellow ochre, 1 ivory black``; the name alone where there is one tube."""
    used = {name: part for name, part in mix.items() if part > 0}
    if len(used) == 1:
        return next(iter(used))
    return ", ".join(f"{_say_part(part)} {name}" for name, part in used.items())


def _say_part(part: float) -> str:
    """A whole number as it is, another one to three figures; never with an exponent."""
    if part == round(part):
        return str(round(part))
    return np.format_float_positional(part, precision=3, unique=False, fractional=False, trim="-")


def _laid_out(tubes: Mapping[str, Tube], *mixes: Mix) -> list[Tube]:
    """The tubes that mixes name, in their order."""
    named = list(dict.fromkeys(name for mix in mixes for name in mix))
    strangers = [name for name in named if name not in tubes]
    if strangers:
        raise UnknownTubeError(no_tube(strangers[0], tubes))
    return [tubes[name] for name in named]


def _rightly(up: _Way | None, down: _Way | None, lighter: Mix | None, darker: Mix | None) -> None:
    """The lighter mixture is the lighter one."""
    for way, mix, sign, word in ((up, lighter, 1.0, "lighter"), (down, darker, -1.0, "darker")):
        if way is not None and sign * (way.goal - way.own) < -_REACHED:
            raise PaintError(
                f"{_capital(say_mix(mix or {}))} is no {word} than the mix (value {way.goal:.1f} against "
                f"{way.own:.1f}). Choose a {word} one."
            )


def _asked(values: Sequence[float] | None, steps: int | None, darkest: float, lightest: float) -> tuple[float, ...]:
    if steps is not None:
        if values is not None:
            raise PaintError("Give either the values of a string or how many steps it has.")
        if not FEWEST_STEPS <= steps <= MOST_STEPS:
            raise PaintError(f"A string has from {FEWEST_STEPS} to {MOST_STEPS} steps; {steps} is not that.")
        return tuple(np.linspace(darkest, lightest, steps).tolist())
    asked = USUAL_VALUES if values is None else tuple(float(value) for value in values)
    if not asked or not all(0.0 <= value <= 10.0 for value in asked):
        raise PaintError("Values of a string are Munsell values from 0, black, to 10, white. Give at least one.")
    return tuple(sorted(set(asked)))


def _found(value: float, base: Floats, own: float, up: _Way | None, down: _Way | None) -> tuple[Floats, float]:
    """Shares of the tubes that give a value, and the share added: above 0 of the lighter, below 0 of the darker."""
    ways = ((up, 1.0), (down, -1.0)) if value >= own else ((down, -1.0), (up, 1.0))
    for way, sign in ways:
        share = None if way is None else way.share(value)
        if way is not None and share is not None:
            return way.mixed(np.asarray(share)), sign * share
    return base, 0.0


def _onward(
    slab: Slab, way: _Way, steps: Sequence[tuple[float, float]], most_parts: int
) -> Iterator[tuple[float, Onward]]:
    """For each step of one way, as asked and with its share of the other mixture: how to get there from the one
    before."""
    start, before = None, 0.0
    for asked, share in sorted(steps, key=lambda step: step[1]):
        piles = way.mixed(np.array([before, 1.0]))
        kept = 0.0 if before >= 1.0 else (1.0 - share) / (1.0 - before)
        counts, difference = whole_parts(slab, np.array([kept, 1.0 - kept]), most_parts, piles=piles)
        if counts.all():
            yield asked, Onward(start, int(counts[0]), int(counts[1]), difference)
        start, before = asked, share


def _step(slab: Slab, asked: float, shares: Floats, added: float, most_parts: int, onward: Onward | None) -> StringStep:
    counts, difference = whole_parts(slab, shares, most_parts)
    tristimulus = slab.xyz(shares)
    lab = lab_from_xyz(tristimulus, white_of("D65"))
    light = rgb_from_xyz(tristimulus * (WHITE / white_of("D65")))
    names = [tube.name for tube in slab.tubes]
    return StringStep(
        asked=asked,
        value=float(munsell_value(tristimulus[1])),
        parts=MappingProxyType({n: float(s) for n, s in zip(names, shares, strict=True) if s > 0}),
        added=added,
        whole=MappingProxyType({n: int(c) for n, c in zip(names, counts, strict=True) if c > 0}),
        whole_value=float(slab.value(counts)),
        whole_difference=difference,
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        linear_rgb=(float(light[0]), float(light[1]), float(light[2])),
        warmth=float(warmth_of_lab(lab)),
        onward=onward,
    )


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]


def _kept(mix: Mix | None) -> Mapping[str, float]:
    return MappingProxyType(dict(mix or {}))
