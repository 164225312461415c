"""A painting that all tests of the panel start from, a clock, and the window before it."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.work import Worker
from tests.app.sittings.sitting_case import Clock, make_plain, sitting_easel
from tests.app.window_case import Easel


@pytest.fixture(scope="session")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_plain(tmp_path_factory.mktemp("sittings"))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path, clock: Clock) -> Easel:
    return sitting_easel(qtbot, worker, tmp_path, plain, clock)
