"""Warmth under the pointer, in the window: against known patches."""

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.view import Subject
from app.work import Worker
from tests.app.warmth_case import GROUND, PATCHES, cooled_easel, panel, picture, warm_easel
from tests.app.window_case import Easel

WARM, COOL, TOUCH, NEAR = PATCHES


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return cooled_easel(qtbot, worker, tmp_path)


def test_a_place_is_told_against_what_lies_round_it(easel: Easel) -> None:
    easel.desk.wall.pointer_moved.emit(*WARM, 0)
    reading = panel(easel).reading
    shown = {subject: int(reading.figures[subject].text().replace("−", "-")) for subject in Subject}
    # A disc of 12 mm in a surround of 30 mm weighs 1 - exp(-12²/2·30²) = 0.077 of it in its own middle.
    assert shown[Subject.REFERENCE] == pytest.approx((10 - GROUND) * 0.923, abs=0.8)
    assert shown[Subject.CANVAS] == pytest.approx((4 - GROUND) * 0.923, abs=0.8)
    assert reading.says[Subject.REFERENCE].text().startswith("Warmer than what lies round it, by 7 ± ")
    easel.desk.wall.pointer_left.emit()
    assert reading.figures[Subject.REFERENCE].text() == "–"


def test_a_smaller_surround_is_another_relation(easel: Easel) -> None:
    for _ in range(5):
        panel(easel).reading.surround.less.click()
    assert easel.desk.studio.view.temperatures.surround_mm == 10
    found = easel.desk.studio.warmths.against_surround(Subject.REFERENCE, *WARM)
    assert found is not None
    assert found[1].difference == pytest.approx((10 - GROUND) * np.exp(-(12**2) / (2 * 10**2)), abs=0.4)


def test_beside_the_pointer_stands_the_question_that_is_open(easel: Easel) -> None:
    easel.press("numbers_at_pointer")
    (warm, canvas) = easel.desk.pointers.written(*WARM)
    assert warm == ("+7", "warmer")
    assert canvas[0] == "+2"
    easel.press("question_value")
    assert easel.desk.pointers.written(*WARM)[0] == ("5.9",)  # L* 60 in Munsell value
    easel.press("numbers_at_pointer")
    assert easel.desk.pointers.written(*WARM) == [(), ()]


def test_the_pointer_beside_the_canvas_reads_nothing(easel: Easel) -> None:
    for beside in ((-30.0, 60.0), (60.0, -30.0), (230.0, 60.0), (60.0, 180.0), (-30.0, -30.0)):
        easel.desk.wall.pointer_moved.emit(*beside, 0)
        assert panel(easel).reading.figures[Subject.REFERENCE].text() == "–"
        assert easel.desk.studio.warmths.pin(Subject.REFERENCE, *beside) is None


def test_a_reference_without_colour_is_said_and_not_judged(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    grey = np.repeat(picture(light=70, dark=40)[..., 1:2], 3, axis=2)
    easel = warm_easel(qtbot, worker, tmp_path, reference=grey)
    assert panel(easel).note.text().startswith("This reference has no colour")
    easel.desk.wall.pointer_moved.emit(*WARM, 0)
    assert panel(easel).reading.figures[Subject.REFERENCE].text() == "–"
    assert "no colour" in panel(easel).reading.says[Subject.REFERENCE].text()
    assert "no colour" in panel(easel).families.says[Subject.REFERENCE].text()


def test_a_grey_underpainting_is_said_and_the_reference_still_judged(
    qtbot: QtBot, worker: Worker, tmp_path: Path
) -> None:
    grey = np.repeat(picture(light=70, dark=40)[..., 1:2], 3, axis=2)
    easel = warm_easel(qtbot, worker, tmp_path, reference=picture(), canvas=grey)
    assert panel(easel).note.text().startswith("The canvas photo has hardly any colour")
    easel.desk.wall.pointer_moved.emit(*WARM, 0)
    assert panel(easel).reading.figures[Subject.REFERENCE].text() == "+7"
    assert panel(easel).reading.figures[Subject.CANVAS].text() == "–"
