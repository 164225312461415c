"""A new canvas photo lies flat like the one before and is checked, with nothing pressed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from pytestqt.qtbot import QtBot
from skimage import data

from app.view import Question
from app.work import Worker
from core import check_reference
from core.canvas import foretold
from core.canvas.foretold import LastSeen
from tests.app.window_case import CORNERS, Easel, canvas_shot, drop, easel_with_canvas

NEXT = "next.jpg"


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = easel_with_canvas(qtbot, worker, tmp_path)
    made.window.machine.keep(checks_new=True)
    return made


def test_the_next_photo_is_laid_flat_and_checked(easel: Easel, tmp_path: Path) -> None:
    first = easel.desk.studio.canvas_photo.id
    drop(easel.desk.ledge, [canvas_shot(tmp_path, NEXT, exposure=0.9)[0]])
    studio = easel.desk.studio
    photo = studio.canvas_photo
    assert photo.id != first
    assert photo.found_by == "outline"
    assert np.abs(np.array(photo.corners) - CORNERS).max() < 1.5
    assert studio.painting.check_result(photo.id) is not None
    assert studio.checked is not None
    assert studio.checked.findings.is_current
    assert studio.view.question is Question.MEND
    assert "The check is done" in easel.said
    easel.press("undo")
    assert studio.canvas_photo.corners is None


def test_a_photo_of_something_else_is_asked_for_its_corners(easel: Easel, tmp_path: Path) -> None:
    file = tmp_path / "coffee.jpg"
    Image.fromarray(data.coffee()).save(file)
    drop(easel.desk.ledge, [file])
    assert easel.desk.studio.canvas_photo.corners is None
    assert "place the canvas’s corners" in easel.said


def test_a_painter_may_not_want_it(easel: Easel, tmp_path: Path) -> None:
    menu = easel.desk.ledge.more_menu()
    line = next(line for line in menu.actions() if "check them as they come" in line.text())
    assert line.isChecked()
    line.trigger()
    assert not easel.window.machine.kept.checks_new
    drop(easel.desk.ledge, [canvas_shot(tmp_path, NEXT)[0]])
    assert easel.desk.studio.canvas_photo.corners is None


def test_what_is_read_beforehand_is_not_read_again(
    easel: Easel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    easel.desk.arrivals.foretelling.get_ready()

    def again(*_: object, **__: object) -> None:
        raise AssertionError("made once more")

    monkeypatch.setattr(check_reference, "reference_flat", again)
    monkeypatch.setattr(check_reference, "prepared_edges", again)
    monkeypatch.setattr(foretold.LastSeen, "of", _once_a_photo(foretold.LastSeen.of))
    drop(easel.desk.ledge, [canvas_shot(tmp_path, NEXT, exposure=0.9)[0]])
    assert "The check is done" in easel.said


def _once_a_photo(real: Callable[..., LastSeen]) -> Callable[..., LastSeen]:
    """For the new photo only, whose marks are known then."""

    def of(*given: Any, marks: Any = None) -> LastSeen:
        assert marks is not None
        return real(*given, marks=marks)

    return of
