"""White balance in the window: none, by a neutral that was pointed at, and by the light of a check."""

import json
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import check_folder
from app.findings import stored
from app.view import Subject
from app.work import Worker
from core.colorimetry import rgb_from_xyz
from core.photo import save_png
from core.temperature.neutral import daylight_xy
from tests.app.test_questions import CHECK, PASSAGE, SURE
from tests.app.warmth_case import panel, picture, warm_easel
from tests.app.window_case import Easel

GREY, WARM, COOL = (100.0, 20.0), (50.0, 110.0), (150.0, 110.0)
PATCHES = {GREY: 0.0, WARM: 12.0, COOL: -6.0}
KELVIN = 5000.0


def lamp(kelvin: float) -> tuple[float, float, float]:
    """Linear light of a daylight, the green of white kept."""
    x, y = daylight_xy(kelvin)
    red, green, blue = rgb_from_xyz([x / y, 1.0, (1 - x - y) / y]).tolist()
    return red / green, 1.0, blue / green


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """The reference was photographed in a light of 5000 K and not balanced; the canvas photo is as it should be."""
    reference = picture(PATCHES, gains=lamp(KELVIN), light=55, dark=55)
    made = warm_easel(qtbot, worker, tmp_path, reference=reference, canvas=picture(PATCHES, light=55, dark=55))
    panel(made).balance.open()
    return made


def fold(easel: Easel):
    return panel(easel).balance


def press_neutral(easel: Easel, at: tuple[float, float], which: int = 0) -> None:
    fold(easel).point.click()
    easel.desk.wall.clicked.emit(*at, which)


def itself(easel: Easel, at: tuple[float, float]) -> str:
    easel.desk.wall.pointer_moved.emit(*at, 0)
    return panel(easel).reading.says[Subject.REFERENCE].text()


def test_without_a_neutral_only_relations_are_told(easel: Easel) -> None:
    assert (
        "Reference: not known. Only relations between passages are told." in fold(easel).holds[Subject.REFERENCE].text()
    )
    assert " T " not in itself(easel, WARM)
    assert fold(easel).light[Subject.REFERENCE].isHidden()
    assert fold(easel).remove[Subject.REFERENCE].isHidden()


def test_a_neutral_balances_its_picture_and_tells_the_light(easel: Easel) -> None:
    press_neutral(easel, GREY)
    balance = easel.desk.studio.warmths.balance(Subject.REFERENCE)
    expected = 1 / np.array(lamp(KELVIN))
    assert np.array(balance.gains) / balance.gains[1] == pytest.approx(expected, rel=0.03)
    assert fold(easel).holds[Subject.REFERENCE].text() == "Reference: by the neutral you pointed at, good to ± 150 K."
    light = easel.desk.studio.warmths.neutral(Subject.REFERENCE).light
    assert light.kelvin == pytest.approx(KELVIN, rel=0.03)
    said = fold(easel).light[Subject.REFERENCE].text()
    assert f"The light on it: {light.say()}, correlated colour temperature; Duv " in said
    assert "only if the camera was set to daylight" in said
    assert "T +12 ± " in itself(easel, WARM)
    assert "not known" in fold(easel).holds[Subject.CANVAS].text()
    assert easel.desk.warming.pointing.at is None


def test_it_is_undone_done_again_and_taken_away(easel: Easel) -> None:
    press_neutral(easel, GREY)
    easel.press("undo")
    assert "Undone: pointed at a neutral." in easel.said
    assert "not known" in fold(easel).holds[Subject.REFERENCE].text()
    easel.press("redo")
    assert "by the neutral" in fold(easel).holds[Subject.REFERENCE].text()
    fold(easel).remove[Subject.REFERENCE].click()
    assert "not known" in fold(easel).holds[Subject.REFERENCE].text()


def test_a_neutral_of_the_canvas_is_of_the_canvas_and_gone_when_it_lies_otherwise(easel: Easel) -> None:
    press_neutral(easel, GREY, which=1)
    assert "by the neutral" in fold(easel).holds[Subject.CANVAS].text()
    assert "not known" in fold(easel).holds[Subject.REFERENCE].text()
    studio = easel.desk.studio
    studio.painting.set_corners(studio.canvas_photo.id, ((9.5, -0.5), (799.5, -0.5), (799.5, 599.5), (-0.5, 599.5)))
    assert "not known" in fold(easel).holds[Subject.CANVAS].text()


@pytest.mark.parametrize(
    ("patches", "light", "said"),
    [({GREY: 60.0}, 55, "too strongly coloured"), ({GREY: 0.0}, 8, "too dark to balance by"), ({}, 100, "burnt out")],
)
def test_what_is_no_neutral_is_said_and_not_kept(
    qtbot: QtBot, worker: Worker, tmp_path: Path, patches: dict[tuple[float, float], float], light: float, said: str
) -> None:
    reference = picture(patches | {WARM: 12.0, COOL: -20.0}, light=light, dark=55)
    if light == 100:
        reference[:300] = 255
    easel = warm_easel(qtbot, worker, tmp_path, reference=reference)
    press_neutral(easel, GREY)
    assert said in easel.said
    assert easel.desk.studio.warmths.neutrals == {}
    assert easel.desk.warming.pointing.at is not None  # another place may be pressed on


@pytest.mark.parametrize("known", [True, False])
def test_the_light_of_a_check_holds_for_the_canvas_where_it_is_known(easel: Easel, known: bool) -> None:
    studio = easel.desk.studio
    photo = studio.canvas_photo.id
    folder = check_folder(studio.painting, photo)
    folder.mkdir(parents=True)
    values = np.full((150, 200), 5.0, np.float32)
    values[:20] = np.nan
    np.savez(folder / "check.npz", value_reference=values, value_canvas=values, value_difference=values * 0)
    save_png(folder / "canvas.png", picture(PATCHES, light=55, dark=55))
    warmth = {"passages": [], "within": "Right.", "notes": [], "uncertainty": 1.0, "balance_known": known}
    warmth |= {"light_from": "card" if known else "fit"}
    studio.painting.set_check_result(photo, stored(CHECK, SURE, [PASSAGE], warmth=warmth))
    studio.read_check()
    assert studio.lit_canvas is not None
    said = fold(easel).holds[Subject.CANVAS].text()
    if known:
        assert said.startswith(
            "Canvas: by the grey or colour chart of known value with which the check took the light out"
        )
    else:
        assert "the check fitted the light to the reference, so it does not tell" in said
    # What the check could not judge is not told, and reading it again makes nothing anew.
    assert studio.warmths.pin(Subject.CANVAS, 100, 10) is None
    assert studio.warmths.pin(Subject.CANVAS, 100, 30) is not None
    hidden = studio.warmths.hidden(Subject.CANVAS)
    studio.read_check()
    assert studio.warmths.hidden(Subject.CANVAS) is hidden
    assert json.loads(studio.painting.check_result(photo).result)["warmth"] == warmth
