"""Fat over lean and slow over fast: where a coat would be leaner or faster than the one beneath, or thin on thick.

A layer should hold at least as much oil as the one beneath and dry no faster, or it may crack: Mayer 1991, Gottsegen
2006, Wehlte 1975, Saitzyk 1987. The medium counts first, solvent to more oil; where it is the same, what the pigments
take of oil (:mod:`core.sitting.pigment_oil`): a richer medium is taken to outweigh them (ours). Alkyd is fat and fast
at once: under oil it is right, over oil it is too fast. Speed is told by the drying classes of the pigments.

How much there is of each tube is not known, so a coat's pigments are told by the mean of their classes. Measured on
2000 pairs of coats of three to five tubes out of eight everyday ones, with chance amounts at 400 places each, about a
quarter of the pairs going against the rule: a fall of the mean by a third of a class finds 86 to 97 % of these, and 83
to 94 % of its warnings are right; by half a class, 52 to 61 % and 97 to 100 %. Two other ways were tried: half-way from
the mean to the slowest (fattest) tube finds 46 to 70 %, 74 to 93 % of its warnings being right; the fastest tube above
against the slowest beneath warns of almost every pair, and of nearly every coat over one of the same tubes, so whenever
a sitting is split in two (``python -m tests.measure.layering``). Coats of the same tubes never differ by the mean.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from core.sitting.coat import SittingTube
from core.sitting.drying_classes import DryingClass, drying_class
from core.sitting.laid import Laid
from core.sitting.layer import Medium, Thickness
from core.sitting.pigment_oil import oil_need

HANDBOOKS = "Mayer 1991, Gottsegen 2006, Wehlte 1975, Saitzyk 1987"
SLIGHT_FROM, CLEAR_FROM = 0.33, 1.0
"""Classes by which the mean of a coat's pigments must fall below that of those beneath (ours)."""
_MOST_NAMED = 4
_OIL_OF = (Medium.SOLVENT, Medium.STRAIGHT, Medium.LITTLE_OIL, Medium.MORE_OIL)
_WITH = {
    Medium.SOLVENT: "paint thinned with solvent",
    Medium.STRAIGHT: "straight paint",
    Medium.LITTLE_OIL: "paint with a little oil",
    Medium.MORE_OIL: "paint with more oil",
    Medium.ALKYD: "paint with alkyd",
}

Drying = Callable[[str, str], DryingClass | None]
"""The class of a pigment by its Colour Index name and the tube's own name."""


class Rule(StrEnum):
    """What a coat goes against."""

    MEDIUM = "fat over lean"
    PIGMENT_OIL = "fat over lean, by pigment"
    ALKYD = "no alkyd over oil"
    PIGMENT_SPEED = "slow over fast"
    THIN_OVER_THICK = "thin over thick"


SOURCES = {
    Rule.MEDIUM: HANDBOOKS,
    Rule.PIGMENT_OIL: f"{HANDBOOKS}; what pigments take of oil: Pettenkofer 1870 and handbook practice, from memory",
    Rule.ALKYD: f"{HANDBOOKS}; of alkyd: common practice, no source",
    Rule.PIGMENT_SPEED: f"{HANDBOOKS}; classes of pigments: artists' handbooks and a paint maker's guide",
    Rule.THIN_OVER_THICK: "common practice, no source",
}
_WHY = {
    Rule.MEDIUM: "A lean film turns hard and stiff over a fat one that still moves, and may crack.",
    Rule.PIGMENT_OIL: "Pigments that take much oil make a fat film that goes on moving; a leaner one on it may crack.",
    Rule.ALKYD: "Alkyd is hard within days; oil beneath it goes on drying and moving, and the film above may crack.",
    Rule.PIGMENT_SPEED: "What dries fast sets over paint that is still drying and moving, and may crack.",
    Rule.THIN_OVER_THICK: "Thick paint stays soft under its skin for long, and a thin film on it may crack or wrinkle.",
}


class Weight(StrEnum):
    """How much a warning counts."""

    CLEAR = "clear"
    SLIGHT = "slight"


