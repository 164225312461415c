"""Strings beside each other: the painters' common practice, and the two families of light and shadow."""

import pytest

from core.errors import PaintError
from core.paint.string_pairs import beside, family_strings, say_beside
from core.paint.tubes import tubes
from core.paint.value_string import ValueString, value_string

WHITE, BLACK = {"titanium white": 1}, {"ivory black": 1}
LIGHT = {"yellow ochre": 4, "cadmium red": 1}
SHADOW = {"burnt umber": 1, "ultramarine": 1}
VALUES = [2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5, 8, 8.5, 9]


def ochre_and_grey(parts: int = 2) -> tuple[ValueString, ValueString]:
    ochre = value_string({"yellow ochre": parts, "ivory black": 1}, tubes(), lighter=WHITE, values=VALUES)
    return ochre, value_string(BLACK, tubes(), lighter=WHITE, values=VALUES)


@pytest.mark.parametrize("parts", [1, 2, 4])
def test_ochre_and_black_is_warmer_than_plain_grey_at_every_step(parts: int) -> None:
    """Common practice, no source."""
    ochre, grey = ochre_and_grey(parts)
    pairs = [pair for pair in beside(ochre, grey) if pair.warmer_by is not None]
    assert len(pairs) >= 10
    assert all(pair.warmer_by > 0 for pair in pairs)  # type: ignore[operator]
    said = say_beside(ochre, grey)
    assert said.startswith(f"{parts} yellow ochre, 1 ivory black is warmer than ivory black at every step, by ")


@pytest.mark.parametrize("parts", [1, 2, 4])
def test_its_warmth_falls_as_white_is_added_beyond_its_peak(parts: int) -> None:
    """Common practice, no source."""
    ochre, _ = ochre_and_grey(parts)
    warmth = [step.warmth for step in ochre.steps]
    assert ochre.warmest is not None
    peak = ochre.steps.index(ochre.warmest)
    beyond = warmth[peak:]
    assert len(beyond) >= 5
    assert beyond == sorted(beyond, reverse=True)
    assert beyond[-1] < 0.7 * beyond[0]


def test_beside_has_a_gap_where_one_does_not_reach() -> None:
    first = value_string({"yellow ochre": 1}, tubes(), lighter=WHITE, values=[3, 6])
    second = value_string(BLACK, tubes(), lighter=WHITE, values=[3, 6])
    dark, light = beside(first, second)
    assert (dark.first, dark.warmer_by) == (None, None)
    assert dark.second is not None
    assert light.warmer_by == pytest.approx(light.first.warmth - light.second.warmth)  # type: ignore[union-attr]


def test_in_words_which_is_the_warmer() -> None:
    grey = value_string(BLACK, tubes(), lighter=WHITE)
    lamp = value_string({"lamp black": 1}, tubes(), lighter=WHITE)
    blue = value_string({"ultramarine": 1}, tubes(), lighter=WHITE)
    high = value_string(BLACK, tubes(), lighter=WHITE, values=[8.25])
    assert say_beside(grey, grey) == "Ivory black and ivory black are as warm as each other at every step."
    assert say_beside(blue, lamp).startswith("Ultramarine is cooler than lamp black at every step, by ")
    assert say_beside(grey, high) == "The two strings share no value."
    crossing = value_string({"ultramarine": 1}, tubes(), lighter={"titanium white": 3, "cadmium yellow light": 2})
    ends = value_string({"yellow ochre": 1, "ivory black": 1}, tubes(), lighter=WHITE, darker=BLACK, steps=5)
    plain = value_string(BLACK, tubes(), lighter=WHITE, values=[step.asked for step in ends.steps])
    assert "is nowhere cooler than ivory black, and up to " in say_beside(ends, plain)
    assert "Ivory black is nowhere warmer than " in say_beside(plain, ends)
    told = [pair.warmer_by for pair in beside(crossing, grey) if pair.warmer_by is not None]
    assert min(told) < -2 < 2 < max(told)
    said = say_beside(crossing, grey)
    assert said == (
        f"Neither is the warmer all along: ultramarine is from {-min(told):.0f} cooler to {max(told):.0f} warmer than "
        "ivory black, step by step."
    )


def test_families_meet_at_the_boundary() -> None:
    told = family_strings(LIGHT, SHADOW, tubes(), boundary=4.5, lighter=WHITE, darker=BLACK)
    assert [step.asked for step in told.light.steps][:3] == [4.5, 5.5, 6.5]
    assert min(step.asked for step in told.light.steps) == max(step.asked for step in told.shadow.steps) == 4.5
    assert all(step.asked - 4.5 == round(step.asked - 4.5) for step in told.shadow.steps)
    light, shadow = told.light.at(4.5), told.shadow.at(4.5)
    assert light is not None
    assert shadow is not None
    assert told.apart == pytest.approx(light.warmth - shadow.warmth)
    assert told.apart > 10
    assert told.say() == f"At the boundary, value 4.5, the light's mix is {told.apart:.0f} warmer than the shadow's."
    turned = family_strings(SHADOW, LIGHT, tubes(), boundary=4.5, lighter=WHITE, darker=BLACK)
    assert turned.apart == pytest.approx(-told.apart, abs=0.01)
    assert "cooler than the shadow's" in turned.say()
    same = family_strings(LIGHT, LIGHT, tubes(), boundary=4.5, lighter=WHITE, darker=BLACK)
    assert same.say() == "At the boundary, value 4.5, light and shadow are as warm as each other."


def test_a_family_that_cannot_be_brought_to_the_boundary_is_named() -> None:
    told = family_strings(
        {"cadmium yellow light": 1}, SHADOW, tubes(), boundary=4, lighter=WHITE, darker={"raw sienna": 1}, step=0.5
    )
    assert told.apart is None
    assert told.say() == "Cadmium yellow light cannot be brought to value 4.0, the boundary."
    assert told.light.left_out[0] == 4.0


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"boundary": 0}, "from 0 to 10; 0 is not"),
        ({"boundary": float("nan")}, "nan is not"),
        ({"boundary": 5, "step": 0}, "from 0.1 to 5 Munsell values; 0 is not"),
        ({"boundary": 5, "step": float("inf")}, "inf is not"),
    ],
)
def test_numbers_off_range_are_said(options: dict[str, float], sentence: str) -> None:
    with pytest.raises(PaintError, match=sentence):
        family_strings(LIGHT, SHADOW, tubes(), lighter=WHITE, darker=BLACK, **options)


def test_which_of_the_two_falls_short_is_said() -> None:
    told = family_strings(LIGHT, SHADOW, tubes(), boundary=5, lighter=WHITE, darker=BLACK, step=0.4)
    assert told.shadow.say_left_out().endswith("The shadow’s string goes from 1.8 to 9.7.")
    assert told.light.say_left_out().endswith("The light’s string goes from 1.8 to 9.7.")
