"""How the values went over the sittings, and what is said of them as a whole, in the value panel."""

import copy
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import difference_print
from app.findings import stored
from app.picture import srgb_of_qimage
from app.values.difference_fold import DifferenceFold
from app.work import Worker
from core.value.picture import difference_picture
from tests.app.test_questions import CHECK, SURE
from tests.app.window_case import CORNERS, SIZE, Easel, canvas_shot, drop, make_easel, make_painting

WHOLE = "The relations are right; the whole is 0.6 step too dark."


def check_of(steps: float | None, share: float) -> dict[str, object]:
    made = copy.deepcopy(CHECK)
    made["value"] = {"areas": [], "share_within_half_step": share}
    if steps is not None:
        made["value"]["areas"] = [{"x_mm": 60, "y_mm": 100, "area_cm2": 15.7, "steps": steps}]
    return made


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """Two checked canvas photos; a passage of the first is mended in the second, which is too dark as a whole."""
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    drop(made.desk.ledge, [canvas_shot(tmp_path, name)[0] for name in ("first.jpg", "second.jpg")])
    painting = made.desk.studio.painting
    for number, (photo, check, whole) in enumerate(
        zip(painting.canvas_photos(), (check_of(-1.5, 0.7), check_of(None, 0.9)), ("", WHOLE), strict=True), start=1
    ):
        painting.set_sitting(photo.id, number)
        painting.set_corners(photo.id, CORNERS)
        painting.set_check_result(photo.id, stored(check, SURE, (), value_whole=whole))
    made.press("question_value")
    return made


def fold(easel: Easel) -> DifferenceFold:
    return easel.desk.side.value.difference


def show(easel: Easel, index: int) -> None:
    studio = easel.desk.studio
    studio.hang_canvas_photo(studio.painting.canvas_photos()[index].id)
    studio.read_check()


def test_the_whole_is_said_once_and_what_the_last_photo_changed(easel: Easel) -> None:
    show(easel, 1)
    assert fold(easel).whole.text() == WHOLE
    said = fold(easel).progress.text().splitlines()
    assert said[0] == "Since the photo before: 1 mended; 90 % within half a step, before 70 %."
    assert said[1] == "Lower left: 1.5 steps too dark in sitting 1, mended in sitting 2."


def test_with_one_photo_there_is_no_progress_and_nothing_of_the_whole(easel: Easel) -> None:
    show(easel, 0)
    assert fold(easel).whole.isHidden()
    assert fold(easel).progress.isHidden()


def test_the_difference_has_a_line_at_every_half_step() -> None:
    """A slope from 0 to 2 steps across 200 mm: lines at 50, 100 and 150 mm."""
    slope = np.repeat(np.linspace(0.005, 1.995, 200, dtype=np.float32)[None], 150, axis=0)
    found = difference_print({"value_difference": slope}, SIZE)
    assert found is not None
    shown = srgb_of_qimage(found.picture.image).astype(int)
    plain = difference_picture(np.repeat(np.repeat(slope, shown.shape[0] // 150, 0), shown.shape[0] // 150, 1))
    drawn = np.abs(shown - plain).sum(axis=2).max(axis=0) > 60
    at = np.flatnonzero(drawn) / shown.shape[1] * SIZE.width_mm
    assert {round(float(x) / 50) * 50 for x in at} == {50, 100, 150}
    assert all(min(abs(x - line) for line in (50, 100, 150)) < 1.0 for x in at)
