import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.colorimetry import warmth_of_lab
from core.errors import PaintError
from core.paint.paint import predict
from core.paint.palette import palette_named
from core.paint.recipe import REACHED, recipe_of, recipes_for
from core.paint.recipe_reach import what_would_reach
from core.paint.recipe_tints import TINT, finely_touched, in_steps, tint_of, tinted_recipe
from core.paint.recipe_touch import WAYS, touched
from core.paint.spectrum import lab
from core.paint.target import Target, value_of
from core.paint.tubes import tubes

LIMITED = palette_named("ochre, black and white").held()
TWELVE = palette_named("twelve tubes").held()
WHITE, OCHRE, BLACK = "titanium white", "yellow ochre", "ivory black"


def target(parts: dict[str, int]) -> Target:
    """The colour that a mix of the stored tubes has."""
    paints = {name: tube.paint for name, tube in tubes().items()}
    return Target.of_lab(lab(predict(paints, parts)), within_srgb=False)


def test_a_trace_of_black_is_mixed_in_two_steps() -> None:
    wanted = target({WHITE: 44, OCHRE: 15, BLACK: 1})
    assert not recipes_for(wanted, LIMITED).reached
    found = tinted_recipe(wanted, LIMITED)
    assert found is not None
    assert found.delta_e <= REACHED
    steps = in_steps(found.parts, LIMITED)
    assert steps is not None
    assert BLACK in steps.tints
    assert sum(steps.parts.values()) <= 12


def test_a_mix_that_is_known_in_two_steps_is_told_so() -> None:
    steps = in_steps({WHITE: 44, OCHRE: 15, BLACK: 1}, LIMITED)
    assert steps is not None
    assert steps.tints == (BLACK,)
    assert steps.parts == {WHITE: 7, OCHRE: 3, tint_of(BLACK): 2}
    assert steps.say() == (
        "first 1 ivory black into 9 titanium white; then 7 titanium white, 3 yellow ochre, 2 tint of ivory black"
    )


@given(white=st.integers(0, 8), others=st.lists(st.tuples(st.integers(1, 4), st.booleans()), min_size=1, max_size=3))
@settings(max_examples=60, deadline=None)
def test_two_steps_hold_just_what_the_mix_holds(white: int, others: list[tuple[int, bool]]) -> None:
    named = dict(zip((OCHRE, BLACK, "cadmium red"), others, strict=False))
    tenths = {WHITE: 10 * white} | {name: count if weak else 10 * count for name, (count, weak) in named.items()}
    tenths[WHITE] += TINT * sum(count for count, weak in named.values() if weak)
    parts = {name: count for name, count in tenths.items() if count}
    steps = in_steps(parts, tubes())
    if steps is None:
        return
    total = sum(steps.parts.values())
    held: dict[str, float] = {}
    for name, count in steps.parts.items():
        tube = next((each for each in steps.tints if tint_of(each) == name), None)
        if tube is None:
            held[name] = held.get(name, 0) + count / total
        else:
            held[tube] = held.get(tube, 0) + count / total / (TINT + 1)
            held[WHITE] = held.get(WHITE, 0) + count / total * TINT / (TINT + 1)
    whole = sum(parts.values())
    assert held == pytest.approx({name: count / whole for name, count in parts.items()})
    assert total <= 24
    assert total <= 12 or whole > 24


def test_a_mix_found_in_many_parts_is_told_in_two_steps_too() -> None:
    found = in_steps({WHITE: 100 + 27, OCHRE: 50, BLACK: 3}, LIMITED)
    assert found is not None
    assert found.tints == (BLACK,)
    assert found.parts == {WHITE: 10, OCHRE: 5, tint_of(BLACK): 3}
    assert in_steps({WHITE: 13, OCHRE: 7, BLACK: 1}, LIMITED) is None  # 21 parts, and as many in two steps


def test_the_white_that_tints_need_not_be_the_one_there_is_most_of() -> None:
    steps = in_steps({"zinc white": 50, WHITE: 9, BLACK: 1}, tubes())
    assert steps is not None
    assert (steps.white, steps.parts) == (WHITE, {"zinc white": 5, tint_of(BLACK): 1})
    steps = in_steps({"zinc white": 44, OCHRE: 15, WHITE: 1, BLACK: 1}, tubes())
    assert steps is None or WHITE not in steps.tints


