"""A painting that all tests of the page start from, and the page with a copy of it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.work import Worker
from tests.app.reporting.report_case import Report, make_finished, make_painting, report_page


@pytest.fixture(scope="session")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_painting(tmp_path_factory.mktemp("report"))


@pytest.fixture(scope="session")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_finished(tmp_path_factory.mktemp("finished"))


@pytest.fixture
def report(qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path) -> Iterator[Report]:
    """Without a card in any photo."""
    made = report_page(qtbot, worker, tmp_path, plain)
    yield made
    made.whole.leave()
    made.studio.close()


@pytest.fixture
def carded(qtbot: QtBot, worker: Worker, tmp_path: Path, finished: Path) -> Iterator[Report]:
    """With a card in the final photo."""
    made = report_page(qtbot, worker, tmp_path, finished)
    yield made
    made.whole.leave()
    made.studio.close()
