"""A painting that is open with nothing before it but arm's length."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.arms.arms import ArmsLength
from app.findings import stored
from app.machine import Machine
from app.studio import Studio
from core.painting import Painting
from tests.app.arms.arms_case import Bench, end_studio, make_studio
from tests.app.test_questions import CHECK, PASSAGE, SURE
from tests.app.window_case import CORNERS, canvas_shot, make_painting

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A painting with one photo of its canvas, laid flat; with and without its check."""
    folder = tmp_path_factory.mktemp("arms")
    where = make_painting(folder)
    shutil.copytree(where, folder / "bare")
    with Painting.open(where) as painting:
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder)[0]).id)
        painting.set_corners(photo.id, CORNERS)
        painting.set_check_result(photo.id, stored(CHECK, SURE, [PASSAGE]))
    return where


@pytest.fixture(scope="module")
def studio(qapp: QApplication, kept: Path) -> Iterator[Studio]:
    """Reference and canvas hang, and there are two things to mend; for tests that change only the view."""
    made = make_studio(kept, kept.parent / "shared")
    yield made
    end_studio(made)


@pytest.fixture
def bench(qtbot: QtBot, studio: Studio, tmp_path: Path) -> Iterator[Bench]:
    before = studio.view
    made = Bench(QWidget(), studio, Machine(tmp_path))
    yield made
    studio.change_view(before)
    made.close()


@pytest.fixture(params=["painting"])
def own(qtbot: QtBot, kept: Path, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Bench]:
    """The same on a painting that may be changed; or on one that has no photo of its canvas: ``bare``."""
    studio = make_studio(kept.with_name(request.param), tmp_path / "own")
    made = Bench(QWidget(), studio, Machine(tmp_path))
    yield made
    made.close()
    end_studio(studio)


@pytest.fixture
def arms(bench: Bench) -> ArmsLength:
    return bench.open()
