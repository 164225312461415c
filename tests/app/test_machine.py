"""What the machine remembers lies where Qt would put it, also for commands that load no Qt."""

import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QStandardPaths
from PySide6.QtWidgets import QApplication

from app.machine import usual_folder


@pytest.fixture
def named(qapp: QApplication):
    before = QCoreApplication.applicationName()
    QCoreApplication.setApplicationName("Some Easel")
    yield "Some Easel"
    QCoreApplication.setApplicationName(before)


def test_it_is_the_folder_that_qt_names(named: str) -> None:
    told = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    assert usual_folder(named) == Path(told)


@pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="the variable is of freedesktop.org")
@pytest.mark.parametrize("given", ["/somewhere/else", "not/absolute", ""])
def test_it_follows_the_data_home_that_is_set(named: str, given: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", given)
    told = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)
    assert usual_folder(named) == Path(told)
