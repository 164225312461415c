"""The pictures of warmth and the two families in the window, against the core and known patches."""

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.picture import srgb_of_qimage
from app.temperatures.families_fold import reminder
from app.view import Look, Subject
from app.wall.pin_marks import PinMarks
from app.work import Worker
from core.colorimetry import decode_srgb
from core.temperature.picture import COLOURS, LIGHT_FAMILY, SHADOW_FAMILY
from core.temperature.warmth import lab_map
from tests.app.warmth_case import PATCHES, panel, picture, warm_easel
from tests.app.window_case import Easel
from tests.core.temperature.scenes import photographs, two_lamps

WARM, COOL, TOUCH, NEAR = PATCHES


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """Light above, shadow below; the light 2 cooler."""
    return warm_easel(qtbot, worker, tmp_path, reference=picture(light=72, dark=32))


def hung(easel: Easel) -> np.ndarray:
    return srgb_of_qimage(easel.desk.wall.hangings[0].picture.image)


def at(easel: Easel, place: tuple[float, float]) -> tuple[int, int, int]:
    shown = hung(easel)
    row, column = (int(mm / side * n) for mm, side, n in zip(place[::-1], (150, 200), shown.shape, strict=False))
    red, green, blue = shown[row, column].tolist()
    return red, green, blue


def band(colour: tuple[int, int, int]) -> int:
    """-3 much cooler to 3 much warmer."""
    return COLOURS.index(colour) - 3


def test_warmth_hangs_in_place_of_the_picture_with_its_legend(easel: Easel) -> None:
    easel.press("warmth")
    hanging = easel.desk.wall.hangings[0]
    assert hanging.title == "Reference · warmth"
    assert band(at(easel, WARM)) == 2  # 7 warmer than its surround
    assert band(at(easel, COOL)) == -2  # 9 cooler
    assert band(at(easel, (100, 70))) == 0
    assert [label for _, label in hanging.legend.stops] == ["−10", "−5", "−2", "0", "+2", "+5", "+10", "?"]
    assert len(panel(easel).picture.legend.rows) == 8
    assert panel(easel).picture.legend.rows[0][0] == "more than 10 warmer"
    assert "2 to 5 cooler" in panel(easel).picture.legend.accessibleName()


def test_a_stronger_picture_shows_smaller_differences(easel: Easel) -> None:
    easel.press("warmth")
    assert band(at(easel, TOUCH)) == 1  # 3 warmer
    panel(easel).picture.strength.setValue(5)
    assert easel.desk.studio.view.temperatures.strength == 3
    assert "Strength × 3" in panel(easel).picture.strength_says.text()
    assert band(at(easel, TOUCH)) == 2
    assert "+3" in [label for _, label in easel.desk.wall.hangings[0].legend.stops]


