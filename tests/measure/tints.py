"""What tints bring into reach that small whole parts of the tubes do not: ``python -m tests.measure.tints [targets]``.

Colours are spread evenly over the reach of two palettes, as CIEDE2000 sees it.
"""

import sys
from collections.abc import Callable

import numpy as np

from core.errors import PaintError
from core.paint.palette import palette_named
from core.paint.palette_reach import reach_of
from core.paint.recipe import Recipe, recipes_for
from core.paint.recipe_tints import finely_touched, in_steps, tinted_recipe
from core.paint.recipe_touch import WAYS, touched
from core.paint.target import Target
from core.paint.tubes import Tube
from tests.measure.recipes import say, timed


def tints(count: int) -> None:
    """What is reached in two steps where whole parts of the tubes alone do not."""
    for name in ("ochre, black and white", "twelve tubes"):
        tubes = palette_named(name).held()
        colours = np.random.default_rng(1).permutation(reach_of(tubes.values()).lab)[:count]
        inside = [Target.of_lab(each, within_srgb=False) for each in colours]
        plain = [target for target in inside if not recipes_for(target, tubes).reached]
        told = [timed(lambda target=target, tubes=tubes: tinted_recipe(target, tubes)) for target in plain]
        found = [recipe for recipe, _ in told if recipe is not None]
        steps = [in_steps(recipe.parts, tubes) for recipe in found]
        small = [step is not None or recipe.total <= 12 for step, recipe in zip(steps, found, strict=True)]
        print(
            f"{name}: of {len(inside)} colours in reach {len(plain)} are not in twelve parts; of those {len(found)} "
            f"are with tints, {sum(small)} told in two steps"
        )
        if told:
            say("tints", [time for _, time in told], "ms")
        ways = [(recipe, way) for recipe in found[:20] for way in WAYS]
        done = [sum(_does(make, recipe, way, tubes) for recipe, way in ways) for make in (touched, finely_touched)]
        if ways:
            print(f"touches of these: {done[0] / len(ways):.0%} without tints, {done[1] / len(ways):.0%} with")


def _does(make: Callable[..., Recipe], recipe: Recipe, way: str, tubes: dict[str, Tube]) -> bool:
    try:
        make(recipe, way, tubes)
    except PaintError:
        return False
    return True


if __name__ == "__main__":
    tints(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
