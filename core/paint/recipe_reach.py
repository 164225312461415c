"""Which one tube more would bring a colour into a palette's reach, and how near.

Each further tube is tried with the 10 tubes of the palette that come nearest to the colour: of 26 tubes and 12 colours
out of reach none came out farther than with all 12, in 0.5 s. With 7 it is 0.2 s, and up to 0.7 of CIEDE2000 is lost.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from core.paint.recipe import MOST_PARTS, MOST_TUBES, REACHED, Recipe, Recipes, blocks, chosen, recipes_for
from core.paint.recipe_batch import Pots
from core.paint.recipe_search import Searched, promising
from core.paint.recipe_table import table_with
from core.paint.recipe_tints import tinted_recipe
from core.paint.target import Target
from core.paint.tubes import Tube

MOST_OFFERED = 3
FURTHER = (16, 20, 24)
"""Parts that are tried where fewer do not reach."""
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
    ``in_parts``: so many parts of the same tubes, None if in no more; ``further``: tubes, the nearest first."""

    tinted: Recipe | None = None
    in_parts: int | None = None
    further: tuple[Addition, ...] = ()


def what_would_reach(
    recipes: Recipes, tubes: Mapping[str, Tube], others: Mapping[str, Tube], *, most_tubes: int, most_parts: int
) -> Beyond:
    """Nothing where ``recipes`` of ``tubes`` reach; else tints of them, or else more parts, or where neither helps,
    ``MOST_OFFERED`` of ``others``. Raises PaintError as :func:`core.paint.recipe.recipes_for`."""
    if recipes.reached:
        return Beyond()
    tinted = tinted_recipe(recipes.target, tubes, most_tubes=most_tubes, most_parts=most_parts)
    if tinted is not None:
        return Beyond(tinted)
    parts = parts_that_reach(recipes.target, tubes, most_tubes=most_tubes, more_than=most_parts)
    if parts is not None:
        return Beyond(in_parts=parts)
    found = reach_with(recipes.target, tubes, others, most_tubes=most_tubes, most_parts=most_parts)
    return Beyond(further=found[:MOST_OFFERED])


def parts_that_reach(
    target: Target, tubes: Mapping[str, Tube], *, most_tubes: int = MOST_TUBES, more_than: int = MOST_PARTS
) -> int | None:
    """In how many parts, more than ``more_than``, the tubes would reach ``target``; None if in none of ``FURTHER``."""
    for parts in FURTHER:
        if parts > more_than and recipes_for(target, tubes, most_tubes=most_tubes, most_parts=parts).reached:
            return parts
    return None


def reach_with(
    target: Target,
    palette_tubes: Mapping[str, Tube],
    other_tubes: Mapping[str, Tube],
    *,
    most_tubes: int = MOST_TUBES,
    most_parts: int = MOST_PARTS,
) -> tuple[Addition, ...]:
    """Those of ``other_tubes`` that with the palette come nearer to ``target`` than it does alone, the nearest first.

    Raises PaintError as :func:`core.paint.recipe.recipes_for`.
    """
    alone = recipes_for(target, palette_tubes, most_tubes=most_tubes, most_parts=most_parts).nearest.delta_e
    searched = Searched.of(blocks(target.lab, palette_tubes, most_tubes=most_tubes, most_parts=most_parts), target.lab)
    names = list(palette_tubes)
    beside = {names[at]: palette_tubes[names[at]] for at in promising(searched, len(names))[:_BESIDE]}
    found = []
    for name, tube in other_tubes.items():
        if name in palette_tubes:
            continue
        among = {**beside, name: tube}
        pots = Pots.of({each: held.paint for each, held in among.items()})
        with_it = Searched.of(table_with(pots, len(beside), most_tubes, most_parts), target.lab)
        near = [each for at in range(len(with_it.blocks)) for each in with_it.nearest(at)]
        found.append(Addition(name, chosen(target, among, near, alone=True)))
    nearer = [each for each in found if each.recipe.delta_e < alone]
    return tuple(sorted(nearer, key=lambda each: each.recipe.delta_e))
