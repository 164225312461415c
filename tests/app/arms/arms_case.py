"""What the tests of arm's length share: a painting open with nothing before it but the view."""

import shutil
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from app.arms.arms import ArmsLength
from app.arms.window import ArmsWindow
from app.findings import stored
from app.machine import Machine
from app.studio import Studio
from app.work import Worker
from core.painting import Painting
from tests.app.test_questions import PASSAGE, SURE
from tests.app.window_case import canvas_shot

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


class CountedAwake:
    """Counts how often it is held and let go. ``kept``: what it says."""

    def __init__(self, *, kept: bool = True) -> None:
        self.kept, self.held = kept, 0

    def hold(self) -> bool:
        self.held += 1
        return self.kept

    def release(self) -> None:
        self.held = 0


@dataclass
class Bench:
    """An open painting with nothing before it but arm's length."""

    host: QWidget
    studio: Studio
    machine: Machine
    asked: list[str] = field(default_factory=list)
    opened: list[ArmsLength] = field(default_factory=list)

    def open(self, size: tuple[int, int] = (1366, 768), **options: Any) -> ArmsLength:
        """Open it, on a screen of a known size."""
        options = {"awake": CountedAwake()} | options
        arms = ArmsLength(self.studio, lambda: self.asked.append("check"), self.host, **options)
        arms.machine = self.machine
        self.opened.append(arms)
        arms.open()
        window = shown(arms)
        window.showNormal()
        window.setGeometry(0, 0, *size)
        QApplication.processEvents()
        return arms

    def close(self) -> None:
        for arms in self.opened:
            arms.close()
            if arms.window is not None:
                arms.window.deleteLater()
        self.studio.save_view()
        if isValid(self.host):
            self.host.deleteLater()

    def give_check(self, check: dict[str, Any]) -> None:
        self.studio.painting.set_check_result(self.studio.canvas_photo.id, stored(check, SURE, [PASSAGE]))
        self.studio.read_check()

    def add_photo(self, folder: Path, name: str) -> int:
        painting = self.studio.painting
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder, name)[0]).id).id
        self.studio.hang_canvas_photo(photo)
        return photo


def shown(arms: ArmsLength) -> ArmsWindow:
    assert arms.window is not None
    return arms.window


def make_studio(where: Path, folder: Path) -> Studio:
    shutil.copytree(where, folder)
    studio = Studio(Painting.open(folder), Worker(synchronous=True))
    studio.begin()
    return studio


def end_studio(studio: Studio) -> None:
    studio.close()
    studio.worker.close()


def press(qtbot: QtBot, arms: ArmsLength, *keys: Qt.Key) -> None:
    for key in keys:
        qtbot.keyClick(shown(arms), key)


def ringed(arms: ArmsLength) -> tuple[float, float] | None:
    place = shown(arms).wall._place
    return None if place is None else (place.x_mm, place.y_mm)
