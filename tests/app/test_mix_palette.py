"""Palettes, what they reach, and the painter's box of tubes, in the window."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.machine import PAINT_BOX_FILE
from app.wall.areas import NumberedAreas
from app.work import Worker
from tests.app.mix_case import BLUE, mix_easel, open_fold, panel
from tests.app.window_case import Easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return mix_easel(qtbot, worker, tmp_path)


def box_file(folder: Path) -> Path:
    return folder / "machine" / PAINT_BOX_FILE


def lay_out(easel: Easel, name: str, *changed: str) -> None:
    """Another palette from the present one, with these tubes pressed on."""
    fold = panel(easel).laid_out
    fold.edit.click()
    for line in [line for line in fold.lines if line.tube.name in changed]:
        line.click()
    fold.name.setText(name)
    fold.keep.click()


def test_the_limited_palette_is_there_from_the_start(easel: Easel) -> None:
    assert [line.tube.name for line in panel(easel).laid_out.lines] == ["yellow ochre", "ivory black", "titanium white"]
    assert panel(easel).laid_out.choice.count() >= 5


def test_another_palette_is_chosen_and_kept_with_the_view(easel: Easel) -> None:
    fold = panel(easel).laid_out
    index = fold.choice.findText("earths")
    fold.choice.setCurrentIndex(index)
    fold.choice.activated.emit(index)
    assert easel.desk.studio.mixes.palette.name == "earths"
    assert "raw umber" in [line.tube.name for line in fold.lines]


def test_a_palette_of_ones_own_is_there_for_every_painting(easel: Easel, tmp_path: Path) -> None:
    lay_out(easel, "mine", "ultramarine", "ivory black")
    assert easel.desk.studio.mixes.palette.tubes == ("yellow ochre", "titanium white", "ultramarine")
    held = json.loads(box_file(tmp_path).read_text(encoding="utf-8"))
    assert {"name": "mine", "tubes": ["yellow ochre", "titanium white", "ultramarine"]} in held["palettes"]
    easel.press("close")
    easel.window.open_painting(tmp_path / "painting")
    assert "mine" in [each.name for each in easel.desk.studio.mixes.box.held.palettes]


@pytest.mark.parametrize(
    ("name", "changed", "says"),
    [
        ("", ("ultramarine",), "needs a name"),
        ("empty", ("yellow ochre", "ivory black", "titanium white"), "has no tubes"),
    ],
)
def test_a_palette_that_cannot_be_says_why(easel: Easel, name: str, changed: tuple[str, ...], says: str) -> None:
    lay_out(easel, name, *changed)
    assert says in easel.said
    assert panel(easel).laid_out.name.isVisible()  # nothing is lost
    panel(easel).laid_out.leave.click()
    assert len(panel(easel).laid_out.lines) == 3


def test_a_palette_is_taken_away_and_put_back(easel: Easel) -> None:
    assert not panel(easel).laid_out.remove.isEnabled()  # what came with the program stays
    lay_out(easel, "mine", "ultramarine")
    panel(easel).laid_out.remove.click()
    assert "mine" not in [each.name for each in easel.desk.studio.mixes.box.held.palettes]
    assert easel.desk.studio.mixes.palette.name == "ochre, black and white"
    easel.offer("Put it back")
    assert "mine" in [each.name for each in easel.desk.studio.mixes.box.held.palettes]


def test_the_name_of_another_palette_is_refused(easel: Easel) -> None:
    lay_out(easel, "Twelve Tubes", "ultramarine")
    assert "There is a palette “Twelve Tubes” already" in easel.said
    assert len(easel.desk.studio.mixes.box.held.palettes) == 7


def test_a_tube_that_goes_while_a_palette_is_laid_out_is_left_out(easel: Easel) -> None:
    box = easel.desk.studio.mixes.box
    assert box.keep(box.held.with_tube(replace(box.held.tubes["yellow ochre"], name="my ochre")))
    fold = panel(easel).laid_out
    fold.edit.click()
    next(line for line in fold.lines if line.tube.name == "my ochre").click()
    assert box.keep(box.held.without_tube("my ochre"))
    assert "my ochre" not in [line.tube.name for line in fold.lines]
    fold.name.setText("mine")
    fold.keep.click()
    assert easel.desk.studio.mixes.palette.tubes == ("yellow ochre", "ivory black", "titanium white")


def test_a_broken_box_is_said_and_left_as_it_is(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    box_file(tmp_path).parent.mkdir(parents=True)
    box_file(tmp_path).write_text("{broken", encoding="utf-8")
    easel = mix_easel(qtbot, worker, tmp_path)
    assert "cannot be read" in easel.said
    lay_out(easel, "mine", "ultramarine")
    assert "cannot be read" in easel.said
    assert box_file(tmp_path).read_text(encoding="utf-8") == "{broken"


def test_what_the_palette_does_not_reach_is_listed_outlined_and_charted(easel: Easel) -> None:
    fold = panel(easel).reach
    open_fold(easel, fold)
    assert "lies beyond this palette" in fold.says.text()
    assert len(fold.lines.lines) == 1
    passage = easel.desk.studio.mixes.reach().beyond.passages[0]
    assert passage.away_mm(*BLUE) < 0
    assert passage.area_cm2 == pytest.approx(4.5, abs=0.5)
    fold.shown.click()
    areas = [each for each in easel.desk.wall.hangings[0].overlays if isinstance(each, NumberedAreas)]
    assert [area.number for area in areas[0].areas] == ["1"]
    fold.lines.lines[0].click()
    assert fold.chosen == 1
    fold.set_view(palette="twelve tubes")
    assert fold.says.text() == "This palette reaches the whole reference."
    assert not fold.lines.lines


def test_the_chart_paints_what_is_reached(easel: Easel) -> None:
    fold = panel(easel).reach
    open_fold(easel, fold)
    fold.chart.resize(320, 230)
    image = fold.chart.grab().toImage()
    shades = {image.pixelColor(x, y).name() for x in range(30, 200, 5) for y in range(10, 150, 5)}
    assert len(shades) > 3
