import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.colorimetry import delta_e_2000, warmth_of_lab
from core.errors import PaintError
from core.paint.recipe import Recipe, recipe_of
from core.paint.recipe_touch import DULLER, LEAST_DULLER, LIGHTER, WARMER, WAYS, Way, asked, touched
from core.paint.target import Target, value_of
from tests.core.paint.test_recipe_table import made_up, tube

TUBES = made_up()
GREY = Target.of_hex("#808080")


def mixed(parts: dict[str, int]) -> Recipe:
    return recipe_of(GREY, parts, TUBES)


def measured(way: Way, colour: tuple[float, float, float]) -> float:
    """What a touch that way raises."""
    _, a, b = colour
    return {
        "warmer": float(warmth_of_lab(colour)),
        "cooler": -float(warmth_of_lab(colour)),
        "lighter": float(value_of(colour)),
        "darker": -float(value_of(colour)),
        "duller": -float(np.hypot(a, b)),
        "stronger": float(np.hypot(a, b)),
    }[way]


@given(
    parts=st.dictionaries(st.sampled_from(sorted(TUBES)), st.integers(1, 4), min_size=1, max_size=3),
    way=st.sampled_from(WAYS),
)
@settings(max_examples=40, deadline=None)
def test_a_touch_really_is_one_or_cannot_be(parts: dict[str, int], way: Way) -> None:
    old = mixed(parts)
    try:
        new = touched(old, way, TUBES)
    except PaintError:
        return
    step = measured(way, asked(old.lab, way).lab) - measured(way, old.lab)
    assert measured(way, new.lab) - measured(way, old.lab) >= 0.5 * step - 1e-3
    assert new.delta_e < float(delta_e_2000(old.lab, new.target.lab)) + 1e-3
    assert new.total <= 12


@pytest.mark.parametrize("way", WAYS)
def test_every_way_can_be_gone_from_a_mix_amid_the_tubes(way: Way) -> None:
    old = mixed({"white": 6, "earth": 2, "red": 1, "black": 1})
    new = touched(old, way, TUBES)
    assert measured(way, new.lab) > measured(way, old.lab)
    assert len(set(old.parts) & set(new.parts)) >= 3


def test_what_is_asked_for_is_the_step_and_nothing_else() -> None:
    colour = (50.0, 12.0, 16.0)
    warmer, lighter, duller = (asked(colour, way) for way in ("warmer", "lighter", "duller"))
    assert warmer.warmth - float(warmth_of_lab(colour)) == pytest.approx(WARMER)
    assert warmer.lab[0] == 50
    across = np.array(warmer.lab[1:]) - colour[1:]
    assert np.hypot(*across) == pytest.approx(WARMER)
    assert lighter.value - float(value_of(colour)) == pytest.approx(LIGHTER)
    assert lighter.lab[1:] == colour[1:]
    assert duller.lab == pytest.approx((50, 12 * DULLER, 16 * DULLER))
    assert asked(duller.lab, "stronger").lab == pytest.approx(colour)
    assert asked((50, 0, 5), "duller").lab == pytest.approx((50, 0, 5 - LEAST_DULLER))
    assert asked((50, 0, 5), "stronger").lab == pytest.approx((50, 0, 5 + LEAST_DULLER))


def test_a_touch_there_and_back_ends_near() -> None:
    old = mixed({"white": 5, "yellow": 2, "red": 1})
    back = touched(touched(old, "darker", TUBES), "lighter", TUBES)
    assert abs(back.value - old.value) <= LIGHTER


def test_tubes_that_lie_in_the_pile_are_kept() -> None:
    old = mixed({"white": 3, "black": 1})
    for way in ("lighter", "darker"):
        assert set(touched(old, way, TUBES).parts) == {"white", "black"}  # type: ignore[arg-type]


def test_a_twin_that_is_not_in_the_pile_is_left_alone() -> None:
    """Else it would be taken, since it comes first."""
    with_twin = {"twin": tube("twin", TUBES["white"].paint), **TUBES}
    old = recipe_of(GREY, {"white": 6, "earth": 2, "red": 1, "black": 1}, with_twin)
    for way in WAYS:
        assert "twin" not in touched(old, way, with_twin).parts


def test_what_cannot_be_is_said() -> None:
    with pytest.raises(PaintError, match="a touch lighter with all else held"):
        touched(mixed({"white": 1}), "lighter", TUBES)
    with pytest.raises(PaintError, match="a touch darker"):
        touched(mixed({"black": 1}), "darker", TUBES)
    grey = {name: TUBES[name] for name in ("white", "black")}
    with pytest.raises(PaintError, match="a touch warmer"):
        touched(recipe_of(GREY, {"white": 1, "black": 1}, grey), "warmer", grey)
    with pytest.raises(PaintError, match="all but grey"):
        touched(recipe_of(GREY, {"black": 1}, grey), "duller", grey)


def test_wrong_ways_and_tubes_are_said() -> None:
    old = mixed({"white": 3, "red": 1})
    with pytest.raises(PaintError, match="Choose from warmer, cooler"):
        touched(old, "nicer", TUBES)  # type: ignore[arg-type]
    with pytest.raises(PaintError, match="no tube “red” here"):
        touched(old, "warmer", {name: TUBES[name] for name in ("white", "blue")})
    with pytest.raises(PaintError, match="1 to 24 parts"):
        touched(old, "warmer", TUBES, most_parts=0)


def test_more_parts_allow_what_few_do_not() -> None:
    old = mixed({"white": 4, "yellow": 1, "earth": 2})
    with pytest.raises(PaintError, match=r"up to 12 parts is a touch cooler .* allow more parts"):
        touched(old, "cooler", TUBES)
    finer = touched(old, "cooler", TUBES, most_parts=24)
    assert measured("cooler", finer.lab) > measured("cooler", old.lab)
    assert set(finer.parts) == set(old.parts)
    with pytest.raises(PaintError, match=r"another tube\."):
        touched(mixed({"black": 1}), "darker", TUBES, most_parts=24)
