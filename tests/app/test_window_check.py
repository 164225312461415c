"""A check from the window: run on a simulated canvas whose faults are known, stopped, and overtaken by a change."""

import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import carry_out, check_folder
from app.findings import read_findings
from app.view import Look, Question
from app.work import Progress, Worker
from core.errors import CancelledError
from core.painting import Painting
from tests.app.window_case import (
    CORNERS,
    FAULT,
    SHIFT_MM,
    SIZE,
    Easel,
    canvas_shot,
    check_photo,
    drop,
    make_easel,
    make_painting,
)


@pytest.fixture(scope="module")
def checked_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A painting with one canvas photo, its corners placed, and its check made: once for all tests here."""
    folder = tmp_path_factory.mktemp("check")
    where = make_painting(folder)
    with Painting.open(where) as painting:
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder)[0]).id)
        painting.set_corners(photo.id, CORNERS)
        check_photo(painting, photo.id)
    return where


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return make_easel(qtbot, worker, tmp_path)


@pytest.fixture
def placed(easel: Easel, tmp_path: Path) -> Easel:
    """A canvas photo hangs, its corners placed; it has not been checked."""
    easel.window.open_painting(make_painting(tmp_path))
    drop(easel.desk.ledge, [canvas_shot(tmp_path)[0]])
    easel.desk.studio.painting.set_corners(easel.desk.studio.canvas_photo.id, CORNERS)
    return easel


def _unheard(share: float, doing: str) -> None:
    """Nobody listens to the progress here."""


def test_faults_of_the_painter_are_found_and_shown(easel: Easel, checked_folder: Path) -> None:
    easel.window.open_painting(checked_folder)
    findings = easel.desk.studio.checked.findings
    assert findings.is_current
    assert f"{SHIFT_MM:.0f}." in findings.whole or "1.9 mm" in findings.whole
    assert "too far right" in findings.whole
    darkest = min(findings.areas, key=lambda area: area.steps)
    assert np.hypot(darkest.x_mm - FAULT.x_mm, darkest.y_mm - FAULT.y_mm) < 10
    assert darkest.steps == pytest.approx(FAULT.steps, abs=0.4)
    assert findings.certainty
    listed = [line.say for line in easel.desk.side.mend.lines.lines]
    assert any("too dark" in say for say in listed)


def test_difference_of_a_check_made_earlier_hangs_at_once(easel: Easel, checked_folder: Path) -> None:
    easel.window.open_painting(checked_folder)
    easel.press("difference")
    hanging = easel.desk.wall.hangings[easel.desk.studio.view.selected]
    assert hanging.title == "Value difference · canvas.jpg"
    assert hanging.picture.width / hanging.mapping.px_per_mm == pytest.approx(SIZE.width_mm)


def test_all_files_of_the_check_lie_in_the_painting_s_folder(checked_folder: Path) -> None:
    with Painting.open(checked_folder) as painting:
        (photo,) = painting.canvas_photos()
        names = {file.name for file in check_folder(painting, photo.id).iterdir()}
    assert {"check.json", "check.npz", "check.pdf"} <= names


def test_check_key_runs_the_check_and_tells_how_much_there_is_to_mend(placed: Easel) -> None:
    placed.press("question_value", "check")
    count = len(placed.desk.studio.checked.findings.mend)
    assert f"{count} thing" in placed.said
    placed.offer("Show the list")
    assert placed.desk.studio.view.question is Question.MEND
    assert len(placed.desk.side.mend.lines.lines) == count


def test_difference_key_makes_the_check_it_needs(placed: Easel) -> None:
    placed.press("difference")
    assert placed.desk.studio.view.chosen.look is Look.DIFFERENCE
    assert placed.desk.studio.checked.difference is not None


def test_check_without_corners_leads_to_placing_them(easel: Easel, tmp_path: Path) -> None:
    easel.window.open_painting(make_painting(tmp_path))
    drop(easel.desk.ledge, [canvas_shot(tmp_path)[0]])
    easel.press("check")
    assert "corners are not placed" in easel.said
    easel.offer("Place the corners")
    assert easel.desk.placing.is_away


def test_a_stopped_check_leaves_nothing_behind(placed: Easel) -> None:
    order = placed.desk.studio.checker.order(placed.desk.studio.canvas_photo.id)
    stopped = threading.Event()
    stopped.set()
    with pytest.raises(CancelledError):
        carry_out(order, Progress(_unheard, stopped))
    assert not order.folder.exists()


def test_a_check_overtaken_by_a_change_is_not_kept(placed: Easel, checked_folder: Path) -> None:
    studio = placed.desk.studio
    order = studio.checker.order(studio.canvas_photo.id)
    with Painting.open(checked_folder) as other:
        (photo,) = other.canvas_photos()
        record = other.check_result(photo.id)
    assert record is not None
    assert read_findings(record.result, SIZE) is not None
    studio.checker._keep(replace(order, lens_k1=-0.05), record.result)
    assert "Something was changed" in placed.said
    assert studio.painting.check_result(studio.canvas_photo.id) is None


def test_steps_chosen_for_looking_do_not_make_a_check_stale(easel: Easel, checked_folder: Path) -> None:
    easel.window.open_painting(checked_folder)
    before = easel.desk.studio.view.steps
    easel.press("more_steps")
    assert easel.desk.studio.view.steps == before + 1
    assert "was checked" in easel.desk.side.check_bar.state.text()


def test_a_check_is_against_the_reference_as_it_hangs_keyed_or_not(placed: Easel) -> None:
    studio = placed.desk.studio
    photo = studio.canvas_photo.id
    assert studio.checker.order(photo).keyed is None
    placed.press("keying")
    order = studio.checker.order(photo)
    assert order.keyed is not None
    found = read_findings(carry_out(order, Progress(_unheard, threading.Event())), SIZE)
    assert found is not None
    assert any("against the keyed reference (keep the lights, within 1.6 to 9.5)" in line for line in found.certainty)
