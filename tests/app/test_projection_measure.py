"""Measuring a projection from the control page: photos from files or the ledge, the answer in words, the mending."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pytestqt.qtbot import QtBot

from app.projection.state import Mode
from app.work import Worker
from core.canvas.canvas_map import homography
from core.canvas.canvas_map import project as through
from core.drawing.projection import Projection
from core.photo import load_photo
from tests.app.window_case import SIZE, Easel, drop, make_easel, make_painting
from tests.studio.camera import Camera
from tests.studio.painter import Painted
from tests.studio.projector import Projector as Beam

from .projection_support import HIGH, WIDE, Key, corners, press, project, shown


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path, px_per_mm=4))
    made.press("question_drawing")
    return made


OUT_MM = np.array([[4.0, -3.0], [-2.0, 2.5], [3.0, 3.0], [0.0, -5.0]])


def photographed(easel: Easel, folder: Path) -> tuple[Path, Path]:
    """The canvas with the projector black and with its marks, while the projection is out by a known amount."""
    reference = load_photo(easel.folder / "my cat.jpg").linear()
    painted = Painted(reference, reference, 4.0, SIZE)
    beam = Beam(easel.desk.projecting.projector.projection, OUT_MM, ambient=0.2)
    camera = Camera(((150.0, 110.0), (1062.0, 118.0), (1055.0, 790.0), (143.0, 800.0)), width=1200, height=900)
    files = []
    for mode in (Mode.DARK, Mode.MARKS):
        easel.desk.projecting.projector.show_mode(mode)
        sent = shown(easel.desk.projecting.window).astype(np.uint8)
        files.append(folder / f"{mode}.png")
        Image.fromarray(beam.shoot(sent, painted, camera).pixels).save(files[-1])
    return files[0], files[1]


def choose(easel: Easel, chooser, file: Path) -> None:
    easel.answers.photo = file
    chooser.setCurrentIndex(chooser.count() - 1)
    chooser.activated.emit(chooser.count() - 1)


def test_what_is_measured_is_told_in_mm_and_mended(easel: Easel, tmp_path: Path) -> None:
    project(easel)
    dark, lit = photographed(easel, tmp_path)
    measure, before = easel.desk.projecting.page.measure, corners(easel)
    measure.open()
    choose(easel, measure.dark, dark)
    choose(easel, measure.lit, lit)
    measure.measure.click()
    assert measure.corners[0].text().startswith("Top left: 4.")
    assert "too far right" in measure.corners[0].text()
    assert "too low" in measure.corners[2].text()
    assert "too high" in measure.corners[3].text()
    measure.mend.click()
    assert measure.says.text().startswith("The corners were moved by this much.")
    assert not measure.mend.isVisible()
    face = np.array([[0, 0], [200, 0], [200, 150], [0, 150.0]])
    old = Projection(before, SIZE, WIDE, HIGH)
    now = through(homography(face + OUT_MM, SIZE), old.px_to_mm(corners(easel)))
    assert np.abs(now - face).max() < 0.3


def test_a_measurement_is_void_once_the_corners_move(easel: Easel, qtbot: QtBot, tmp_path: Path) -> None:
    window = project(easel)
    dark, lit = photographed(easel, tmp_path)
    measure = easel.desk.projecting.page.measure
    choose(easel, measure.dark, dark)
    choose(easel, measure.lit, lit)
    measure.measure.click()
    press(qtbot, window, Key.Key_1, Key.Key_Left)
    assert measure.says.text() == "The corners have been moved since this was measured."
    assert not measure.mend.isVisible()


def test_measuring_says_what_it_lacks(easel: Easel, tmp_path: Path) -> None:
    easel.press("project")
    measure = easel.desk.projecting.page.measure
    measure.measure.click()
    assert "Open the projection first" in measure.says.text()
    project(easel)
    measure.measure.click()
    assert measure.says.text().startswith("Choose both photos")
    dark, _ = photographed(easel, tmp_path)
    choose(easel, measure.dark, dark)
    choose(easel, measure.lit, dark)
    measure.measure.click()
    assert "same photo twice" in measure.says.text()
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"no picture")
    choose(easel, measure.lit, broken)
    measure.measure.click()
    assert "broken.jpg" in measure.says.text()
    assert measure.measure.isEnabled()


def test_a_change_of_mind_keeps_the_photo_chosen(easel: Easel, tmp_path: Path) -> None:
    project(easel)
    dark, _ = photographed(easel, tmp_path)
    measure = easel.desk.projecting.page.measure
    choose(easel, measure.dark, dark)
    easel.answers.photo = None
    measure.dark.activated.emit(measure.dark.count() - 1)
    assert measure.dark.shot is not None
    assert measure.dark.currentText() == dark.name


def test_a_photo_on_the_ledge_can_be_measured_by(easel: Easel, tmp_path: Path) -> None:
    project(easel)
    files = photographed(easel, tmp_path)
    drop(easel.desk.ledge, list(files))
    measure = easel.desk.projecting.page.measure
    for chooser, file in ((measure.dark, files[0]), (measure.lit, files[1])):
        at = next(i for i in range(chooser.count()) if chooser.itemText(i) in (file.name, file.stem))
        chooser.setCurrentIndex(at)
        chooser.activated.emit(at)
    measure.measure.click()
    assert "too far right" in measure.corners[0].text()
