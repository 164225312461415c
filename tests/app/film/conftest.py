"""One painting with photos for all tests of its film; each has a copy of its own."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.work import Worker
from tests.app.film.film_page_case import Shown, film_shown, make_film_painting


@pytest.fixture(scope="session")
def painted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_film_painting(tmp_path_factory.mktemp("film"))


@pytest.fixture
def shown(qtbot: QtBot, worker: Worker, tmp_path: Path, painted: Path) -> Iterator[Shown]:
    with film_shown(qtbot, worker, tmp_path, painted) as made:
        yield made
