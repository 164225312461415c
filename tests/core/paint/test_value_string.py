"""Strings of the tubes that come with the program, held against colour-science and against mixing one at a time."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import ArrayLike

from core.errors import PaintError
from core.paint import predict
from core.paint.palette_mixes import Slab, shares_of
from core.paint.spectrum import WAVELENGTHS, lab
from core.paint.string_parts import whole_parts
from core.paint.tubes import tubes
from core.paint.value_string import ValueString, say_mix, say_value, value_string
from tests.published.libraries import colour

WHITE, BLACK = {"titanium white": 1}, {"ivory black": 1}
OCHRE = {"yellow ochre": 2, "ivory black": 1}
NAMES = ("yellow ochre", "ivory black", "cadmium red", "ultramarine", "burnt umber", "viridian", "alizarin crimson")


def thick(parts: Mapping[str, float]) -> np.ndarray:
    return predict({name: tube.paint for name, tube in tubes().items()}, parts)


def value_by_colour_science(parts: Mapping[str, float]) -> float:
    """ASTM D1535 and ASTM E308 by colour-science, from the reflectance."""
    shape = colour.SpectralShape(380, 730, 10)
    told = colour.SpectralDistribution(dict(zip(WAVELENGTHS, thick(parts), strict=True)))
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    y = colour.sd_to_XYZ(told, observer, light, method="Integration")[1]
    return float(colour.notation.munsell_value_ASTMD1535(y))


def difference_by_colour_science(one: ArrayLike, other: ArrayLike) -> float:
    return float(colour.delta_E(one, other, method="CIE 2000"))


def ochre() -> ValueString:
    return value_string(OCHRE, tubes(), lighter=WHITE, darker=BLACK)


def test_many_mixtures_at_once_are_those_of_one_at_a_time() -> None:
    known = tubes()
    some = [known[name] for name in (*NAMES, "titanium white")]
    shares = np.random.default_rng(0).dirichlet(np.full(len(some), 0.4), 40)
    slab = Slab(some)
    for row, found, seen in zip(shares, slab.reflectance(7 * shares), slab.lab(shares), strict=True):
        alone = thick(dict(zip((tube.name for tube in some), row, strict=True)))
        assert found == pytest.approx(alone, abs=1e-12)
        assert seen == pytest.approx(lab(alone), abs=1e-9)


def test_every_step_has_the_value_asked_for() -> None:
    """Held against colour-science, whose 36 wavelengths weigh in a little otherwise: 0.01 value."""
    string = ochre()
    assert [step.asked for step in string.steps] == [2, 3, 4, 5, 6, 7, 8, 9]
    for step in string.steps:
        assert step.value == pytest.approx(step.asked, abs=1e-4)
        assert value_by_colour_science(step.parts) == pytest.approx(step.asked, abs=0.01)
        assert sum(step.parts.values()) == pytest.approx(1)
        assert step.lab == pytest.approx(lab(thick(step.parts)), abs=1e-9)


def test_the_mix_keeps_its_parts_on_the_way_up() -> None:
    up = [step for step in ochre().steps if step.added > 0]
    assert len(up) >= 5
    for step in up:
        assert step.parts["yellow ochre"] == pytest.approx(2 * step.parts["ivory black"])
    added = [step.added for step in up]
    assert added == sorted(added)
    assert added == pytest.approx([step.parts["titanium white"] for step in up])


def test_the_warmth_is_that_of_the_axis() -> None:
    """T = a* cos 50 + b* sin 50: Ou, Luo, Woodcock and Wright 2004."""
    for step in ochre().steps:
        _, a, b = lab(thick(step.parts))
        assert step.warmth == pytest.approx(a * np.cos(np.radians(50)) + b * np.sin(np.radians(50)), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    st.dictionaries(st.sampled_from(NAMES), st.floats(0.05, 5), min_size=1, max_size=3),
    st.floats(0.5, 9.5),
    st.sampled_from(["titanium white", "zinc white"]),
)
def test_any_mix_reaches_what_lies_within_its_reach(mix: dict[str, float], value: float, white: str) -> None:
    string = value_string(mix, tubes(), lighter={white: 1}, darker={"ivory black": 1}, values=[value])
    if string.steps:
        assert string.steps[0].value == pytest.approx(value, abs=0.021)
        assert string.say_left_out() == ""
    else:
        assert not string.darkest - 0.02 <= value <= string.lightest + 0.02
        assert string.left_out == (value,)
        assert f"from {string.darkest:.1f} to {string.lightest:.1f}" in string.say_left_out()


def test_what_lies_beyond_the_reach_is_left_out_and_said() -> None:
    string = value_string({"yellow ochre": 1}, tubes(), lighter=WHITE, values=[2, 3, 6, 10])
    assert [step.asked for step in string.steps] == [6]
    assert string.left_out == (2, 3, 10)
    assert string.say_left_out().startswith("Not reached: values 2, 3, 10. This string goes from 5")


def test_where_the_value_turns_back_the_smaller_share_is_taken() -> None:
    """Viridian and vermilion darken each other: complements do. A value below both is met twice."""
    mix, other = {"viridian": 1}, {"vermilion": 1}
    string = value_string(mix, tubes(), lighter=other)
    slab = Slab([tubes()["viridian"], tubes()["vermilion"]])
    own = float(slab.value([1, 0]))
    assert string.darkest < own - 0.2
    between = (string.darkest + own) / 2
    (step,) = value_string(mix, tubes(), lighter=other, values=[between]).steps
    shares = np.linspace(0, 1, 2001)
    meets = np.flatnonzero(np.diff(np.sign(slab.value(np.stack([1 - shares, shares], axis=1)) - between)))
    assert len(meets) == 2
    assert step.added == pytest.approx(shares[meets[0]], abs=1e-3)


def test_even_steps_go_from_end_to_end() -> None:
    string = value_string(OCHRE, tubes(), lighter=WHITE, darker=BLACK, steps=7)
    assert len(string.steps) == 7
    assert string.steps[0].value == pytest.approx(string.darkest)
    assert string.steps[-1].value == pytest.approx(string.lightest)
    assert np.diff([step.asked for step in string.steps]) == pytest.approx((string.lightest - string.darkest) / 6)
    assert string.steps[0].whole == {"ivory black": 1}
    assert string.steps[-1].whole == {"titanium white": 1}


def test_a_pair_of_the_painters_own_carries_the_mix_up_and_down() -> None:
    lighter, darker = {"titanium white": 6, "yellow ochre": 1}, {"burnt umber": 2, "ultramarine": 1}
    string = value_string({"cadmium red": 1, "yellow ochre": 1}, tubes(), lighter=lighter, darker=darker, values=[3, 6])
    dark, light = string.steps
    assert dark.added < 0 < light.added
    assert dark.parts["burnt umber"] == pytest.approx(2 * dark.parts["ultramarine"])
    base = light.parts["cadmium red"]
    assert light.parts["yellow ochre"] - base == pytest.approx(light.parts["titanium white"] / 6)


def test_whole_parts_are_the_fewest_that_the_eye_takes_for_the_same() -> None:
    """Against every pair of counts, by the CIEDE2000 of colour-science."""
    some = [tubes()["yellow ochre"], tubes()["titanium white"]]
    slab = Slab(some)
    for share in (0.03, 0.2, 0.37, 0.5, 0.81):
        shares = np.array([share, 1 - share])
        counts, difference = whole_parts(slab, shares, 24)
        wanted = slab.lab(shares)
        every = {
            (one, other): difference_by_colour_science(slab.lab([one, other]), wanted)
            for one in range(25)
            for other in range(25 - one)
            if one + other
        }
        assert difference == pytest.approx(every[tuple(counts.tolist())], abs=1e-3)
        fewest = min((one + other for (one, other), away in every.items() if away <= 1.0), default=0)
        if fewest:
            assert counts.sum() == fewest
        else:
            assert difference == pytest.approx(min(every.values()), abs=1e-3)


@pytest.mark.parametrize("most", [1, 6, 24, 60])
def test_whole_parts_keep_to_the_limit_and_tell_their_miss(most: int) -> None:
    for step in value_string(OCHRE, tubes(), lighter=WHITE, darker=BLACK, most_parts=most).steps:
        assert 1 <= sum(step.whole.values()) <= most
        assert step.whole_value == pytest.approx(value_by_colour_science(step.whole), abs=0.01)
        assert step.miss == pytest.approx(step.whole_value - step.asked)


def test_each_step_is_mixed_on_from_the_one_before() -> None:
    string = ochre()
    steps = {step.asked: step for step in string.steps}
    for step in string.steps:
        onward = step.onward
        if onward is None:
            assert difference_by_colour_science(lab(thick(string.mix)), step.lab) <= 1  # nothing need be added
            continue
        before = dict(string.mix) if onward.start is None else dict(steps[onward.start].parts)
        other, name = (WHITE, "titanium white") if step.added > 0 else (BLACK, "ivory black")
        pile = {part: onward.parts * share / sum(before.values()) for part, share in before.items()}
        pile[name] = pile.get(name, 0) + onward.added
        assert onward.difference == pytest.approx(difference_by_colour_science(lab(thick(pile)), step.lab), abs=1e-3)
        assert onward.difference < 1.1
        assert onward.say(say_mix(other)).endswith(f"{onward.added} of {name}")
        assert string.say_onward(step) == onward.say(name)
    assert [steps[value].onward.start for value in (7, 8, 9)] == [6, 7, 8]  # type: ignore[union-attr]


def test_a_step_too_light_for_so_few_parts_is_told_as_rough() -> None:
    light = ochre().at(9)
    assert light is not None
    assert light.rough
    assert light.whole_difference > 1
    assert light.say_parts() == f"titanium white (value {light.whole_value:.1f})"
    middle = ochre().at(5)
    assert middle is not None
    assert not middle.rough
    pair = value_string(
        {"cadmium red": 1}, tubes(), lighter={"titanium white": 5, "yellow ochre": 1}, darker={"burnt umber": 1},
        values=[3, 6],
    )  # fmt: skip
    assert pair.say_onward(pair.steps[1]).endswith(" of the lighter mixture")
    assert pair.say_onward(pair.steps[0]).endswith(" of burnt umber")


def test_the_better_way_is_the_one_that_comes_nearer() -> None:
    seen = set()
    for name, most in (("phthalo blue", 4), ("yellow ochre", 12), ("phthalo blue", 24), ("Naples yellow", 3)):
        for step in value_string(
            {name: 2, "ivory black": 1}, tubes(), lighter=WHITE, darker=BLACK, most_parts=most
        ).steps:
            onward = step.onward
            nearer = onward is not None and onward.difference < step.whole_difference
            assert step.better_onward == (step.rough and nearer)
            least = min(step.whole_difference, onward.difference if onward is not None else np.inf)
            assert step.rough_either_way == (least > 1)
            seen.add((step.rough, nearer, step.rough_either_way))
    assert (True, False, True) in seen  # the straight parts are rough, and nearer
    assert {(True, True, False), (True, True, True), (False, False, False)} < seen


def test_steps_that_so_few_parts_cannot_tell_apart_are_named() -> None:
    string = value_string(OCHRE, tubes(), lighter=WHITE, darker=BLACK, most_parts=1)
    assert string.alike == ((2, 3, 4), (5, 6), (7, 8, 9))
    assert string.say_alike() == (
        "In so few parts these steps cannot be told apart: those at 2, 3 and 4; or at 5 and 6; or at 7, 8 and 9. "
        "Allow more parts."
    )
    assert ochre().alike == ()
    assert ochre().say_alike() == ""


@pytest.mark.parametrize(
    ("part", "said"),
    [(1000, "1000"), (1190, "1190"), (1e-5, "0.00001"), (0.5, "0.5"), (333.3333, "333"), (1.23456, "1.23"), (2, "2")],
)
def test_parts_are_said_without_exponents(part: float, said: str) -> None:
    assert say_mix({"yellow ochre": part, "ivory black": 1}) == f"{said} yellow ochre, 1 ivory black"


def test_only_the_first_letter_is_made_a_capital() -> None:
    with pytest.raises(PaintError, match=r"^2 Venetian red, 1 raw umber is no lighter"):
        value_string({"yellow ochre": 1}, tubes(), lighter={"Venetian red": 2, "raw umber": 1})
    with pytest.raises(PaintError, match=r"^Mars black is no lighter"):
        value_string({"yellow ochre": 1}, tubes(), lighter={"Mars black": 1})


def test_values_in_words() -> None:
    assert [say_value(value) for value in (5.0, 4.3, 4.25, 4.5, 9.018, 8.3333, 0.0)] == [
        "5", "4.3", "4.25", "4.5", "9", "8.3", "0",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("mix", "options", "sentence"),
    [
        ({"moon dust": 1}, {}, "no tube “moon dust”"),
        ({"yellow ochre": 0}, {}, "more than 0 parts"),
        ({}, {}, "more than 0 parts|no tube to mix"),
        ({"yellow ochre": float("nan")}, {}, "numbers from 0 up"),
        ({"yellow ochre": -1}, {}, "numbers from 0 up"),
        ({"yellow ochre": 1}, {"lighter": {"moon dust": 1}}, "no tube “moon dust”"),
        ({"yellow ochre": 1}, {"lighter": {"titanium white": 0}}, "lighter mixture needs"),
        ({"yellow ochre": 1}, {"lighter": {"ivory black": 1}}, "Ivory black is no lighter than the mix"),
        ({"yellow ochre": 1}, {"darker": {"titanium white": 1}}, "Titanium white is no darker than the mix"),
        ({"yellow ochre": 1}, {"values": [11]}, "from 0, black, to 10, white"),
        ({"yellow ochre": 1}, {"values": []}, "Give at least one"),
        ({"yellow ochre": 1}, {"steps": 1}, "from 2 to 20 steps; 1 is not"),
        ({"yellow ochre": 1}, {"steps": 5, "values": [5]}, "either the values"),
        ({"yellow ochre": 1}, {"most_parts": 0, "values": [7], "lighter": WHITE}, "from 1 to 200 parts; 0"),
    ],
)
def test_what_cannot_be_is_said(mix: dict[str, float], options: dict[str, object], sentence: str) -> None:
    with pytest.raises(PaintError, match=sentence):
        value_string(mix, tubes(), **options)  # type: ignore[arg-type]


def test_shares_of_a_mix_keep_the_order_of_the_tubes() -> None:
    some = [tubes()[name] for name in ("ivory black", "yellow ochre", "titanium white")]
    assert shares_of({"yellow ochre": 3, "ivory black": 1}, some).tolist() == [0.25, 0.75, 0]
    with pytest.raises(PaintError, match="no tube “viridian” for the mix"):
        shares_of({"viridian": 1}, some)
    with pytest.raises(PaintError, match="no tube to mix from"):
        Slab([])
