"""One window for the tests that only look at the scan page, and finders that need not look."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication

from tests.app.scan_case import found, left_alone, outline, shared_easel
from tests.app.window_case import Easel


@pytest.fixture(scope="module")
def one_easel(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Easel]:
    """One window for all tests that change nothing of the painting."""
    with shared_easel(tmp_path_factory.mktemp("one easel")) as made:
        yield made


@pytest.fixture
def looking(one_easel: Easel) -> Iterator[Easel]:
    """Its painting, left as it was found."""
    with left_alone(one_easel):
        yield one_easel


@pytest.fixture
def outline_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet is offered without being looked for: what matters is what is done with it."""
    monkeypatch.setattr("app.scanning.page.find_outline", outline)


@pytest.fixture
def read_once(outline_known: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines too were found before."""
    monkeypatch.setattr("app.scanning.page.find_lines", lambda *_: found())
