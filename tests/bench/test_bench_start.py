"""How long the first window takes, from the start of the process."""

import os
import subprocess
import sys
from pathlib import Path

from pytest_benchmark.fixture import BenchmarkFixture

LONGEST_S = 1.5

_FIRST_WINDOW = """
import sys, tempfile
from pathlib import Path
from PySide6.QtWidgets import QApplication
from app import look
from app.dialogs import real_dialogs
from app.machine import Machine
from app.window import MainWindow
from app.work import Worker

app = QApplication([])
look.apply_look(app)
window = MainWindow(Worker(), real_dialogs(), Machine(Path(tempfile.gettempdir()) / "no such machine"))
window.show()
app.processEvents()
heavy = {"cv2", "scipy", "colour", "reportlab", "PIL", "tifffile", "pillow_heif"} & sys.modules.keys()
sys.exit(f"imported before the first window: {sorted(heavy)}" if heavy else 0)
"""


def first_window() -> None:
    root = Path(__file__).resolve().parents[2]
    environment = os.environ | {"QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(root)}
    subprocess.run([sys.executable, "-c", _FIRST_WINDOW], check=True, env=environment, timeout=60)


def test_nothing_heavy_is_imported_before_the_first_window() -> None:
    first_window()


def test_first_window_stands_soon(benchmark: BenchmarkFixture) -> None:
    benchmark.pedantic(first_window, rounds=5, warmup_rounds=1)
    print(f"\nfirst window best {benchmark.stats['min']:.4f} of {LONGEST_S:g} s")
