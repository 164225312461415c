from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.colorimetry import delta_e_2000
from core.errors import PaintError
from core.paint import recipe_search
from core.paint.paint import Paint, predict
from core.paint.recipe import PART, REACHED, SAME_VALUE, TUBE, Recipes, recipe_of, recipes_for
from core.paint.recipe_batch import Pots
from core.paint.recipe_search import blocks_for
from core.paint.recipe_table import table
from core.paint.spectrum import lab, linear_rgb
from core.paint.target import Target, value_of
from core.paint.tubes import Tube
from tests.core.paint.test_recipe_table import every_mix, made_up, paints_of, tube

TUBES = made_up()
MIXES = st.dictionaries(st.sampled_from(sorted(TUBES)), st.integers(1, 3), min_size=1, max_size=4)
COLOURS = st.tuples(st.floats(20, 90), st.floats(-30, 40), st.floats(-40, 50))
FIVE = {name: TUBES[name] for name in ("white", "yellow", "red", "blue", "black")}
quickly = settings(max_examples=25, deadline=None)


def of(parts: dict[str, int], tubes: dict[str, Tube] = TUBES) -> Target:
    """The colour that a mix has."""
    return Target.of_lab(lab(predict(paints_of(tubes), parts)), within_srgb=False)


def near_or_far(seed: int) -> Target:
    """With an odd seed a colour near to that of a mix, else any."""
    random = np.random.default_rng(seed)
    if seed % 2:
        mixed = of(
            {"white": 3, **{str(name): 1 for name in random.choice(["yellow", "red", "blue"], 2, replace=False)}}
        )
        return Target.of_lab(np.array(mixed.lab) + random.normal(0, 0.7, 3), within_srgb=False)
    return Target.of_lab(random.uniform((25, -15, -20), (85, 25, 30)), within_srgb=False)


def by_hand(
    target: Target, tubes: dict[str, Tube], most_tubes: int, most_parts: int
) -> list[tuple[float, float, float]]:
    """CIEDE2000, weight and value of every mix there is, one at a time."""
    paints, told = paints_of(tubes), []
    for size in range(1, most_tubes + 1):
        for names in combinations(tubes, size):
            for parts in product(range(1, most_parts + 1), repeat=size):
                if sum(parts) <= most_parts and np.gcd.reduce(parts) == 1:
                    colour = lab(predict(paints, dict(zip(names, parts, strict=True))))
                    off = float(delta_e_2000(colour, target.lab))
                    told.append((off, off + TUBE * (size - 1) + PART * sum(parts), float(value_of(colour))))
    return told


@pytest.mark.parametrize("name", TUBES)
def test_one_paint_alone_is_its_own_recipe(name: str) -> None:
    found = recipes_for(of({name: 1}), TUBES)
    assert dict(found.best.parts) == {name: 1}
    assert found.best.delta_e == pytest.approx(0, abs=1e-6)
    assert found.reached
    assert found.note == ""
    assert found.best.miss.faults == ()


@given(parts=MIXES)
@quickly
def test_a_mix_is_found_again(parts: dict[str, int]) -> None:
    found = recipes_for(of(parts), TUBES)
    assert found.nearest.delta_e < 1e-6
    assert any(each is found.nearest for each in found.recipes)
    assert found.best.delta_e <= PART * sum(parts.values()) + TUBE * (len(parts) - 1)


@pytest.mark.parametrize("seed", range(6))
def test_it_is_the_best_of_every_mix(seed: int) -> None:
    """Against all mixes through ``predict``, one at a time."""
    target = near_or_far(seed)
    found = recipes_for(target, FIVE, most_tubes=3, most_parts=6)
    every = by_hand(target, FIVE, 3, 6)
    assert found.nearest.delta_e == pytest.approx(min(off for off, _, _ in every), abs=1e-9)
    assert found.reached == (found.nearest.delta_e <= REACHED)
    if found.reached:
        assert found.best.weight == pytest.approx(min(weight for _, weight, _ in every), abs=1e-9)
    else:
        least = min(abs(value - target.value) for _, _, value in every)
        kept = [weight for _, weight, value in every if abs(value - target.value) <= least + SAME_VALUE - 1e-4]
        assert found.best.weight <= min(kept) + 1e-9
        assert abs(found.best.value - target.value) <= least + SAME_VALUE + 1e-4


