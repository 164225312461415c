"""The guard against leaks catches what it is for, and names where it came from; and the wall leaves nothing behind."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]

LEAKY = """
import threading
from PySide6.QtCore import QThread, QTimer
from PySide6.QtWidgets import QWidget

kept = []

def test_window(qapp):
    window = QWidget()
    window.setWindowTitle("forgotten window")
    kept.append(window)

def test_timer(qapp):
    timer = QTimer()
    kept.append(timer)
    timer.start(60_000)

def test_thread():
    gate = threading.Event()
    threading.Thread(target=lambda: gate.wait(20), name="forgotten thread", daemon=True).start()

def test_qthread(qapp):
    thread = QThread()
    kept.append(thread)
    thread.start()

def test_clean(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    timer = QTimer(window)
    timer.start(60_000)
    timer.stop()
    done = threading.Thread(target=lambda: None)
    done.start()

def test_end(qapp):
    for thread in kept:
        if isinstance(thread, QThread):
            thread.quit()
            thread.wait()
"""


@pytest.fixture(scope="module")
def leaky_run(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("leaky")
    (folder / "conftest.py").write_text((HERE.parent / "conftest.py").read_text("utf-8"), "utf-8")
    (folder / "test_leaky.py").write_text(LEAKY, "utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-ra", "-p", "no:cacheprovider", str(folder)],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    return ran.stdout


@pytest.mark.parametrize(
    ("test", "said"),
    [
        ("test_window", "the window “forgotten window” of class PySide6.QtWidgets.QWidget"),
        ("test_timer", "timer.start(60_000)"),
        ("test_thread", "forgotten thread"),
        ("test_qthread", "thread.start()"),
    ],
)
def test_a_leak_fails_its_test_and_names_its_origin(leaky_run: str, test: str, said: str) -> None:
    assert f"ERROR test_leaky.py::{test}" in leaky_run
    assert said in leaky_run


def test_what_is_tidied_up_passes(leaky_run: str) -> None:
    assert "test_clean" not in leaky_run
    assert "6 passed, 4 errors" in leaky_run


SCALED = """
import numpy as np
from PySide6.QtWidgets import QApplication
from tests.app.wall_support import SIZE, codes, drawing, hanging, marked
from app.look import apply_look
from app.wall import Acetate, CornerPlacer, Sight, WallView

application = QApplication([])
apply_look(application, high_contrast=False)
wall = WallView(SIZE)
wall.resize(1000, 600)
wall.hang([hanging("Reference", marked(123, 77)), hanging("Canvas photo", marked(123, 77))])
wall.show()
application.processEvents()
assert wall.devicePixelRatioF() == 1.5, wall.devicePixelRatioF()
for sheet in wall.sheets:
    shot = sheet.grab().toImage()
    assert (shot.width(), shot.height()) == (round(1.5 * sheet.width()), round(1.5 * sheet.height()))
    white = np.argwhere(codes(sheet) > 200)
    at = sheet.placed().point(123, 77)
    off = (white.mean(axis=0) + 0.5) / 1.5 - (at.y(), at.x())
    assert np.abs(off).max() < 0.75, off
# Square pixels of the picture stay square where each is many of the screen's.
wall.look_at(Sight(121, 75, 16 * 5.0))
square = codes(wall.sheets[0]) > 200
assert square.any(axis=1).sum() > 200 and set(np.unique(codes(wall.sheets[0]))) <= {120, 255}
# A line of 2 screen units is 3 device pixels wide, with its rim.
wall.hang([hanging("Reference", marked(300, 200), overlays=(Acetate.of(drawing(), landmarks=False),))])
wall.look_at(Sight(100, 150, 4.0))
shot = codes(wall.sheets[0])
row = shot[shot.shape[0] // 2, shot.shape[1] // 2 - 40 : shot.shape[1] // 2 + 40]
assert 2 <= (row < 60).sum() <= 4, (row < 60).sum()
placer = CornerPlacer()
placer.resize(700, 500)
placer.set_photo(marked(200, 150))
placer.show()
application.processEvents()
placer.choose_corner(2)
assert placer.grab().toImage().width() == 1050
print("all well")
"""


def test_on_a_dense_screen_everything_lies_where_it_should() -> None:
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", SCALED],
        cwd=ROOT,
        env=os.environ | {"QT_SCALE_FACTOR": "1.5", "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        timeout=90,
        check=False,
    )
    assert ran.stdout.strip() == "all well", ran.stderr