@dataclass(frozen=True)
class LayerWarning:
    """``above``, ``beneath``: keys of the sittings. ``reasons``: the tubes, or the medium, that it is because of.

    ``say``: what is against the rule, ``why``: what may come of it, ``instead``: what to do, each a sentence or two.
    """

    rule: Rule
    weight: Weight
    above: int
    beneath: int
    reasons: tuple[str, ...]
    say: str
    why: str
    instead: str

    @property
    def source(self) -> str:
        """Where the rule stands, or that it does not."""
        return SOURCES[self.rule]


def layer_warnings(coats: Sequence[Laid], *, drying: Drying = drying_class) -> tuple[LayerWarning, ...]:
    """Of every two successive coats, from the lowest up (see :func:`core.sitting.laid.laid`)."""
    return tuple(
        found
        for beneath, above in pairwise(coats)
        for found in (
            _medium(beneath, above),
            _pigment_oil(beneath, above),
            _alkyd(beneath, above, drying),
            _pigment_speed(beneath, above, drying),
            _thin_over_thick(beneath, above),
        )
        if found is not None
    )


def not_weighed(coats: Iterable[Laid], *, drying: Drying = drying_class) -> str:
    """A sentence on the tubes of which neither oil nor speed is known; empty where there are none."""
    tubes = dict.fromkeys(tube for each in coats for tube in each.coat.tubes)
    names = dict.fromkeys(tube.name for tube in tubes if _oil(tube) is None and _speed(tube, drying) is None)
    return "" if not names else f"Nothing is known of {_listed(names)}: no warning takes account of that."


def _medium(beneath: Laid, above: Laid) -> LayerWarning | None:
    lower, upper = beneath.coat.medium, above.coat.medium
    if Medium.ALKYD in (lower, upper) or _OIL_OF.index(upper) >= _OIL_OF.index(lower):
        return None
    say = f"{_cap(above.name)} is leaner than {beneath.name}: {_WITH[upper]} over {_WITH[lower]}."
    return _warn(
        Rule.MEDIUM, Weight.CLEAR, beneath, above, [str(upper)], say, f"Use as much oil as beneath ({_WITH[lower]})"
    )


def _pigment_oil(beneath: Laid, above: Laid) -> LayerWarning | None:
    if beneath.coat.medium is not above.coat.medium:
        return None
    lower, upper = ({tube: _oil(tube) for tube in each.coat.tubes} for each in (beneath, above))
    lowest, uppermost = _mean(lower), _mean(upper)
    if lowest is None or uppermost is None or lowest - uppermost < SLIGHT_FROM:
        return None
    fat, lean = _apart(lower, upper)
    say = (
        f"{_cap(above.name)} has leaner pigments than {beneath.name}, with the same medium: {_listed(lean)} "
        f"{_take(lean)} less oil than {_listed(fat)} beneath."
    )
    instead = "Add a little more oil above than beneath"
    return _warn(Rule.PIGMENT_OIL, _weight(lowest - uppermost), beneath, above, [*lean, *fat], say, instead)


def _alkyd(beneath: Laid, above: Laid, drying: Drying) -> LayerWarning | None:
    if above.coat.medium is not Medium.ALKYD or beneath.coat.medium is Medium.ALKYD:
        return None
    speeds = {tube: _speed(tube, drying) for tube in beneath.coat.tubes}
    slow = _named(tube for tube, rank in speeds.items() if rank == DryingClass.SLOW.rank)
    lean = beneath.coat.medium is Medium.SOLVENT and beneath.coat.thickness is not Thickness.THICK and not slow
    beside = f", slow by {_listed(slow)}" if slow else ""
    say = f"{_cap(above.name)} dries faster than {beneath.name}: alkyd over {_WITH[beneath.coat.medium]}{beside}."
    weight = Weight.SLIGHT if lean else Weight.CLEAR
    reasons = [str(Medium.ALKYD), *slow]
    instead = "Leave out the alkyd above" + ("" if beneath.done else ", or use it beneath too")
    return _warn(Rule.ALKYD, weight, beneath, above, reasons, say, instead)