def test_both_kinds_of_target_are_among_those() -> None:
    assert {recipes_for(near_or_far(seed), FIVE, most_tubes=3, most_parts=6).reached for seed in (0, 1)} == {
        True,
        False,
    }


@given(colour=COLOURS)
@quickly
def test_more_tubes_or_parts_are_never_further(colour: tuple) -> None:
    target = Target.of_lab(colour, within_srgb=False)
    by_tubes = [recipes_for(target, TUBES, most_tubes=count).nearest.delta_e for count in (1, 2, 3, 4)]
    by_parts = [recipes_for(target, TUBES, most_parts=count).nearest.delta_e for count in (1, 3, 6, 12)]
    fewer = recipes_for(target, {name: TUBES[name] for name in list(TUBES)[:4]}).nearest.delta_e
    assert by_tubes == sorted(by_tubes, reverse=True)
    assert by_parts == sorted(by_parts, reverse=True)
    assert by_tubes[-1] <= fewer


@given(colour=COLOURS, most_tubes=st.integers(1, 4), most_parts=st.integers(1, 12))
@quickly
def test_a_recipe_is_whole_and_within_limits(colour: tuple, most_tubes: int, most_parts: int) -> None:
    target = Target.of_lab(colour, within_srgb=False)
    found = recipes_for(target, TUBES, most_tubes=most_tubes, most_parts=most_parts)
    for each in (*found.recipes, found.nearest):
        assert each.total <= most_parts
        assert len(each.parts) <= most_tubes
        assert list(each.parts.values()) == sorted(each.parts.values(), reverse=True)
        assert all(isinstance(count, int) for count in each.parts.values())
        assert np.gcd.reduce(list(each.parts.values())) == 1
        assert each.reflectance == pytest.approx(predict(paints_of(TUBES), each.parts), abs=1e-12)
        assert each.lab == pytest.approx(lab(each.reflectance))
        assert each.linear_rgb == pytest.approx(linear_rgb(each.reflectance))
        assert each.delta_e == pytest.approx(float(delta_e_2000(each.lab, target.lab)))
    weights = [each.weight for each in found.recipes]
    assert weights == sorted(weights)
    assert len(found.recipes) <= most_tubes + 1


def test_the_answer_is_the_same_each_time() -> None:
    target = Target.of_hex("#a08070")

    def told(found: Recipes) -> list[tuple]:
        return [(dict(each.parts), each.delta_e) for each in found.recipes]

    first = told(recipes_for(target, TUBES))
    table.cache_clear()
    assert told(recipes_for(target, made_up())) == first


def test_of_twins_the_first_is_taken() -> None:
    twins = {**TUBES, "other white": tube("other white", TUBES["white"].paint)}
    found = recipes_for(of({"white": 5, "red": 1}), twins)
    assert set(found.nearest.parts) == {"white", "red"}


def test_out_of_reach_the_value_comes_first() -> None:
    target = Target.of_lab((70, 55, -40), within_srgb=False)
    found = recipes_for(target, TUBES)
    assert not found.reached
    assert abs(found.best.value - target.value) <= SAME_VALUE + 1e-3
    assert found.nearest.delta_e <= found.best.delta_e
    assert abs(found.nearest.value - target.value) > SAME_VALUE
    assert "do not reach" in found.note
    assert "nearest of its value" in found.note
    assert "too dull" in found.note


def test_what_is_lighter_or_darker_than_all_is_said() -> None:
    without = {name: each for name, each in TUBES.items() if not each.white}
    found = recipes_for(Target.of_hex("#f4f4f0"), without)
    assert "lighter than anything" in found.note
    assert "no white" in found.note
    lightest = max(float(each.lab[0]) for each in (recipe_of(found.target, {name: 1}, without) for name in without))
    assert found.best.lab[0] > lightest - 3
    with_white = recipes_for(Target.of_lab((99.9, 0, 0)), TUBES)
    assert "lighter than anything" in with_white.note
    assert "no white" not in with_white.note
    assert "darker than anything" in recipes_for(Target.of_hex("#050505"), TUBES).note


