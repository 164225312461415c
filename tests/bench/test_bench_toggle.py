"""How long the wall takes to follow a key, once its pictures are made."""

import os

os.environ["QT_QPA_PLATFORM"] = "offscreen"

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture

from app.dialogs import real_dialogs
from app.machine import Machine
from app.window import MainWindow
from app.work import Worker
from core.painting import Painting
from core.size import Size
from tests.studio import references

LONGEST_S = 0.016
SIZE = Size(600, 400)


@pytest.fixture
def window(qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    """A painting from a photograph of 24 megapixels is open."""
    photo = tmp_path / "reference.jpg"
    Image.fromarray(references.pixels("chelsea", SIZE, width=6000)).save(photo, quality=92)
    Painting.create(tmp_path / "painting", "Cat", SIZE, photo).close()
    made = MainWindow(Worker(synchronous=True), real_dialogs(), Machine(tmp_path / "machine"))
    made.resize(1366, 768)
    made.show()
    made.open_painting(tmp_path / "painting")
    yield made
    made.close()
    made.deleteLater()


@pytest.mark.parametrize("name", ["grey", "steps", "squint"])
def test_a_toggle_is_seen_within_a_frame(benchmark: BenchmarkFixture, window: MainWindow, name: str) -> None:
    def toggle() -> None:
        window.actions_by_name[name].trigger()
        QApplication.processEvents()

    toggle()
    benchmark.pedantic(toggle, rounds=40, warmup_rounds=4)
    print(f"\n{name}: best {benchmark.stats['min']:.4f} of {LONGEST_S:g} s")
