"""Mixing a passage in the window: against passages that are known mixes of the tubes."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.mixing.jobs import Wanted
from app.view import Question
from app.wall.pin_marks import PinMarks
from app.work import Worker
from core.painting import Painting
from tests.app.mix_case import BLUE, GREY, MIXES, TAN, in_hand, mix_easel, panel, press
from tests.app.window_case import Easel, make_easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return mix_easel(qtbot, worker, tmp_path)


def recipe(easel: Easel):
    return panel(easel).recipe


def rings(easel: Easel) -> list[int | str]:
    overlays = easel.desk.wall.hangings[0].overlays
    return [pin.number for each in overlays if isinstance(each, PinMarks) for pin in each.pins]


@pytest.mark.parametrize("at", [GREY, TAN])
def test_a_passage_is_mixed_as_it_was(easel: Easel, at: tuple[float, float]) -> None:
    press(easel, at)
    assert in_hand(easel) == MIXES[at]
    assert recipe(easel).miss.text().endswith("as near as can be seen")
    assert recipe(easel).parts.text().casefold() == ", ".join(f"{n} {name}" for name, n in MIXES[at].items())
    wanted, mix = recipe(easel).swatches.patches
    assert (wanted.caption, mix.caption) == ("wanted", "mix")
    assert wanted.colour == mix.colour
    assert not recipe(easel).beyond.isVisible()
    assert rings(easel) == ["mix"]


def test_munsell_notation_of_both_is_told(easel: Easel) -> None:
    press(easel, TAN)
    told = recipe(easel).names.text()
    assert told.startswith("Munsell, illuminant C: wanted ")
    assert told.count("Y") >= 2  # yellow-red or yellow hues


def test_what_is_out_of_reach_is_said_with_the_tube_that_would_reach_it(easel: Easel) -> None:
    press(easel, BLUE)
    told = recipe(easel).beyond
    assert told.isVisible()
    assert "do not reach this colour" in told.text()
    assert "ultramarine" in told.text()
    recipe(easel).set_view(palette="twelve tubes")
    assert in_hand(easel) == MIXES[BLUE]
    assert not told.isVisible()


def test_what_whole_parts_are_too_coarse_for_is_mixed_in_two_steps(easel: Easel) -> None:
    easel.desk.studio.mixes.want(Wanted((0.58, 0.47, 0.33)))  # pale linen: a trace of black in white and ochre
    found = easel.desk.studio.mixes.found()
    assert not found.recipes.reached
    assert in_hand(easel) == dict(found.tinted.parts)
    assert recipe(easel).steps.text().startswith("In two steps: first 1 ")
    assert not recipe(easel).beyond.isVisible()


@pytest.mark.parametrize("way", ["warmer", "cooler", "lighter", "darker", "duller", "stronger"])
def test_a_touch_this_way_or_that(easel: Easel, way: str) -> None:
    press(easel, TAN)
    before = easel.desk.studio.mixes.recipe()
    recipe(easel).touches[way].click()
    after = easel.desk.studio.mixes.recipe()
    measure = {"warmer": "warmth", "cooler": "warmth", "lighter": "value", "darker": "value"}.get(way)
    if measure is None:
        change = sum(each**2 for each in after.lab[1:]) - sum(each**2 for each in before.lab[1:])
    else:
        change = getattr(after, measure) - getattr(before, measure)
    assert (change > 0) == (way in {"warmer", "lighter", "stronger"})
    assert after.target == before.target  # it is still held against the passage
    assert recipe(easel).parts.text() != ""


def test_what_a_touch_cannot_do_is_said_and_the_mix_stays(easel: Easel) -> None:
    recipe(easel).set_view(palette="umber and white")
    press(easel, GREY)
    before = in_hand(easel)
    recipe(easel).touches["stronger"].click()
    recipe(easel).touches["cooler"].click()
    assert easel.said
    assert easel.said.endswith(".")
    assert set(in_hand(easel)) <= {"raw umber", "titanium white"}
    assert before


def test_another_mix_is_taken_from_the_list(easel: Easel) -> None:
    recipe(easel).set_view(palette="twelve tubes")
    easel.desk.studio.mixes.want(Wanted((0.3, 0.24, 0.17)))
    offered = recipe(easel).others.lines
    assert len(offered) > 1
    offered[1].click()
    chosen = easel.desk.studio.mixes.found().recipes.recipes[1]
    assert in_hand(easel) == dict(chosen.parts)
    assert [line.isChecked() for line in recipe(easel).others.lines].index(True) == 1


def test_fewer_tubes_and_parts_are_kept_to(easel: Easel) -> None:
    press(easel, TAN)
    recipe(easel).tubes.less.click()
    recipe(easel).tubes.less.click()
    assert len(in_hand(easel)) <= 2
    for _ in range(3):
        recipe(easel).most_parts.less.click()
    assert easel.desk.studio.view.mixing.parts == 6
    assert sum(in_hand(easel).values()) <= 6


def test_the_mean_of_a_value_step(easel: Easel) -> None:
    """The darkest fifth is empty; most of the picture lies in the lightest."""
    recipe(easel).take_step.click()
    assert "Nothing of the picture lies in value step 1" in easel.said
    for _ in range(9):
        recipe(easel).step.more.click()
    recipe(easel).take_step.click()
    assert easel.desk.studio.mixes.wanted.step == 5
    assert in_hand(easel) == {"titanium white": 8, "yellow ochre": 1}


def test_the_width_is_read_and_shown(easel: Easel) -> None:
    recipe(easel).span.more.click()
    press(easel, TAN)
    assert easel.desk.studio.mixes.wanted.span_mm == 10.0


def test_beside_the_canvas_and_on_the_painting_nothing_is_mixed(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = mix_easel(qtbot, worker, tmp_path, canvas=True)
    press(easel, (900.0, 20.0))
    assert "beside the canvas" in easel.said
    press(easel, GREY, which=1)
    assert "Press on the reference" in easel.said
    assert in_hand(easel) == {}


def test_the_key_mixes_at_the_pointer_and_opens_the_panel(easel: Easel) -> None:
    easel.press("question_drawing")
    easel.desk.wall.pointer_moved.emit(*GREY, 0)
    easel.press("mix_at_pointer")
    assert easel.desk.studio.view.question is Question.MIX
    assert in_hand(easel) == MIXES[GREY]


def test_escape_and_another_panel_put_the_tool_away(qtbot: QtBot, easel: Easel) -> None:
    press(easel)
    qtbot.keyClick(easel.desk.wall, Qt.Key.Key_Escape)
    assert not recipe(easel).point.isChecked()
    press(easel)
    easel.press("question_value")
    assert easel.desk.mixing.pointing.at is None


def test_a_painting_to_look_at_is_mixed_from_but_keeps_nothing(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    mix_easel(qtbot, worker, tmp_path).window.close()
    looking = make_easel(qtbot, worker, tmp_path)
    looking.window.open_painting(tmp_path / "painting", look_only=True)
    looking.press("question_mix")
    press(looking, GREY)
    assert in_hand(looking) == MIXES[GREY]
    recipe(looking).keep.click()
    assert "only to look" in looking.said
    looking.window.close()
    with Painting.open(tmp_path / "painting", look_only=True) as painting:
        assert painting.plan("mixing list") is None


def test_cautions_of_toxic_pigments_are_told(easel: Easel) -> None:
    recipe(easel).set_view(palette="ochre, red, black and white")
    easel.desk.studio.mixes.want(easel.desk.studio.mixes.wanted or _red(), (("cadmium red", 1),))
    assert "Cadmium red" in recipe(easel).cautions.text()
    assert "safety data sheet" in recipe(easel).cautions.text()


def _red() -> Wanted:
    return Wanted((0.5, 0.05, 0.05))


def test_a_late_touch_does_not_land_on_another_passage(qtbot: QtBot, threaded_worker: Worker, tmp_path: Path) -> None:
    easel = mix_easel(qtbot, threaded_worker, tmp_path)
    reads = easel.desk.studio.mixes
    reads.want(Wanted(GREY_LIGHT))
    qtbot.waitUntil(lambda: reads.recipe() is not None)
    reads.touch("warmer", lambda sentence: None)
    reads.want(Wanted((0.3, 0.24, 0.17)))
    qtbot.waitUntil(lambda: reads.recipe() is not None)
    qtbot.wait(300)  # the touch, were it still under way, would have come by now
    assert reads.parts is None
    assert in_hand(easel) == dict(reads.found().best.parts)


def test_another_palette_mixes_the_same_colour_anew(easel: Easel) -> None:
    press(easel, TAN)
    recipe(easel).touches["lighter"].click()
    recipe(easel).set_view(palette="umber and white")
    assert set(in_hand(easel)) <= {"raw umber", "titanium white"}
    assert "umber and white" in recipe(easel).of.text()


def test_keying_the_reference_reads_the_passage_anew(easel: Easel) -> None:
    press(easel, TAN)
    before = easel.desk.studio.mixes.wanted
    easel.press("keying")
    after = easel.desk.studio.mixes.wanted
    assert after.at == before.at
    assert after.light != before.light
    easel.press("keying")
    assert easel.desk.studio.mixes.wanted.light == pytest.approx(before.light, abs=1e-3)


def test_what_another_choice_misses_is_not_said_to_be_the_best(easel: Easel) -> None:
    press(easel, BLUE)
    assert recipe(easel).beyond.isVisible()
    easel.desk.studio.mixes.take((("titanium white", 1), ("ivory black", 1)))
    assert not recipe(easel).beyond.isVisible()
    assert recipe(easel).parts.text() == "1 titanium white, 1 ivory black"


def test_cautions_of_what_is_proposed_are_told_too(easel: Easel) -> None:
    easel.desk.studio.mixes.want(Wanted((0.35, 0.02, 0.02)))
    proposed = [each.name for each in easel.desk.studio.mixes.beyond().further]
    assert "cadmium red" in proposed or "vermilion" in proposed
    assert any(name in recipe(easel).cautions.text().casefold() for name in ("cadmium", "mercury"))


GREY_LIGHT = (0.25, 0.25, 0.26)
