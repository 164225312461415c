"""What a check found of the temperatures, in the window: the list, the way to each passage, and the difference."""

import json
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import check_folder
from app.findings import stored
from app.picture import srgb_of_qimage
from app.temperatures.found import keep_warmth, read_warmth
from app.view import Look, Question
from app.wall.areas import NumberedAreas
from app.work import Worker
from core.temperature.picture import COLOURS
from tests.app.test_questions import CHECK, PASSAGE, SURE
from tests.app.warmth_case import panel, picture, warm_easel
from tests.app.window_case import Easel

OUTLINE = [[40.0, 30.0], [60.0, 30.0], [60.0, 50.0], [40.0, 50.0]]
FOUND = {
    "passages": [
        {
            "x_mm": 50.0,
            "y_mm": 40.0,
            "area_cm2": 4.0,
            "amount": -7.0,
            "say": "Upper left, 4.0 ± 0.6 cm²: too cool by 7 ± 1 (cooler than it should be).",
            "outline": OUTLINE,
        }
    ],
    "within": "94 % of the canvas is the same as the reference, or only a touch off. Each difference is good to ± 1.",
    "notes": ["The canvas seems to have been photographed in light of two colours."],
    "uncertainty": 1.0,
    "balance_known": True,
}


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return warm_easel(qtbot, worker, tmp_path, reference=picture(), canvas=picture())


def keep(easel: Easel, warmth: dict | None) -> None:
    """The canvas photo that hangs has been checked."""
    studio = easel.desk.studio
    photo = studio.canvas_photo.id
    folder = check_folder(studio.painting, photo)
    folder.mkdir(parents=True, exist_ok=True)
    values, difference = np.full((150, 200), 5.0, np.float32), np.zeros((150, 200), np.float32)
    difference[30:50, 40:60] = -7.0
    difference[:10] = np.nan
    maps = {"value_reference": values, "value_canvas": values, "value_difference": 0 * values}
    if warmth is not None and not warmth.get("refused"):
        maps["warmth_difference"] = difference
    np.savez(folder / "check.npz", **maps)
    studio.painting.set_check_result(photo, stored(CHECK, SURE, [PASSAGE], warmth=warmth))
    studio.read_check()


def fold(easel: Easel):
    return panel(easel).compare


def numbered(easel: Easel) -> list[NumberedAreas]:
    return [o for hanging in easel.desk.wall.hangings for o in hanging.overlays if isinstance(o, NumberedAreas)]


def test_passages_are_told_and_a_press_goes_there(easel: Easel) -> None:
    keep(easel, FOUND)
    assert [line.say for line in fold(easel).lines.lines] == [FOUND["passages"][0]["say"]]
    assert fold(easel).within.text() == FOUND["within"]
    assert "light of two colours" in fold(easel).notes.text()
    assert numbered(easel) == []
    fold(easel).lines.lines[0].click()
    sight = easel.desk.wall.sight
    assert (sight.x_mm, sight.y_mm) == pytest.approx((50, 40), abs=1)
    (areas,) = numbered(easel)
    assert (areas.chosen, areas.areas[0].number) == ("1", "1")
    assert areas.areas[0].outlines[0].tolist() == OUTLINE


def test_the_difference_hangs_with_its_legend_and_its_passages(easel: Easel) -> None:
    keep(easel, FOUND)
    easel.press("warmth_difference")
    assert easel.desk.studio.view.chosen.look is Look.WARMTH_DIFFERENCE
    hanging = easel.desk.wall.hangings[1]
    assert hanging.title == "Warmth difference · canvas"
    shown = srgb_of_qimage(hanging.picture.image)
    per_mm = shown.shape[0] / 150
    assert tuple(shown[int(40 * per_mm), int(50 * per_mm)]) == COLOURS[1]  # 5 to 10 too cool
    assert tuple(shown[int(100 * per_mm), int(50 * per_mm)]) == COLOURS[3]
    assert len(np.unique(shown[: int(9 * per_mm), :, 0])) == 2  # crosshatched: withheld
    assert len(numbered(easel)) == 1
    fold(easel).numbers.click()
    assert numbered(easel) == []
    assert fold(easel).legend.rows[0][0] == "more than 10 too warm"
    assert "too cool" in fold(easel).legend.rows[4][0]
    easel.press("warmth_difference")
    assert easel.desk.studio.view.chosen.look is Look.COLOUR


