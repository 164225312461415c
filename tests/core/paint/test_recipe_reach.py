import pytest

from core.errors import PaintError
from core.paint.palette import palette_named
from core.paint.recipe import REACHED, SAME_VALUE, recipe_of, recipes_for
from core.paint.recipe_reach import LEAST_GAIN, parts_that_reach, reach_with, what_would_reach
from core.paint.target import Target
from core.paint.tubes import tubes
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
    best = recipes_for(target, PALETTE).best
    band = max(abs(best.value - target.value), SAME_VALUE) + 1e-3
    for each in found:
        assert each.recipe.delta_e <= best.delta_e - LEAST_GAIN
        assert each.reaches or abs(each.recipe.value - target.value) <= band
        assert each.name in each.recipe.parts
        assert each.reaches == (each.recipe.delta_e <= REACHED)
        exact = recipes_for(target, {**PALETTE, each.name: OTHERS[each.name]}).nearest.delta_e
        assert each.recipe.delta_e >= exact - 1e-9
        assert not each.reaches or each.recipe.delta_e == pytest.approx(exact, abs=1e-9)


def test_what_the_palette_makes_needs_no_tube() -> None:
    assert reach_with(of({"white": 2, "yellow": 1}), PALETTE, OTHERS) == ()


@pytest.mark.parametrize("code", ["#101010", "#e8e4dc", "#7a5a48", "#5070a0", "#c02020", "#f6f2ea"])
@pytest.mark.parametrize("most_parts", [2, 12])
def test_what_gains_nothing_or_spoils_the_value_is_not_offered(code: str, most_parts: int) -> None:
    target, held = Target.of_hex(code), palette_named("ochre, black and white").held()
    best = recipes_for(target, held, most_parts=most_parts).best
    for each in reach_with(target, held, tubes(), most_parts=most_parts):
        assert each.recipe.delta_e <= best.delta_e - LEAST_GAIN
        off = max(abs(best.value - target.value), SAME_VALUE)
        assert each.reaches or abs(each.recipe.value - target.value) <= off + 1e-3


@pytest.mark.parametrize(
    ("code", "most_tubes", "most_parts", "more"),
    [
        ("#c9b79c", 4, 1, (12, None)),
        ("#f4efe6", 4, 4, (12, None)),
        ("#c9b79c", 1, 12, (None, 3)),
        ("#c9b79c", 2, 3, (12, 3)),
    ],
)
def test_more_parts_or_tubes_come_before_blaming_the_palette(
    code: str, most_tubes: int, most_parts: int, more: tuple[int | None, int | None]
) -> None:
    target, held = Target.of_hex(code), palette_named("ochre, black and white").held()
    recipes = recipes_for(target, held, most_tubes=most_tubes, most_parts=most_parts)
    found = what_would_reach(recipes, held, tubes(), most_tubes=most_tubes, most_parts=most_parts)
    assert not recipes.reached
    assert (found.in_parts, found.in_tubes) == more
    assert (found.tinted, found.further) == (None, ())
    said = found.say(recipes)
    assert said.startswith("Not in so few ")
    assert ("tubes" in said, "parts" in said) == (more[1] is not None, more[0] is not None)
    again = {"most_tubes": found.in_tubes or most_tubes, "most_parts": found.in_parts or most_parts}
    enough = recipes_for(target, held, **again)
    assert enough.reached or what_would_reach(enough, held, tubes(), **again).tinted is not None


def test_what_no_number_of_parts_reaches_is_told_of_the_palette() -> None:
    target, held = Target.of_hex("#4060b0"), palette_named("earths").held()
    recipes = recipes_for(target, held)
    found = what_would_reach(recipes, held, tubes(), most_tubes=4, most_parts=12)
    assert (found.tinted, found.in_parts, found.in_tubes) == (None, None, None)
    assert found.further
    assert found.say(recipes) == recipes.note
    assert "do not reach this colour" in recipes.note
    assert parts_that_reach(target, PALETTE) is None


def test_tubes_that_are_there_already_are_not_offered() -> None:
    assert {each.name for each in reach_with(of({"red": 1}), PALETTE, TUBES)} <= {"red", "blue", "earth"}


def test_an_empty_palette_is_said() -> None:
    with pytest.raises(PaintError, match="Lay out at least one"):
        reach_with(of({"red": 1}), {}, OTHERS)


@pytest.mark.parametrize("mix", [{"ultramarine": 11, "viridian": 1}, {"burnt sienna": 7, "ultramarine": 3}])
def test_of_very_many_tubes_more_parts_reach_with_the_whole_palette(mix: dict[str, int]) -> None:
    """Two tubes in 2 parts do not make these, in 12 they do; and what is named is true of all twelve."""
    held = palette_named("twelve tubes").held()
    target = Target.of_lab(recipe_of(Target.of_hex("#808080"), mix, held).lab, within_srgb=False)
    assert not recipes_for(target, held, most_tubes=2, most_parts=2).reached
    assert parts_that_reach(target, held, most_tubes=2, more_than=2) == 12
    assert recipes_for(target, held, most_tubes=2, most_parts=12).reached
