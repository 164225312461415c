import pytest

from core.errors import PaintError
from core.paint.recipe import REACHED, recipe_of, recipes_for
from core.paint.recipe_reach import reach_with
from core.paint.target import Target
from tests.core.paint.test_recipe_table import made_up

TUBES = made_up()
OTHERS = {name: TUBES[name] for name in ("blue", "earth", "red", "yellow")}
PALETTE = {name: TUBES[name] for name in ("white", "yellow", "black")}


def of(parts: dict[str, int]) -> Target:
    told = recipe_of(Target.of_hex("#808080"), parts, TUBES)
    return Target.of_lab(told.lab, within_srgb=False)


@pytest.mark.parametrize(
    "parts", [{"white": 3, "blue": 1}, {"red": 1, "yellow": 2}, {"earth": 1, "white": 2, "black": 1}]
)
def test_the_tube_that_is_missing_is_named_first(parts: dict[str, int]) -> None:
    missing = next(name for name in parts if name not in PALETTE)
    found = reach_with(of(parts), PALETTE, OTHERS)
    assert found[0].name == missing
    assert found[0].recipe.delta_e < 1e-6
    assert found[0].reaches
    assert dict(found[0].recipe.parts) == dict(sorted(parts.items(), key=lambda item: -item[1]))


def test_they_are_ranked_and_each_brings_something() -> None:
    target = Target.of_hex("#b06050")
    found = reach_with(target, PALETTE, OTHERS)
    misses = [each.recipe.delta_e for each in found]
    assert misses == sorted(misses)
    assert len(found) >= 2
    alone = recipes_for(target, PALETTE).nearest.delta_e
    for each in found:
        assert each.recipe.delta_e < alone
        assert each.name in each.recipe.parts
        assert each.reaches == (each.recipe.delta_e <= REACHED)
        exact = recipes_for(target, {**PALETTE, each.name: OTHERS[each.name]}).nearest.delta_e
        assert each.recipe.delta_e == pytest.approx(exact, abs=1e-9)


def test_what_the_palette_makes_needs_no_tube() -> None:
    assert reach_with(of({"white": 2, "yellow": 1}), PALETTE, OTHERS) == ()


def test_tubes_that_are_there_already_are_not_offered() -> None:
    assert {each.name for each in reach_with(of({"red": 1}), PALETTE, TUBES)} <= {"red", "blue", "earth"}


def test_an_empty_palette_is_said() -> None:
    with pytest.raises(PaintError, match="Lay out at least one"):
        reach_with(of({"red": 1}), {}, OTHERS)
