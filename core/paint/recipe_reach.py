"""Which one tube more would bring a colour into a palette's reach, and how near.

Each further tube is tried with the 10 tubes of the palette that come nearest to the colour: of 26 tubes and 12 colours
out of reach none came out farther than with all 12, in 0.5 s. With 7 it is 0.2 s, and up to 0.7 of CIEDE2000 is lost.

Before another tube is offered, more parts and tubes of the same palette are tried, with tints too. Where the colour
lies beyond all that the palette reaches (:mod:`core.paint.palette_reach`) that is left out, and of many tubes tints are
tried of those that the nearest mixtures hold. Of 15 colours about the rim of twelve tubes that neither twelve parts nor
tints reach, this takes 1.7 s in the middle and 2.4 s at most; a search of tints of all tubes takes 6 s to 11 s, and
came out the same for each.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.colorimetry import delta_e_2000, lightness, luminance_of_value
from core.paint.palette_reach import reach_of
from core.paint.recipe import (
    MOST_PARTS,
    MOST_TUBES,
    REACHED,
    SAME_VALUE,
    Recipe,
    Recipes,
    blocks,
    chosen,
    few_words,
    recipes_for,
)
from core.paint.recipe_batch import Pots
from core.paint.recipe_search import Searched, promising
from core.paint.recipe_table import table_with
from core.paint.recipe_tints import tinted_recipe
from core.paint.target import Target
from core.paint.tubes import Tube

MOST_OFFERED = 3
FURTHER = (12, 16, 20, 24)
"""Parts that are tried where fewer do not reach."""
LEAST_GAIN = 0.5
"""CIEDE2000 that a further tube has to bring, to be worth buying. Ours."""
_READS_FAR = 1.2
"""What is reached reads so far off at most, CIEDE2000, by :mod:`core.paint.palette_reach`."""
_ROUNDING = 1e-3
"""L* that single precision may be off."""
_FEW, _MIXTURES, _TRACE = 6, 60, 1e-3
"""Of more tubes, tints are tried of those that most of the nearest mixtures hold more than a trace of."""
_BESIDE = 10
"""How many tubes of the palette a further one is tried with: those that come nearest to the colour."""


@dataclass(frozen=True, eq=False)
class Addition:
    """A further tube by its ``name``, the nearest ``recipe`` it makes with the palette, and whether that reaches."""

    name: str
    recipe: Recipe

    @property
    def reaches(self) -> bool:
        """Within ``REACHED``."""
        return self.recipe.delta_e <= REACHED


@dataclass(frozen=True, eq=False)
class Beyond:
    """What would bring a colour into reach. ``tinted``: a recipe in two steps (:mod:`core.paint.recipe_tints`);
    ``in_parts``, ``in_tubes``: so many parts, and so many in one mix, of the same tubes, None where no more are needed
    or they do not help; ``further``: other tubes, the nearest first."""

    tinted: Recipe | None = None
    in_parts: int | None = None
    further: tuple[Addition, ...] = ()
    in_tubes: int | None = None

    def say(self, recipes: Recipes) -> str:
        """What keeps ``recipes`` from the colour, in a sentence or two; empty where it is reached."""
        if recipes.reached or self.tinted is not None:
            return ""
        limits = few_words(self.in_tubes is not None, self.in_parts is not None)
        if not limits:
            return recipes.note
        enough = [
            f"{count} {what}" for count, what in ((self.in_tubes, "tubes"), (self.in_parts, "parts")) if count
        ]  # fmt: skip
        return f"Not {limits}: with up to {' and '.join(enough)} it is in reach."


def what_would_reach(
    recipes: Recipes, tubes: Mapping[str, Tube], others: Mapping[str, Tube], *, most_tubes: int, most_parts: int
) -> Beyond:
    """Nothing where ``recipes`` of ``tubes`` reach; else tints of them, or else more parts or more tubes in one mix, or
    where none of these helps, ``MOST_OFFERED`` of ``others``. Raises PaintError as
    :func:`core.paint.recipe.recipes_for`."""
    target = recipes.target
    if recipes.reached:
        return Beyond()
    if _may_reach(target, tubes):
        tinted = tinted_recipe(target, tubes, most_tubes=most_tubes, most_parts=most_parts)
        if tinted is not None:
            return Beyond(tinted)
        most = _most_that_reach(target, tubes, most_tubes, most_parts)
        if most is not None:
            in_tubes, in_parts = most
            return Beyond(
                in_parts=in_parts if in_parts > most_parts else None,
                in_tubes=in_tubes if in_tubes > most_tubes else None,
            )
    found = reach_with(target, tubes, others, most_tubes=most_tubes, most_parts=most_parts)
    return Beyond(further=found[:MOST_OFFERED])


def parts_that_reach(
    target: Target, tubes: Mapping[str, Tube], *, most_tubes: int = MOST_TUBES, more_than: int = MOST_PARTS
) -> int | None:
    """In how many parts, more than ``more_than`` and one of ``FURTHER``, the tubes or tints of them would reach
    ``target``; None if in none."""
    most, near = FURTHER[-1], _near(target, tubes)
    plainly, finely = _plainly(target, tubes, most_tubes, most), _finely(target, near, most_tubes, most)
    for parts in FURTHER if plainly or finely else ():
        if parts <= more_than:
            continue
        if plainly and _plainly(target, tubes, most_tubes, parts):
            return parts
        if finely and _finely(target, near, most_tubes, parts):
            # The whole palette may let down other tubes, so that it is asked too.
            finely = len(near) == len(tubes) or _finely(target, tubes, most_tubes, parts)
            if finely:
                return parts
    return None


def _most_that_reach(
    target: Target, tubes: Mapping[str, Tube], most_tubes: int, most_parts: int
) -> tuple[int, int] | None:
    """How many tubes and parts in a mix would reach: the same tubes in more parts, else more tubes, else both."""
    if most_tubes > 1 and (parts := parts_that_reach(target, tubes, most_tubes=most_tubes, more_than=most_parts)):
        return most_tubes, parts
    more = range(most_tubes + 1, min(MOST_TUBES, len(tubes)) + 1)
    for count in more:
        if most_parts > 1 and _reached(target, tubes, count, most_parts):
            return count, most_parts
    for count in more:
        if parts := parts_that_reach(target, tubes, most_tubes=count, more_than=most_parts):
            return count, parts
    return None


def _reached(target: Target, tubes: Mapping[str, Tube], most_tubes: int, most_parts: int) -> bool:
    """Whether so many tubes in so many parts reach, or tints of them."""
    most = (most_tubes, most_parts)
    return _plainly(target, tubes, *most) or _finely(target, tubes, *most)


def _plainly(target: Target, tubes: Mapping[str, Tube], most_tubes: int, most_parts: int) -> bool:
    return recipes_for(target, tubes, most_tubes=most_tubes, most_parts=most_parts).reached


def _finely(target: Target, tubes: Mapping[str, Tube], most_tubes: int, most_parts: int) -> bool:
    return tinted_recipe(target, tubes, most_tubes=most_tubes, most_parts=most_parts) is not None


def _near(target: Target, tubes: Mapping[str, Tube]) -> Mapping[str, Tube]:
    """Those of very many tubes that are in the mixtures nearest to the colour, and the first white."""
    known = {name: tube for name, tube in tubes.items() if tube.paint.strength_known}
    if len(tubes) <= _FEW or not known:
        return tubes
    reach = reach_of(known.values())
    away = delta_e_2000(reach.lab, target.lab)
    shares = reach.shares[np.argsort(away)[:_MIXTURES]]
    ranked = [list(known)[at] for at in np.argsort(-(shares > _TRACE).sum(axis=0), kind="stable")[:_FEW]]
    whites = [name for name, tube in known.items() if tube.white][:1]
    return {name: tube for name, tube in tubes.items() if name in (*ranked, *whites)}


def _may_reach(target: Target, tubes: Mapping[str, Tube]) -> bool:
    """Whether any mixture of the tubes comes near, in whatever parts."""
    known = [tube for tube in tubes.values() if tube.paint.strength_known]
    return bool(known) and float(reach_of(known).nearest(target.lab)[0][0]) <= REACHED + _READS_FAR


def reach_with(
    target: Target,
    palette_tubes: Mapping[str, Tube],
    other_tubes: Mapping[str, Tube],
    *,
    most_tubes: int = MOST_TUBES,
    most_parts: int = MOST_PARTS,
) -> tuple[Addition, ...]:
    """Those of ``other_tubes`` that with the palette come nearer to ``target`` than it does alone, by ``LEAST_GAIN`` or
    more and at no worse a value, the nearest first.

    Raises PaintError as :func:`core.paint.recipe.recipes_for`.
    """
    searched = Searched.of(blocks(target.lab, palette_tubes, most_tubes=most_tubes, most_parts=most_parts), target.lab)
    best = recipes_for(target, palette_tubes, most_tubes=most_tubes, most_parts=most_parts).best
    band = max(abs(best.value - target.value), SAME_VALUE)
    alone = _nearest(target, palette_tubes, searched, band) or best
    names = list(palette_tubes)
    beside = {names[at]: palette_tubes[names[at]] for at in promising(searched, len(names))[:_BESIDE]}
    found = []
    for name, tube in other_tubes.items():
        if name in palette_tubes:
            continue
        among = {**beside, name: tube}
        pots = Pots.of({each: held.paint for each, held in among.items()})
        with_it = Searched.of(table_with(pots, len(beside), most_tubes, most_parts), target.lab)
        made = _nearest(target, among, with_it, band)
        if made is not None and made.delta_e <= alone.delta_e - LEAST_GAIN:
            found.append(Addition(name, made))
    return tuple(sorted(found, key=lambda each: each.recipe.delta_e))


def _nearest(target: Target, tubes: Mapping[str, Tube], searched: Searched, band: float) -> Recipe | None:
    """The mix nearest to ``target`` of those that are off in value by ``band`` at most, or reach; None where none."""
    counts = range(len(searched.blocks))
    recipe = chosen(target, tubes, [near for at in counts for near in searched.nearest(at)], alone=True)
    if recipe.delta_e <= REACHED:
        return recipe
    low, high = lightness(luminance_of_value(np.clip([target.value - band, target.value + band], 0.0, 10.0)))
    masks = [(block.lab[0] >= low - _ROUNDING) & (block.lab[0] <= high + _ROUNDING) for block in searched.blocks]
    near = [each for at in counts for each in searched.nearest(at, allowed=masks[at])]
    return chosen(target, tubes, near, alone=True) if near else None