@pytest.mark.parametrize("most_parts", [12, 24])
def test_every_recipe_with_tints_is_told_in_steps(most_parts: int) -> None:
    for parts in (
        {WHITE: 230, OCHRE: 9, BLACK: 1},
        {WHITE: 130, OCHRE: 60, BLACK: 1},
        {WHITE: 66, OCHRE: 21, BLACK: 2},
    ):
        made = tinted_recipe(target(parts), LIMITED, most_parts=most_parts)
        if made is not None and made.total > 24:
            assert in_steps(made.parts, LIMITED) is not None


@pytest.mark.parametrize(
    "parts", [{WHITE: 5, OCHRE: 1}, {OCHRE: 40, BLACK: 1}, {WHITE: 1, OCHRE: 40, BLACK: 1}, {WHITE: 997, BLACK: 1}]
)
def test_what_needs_no_tint_or_cannot_have_one_is_left(parts: dict[str, int]) -> None:
    """Few parts; no white; too little of it for the tint; too much for twelve parts."""
    assert in_steps(parts, LIMITED) is None


def test_without_a_white_there_is_no_tint() -> None:
    dark = {name: tube for name, tube in LIMITED.items() if name != WHITE}
    assert tinted_recipe(target({OCHRE: 30, BLACK: 1}), dark) is None
    assert tinted_recipe(target({WHITE: 1}), LIMITED, most_tubes=1) is None


def test_what_is_beyond_all_tints_is_not_made_up() -> None:
    blue = target({"ultramarine": 1, WHITE: 2})
    assert tinted_recipe(blue, LIMITED) is None
    beyond = what_would_reach(recipes_for(blue, LIMITED), LIMITED, tubes(), most_tubes=4, most_parts=12)
    assert beyond.tinted is None
    assert beyond.further[0].name == "ultramarine"


def test_nothing_is_looked_for_where_the_tubes_reach() -> None:
    recipes = recipes_for(target({WHITE: 3, OCHRE: 2}), LIMITED)
    beyond = what_would_reach(recipes, LIMITED, tubes(), most_tubes=4, most_parts=12)
    assert (beyond.tinted, beyond.in_parts, beyond.further) == (None, None, ())


@pytest.mark.parametrize("seed", range(6))
def test_pale_colours_of_twelve_tubes_are_reached_with_tints(seed: int) -> None:
    rng = np.random.default_rng(seed)
    strong = rng.choice(["phthalo blue", "cadmium red", "burnt sienna", "viridian", "raw umber"], 1)[0]
    palette = TWELVE | {strong: tubes()[strong]}
    wanted = target({WHITE: int(rng.integers(60, 120)), OCHRE: int(rng.integers(1, 5)), strong: 1})
    found = tinted_recipe(wanted, palette)
    assert found is not None
    assert found.delta_e == pytest.approx(0, abs=REACHED)


@pytest.mark.parametrize("way", WAYS)
def test_a_touch_too_fine_for_whole_parts_is_made_with_tints(way: str) -> None:
    here = recipe_of(target({WHITE: 44, OCHRE: 15, BLACK: 1}), {WHITE: 44, OCHRE: 15, BLACK: 1}, LIMITED)
    try:
        made = finely_touched(here, way, LIMITED)
    except PaintError as trouble:
        with pytest.raises(PaintError, match=str(trouble)[:20]):
            touched(here, way, LIMITED)
        return
    measures = {
        "warmer": float(warmth_of_lab(made.lab) - warmth_of_lab(here.lab)),
        "lighter": float(value_of(made.lab) - value_of(here.lab)),
        "stronger": float(np.hypot(*made.lab[1:]) - np.hypot(*here.lab[1:])),
    }
    opposite = {"cooler": "warmer", "darker": "lighter", "duller": "stronger"}
    gained = measures[way] if way in measures else -measures[opposite[way]]
    assert gained > 0


def test_some_touches_need_tints() -> None:
    here = recipe_of(target({WHITE: 44, OCHRE: 15, BLACK: 1}), {WHITE: 44, OCHRE: 15, BLACK: 1}, LIMITED)
    alone, finely = set(), set()
    for way in WAYS:
        for made, found in ((touched, alone), (finely_touched, finely)):
            try:
                made(here, way, LIMITED)
                found.add(way)
            except PaintError:
                continue
    assert alone < finely
