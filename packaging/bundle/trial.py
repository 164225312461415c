"""The trial of a bundle by itself: are all its parts there, and does the window open on the demo painting?"""

# ruff: noqa: PLC0415 (nothing is loaded before the window that it does not load itself)

import gc
import importlib
import json
import pkgutil
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QFontDatabase, QImageReader
from PySide6.QtWidgets import QApplication

LONGEST_S, TICK_MS = 120.0, 50


def try_window() -> int:
    """Open the demo painting, print what was found as one line of JSON, close; 0 when nothing is missing."""
    from app.window import MainWindow, run

    class Watch(QObject):
        """Notes when the first window is painted; closes it when the painting is open."""

        def __init__(self) -> None:
            super().__init__(application)
            self.told: dict[str, object] = {}
            self._timer = QTimer(self)
            self._timer.timeout.connect(self._look)
            self._until = time.monotonic() + LONGEST_S

        def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's own name)
            if event.type() == QEvent.Type.Paint and isinstance(watched, MainWindow):
                application.removeEventFilter(self)
                QTimer.singleShot(0, self, self._painted)
            return False

        def _painted(self) -> None:
            self.told["first window"] = time.time()
            self._timer.start(TICK_MS)

        def _look(self) -> None:
            window = next((w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow)), None)
            if window is None:
                return
            is_open = window.desk is not None
            if is_open:
                self.told["painting open"] = time.time()
            if is_open or time.monotonic() > self._until:
                self._timer.stop()
                window.close()

    application = QApplication(sys.argv[:1])
    watch = Watch()
    application.installEventFilter(watch)
    code = run([], demo=True)
    told = watch.told | {
        "typeface": "Inter" in QFontDatabase.families(),
        "pictures": sorted(bytes(each.data()).decode() for each in QImageReader.supportedImageFormats()),
        "modules": _bring_all(),
        "film": _film(),
        "HEIC": _heic(),
    }
    print(json.dumps(told))
    gc.collect()
    good = code == 0 and "painting open" in told and told["typeface"] and told["film"] and told["HEIC"]
    return 0 if good and "svg" in told["pictures"] else 1


def _bring_all() -> int:
    """Import every module of the program, and what they bring only when it is used; how many of its own there are."""
    import app
    import core

    names = [
        each.name
        for package in (core, app)
        for each in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        if not each.name.endswith("__main__")
    ]
    for name in (*names, "aiohttp.web", "colour", "pillow_heif", "PIL.ImageCms", "reportlab.pdfgen.canvas", "segno"):
        importlib.import_module(name)
    return len(names)


def _film() -> int:
    """How many pictures of a film are read back through FFmpeg, which streams are read through too."""
    import cv2
    import numpy as np

    with tempfile.TemporaryDirectory() as made:
        file = str(Path(made) / "film.avi")
        film = cv2.VideoWriter(file, cv2.CAP_FFMPEG, cv2.VideoWriter.fourcc(*"MJPG"), 10, (64, 48))
        for grey in (40, 120, 200):
            film.write(np.full((48, 64, 3), grey, np.uint8))
        film.release()
        frames = cv2.VideoCapture(file, cv2.CAP_FFMPEG)
        count = 0
        while frames.read()[0]:
            count += 1
        frames.release()
    return count


def _heic() -> bool:
    """Whether a photo such as phones take is read: ochre on the left, a dark grey on the right."""
    from core.photo import load_photo

    colours = load_photo(Path(__file__).with_name("trial.heic")).display().reshape(48, 64, 3).astype(int)
    ochre, grey = colours[24, 12], colours[24, 52]
    return bool(abs(ochre - (200, 150, 60)).max() < 12 and abs(grey - 60).max() < 12)