def _pigment_speed(beneath: Laid, above: Laid, drying: Drying) -> LayerWarning | None:
    if Medium.ALKYD in (beneath.coat.medium, above.coat.medium):
        return None
    lower, upper = ({tube: _speed(tube, drying) for tube in each.coat.tubes} for each in (beneath, above))
    lowest, uppermost = _mean(lower), _mean(upper)
    if lowest is None or uppermost is None or lowest - uppermost < SLIGHT_FROM:
        return None
    slow, fast = _apart(lower, upper)
    say = (
        f"{_cap(above.name)} has faster pigments than {beneath.name}: {_listed(fast)} "
        f"{'dries' if len(fast) == 1 else 'dry'} before {_listed(slow)} beneath."
    )
    instead = f"Paint beneath without {_listed(slow)}" if not beneath.done else f"Paint above without {_listed(fast)}"
    return _warn(Rule.PIGMENT_SPEED, _weight(lowest - uppermost), beneath, above, [*fast, *slow], say, instead)


def _thin_over_thick(beneath: Laid, above: Laid) -> LayerWarning | None:
    if beneath.coat.thickness is not Thickness.THICK or above.coat.thickness is Thickness.THICK:
        return None
    state = "dry to the touch, but not yet dry through" if beneath.found_dry else "perhaps still soft"
    say = f"{_cap(above.name)} lies less thick than {beneath.name}, which is {state}."
    weight = Weight.SLIGHT if beneath.found_dry else Weight.CLEAR
    instead = "Paint above as thick as beneath" if beneath.done else "Paint beneath less thick"
    return _warn(Rule.THIN_OVER_THICK, weight, beneath, above, [str(beneath.coat.thickness)], say, instead)


def _warn(
    rule: Rule, weight: Weight, beneath: Laid, above: Laid, reasons: list[str], say: str, instead: str
) -> LayerWarning:
    if above.done:
        then = "It is painted already: give it months to dry, and make the next layer no leaner and no faster."
    elif beneath.found_dry:
        then = f"{instead}; or wait some weeks more, though {beneath.name} was found dry to the touch."
    else:
        then = f"{instead}; or let {beneath.name} dry to the touch, and some weeks more."
    return LayerWarning(rule, weight, above.key, beneath.key, tuple(dict.fromkeys(reasons)), say, _WHY[rule], then)


def _weight(drop: float) -> Weight:
    return Weight.CLEAR if drop >= CLEAR_FROM else Weight.SLIGHT


_Ranks = dict[SittingTube, float | None]


def _oil(tube: SittingTube) -> float | None:
    """The mean rank of its pigments' need of oil, 0-2; None where none is known."""
    return _mean_of(need.rank for each in tube.pigments if (need := oil_need(each)) is not None)


def _speed(tube: SittingTube, drying: Drying) -> float | None:
    """The mean rank of its pigments' slowness, 0-2; None where none is known."""
    names = tube.pigments or (tube.name,)
    return _mean_of(found.rank for each in names if (found := drying(each, tube.name)) is not None)


def _mean_of(ranks: Iterable[float]) -> float | None:
    told = list(ranks)
    return sum(told) / len(told) if told else None


def _known(ranks: _Ranks) -> list[float]:
    return [rank for rank in ranks.values() if rank is not None]


def _mean(ranks: _Ranks) -> float | None:
    return _mean_of(_known(ranks))


def _apart(lower: _Ranks, upper: _Ranks) -> tuple[list[str], list[str]]:
    """The tubes of the highest rank beneath and of the lowest above: of those that only one of the coats has, where
    these are apart already, else of all."""
    for own_lower, own_upper in ((_without(lower, upper), _without(upper, lower)), (lower, upper)):
        high, low = max(_known(own_lower), default=None), min(_known(own_upper), default=None)
        if high is not None and low is not None and high > low:
            break
    return (
        _named(tube for tube, rank in own_lower.items() if rank == high),
        _named(tube for tube, rank in own_upper.items() if rank == low),
    )


def _without(ranks: _Ranks, others: _Ranks) -> _Ranks:
    """Those that the other coat has not; all where that leaves none that is known."""
    own = {tube: rank for tube, rank in ranks.items() if tube not in others}
    return own if _known(own) else ranks


def _named(tubes: Iterable[SittingTube]) -> list[str]:
    return list(dict.fromkeys(tube.name for tube in tubes))


def _take(names: Sequence[str]) -> str:
    return "takes" if len(names) == 1 else "take"


def _listed(names: Iterable[str]) -> str:
    told = list(names)
    *rest, last = told if len(told) <= _MOST_NAMED else [*told[: _MOST_NAMED - 1], "others"]
    return f"{', '.join(rest)} and {last}" if rest else last


def _cap(name: str) -> str:
    return name[:1].upper() + name[1:]
