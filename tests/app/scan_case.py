"""Drawings that are known exactly, as photos and scans on disk, and the page that reads them."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from PySide6.QtWidgets import QApplication

from app.machine import Machine
from app.prints import whole_photo
from app.scanning.jobs import Found, Shot, find_lines
from app.scanning.page import ScanPage
from app.window import MainWindow
from app.work import Progress, Worker
from core.drawing.drawing import Drawing
from core.drawing.scan_find import SheetFix
from core.drawing.svg_read import drawing_from_svg
from core.photo import Photo
from core.size import Size
from tests.app.window_case import SIZE, SVG, Answers, Easel, make_painting
from tests.core.drawing.drawn_sheets import Stroke, as_photo, drawn, paper, random_strokes, square_photo
from tests.studio.painter import Painted

FOUND, FALSE = 0.95, 0.05
"""Shares of length: at least so much of the truth has a line within 0.4 mm, at most so much that was found has none."""
A6 = Size(148.0, 105.0)


@cache
def strokes(sheet: Size = SIZE) -> tuple[Stroke, ...]:
    """Lines in pencil, of two weights."""
    drawn_ = random_strokes(np.random.default_rng(2), sheet, count=6)
    return tuple(replace(each, width_mm=(1.1, 0.4)[k % 2], shade="pencil") for k, each in enumerate(drawn_))


@cache
def _painted(sheet: Size, with_lines: bool) -> Painted:
    rng = np.random.default_rng(1)
    return drawn(list(strokes(sheet)) if with_lines else [], paper(sheet, rng, px_per_mm=6.0), sheet, rng)


@cache
def photographed(sheet: Size = SIZE, with_lines: bool = True) -> tuple[Photo, Any]:
    """By hand, uneven light, on a table; and the sheet's true corners."""
    return as_photo(_painted(sheet, with_lines), 3, width=1200, height=900)


@cache
def found() -> Found:
    """The lines of :func:`photographed`, read once."""
    photo, corners = photographed()
    progress = Progress(lambda share, say: None, threading.Event())
    return find_lines(Shot("sheet.jpg", photo, whole_photo(photo), SIZE), SIZE, SIZE, corners, 0.0, progress)


def outline(*_: object) -> SheetFix:
    """The true outline of :func:`photographed`, without looking for it."""
    return SheetFix(photographed()[1], SIZE, 0.0, 0.97, 0.05)


def photo_file(folder: Path, photo: Photo, name: str = "sheet.jpg") -> Path:
    file = folder / name
    Image.fromarray(photo.display()).save(file, quality=92)
    return file


def shot(folder: Path, sheet: Size = SIZE, *, with_lines: bool = True) -> Path:
    """The photo as a file."""
    return photo_file(folder, photographed(sheet, with_lines)[0])


def scanned(folder: Path, sheet: Size = SIZE) -> Path:
    """A scanner's picture of it as a file."""
    return photo_file(folder, square_photo(_painted(sheet, with_lines=True)), "scan.png")


def scan_easel(worker: Worker, folder: Path) -> Easel:
    """A painting with a drawing of one line and two landmarks; its window is the caller's to close."""
    answers = Answers()
    made = Easel(MainWindow(worker, answers.dialogs(), Machine(folder / "machine")), answers, folder)
    made.window.resize(1366, 768)
    made.window.show()
    made.window.open_painting(make_painting(folder))
    return made


@contextmanager
def shared_easel(folder: Path) -> Iterator[Easel]:
    """The same for many tests, all of them :func:`left_alone`."""
    worker = Worker(synchronous=True)
    made = scan_easel(worker, folder)
    assert isinstance(made.desk.placing.scan, ScanPage)  # it is there, and so are the windows of its lists
    held = QApplication.topLevelWidgets()  # so that each is known again by what looks for windows left behind
    yield made
    held.clear()
    made.window.close()
    made.window.deleteLater()
    worker.close()


@contextmanager
def left_alone(easel: Easel) -> Iterator[None]:
    """For a test that changes nothing of the painting."""
    yield
    easel.desk.placing.leave()
    easel.window.say("")
    assert easel.desk.studio.painting.drawing_svg == SVG


def bring_in(easel: Easel, file: Path) -> ScanPage:
    """Choose a file for the drawing; the page that comes."""
    easel.answers.drawing = file
    easel.press("bring_in_drawing")
    page = easel.desk.placing.scan
    assert isinstance(page, ScanPage)
    return page


def kept(easel: Easel) -> Drawing:
    """The drawing as it is on disk."""
    return drawing_from_svg(easel.desk.studio.painting.drawing_svg, SIZE)
