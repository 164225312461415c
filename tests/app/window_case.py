"""What the tests of the window share: answers to its dialogs, photographs, and a window ready to be used."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from threading import Event
from typing import Any

import numpy as np
from PIL import Image
from pytestqt.qtbot import QtBot

from app.checks import Checker, carry_out
from app.dialogs import Dialogs
from app.machine import Machine
from app.window import MainWindow
from app.work import Progress, Worker
from core.painting import Painting
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph
from tests.studio.displacement import Displacement
from tests.studio.painter import ValueFault, paint

SIZE = Size(200, 150)
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="150mm" viewBox="0 0 200 150">
<path id="brow" d="M 40 50 C 60 40 80 40 100 50" fill="none" stroke="black"/>
<circle class="landmark" id="left eye" cx="77" cy="62" r="1"/>
<circle class="landmark" id="right eye" cx="136" cy="70" r="1"/></svg>"""


@dataclass
class Answers:
    """What the painter chooses in the dialogs; None or nothing is a change of mind."""

    photo: Path | None = None
    photos: tuple[Path, ...] = ()
    drawing: Path | None = None
    film: Path | None = None
    folder: Path | None = None
    save: Path | None = None
    backup: Path | None = None
    new_folder: Path | None = None
    text: str | None = None
    opened: list[Path] = field(default_factory=list)

    def dialogs(self) -> Dialogs:
        return Dialogs(
            choose_photo=lambda parent, title: self.photo,
            choose_photos=lambda parent, title: self.photos,
            choose_drawing=lambda parent: self.drawing,
            choose_film=lambda parent: self.film,
            choose_folder=lambda parent, title, start: self.folder,
            choose_save=lambda parent, title, suggested: self.save,
            ask_text=lambda parent, question, present: self.text,
            open_file=self._open,
            choose_backup=lambda parent: self.backup,
            choose_new_folder=lambda parent, title, suggested: self.new_folder,
        )

    def _open(self, file: Path) -> bool:
        self.opened.append(file)
        return True


@dataclass
class Easel:
    """A window before a painter, everything in it done at once."""

    window: MainWindow
    answers: Answers
    folder: Path

    def press(self, *names: str) -> None:
        """Do what the keys of these actions do."""
        for name in names:
            self.window.actions_by_name[name].trigger()

    @property
    def desk(self) -> Any:
        assert self.window.desk is not None
        return self.window.desk

    @property
    def said(self) -> str:
        return self.window.strip.sentence

    def offer(self, words: str) -> None:
        """Take up what is offered with the message."""
        next(button for button in self.window.strip.offers if words in button.text()).click()


def make_easel(qtbot: QtBot, worker: Worker, folder: Path) -> Easel:
    answers, machine = Answers(), Machine(folder / "machine")
    machine.keep(checks_new=False)  # or every photo let fall would be checked
    window = MainWindow(worker, answers.dialogs(), machine)
    qtbot.addWidget(window)
    window.resize(1366, 768)
    window.show()
    return Easel(window, answers, folder)


def easel_with_canvas(qtbot: QtBot, worker: Worker, folder: Path) -> Easel:
    """A painting open, with a canvas photo hung beside its reference and laid flat."""
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(make_painting(folder))
    drop(made.desk.ledge, [canvas_shot(folder)[0]])
    made.desk.studio.painting.set_corners(made.desk.studio.canvas_photo.id, CORNERS)
    return made


def reference_photo(folder: Path, *, width: int = 800, height: int = 600) -> Path:
    """A real photograph as a file."""
    pixels = references.pixels("chelsea", Size(width / 4, height / 4), width=width)
    file = folder / "my cat.jpg"
    Image.fromarray(pixels).save(file, quality=92)
    return file


def make_painting(folder: Path, *, px_per_mm: int = 3) -> Path:
    """A painting with its reference and its drawing, closed again; its folder."""
    where = folder / "painting"
    photo = reference_photo(folder, width=SIZE.width_mm * px_per_mm, height=SIZE.height_mm * px_per_mm)
    with Painting.create(where, "Cat", SIZE, photo) as painting:
        painting.set_drawing(SVG)
    return where


CORNERS = ((150.0, 110.0), (1062.0, 118.0), (1055.0, 790.0), (143.0, 800.0))
FAULT = ValueFault(60, 100, 25, 20, -1.5)
SHIFT_MM = 2.0


@cache
def _shot(exposure: float) -> bytes:
    encoded = references.pixels("chelsea", SIZE, width=800)
    drift = Displacement(SIZE, shift_mm=(SHIFT_MM, 0.0))
    painted = paint(references.linear(encoded), drift, faults=(FAULT,), brushwork="texture", px_per_mm=4.0)
    return photograph(painted, Camera(CORNERS, width=1200, height=900, setting="wall", exposure=exposure)).jpeg()


def canvas_shot(
    folder: Path, name: str = "canvas.jpg", *, exposure: float = Camera.exposure
) -> tuple[Path, np.ndarray[Any, Any]]:
    """A simulated photo of the canvas and its true corners.

    A passage of the painting is 1.5 steps too dark, and everything is painted 2 mm too far right.
    """
    file = folder / name
    # A few bytes after the end of the picture make every file another photograph to the painting.
    file.write_bytes(_shot(exposure) + name.encode())
    return file, np.array(CORNERS)


def drop(widget: Any, files: list[Path]) -> None:
    """Let files fall onto a widget."""
    from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
    from PySide6.QtGui import QDragEnterEvent, QDropEvent

    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(file)) for file in files])
    rest = (Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    enter = QDragEnterEvent(QPointF(10, 10).toPoint(), *rest)
    widget.dragEnterEvent(enter)
    assert enter.isAccepted()
    widget.dropEvent(QDropEvent(QPointF(10, 10), *rest))


def check_photo(painting: Painting, photo_id: int) -> None:
    """Check a canvas photo, its corners placed, and keep what was found, with no window before it."""
    order = Checker(painting, Worker(synchronous=True)).order(photo_id)
    assert order is not None
    painting.set_check_result(photo_id, carry_out(order, Progress(lambda share, doing: None, Event())))


Make = Callable[[], Easel]
