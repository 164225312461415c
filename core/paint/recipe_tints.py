"""Mixes with a trace of a strong tube, in two steps: first a tint of it with the white, then that like a tube.

In small whole parts a strong tube comes in too coarse a measure: of ivory black, one part in twelve is a dark grey.
What the palette reaches all the same is found by laying out tints instead of some tubes, one part in ``TINT`` of white.

Of 200 colours spread evenly over its reach, a palette of ochre, black and white misses 101 in twelve parts, and 71 of
those are reached with tints, in 9 ms; twelve tubes miss 36, and 35 are reached, in 0.3 s. A touch this way or that is
made of such a mix in 9 of 10 cases, and without tints in 1 of 10 (``tests.measure.tints``).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from math import gcd

from core.errors import PaintError
from core.paint.paint import Paint, mixture
from core.paint.recipe import MOST_PARTS, MOST_TUBES, PARTS_TRIED, REACHED, Recipe, recipe_of, recipes_for
from core.paint.recipe_touch import Way, touched
from core.paint.target import Target
from core.paint.tubes import Tube, tinting_strength
from core.paint.value_string import say_mix

TINT = 9
"""Parts of white that one of the tube goes into. Common practice, no source."""
_FEW = 4


@dataclass(frozen=True)
class InSteps:
    """``tints``: the tubes of which one part goes into ``TINT`` of ``white`` first; ``parts``: then, with the tints
    under the names of their tubes after :attr:`tint_of`."""

    white: str
    tints: tuple[str, ...]
    parts: Mapping[str, int]

    def say(self) -> str:
        """Such as ``first 1 ivory black into 9 titanium white; then 7 titanium white, 3 yellow ochre, 2 tint of ivory
        black``."""
        first = " and ".join(f"1 {name}" for name in self.tints)
        each = "" if len(self.tints) == 1 else ", each"
        return f"first {first}{each} into {TINT} {self.white}; then {say_mix(self.parts)}"


def tinted_recipe(
    target: Target, tubes: Mapping[str, Tube], *, most_tubes: int = MOST_TUBES, most_parts: int = MOST_PARTS
) -> Recipe | None:
    """The best recipe with tints of ``tubes`` among them that reaches ``target``; its parts are those of the tubes
    themselves. None where there is no white, or none reaches. Raises PaintError as
    :func:`core.paint.recipe.recipes_for`."""
    white = next((tube for tube in tubes.values() if tube.white), None)
    if white is None or most_tubes < 2:
        return None
    offered = []
    for let_down in _choices(tubes):
        found = recipes_for(target, _pots(tubes, let_down, white), most_tubes=most_tubes, most_parts=most_parts)
        offered += [(each.weight, _expanded(each.parts, white.name, let_down)) for each in found.recipes]
    for _, parts in sorted(offered, key=lambda each: each[0]):
        made = recipe_of(target, parts, tubes)
        if made.delta_e <= REACHED and len(made.parts) <= most_tubes:
            return made
    return None


def finely_touched(
    recipe: Recipe,
    way: Way,
    tubes: Mapping[str, Tube],
    *,
    most_tubes: int = MOST_TUBES,
    most_parts: int = MOST_PARTS,
) -> Recipe:
    """:func:`core.paint.recipe_touch.touched`, and where no mix of the tubes does it, with tints of them: the one that
    comes nearest to what is asked for. Raises PaintError as that does."""
    most = {"most_tubes": most_tubes, "most_parts": most_parts}
    try:
        return touched(recipe, way, tubes, **most)
    except PaintError:
        found = list(_touched_with_tints(recipe, way, tubes, most))
        if not found:
            raise
    return min(found, key=lambda each: (each.delta_e, each.total))


def _touched_with_tints(recipe: Recipe, way: Way, tubes: Mapping[str, Tube], most: dict[str, int]) -> Iterator[Recipe]:
    white = next((tube for tube in tubes.values() if tube.white), None)
    if white is None:
        return
    for let_down in _choices(tubes):
        try:
            made = touched(recipe, way, _pots(tubes, let_down, white), **most)
        except PaintError:
            continue
        parts = _expanded(made.parts, white.name, let_down)
        if len(parts) <= most["most_tubes"]:
            yield recipe_of(made.target, parts, tubes)


def in_steps(parts: Mapping[str, int], tubes: Mapping[str, Tube]) -> InSteps | None:
    """How to mix ``parts`` in two steps, in the fewest parts in all: ``MOST_PARTS`` at most, or up to ``PARTS_TRIED``
    where the tubes alone take more than that. None where they take no more than ``MOST_PARTS``, there is no white, or
    too little of it for the tints."""
    total = sum(parts.values())
    if total <= MOST_PARTS:
        return None
    whites = [name for name in parts if name in tubes and tubes[name].white]
    strong = [name for name in parts if name not in whites]
    ways = [
        _in_steps(parts, white, weak)
        for white in whites
        for count in range(1, len(strong) + 1)
        for weak in combinations(strong, count)
    ]
    found = [way for way in ways if way is not None]
    best = min(found, key=lambda way: (sum(way.parts.values()), len(way.tints)), default=None)
    most = MOST_PARTS if total <= PARTS_TRIED else PARTS_TRIED
    return best if best is not None and sum(best.parts.values()) <= most else None


def _in_steps(parts: Mapping[str, int], white: str, weak: tuple[str, ...]) -> InSteps | None:
    left = parts[white] - TINT * sum(parts[name] for name in weak)
    if left < 0:
        return None
    then = {white: left} | {name: count for name, count in parts.items() if name != white and name not in weak}
    then |= {tint_of(name): (TINT + 1) * parts[name] for name in weak}
    common = gcd(*then.values())
    ranked = sorted(then.items(), key=lambda item: -item[1])
    return InSteps(white, weak, {name: count // common for name, count in ranked if count})


def tint_of(name: str) -> str:
    """What a tint is called."""
    return f"tint of {name}"


def _choices(tubes: Mapping[str, Tube]) -> list[frozenset[str]]:
    """Which tubes are let down: each some of them where they are few, else the strongest, more and more of them."""
    named = [name for name, tube in tubes.items() if not tube.white and tube.paint.strength_known]
    named.sort(key=lambda name: -tinting_strength(tubes[name]))
    if len(named) <= _FEW:
        return [frozenset(some) for count in range(1, len(named) + 1) for some in combinations(named, count)]
    counts = [count for count in (1, 2, 4, 8) if count < len(named)]
    return [frozenset(named[:count]) for count in (*counts, len(named))]


def _pots(tubes: Mapping[str, Tube], let_down: frozenset[str], white: Tube) -> dict[str, Tube]:
    """The tubes, some of them let down, each under its own name."""
    return {name: _tint(tube, white) if name in let_down else tube for name, tube in tubes.items()}


def _tint(tube: Tube, white: Tube) -> Tube:
    mixed = mixture({"tube": tube.paint, "white": white.paint}, {"tube": 1.0, "white": float(TINT)})
    return replace(tube, paint=Paint(mixed.k, mixed.s, tube.paint.wavelengths, mixed.k1, mixed.k2))


def _expanded(parts: Mapping[str, int], white: str, let_down: frozenset[str]) -> dict[str, int]:
    """Parts of the tubes alone, where some were let down."""
    tenths = {name: count if name in let_down else (TINT + 1) * count for name, count in parts.items()}
    added = TINT * sum(count for name, count in parts.items() if name in let_down)
    if added:
        tenths[white] = tenths.get(white, 0) + added
    common = gcd(*tenths.values())
    return {name: count // common for name, count in tenths.items()}
