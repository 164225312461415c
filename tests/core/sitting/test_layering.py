"""Fat over lean and slow over fast: what is warned of, and what is not."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sitting.coat import Coat, Lies, SittingTube
from core.sitting.drying_classes import DryingClass
from core.sitting.laid import Laid, laid
from core.sitting.layer import Medium, Thickness
from core.sitting.layering import SOURCES, LayerWarning, Rule, Weight, layer_warnings, not_weighed
from core.sitting.log import LoggedSitting, SittingLog
from core.sitting.plan import PlannedSitting, SittingPlan, usual_plan
from tests.core.sitting.sitting_cases import TUBES, coats

TUBE = {tube.name: tube for tube in TUBES}


def coat(
    medium: Medium = Medium.STRAIGHT, *tubes: str, thickness: Thickness = Thickness.USUAL, lies: Lies = Lies.OVER
) -> Coat:
    return Coat(medium, thickness, tuple(TUBE[name] for name in tubes), lies)


def plan(*held: Coat) -> SittingPlan:
    return SittingPlan(tuple(PlannedSitting(key, coat=each) for key, each in enumerate(held, start=1)), len(held) + 1)


def warned(*held: Coat) -> tuple[LayerWarning, ...]:
    return layer_warnings(laid(plan(*held)))


def only(*held: Coat) -> LayerWarning:
    (found,) = warned(*held)
    return found


def test_the_usual_plan_goes_against_nothing() -> None:
    assert layer_warnings(laid(usual_plan())) == ()


def test_a_leaner_medium_is_told_with_what_to_do() -> None:
    found = only(coat(Medium.LITTLE_OIL), coat(Medium.SOLVENT))
    assert (found.rule, found.weight, found.above, found.beneath) == (Rule.MEDIUM, Weight.CLEAR, 2, 1)
    assert found.reasons == ("solvent",)
    assert found.say == "Sitting 2 is leaner than sitting 1: paint thinned with solvent over paint with a little oil."
    assert found.instead == (
        "Use as much oil as beneath (paint with a little oil); or let sitting 1 dry to the touch, and some weeks more."
    )
    assert "Mayer" in found.source


def test_pigments_count_where_the_medium_is_the_same() -> None:
    found = only(coat(Medium.STRAIGHT, "burnt umber"), coat(Medium.STRAIGHT, "lead white"))
    assert (found.rule, found.weight) == (Rule.PIGMENT_OIL, Weight.CLEAR)
    assert found.reasons == ("lead white", "burnt umber")
    assert found.say.endswith("with the same medium: lead white takes less oil than burnt umber beneath.")
    assert warned(coat(Medium.STRAIGHT, "burnt umber"), coat(Medium.LITTLE_OIL, "lead white")) == ()
    assert warned(coat(Medium.STRAIGHT, "lead white"), coat(Medium.STRAIGHT, "burnt umber")) == ()


def test_fast_pigments_over_slow_ones_are_told() -> None:
    found = only(coat(Medium.STRAIGHT, "alizarin crimson"), coat(Medium.STRAIGHT, "burnt umber"))
    assert (found.rule, found.weight, found.reasons) == (
        Rule.PIGMENT_SPEED,
        Weight.CLEAR,
        ("burnt umber", "alizarin crimson"),
    )
    assert "burnt umber dries before alizarin crimson beneath" in found.say
    assert found.instead.startswith("Paint beneath without alizarin crimson; or let sitting 1 dry")
    both = warned(coat(Medium.STRAIGHT, "ivory black"), coat(Medium.STRAIGHT, "lead white"))
    assert [each.rule for each in both] == [Rule.PIGMENT_OIL, Rule.PIGMENT_SPEED]


def test_of_whole_palettes_those_tubes_are_named_that_make_them_differ() -> None:
    palette = ("titanium white", "yellow ochre", "ultramarine")
    found = only(coat(Medium.STRAIGHT, *palette, "alizarin crimson"), coat(Medium.LITTLE_OIL, *palette, "burnt umber"))
    assert (found.rule, found.weight) == (Rule.PIGMENT_SPEED, Weight.SLIGHT)
    assert found.reasons == ("burnt umber", "alizarin crimson")


def test_alkyd_is_right_under_oil_and_wrong_over_it() -> None:
    oils = (Medium.SOLVENT, Medium.STRAIGHT, Medium.LITTLE_OIL, Medium.MORE_OIL)
    for medium in oils:
        assert warned(coat(Medium.ALKYD), coat(medium)) == ()
        found = only(coat(medium), coat(Medium.ALKYD))
        assert (found.rule, found.reasons) == (Rule.ALKYD, ("alkyd",))
        assert found.weight is (Weight.SLIGHT if medium is Medium.SOLVENT else Weight.CLEAR)
    slow = only(coat(Medium.SOLVENT, "ivory black"), coat(Medium.ALKYD, "lead white"))
    assert (slow.weight, slow.reasons) == (Weight.CLEAR, ("alkyd", "ivory black"))
    assert slow.say.endswith("alkyd over paint thinned with solvent, slow by ivory black.")
    assert warned(coat(Medium.ALKYD, "alizarin crimson"), coat(Medium.LITTLE_OIL, "burnt umber")) == ()
    assert "no source" in found.source


def test_thin_over_thick_is_told_and_counts_less_once_it_was_found_dry() -> None:
    thick, thin = coat(thickness=Thickness.THICK), coat(thickness=Thickness.THIN)
    found = only(thick, thin)
    assert (found.rule, found.weight) == (Rule.THIN_OVER_THICK, Weight.CLEAR)
    assert "perhaps still soft" in found.say
    painted = SittingLog((LoggedSitting(1, thick, date(2026, 5, 3)),))
    (dry,) = layer_warnings(laid(plan(thick, thin), painted, found_dry={1}))
    assert dry.weight is Weight.SLIGHT
    assert "dry to the touch, but not yet dry through" in dry.say
    assert "wait some weeks more, though sitting 1 was found dry" in dry.instead
    assert warned(thin, thick) == warned(thick, thick) == warned(coat(), thin) == ()


@pytest.mark.parametrize("lies", [Lies.WIPED, Lies.ELSEWHERE])
def test_what_was_wiped_off_or_lies_elsewhere_is_not_counted(lies: Lies) -> None:
    fat = coat(Medium.MORE_OIL, lies=lies)
    assert warned(fat, coat(Medium.STRAIGHT)) == ()
    assert warned(coat(Medium.STRAIGHT), fat, coat(Medium.STRAIGHT)) == ()
    found = only(coat(Medium.LITTLE_OIL), fat, coat(Medium.STRAIGHT))
    assert (found.beneath, found.above) == (1, 3)


def test_what_was_really_done_counts() -> None:
    held = plan(coat(Medium.SOLVENT), coat(Medium.STRAIGHT))
    log = SittingLog((LoggedSitting(1, coat(Medium.MORE_OIL), date(2026, 5, 3)),))
    (found,) = layer_warnings(laid(held, log))
    assert found.rule is Rule.MEDIUM
    assert layer_warnings(laid(held, SittingLog((LoggedSitting(1, coat(Medium.MORE_OIL)),)))) == ()
    both = log.changed(LoggedSitting(2, coat(Medium.STRAIGHT), date(2026, 5, 9)))
    (late,) = layer_warnings(laid(held, both))
    assert late.instead.startswith("It is painted already")


def test_what_was_done_lies_in_the_order_of_its_days_beneath_what_is_planned() -> None:
    held = plan(coat(), coat(), coat(), coat())
    log = SittingLog(
        (
            LoggedSitting(4, day=date(2026, 5, 2)),
            LoggedSitting(9, done="in a hurry", day=date(2026, 5, 1)),
            LoggedSitting(2, day=date(2026, 5, 3)),
            LoggedSitting(3, done="the same evening"),
        )
    )
    layers = laid(held, log)
    assert [each.key for each in layers] == [9, 4, 2, 3, 1]
    assert [each.name for each in layers] == [
        "the sitting of 1 May 2026",
        "sitting 4",
        "sitting 2",
        "sitting 3",
        "sitting 1",
    ]
    assert [each.done for each in layers] == [True] * 4 + [False]


def test_tubes_of_which_nothing_is_known_are_named() -> None:
    layers = laid(plan(coat(Medium.STRAIGHT, "my own mixture", "lead white"), coat(Medium.STRAIGHT, "my own mixture")))
    assert layer_warnings(layers[1:] + layers[:1]) == ()
    assert not_weighed(layers) == "Nothing is known of my own mixture: no warning takes account of that."
    assert not_weighed(laid(plan(coat(Medium.STRAIGHT, "lead white")))) == ""


def test_a_tube_shared_by_both_is_named_only_where_the_others_do_not_tell() -> None:
    """The mean falls by what is added above, though the fattest tube is in both."""
    fat = coat(Medium.STRAIGHT, "burnt umber", "lead white")
    added = only(fat, replace(fat, tubes=(*fat.tubes, TUBE["titanium white"])))
    assert (added.rule, added.weight) == (Rule.PIGMENT_OIL, Weight.SLIGHT)
    assert added.reasons == ("titanium white", "burnt umber")
    lean = (TUBE["titanium white"], SittingTube("Naples yellow", ("PY41",)))
    shared = only(fat, replace(fat, tubes=(TUBE["burnt umber"], *lean)))
    assert shared.reasons == ("titanium white", "Naples yellow", "burnt umber")


def test_every_rule_has_its_source_or_says_that_it_has_none() -> None:
    assert set(SOURCES) == set(Rule)
    assert all("Mayer" in told or "no source" in told for told in SOURCES.values())


# By chance: coats of one tube each, whose oil is told by a pigment and whose speed by the tube's name.
OIL, SPEED = ("PW6", "PY43", "PBk9"), tuple(DryingClass)
MEDIA = (Medium.ALKYD, Medium.SOLVENT, Medium.STRAIGHT, Medium.LITTLE_OIL, Medium.MORE_OIL)


def speed_told(_: str, tube: str) -> DryingClass | None:
    return DryingClass(tube)


@st.composite
def sorted_coats(draw: st.DrawFn) -> list[Coat]:
    count = draw(st.integers(2, 6))

    def rising(most: int) -> list[int]:
        return sorted(draw(st.lists(st.integers(0, most), min_size=count, max_size=count)))

    return [
        Coat(MEDIA[medium], tuple(Thickness)[thick], (SittingTube(str(SPEED[speed]), (OIL[oil],)),))
        for medium, thick, oil, speed in zip(rising(4), rising(2), rising(2), rising(2), strict=True)
    ]


def differ(one: Coat, other: Coat) -> bool:
    """As far as it matters between two layers: tubes in alkyd dry alike, and only what is thick stays soft."""
    (a,), (b,) = one.tubes, other.tubes
    in_oil = one.medium is not Medium.ALKYD
    return (
        one.medium is not other.medium
        or a.pigments != b.pigments
        or (in_oil and a.name != b.name)
        or (one.thickness is Thickness.THICK) != (other.thickness is Thickness.THICK)
    )


@given(sorted_coats())
@settings(max_examples=60, deadline=None)
def test_from_lean_to_fat_and_from_fast_to_slow_nothing_is_warned_of(held: list[Coat]) -> None:
    assert layer_warnings(laid(plan(*held)), drying=speed_told) == ()


@given(sorted_coats(), st.data())
@settings(max_examples=60, deadline=None)
def test_two_neighbours_that_differ_never_change_places_unwarned(held: list[Coat], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(held) - 2))
    lower, upper = held[place], held[place + 1]
    held[place : place + 2] = [upper, lower]
    found = layer_warnings(laid(plan(*held)), drying=speed_told)
    between = [each for each in found if (each.beneath, each.above) == (place + 1, place + 2)]
    assert bool(between) is differ(lower, upper)


@given(st.lists(coats, min_size=1, max_size=5), st.data())
@settings(max_examples=60, deadline=None)
def test_a_sitting_split_in_two_changes_nothing(held: list[Coat], data: st.DataObject) -> None:
    whole = plan(*held)
    split = whole.split(data.draw(st.integers(1, len(held))))

    def told(of: SittingPlan) -> list[tuple[Rule, Weight, tuple[str, ...]]]:
        return [(each.rule, each.weight, each.reasons) for each in layer_warnings(laid(of))]

    assert told(split) == told(whole)


@given(st.lists(coats, min_size=2, max_size=4))
@settings(max_examples=60, deadline=None)
def test_what_is_named_is_true_of_the_two_coats(held: list[Coat]) -> None:
    layers = [Laid(key, f"sitting {key}", replace(each, lies=Lies.OVER)) for key, each in enumerate(held)]
    for found in layer_warnings(layers):
        names = {tube.name for key in (found.above, found.beneath) for tube in held[key].tubes}
        words = {str(word) for kind in (Medium, Thickness) for word in kind}
        assert set(found.reasons) <= names | words
        assert all(text.endswith(".") for text in (found.say, found.why, found.instead))
        if found.rule in (Rule.PIGMENT_OIL, Rule.PIGMENT_SPEED):
            assert len(found.reasons) >= 2