def test_a_place_that_the_white_balance_leaves_undecided_is_grey(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    """A balance that is 800 K off moves a white disc in the dark by more than it is off its surround."""
    y, x = (np.mgrid[:600, :800] + 0.5) / 4
    reference = picture({(150.0, 110.0): -30.0}, light=25, dark=25)
    white = picture({(50.0, 40.0): 5.0}, light=95, dark=95)
    disc = np.hypot(x - 50, y - 40) < 12
    reference[disc] = white[disc]
    easel = warm_easel(qtbot, worker, tmp_path, reference=reference)
    easel.press("warmth")
    found = easel.desk.studio.warmths.against_surround(Subject.REFERENCE, 50, 40)
    assert found is not None
    assert 2 < found[1].difference < found[1].uncertainty
    assert band(at(easel, (50, 40))) == 0


def test_neutrals_are_drawn_apart_from_their_mean(easel: Easel) -> None:
    before = lab_map(decode_srgb(hung(easel) / 255.0).astype(np.float32))
    easel.press("lean")
    after = lab_map(decode_srgb(hung(easel) / 255.0).astype(np.float32))
    assert easel.desk.wall.hangings[0].title == "Reference · neutrals drawn apart × 4"
    row, column = 160, 600  # in the cool patch
    assert after[row, column, 2] < before[row, column, 2] - 5
    assert after[..., 0] == pytest.approx(before[..., 0], abs=1.5)
    panel(easel).picture.factor.setValue(0)
    again = lab_map(decode_srgb(hung(easel) / 255.0).astype(np.float32))
    assert before[row, column, 2] > again[row, column, 2] > after[row, column, 2]
    panel(easel).picture.whole.click()
    assert easel.desk.wall.hangings[0].title == "Reference · colours drawn apart × 2"


def test_light_and_shadow_are_parted_told_and_outlined(easel: Easel) -> None:
    fold = panel(easel).families
    assert fold.boundary_says.text().startswith("They part at value 5.")
    assert not fold.automatic.isEnabled()
    assert fold.says[Subject.REFERENCE].text().startswith("Reference: ")
    assert "50 % of it lies in the light" in fold.means[Subject.REFERENCE].text()
    assert "a check" in fold.says[Subject.CANVAS].text()
    assert "Common practice, no source: cool light, warm shadows" in fold.rule.text()
    easel.press("families")
    assert (hung(easel)[20, 20] == LIGHT_FAMILY).all()
    assert (hung(easel)[-20, 20] == SHADOW_FAMILY).all()
    easel.press("families")
    fold.outline.click()
    (marks,) = (o for o in easel.desk.wall.hangings[0].overlays if isinstance(o, PinMarks))
    (line,) = marks.parting.lines
    assert np.abs(line[:, 1] - 75).max() < 1.0


def test_the_boundary_is_moved_by_hand_and_found_again(easel: Easel) -> None:
    fold = panel(easel).families
    found = easel.desk.studio.warmths.families(Subject.REFERENCE).families
    assert found.difference == pytest.approx(found.light - found.shadow)
    fold.boundary.setValue(180)
    assert easel.desk.studio.view.temperatures.boundary == 9.0
    assert fold.boundary_says.text() == "They part at value 9.0, set by hand, in both pictures."
    assert (
        fold.says[Subject.REFERENCE].text()
        == "Reference: All of it lies in one family: move the boundary, or brush passages into the other."
    )
    fold.automatic.click()
    assert easel.desk.studio.view.temperatures.boundary is None
    assert easel.desk.studio.warmths.families(Subject.REFERENCE).families is found


def test_families_are_those_of_the_patches(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    """The light has only warm patches, the shadow only cool ones; of 200 × 75 mm each disc of 12 mm takes 3 %."""
    light = {(30.0 + 40 * k, 40.0): 22.0 for k in range(4)}
    shadow = {(30.0 + 40 * k, 110.0): -22.0 for k in range(4)}
    easel = warm_easel(qtbot, worker, tmp_path, reference=picture(light | shadow, light=72, dark=40))
    found = easel.desk.studio.warmths.families(Subject.REFERENCE).families
    share = 4 * np.pi * 12**2 / (200 * 75)
    assert found.difference == pytest.approx(share * (22 - 2) + share * (22 + 2), abs=0.6)
    said = panel(easel).families.says[Subject.REFERENCE].text()
    assert said == f"Reference: {found.measured}"


def test_light_of_two_colours_is_said(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    from core.tone import display_of_linear

    lit = two_lamps(photographs()["chelsea"], 0, seed=1)
    easel = warm_easel(qtbot, worker, tmp_path, reference=display_of_linear(lit[:600]))
    parted = easel.desk.studio.warmths.families(Subject.REFERENCE)
    assert parted.families.several_lights
    assert reminder([parted]) == panel(easel).families.rule.text()
    assert panel(easel).families.rule.text().endswith("It may not hold here: the light seems to come in two colours.")
    assert reminder([]) == ""


def test_each_picture_is_made_once(easel: Easel) -> None:
    studio = easel.desk.studio
    easel.press("warmth")
    first = easel.desk.wall.hangings[0].picture
    easel.press("warmth", "warmth")
    assert easel.desk.wall.hangings[0].picture is first
    assert studio.view.chosen.look is Look.WARMTH


def test_all_of_it_comes_from_the_threads(qtbot: QtBot, threaded_worker: Worker, tmp_path: Path) -> None:
    """Nothing is made in the thread of the window, and nothing is asked for without end."""
    easel = warm_easel(qtbot, threaded_worker, tmp_path, reference=picture(light=72, dark=32))
    easel.press("warmth")
    reads = easel.desk.studio.warmths
    qtbot.waitUntil(lambda: band_is_shown(easel), timeout=15_000)
    qtbot.waitUntil(lambda: reads.families(Subject.REFERENCE) is not None, timeout=15_000)
    qtbot.waitUntil(lambda: not threaded_worker.is_busy(), timeout=15_000)
    assert "They part at value 5." in panel(easel).families.boundary_says.text()
    assert reads.against_surround(Subject.REFERENCE, *WARM) is not None
    easel.window.close()


def band_is_shown(easel: Easel) -> bool:
    return at(easel, WARM) == COLOURS[5]