def test_a_value_between_single_tubes_is_said() -> None:
    two = {name: TUBES[name] for name in ("white", "black")}
    note = recipes_for(Target.of_hex("#808080"), two, most_tubes=1).note
    assert note.startswith("In so few tubes, no mix of these tubes has this value")
    assert recipes_for(Target.of_hex("#808080"), two, most_parts=1).note.startswith("In so few parts, no mix")
    assert "so few" not in recipes_for(Target.of_hex("#4060b0"), two).note


def test_wrong_numbers_are_told_in_a_sentence() -> None:
    target = Target.of_hex("#808080")
    with pytest.raises(PaintError, match="Lay out at least one"):
        recipes_for(target, {})
    for most_tubes in (0, 5, 2.5):
        with pytest.raises(PaintError, match="1 to 4 tubes"):
            recipes_for(target, TUBES, most_tubes=most_tubes)  # type: ignore[arg-type]
    for most_parts in (0, 25):
        with pytest.raises(PaintError, match="1 to 24 parts"):
            recipes_for(target, TUBES, most_parts=most_parts)


def test_a_given_mix() -> None:
    target = Target.of_hex("#808080")
    told = recipe_of(target, {"black": 2, "white": 6}, TUBES)
    assert dict(told.parts) == {"white": 3, "black": 1}
    assert str(told) == "3 white + 1 black"
    assert told.total == 4
    assert told.value == pytest.approx(float(value_of(told.lab)))
    for parts in ({"white": 0}, {"white": 1.5}, {"white": -1}):
        with pytest.raises(PaintError, match="whole numbers from 1"):
            recipe_of(target, parts, TUBES)  # type: ignore[arg-type]
    with pytest.raises(PaintError, match="There is no paint “ochre”"):
        recipe_of(target, {"ochre": 1}, TUBES)
    with pytest.raises(PaintError, match="at least one tube"):
        recipe_of(target, {}, TUBES)


def test_munsell_of_a_recipe_and_its_target() -> None:
    found = recipes_for(of({"white": 4, "earth": 1}), TUBES).nearest
    assert found.munsell == found.target_munsell
    assert found.munsell.startswith(f"{found.munsell.split()[0]} {found.value:.1f}/")


def test_of_too_many_tubes_the_promising_groups_are_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """As with 24 tubes: a limit under which not every group is tried in all parts."""
    target = of({"white": 5, "yellow": 2, "red": 1, "earth": 1})
    monkeypatch.setattr(recipe_search, "MOST_MIXES", 3000)
    monkeypatch.setattr(recipe_search, "_FINE", 2000)
    paints, names = paints_of(TUBES), list(TUBES)
    blocks = blocks_for(Pots.of(paints), target.lab, most_tubes=4, most_parts=12)
    assert [len(block.groups) for block in blocks] == [6, 15, 10, 4]
    for mix, told in every_mix(blocks)[::101]:
        assert told == pytest.approx(lab(predict(paints, {names[at]: part for at, part in mix})), abs=1e-3)
    assert recipes_for(target, TUBES).nearest.delta_e < 1e-6
    left_out = set(combinations(range(6), 4)) - {tuple(group) for group in blocks[3].groups.tolist()}
    keep = min(left_out)
    kept = blocks_for(Pots.of(paints), target.lab, most_tubes=4, most_parts=12, keep=keep)
    assert list(keep) in kept[3].groups.tolist()
    assert set(combinations(keep, 3)) <= {tuple(group) for group in kept[2].groups.tolist()}


def test_tubes_of_unknown_strength() -> None:
    red = TUBES["red"].paint
    tubes = {"white": TUBES["white"], "red": tube("red", Paint(red.k, red.s, WAVES, red.k1, red.k2, False))}
    assert dict(recipes_for(of({"red": 1}), tubes).best.parts) == {"red": 1}
    pink = recipes_for(of({"white": 4, "red": 1}), tubes)
    assert all(len(each.parts) == 1 for each in pink.recipes)


WAVES = TUBES["red"].paint.wavelengths
