"""Passages brushed into the light or the shadow in the window, against patches of known warmth."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.picture import srgb_of_qimage
from app.temperatures.pointing import For
from app.view import Hung, Look, Subject
from app.wall.pin_marks import PinMarks
from app.work import Worker
from core.temperature.picture import LIGHT_FAMILY, SHADOW_FAMILY
from core.temperature.strokes import Family, FamilyStroke
from tests.app.edge_case import drag
from tests.app.warmth_case import panel, picture, warm_easel
from tests.app.window_case import Easel

LIGHT_T, SHADOW_T = -14.0, 16.0
ACROSS = ((20.0, 112.0), (100.0, 112.0), (180.0, 112.0))
"""In the shadow, which is all below 75 mm."""


@cache
def halves() -> np.ndarray:
    """Light and cool above 75 mm, dark and warm below; in the light a warm patch of 40 × 20 mm, so that warmth does not
    follow lightness, as in a toned picture."""
    made = np.empty((600, 800, 3), np.uint8)
    whole, patch = np.s_[:, :], np.s_[20:100, 600:760]
    for part, told, row in ((whole, LIGHT_T, 290), (np.s_[300:], SHADOW_T, 310), (patch, SHADOW_T, 290)):
        made[part] = picture({(100.0, 75.0): told}, light=72, dark=32)[row, 400]
    return made


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = warm_easel(qtbot, worker, tmp_path, reference=halves(), canvas=halves())
    panel(made).families.open()
    return made


def fold(easel: Easel):
    return panel(easel).families


def brush(easel: Easel, family: Family, *places: tuple[float, float], which: int = 0) -> None:
    fold(easel).brush.choices[family].click()
    if easel.desk.warming.pointing.at is not For.BRUSH:
        fold(easel).brush.brush.click()
    drag(easel, *places, which=which)


def families(easel: Easel):
    return easel.desk.studio.warmths.families(Subject.REFERENCE).families


def strokes(easel: Easel) -> tuple[FamilyStroke, ...]:
    return easel.desk.studio.warmths.brushwork.strokes


def partings(easel: Easel, which: int = 0) -> int:
    """Lines between light and shadow over a picture."""
    found = (o for o in easel.desk.wall.hangings[which].overlays if isinstance(o, PinMarks))
    return sum(len(marks.parting.lines) for marks in found if marks.parting is not None)


def test_what_is_brushed_into_the_light_is_light_and_the_numbers_follow(easel: Easel) -> None:
    before = families(easel)
    patch = 40 * 20 / (200 * 75)
    assert before.difference == pytest.approx((1 - patch) * (LIGHT_T - SHADOW_T), abs=0.6)
    brush(easel, Family.LIGHT, *ACROSS)
    (stroke,) = strokes(easel)
    assert (stroke.family, stroke.width_mm) == (Family.LIGHT, 12)
    assert stroke.points_mm[0] == pytest.approx(ACROSS[0], abs=0.3)
    assert stroke.points_mm[-1] == pytest.approx(ACROSS[-1], abs=0.3)
    # A stroke of 160 mm with round ends, 12 mm wide, of warm shadow among 200 × 75 mm of cool light.
    area = 160 * 12 + np.pi * 6**2
    after, light = families(easel), 200 * 75
    assert after.light_share == pytest.approx((light + area) / (2 * light), abs=0.004)
    mixed = (light * before.light + area * before.shadow) / (light + area)
    assert after.light == pytest.approx(mixed, abs=0.1)
    assert after.shadow == pytest.approx(before.shadow, abs=0.05)
    assert after.difference == pytest.approx(mixed - before.shadow, abs=0.1)
    assert after.uncertainty > before.uncertainty
    assert fold(easel).says[Subject.REFERENCE].text() == f"Reference: {after.measured}"
    assert fold(easel).brush.says.text() == "1 stroke over both pictures."
    # It is outlined at once, where only the boundary was before.
    assert easel.desk.studio.view.temperatures.outline
    assert partings(easel) == 2


def test_the_split_picture_follows_and_undo_takes_the_last_stroke_back(easel: Easel) -> None:
    view = easel.desk.studio.view
    easel.desk.studio.change_view(replace(view, hung=(Hung(look=Look.FAMILIES), view.hung[1])))
    brush(easel, Family.LIGHT, *ACROSS)
    assert not easel.desk.studio.view.temperatures.outline  # the split shows it already

    def at(x_mm: float, y_mm: float) -> np.ndarray:
        shown = srgb_of_qimage(easel.desk.wall.hangings[0].picture.image)
        return shown[int(y_mm / 150 * shown.shape[0]), int(x_mm / 200 * shown.shape[1])]

    assert (at(100, 112) == LIGHT_FAMILY).all()
    assert (at(100, 125) == SHADOW_FAMILY).all()
    brush(easel, Family.SHADOW, (60, 30), (100, 30), which=1)  # over the canvas: it counts in both
    assert (at(80, 30) == SHADOW_FAMILY).all()
    easel.press("undo")
    assert "Undone: brushed a passage into the shadow." in easel.said
    assert (at(80, 30) == LIGHT_FAMILY).all()
    easel.press("undo")
    assert "Undone: brushed a passage into the light." in easel.said
    assert (at(100, 112) == SHADOW_FAMILY).all()
    easel.press("redo")
    assert (at(100, 112) == LIGHT_FAMILY).all()


def test_later_strokes_win_and_as_found_takes_back(easel: Easel) -> None:
    brush(easel, Family.LIGHT, *ACROSS)
    brush(easel, Family.SHADOW, (100.0, 40.0), (100.0, 140.0))
    told = families(easel).in_light
    assert told[112, 60]
    assert not told[112, 100]
    assert not told[50, 100]
    brush(easel, Family.AS_FOUND, (100.0, 20.0), (100.0, 60.0))
    told = families(easel).in_light
    assert told[50, 100]
    assert not told[66 + 4, 100]
    fold(easel).brush.clear.click()
    assert strokes(easel) == ()
    assert families(easel).light_share == pytest.approx(0.5, abs=1e-3)
    assert fold(easel).brush.says.text() == "No strokes yet."
    assert not fold(easel).brush.clear.isEnabled()
    easel.press("undo")
    assert len(strokes(easel)) == 3


def test_it_lies_on_top_of_the_boundary(easel: Easel) -> None:
    brush(easel, Family.LIGHT, *ACROSS)
    fold(easel).boundary.setValue(180)
    assert families(easel).boundary == 9.0
    # All lies in the shadow but what was brushed.
    area = 160 * 12 + np.pi * 6**2
    assert families(easel).light_share == pytest.approx(area / (200 * 150), rel=0.03)


def test_the_width_is_stepped_and_a_dab_is_as_wide(easel: Easel) -> None:
    for _ in range(2):
        fold(easel).brush.width_mm.more.click()
    assert easel.desk.studio.view.temperatures.brush_mm == 24
    before = families(easel).in_light.sum()
    brush(easel, Family.LIGHT, (100.0, 112.0))
    assert families(easel).in_light.sum() - before == pytest.approx(np.pi * 12**2, rel=0.03)
    for _ in range(9):
        fold(easel).brush.width_mm.more.click()
    assert easel.desk.studio.view.temperatures.brush_mm == 40
    assert not fold(easel).brush.width_mm.more.isEnabled()


def test_beside_the_canvas_nothing_is_kept(easel: Easel) -> None:
    brush(easel, Family.LIGHT, (-30.0, 40.0), (-30.0, 60.0))
    assert strokes(easel) == ()
    assert easel.said == "That is beside the canvas. Press on it."


def test_it_is_put_away_by_escape_and_with_the_panel(easel: Easel, qtbot: QtBot) -> None:
    fold(easel).brush.brush.click()
    assert fold(easel).brush.brush.isChecked()
    qtbot.keyClick(easel.desk.wall, Qt.Key.Key_Escape)
    assert not fold(easel).brush.brush.isChecked()
    drag(easel, *ACROSS)
    assert strokes(easel) == ()
    fold(easel).brush.brush.click()
    easel.press("question_value")
    assert easel.desk.warming.pointing.at is None


def test_without_a_picture_that_can_be_outlined_the_split_hangs(easel: Easel) -> None:
    easel.press("one", "reference", "warmth")
    fold(easel).brush.brush.click()
    assert easel.desk.studio.view.chosen.look is Look.FAMILIES
