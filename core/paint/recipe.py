"""Which few tubes in which whole parts make a colour.

A recipe is weighed by what it misses and by what it asks of the hand: its CIEDE2000, half a unit for each further tube
and a twentieth for each part. These weights are ours. Of 300 colours of photographs and 12 tubes, the best by weight
has 2.8 tubes and 7.7 parts and misses by 1.1 in the middle; the nearest by CIEDE2000 alone 3.4 tubes and 10.2 parts,
and 0.9 (``tests/measure/recipes.py``). A third of these colours is out of reach, half of it
darker than black paint.

A colour that no mix comes within ``REACHED`` of is out of the tubes' reach: then value comes first, and of the mixes of
its value the nearest is told. A wrong value shows across a room, a wrong chroma beside the right one: common practice,
no source.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import gcd
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import delta_e_2000, warmth_of_lab
from core.errors import PaintError
from core.paint.miss import Miss, miss_of
from core.paint.munsell import notation
from core.paint.paint import Paint, predict
from core.paint.recipe_batch import Pots
from core.paint.recipe_search import Near, Searched, blocks_for
from core.paint.recipe_table import Block
from core.paint.spectrum import lab, linear_rgb
from core.paint.target import Lab, Target, value_of
from core.paint.tubes import Tube

Floats = NDArray[np.float64]

MOST_TUBES, MOST_PARTS = 4, 12
TUBE, PART = 0.5, 0.05
"""What a further tube and a part weigh, CIEDE2000."""
WORTH = 4.0
"""A recipe that weighs so much more than the best is no choice, and is not told."""
REACHED = 2.0
"""CIEDE2000 within which a colour is in reach: twice what can be seen, since mixing by eye is no nearer. Ours."""
SAME_VALUE = 0.1
"""Value steps."""
PARTS_TRIED = 24
"""The most parts that can be asked for."""


@dataclass(frozen=True, eq=False)
class Recipe:
    """``parts``: whole parts by mass by the name of the tube, most first. ``reflectance``: ``(36,)`` of a thick layer,
    0-1. ``lab``: CIELAB under D65; ``linear_rgb``: linear light in the sRGB primaries, not clipped. ``delta_e``:
    CIEDE2000 from the target."""

    target: Target
    parts: Mapping[str, int]
    reflectance: Floats
    lab: Lab
    linear_rgb: tuple[float, float, float]
    delta_e: float

    def __str__(self) -> str:
        return " + ".join(f"{count} {name}" for name, count in self.parts.items())

    @property
    def total(self) -> int:
        """Parts in all."""
        return sum(self.parts.values())

    @property
    def weight(self) -> float:
        """What it misses and what it asks for, CIEDE2000: the less the better."""
        return self.delta_e + TUBE * (len(self.parts) - 1) + PART * self.total

    @property
    def value(self) -> float:
        """Munsell value, 0-10."""
        return float(value_of(self.lab))

    @property
    def warmth(self) -> float:
        """T."""
        return float(warmth_of_lab(self.lab))

    @property
    def miss(self) -> Miss:
        """In which way it misses the target."""
        return miss_of(self.lab, self.target.lab)

    @cached_property
    def munsell(self) -> str:
        """Munsell notation of the mix, which takes 0.7 s the first time (see :mod:`core.paint.munsell`)."""
        return notation(self.lab)

    @cached_property
    def target_munsell(self) -> str:
        """Munsell notation of the target."""
        return notation(self.target.lab)


@dataclass(frozen=True, eq=False)
class Recipes:
    """``recipes``: the best first, one for each number of tubes that brings something, and the nearest of all.
    ``nearest``: by CIEDE2000 alone, however many tubes and parts. ``reached``: whether the colour is in reach; if not,
    ``recipes`` keep its value. ``note``: a sentence or two on what the tubes cannot do, or empty; with fewer tubes or
    parts than usual, on what so few cannot do."""

    target: Target
    recipes: tuple[Recipe, ...]
    nearest: Recipe
    reached: bool
    note: str

    @property
    def best(self) -> Recipe:
        """The least of ``weight``."""
        return self.recipes[0]


def recipes_for(
    target: Target, tubes: Mapping[str, Tube], *, most_tubes: int = MOST_TUBES, most_parts: int = MOST_PARTS
) -> Recipes:
    """Recipes for ``target`` of up to ``most_tubes`` (1-4) of ``tubes`` in up to ``most_parts`` (1-24) parts in all.

    Raises PaintError where there are no tubes or a number is out of range. Tubes of which the strength is not known are
    used alone only.
    """
    searched = Searched.of(blocks(target.lab, tubes, most_tubes=most_tubes, most_parts=most_parts), target.lab)
    counts = range(len(searched.blocks))
    nearest = chosen(target, tubes, [near for at in counts for near in searched.nearest(at)], alone=True)
    reached = nearest.delta_e <= REACHED
    allowed, off = (None, 0.0) if reached else searched.same_value(SAME_VALUE)
    found = []
    for at in counts:
        added = np.float32(PART) * searched.blocks[at].totals
        near = searched.nearest(at, added=added, allowed=None if allowed is None else allowed[at])
        if near:
            found.append(chosen(target, tubes, near))
    kept = [each for at, each in enumerate(found) if not any(_no_worse(other, each) for other in found[:at])]
    if reached:
        same = next((each for each in kept if each.delta_e <= nearest.delta_e), None)
        nearest = same or nearest
        kept += [] if same else [nearest]
    kept.sort(key=lambda each: each.weight)
    kept = [each for each in kept if each is nearest or each.weight <= kept[0].weight + WORTH]
    limits = few_words(most_tubes < MOST_TUBES and len(tubes) > most_tubes, most_parts < MOST_PARTS)
    note = "" if reached else _note(kept[0], searched, off, tubes, limits)
    return Recipes(target, tuple(kept), nearest, reached, note)


def recipe_of(target: Target, parts: Mapping[str, int], tubes: Mapping[str, Tube]) -> Recipe:
    """What a mix of given whole ``parts`` is, beside ``target``. Raises PaintError for a tube that is not there, or
    parts that are not whole numbers from 1 up."""
    if not parts:
        raise PaintError("A recipe has at least one tube. Name one, and how many parts of it.")
    for name, count in parts.items():
        if not (isinstance(count, int | np.integer) and count >= 1):
            raise PaintError(f"Parts are whole numbers from 1 up, and {count} of “{name}” is not. Correct it.")
    common = gcd(*(int(count) for count in parts.values()))
    order = list(tubes)
    ranked = sorted(parts.items(), key=lambda item: (-item[1], order.index(item[0]) if item[0] in tubes else 0))
    reflected = predict({name: tube.paint for name, tube in tubes.items()}, parts)
    colour = lab(reflected)
    red, green, blue = linear_rgb(reflected).tolist()
    return Recipe(
        target=target,
        parts=MappingProxyType({name: int(count) // common for name, count in ranked}),
        reflectance=reflected,
        lab=tuple(colour.tolist()),
        linear_rgb=(red, green, blue),
        delta_e=float(delta_e_2000(colour, target.lab)),
    )


def paints_of(tubes: Mapping[str, Tube]) -> dict[str, Paint]:
    """Their paints. Raises PaintError where there are none."""
    if not tubes:
        raise PaintError("There is no tube to mix from. Lay out at least one.")
    return {name: tube.paint for name, tube in tubes.items()}


def blocks(
    colour: Lab, tubes: Mapping[str, Tube], *, most_tubes: int, most_parts: int, keep: tuple[str, ...] = ()
) -> tuple[Block, ...]:
    """The mixes to search; of very many tubes, those named in ``keep`` are among the ones searched most closely.

    Raises PaintError where there are no tubes or a number is out of range.
    """
    for told, most, of in ((most_tubes, MOST_TUBES, "tubes"), (most_parts, PARTS_TRIED, "parts")):
        if not (isinstance(told, int | np.integer) and 1 <= told <= most):
            raise PaintError(f"A recipe is of 1 to {most} {of}, and {told} is not among these. Choose another number.")
    pots, names = Pots.of(paints_of(tubes)), list(tubes)
    kept = [names.index(name) for name in keep]
    return blocks_for(pots, colour, most_tubes=most_tubes, most_parts=most_parts, keep=kept)


def chosen(target: Target, tubes: Mapping[str, Tube], near: Iterable[Near], *, alone: bool = False) -> Recipe:
    """The best of mixes by their exact colour: by weight, or by CIEDE2000 ``alone``; of equals, that of fewest tubes,
    then of fewest parts, then of the first tubes."""
    names = list(tubes)
    offered = [recipe_of(target, {names[tube]: count for tube, count in each.mix}, tubes) for each in near]

    def rank(recipe: Recipe) -> tuple[float, int, int, list[int]]:
        score = recipe.delta_e if alone else recipe.weight
        return round(score, 9), len(recipe.parts), recipe.total, [names.index(name) for name in recipe.parts]

    return min(offered, key=rank)


def _no_worse(one: Recipe, other: Recipe) -> bool:
    return one.delta_e <= other.delta_e and one.weight <= other.weight


def few_words(tubes: bool, parts: bool) -> str:
    """Such as ``in so few tubes and parts``, of what there is too little of; empty where of neither."""
    told = [what for what, few in (("tubes", tubes), ("parts", parts)) if few]
    return f"in so few {' and '.join(told)}" if told else ""


def _note(best: Recipe, searched: Searched, off: float, tubes: Mapping[str, Tube], limits: str) -> str:
    told = _cannot(best, searched, off, tubes)
    lighter = best.target.value > searched.value_reach()[1] + SAME_VALUE  # which no number of tubes or parts mends
    return f"I{limits[1:]}, {told[:1].lower()}{told[1:]}" if limits and not lighter else told


def _cannot(best: Recipe, searched: Searched, off: float, tubes: Mapping[str, Tube]) -> str:
    darkest, lightest = searched.value_reach()
    wanted = best.target.value
    if wanted > lightest + SAME_VALUE:
        told = f"This is lighter than anything these tubes make: value {wanted:.1f}, and they reach {lightest:.1f}."
        return told if any(tube.white for tube in tubes.values()) else f"{told} There is no white among them: add one."
    if wanted < darkest - SAME_VALUE:
        return f"This is darker than anything these tubes make: value {wanted:.1f}, and they reach {darkest:.1f}."
    if abs(off) > SAME_VALUE:
        return f"No mix of these tubes has this value. The nearest is {best.miss}."
    return f"These tubes do not reach this colour. The nearest of its value is {best.miss}."