def test_nothing_found_is_said(easel: Easel) -> None:
    assert fold(easel).within.text() == "A check says where the canvas is too warm or too cool."
    keep(easel, FOUND | {"passages": [], "notes": []})
    assert fold(easel).within.text().endswith("No passage of the canvas is clearly too warm or too cool.")
    assert fold(easel).notes.isHidden()


def test_a_check_from_before_the_question_says_what_to_do(easel: Easel) -> None:
    keep(easel, None)
    assert fold(easel).within.text().startswith("This check is from before temperatures were compared")
    assert fold(easel).key.isHidden()


def test_a_reference_without_colour_is_told_in_place_of_a_difference(easel: Easel) -> None:
    keep(easel, {"refused": "This reference has no colour."})
    assert fold(easel).within.text() == "This reference has no colour."
    easel.press("warmth_difference")
    assert easel.said == "This reference has no colour."
    assert easel.desk.studio.view.chosen.look is Look.COLOUR
    assert not easel.window.actions_by_name["warmth_difference"].isChecked()


@pytest.mark.parametrize(
    "broken",
    [
        "{}",
        "null",
        json.dumps({"warmth": 3}),
        json.dumps({"warmth": FOUND | {"uncertainty": "x"}}),
        json.dumps({"warmth": FOUND | {"passages": [{"x_mm": 1}]}}),
        json.dumps({"warmth": FOUND | {"passages": [FOUND["passages"][0] | {"outline": [[1, 2]]}]}}),
    ],
)
def test_what_cannot_be_read_is_as_if_it_had_not_been_asked(broken: str) -> None:
    assert read_warmth(broken) is None


def test_why_there_is_no_answer_is_kept() -> None:
    result = SimpleNamespace(warmth=None, warmth_refused="This reference has no colour.")
    kept = keep_warmth(result)  # type: ignore[arg-type]
    found = read_warmth(json.dumps({"warmth": kept}))
    assert found is not None
    assert found.refused.startswith("This reference has no colour")


def test_a_difference_that_is_asked_for_makes_the_check_first(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    """The canvas is painted 12 too cool in one patch."""
    patches = {(50.0, 45.0): 14.0, (150.0, 45.0): -6.0, (150.0, 110.0): 6.0}
    painted = picture(patches | {(50.0, 45.0): 2.0})
    easel = warm_easel(qtbot, worker, tmp_path, reference=picture(patches), canvas=painted)
    easel.press("warmth_difference")
    studio = easel.desk.studio
    assert (studio.view.chosen.look, studio.view.question) == (Look.WARMTH_DIFFERENCE, Question.TEMPERATURE)
    (first,) = studio.checked.warmth.passages
    assert (first.x_mm, first.y_mm) == pytest.approx((50, 45), abs=4)
    assert first.amount == pytest.approx(-12, abs=2)
    assert first.area_cm2 == pytest.approx(np.pi * 1.2**2, abs=1.2)
    assert first.say.startswith("Upper left, ")
    assert "too cool by 1" in first.say
    assert [line.say for line in fold(easel).lines.lines] == [first.say]
    told = [mend for mend in studio.checked.findings.mend if mend.question == "temperature"]
    assert [mend.say for mend in told] == [first.say]
    shown = srgb_of_qimage(easel.desk.wall.hangings[1].picture.image)
    assert tuple(shown[int(0.3 * shown.shape[0]), int(0.25 * shown.shape[1])]) == COLOURS[0]
