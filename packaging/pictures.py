"""Makes the README's pictures from the running program: ``.venv-dev/bin/python packaging/pictures.py``.

The demo painting is opened, its last sitting is found, laid flat and checked, and the window is grabbed as it stands.
"""

import os
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import cv2
from PySide6.QtCore import QEvent, QEventLoop, QPointF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app import look
from app.dialogs import real_dialogs
from app.live.settings import Kind, Wanted
from app.machine import Machine
from app.wall.sheet import Sheet
from app.window import MainWindow
from app.work import Worker
from core.canvas.locate import locate_canvas
from core.demo import make_demo_painting
from core.painting import Painting
from core.photo import load_photo

FOLDER = Path(__file__).resolve().parent.parent / "docs"
WIDTH, HEIGHT = 1366, 768
SETTLE_S, LONGEST_S, TICK_MS = 0.5, 20.0, 20
FILM_PX, FILM_FRAMES = (1440, 1080), 1500


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    application = QApplication([])
    look.apply_look(application)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "Enamel jug and quinces"
        with make_demo_painting(folder) as painting:
            _place_corners(painting)
        window = MainWindow(Worker(synchronous=True), real_dialogs(), Machine(Path(made) / "machine"))
        window.resize(WIDTH, HEIGHT)
        window.show()
        window.open_painting(folder)
        _grab(window, "reference", [])
        _grab(window, "to-mend", ["two", "canvas", "check", "acetate", "question_mend"])
        _grab(window, "value", ["difference", "question_value"])
        _grab(window, "grey-pair", ["acetate", "hang_grey_pair"], pointer_mm=(119.0, 221.0))
        _grab(window, "steps", ["hang_grey_pair", "acetate", "three", "steps"])
        _do(window, ["steps", "acetate", "two", "reference", "question_temperature"])
        _at_places(window, "pin_warmth", ((75.0, 205.0), (150.0, 150.0), (250.0, 60.0), (200.0, 250.0)))
        _grab(window, "temperature", ["warmth"], pointer_mm=(258.0, 210.0))
        _do(window, ["warmth", "question_edge"])
        _at_places(window, "focus_at_pointer", ((170.0, 140.0),))
        _grab(window, "edges", ["edge_plan"], pointer_mm=(284.0, 172.0))
        _do(window, ["edge_plan", "reference", "question_mix"])
        _mix(window)
        _do(window, ["question_value"])
        _grab(window, "first-marks", ["one", "first_marks", "order_of_work"])
        _grab(
            window, "trace", ["acetate", "first_marks", "order_of_work", "question_drawing", "trace", "trace_suggest"]
        )
        _grab(window, "sheets", ["close", "sheets", "newer"])
        _do(window, ["close", "one", "two", "question_sittings"])
        _sittings(window)
        _do(window, ["question_mend"])
        _arms_length(window)
        _live(window, Path(made) / "easel.avi")
        window.close()


def _sittings(window: MainWindow) -> None:
    """When the layers of the demo are dry, and the film of its progress."""
    assert window.desk is not None
    panel = window.desk.side.sittings
    panel.plan.open(False)
    panel.drying.open()
    _grab(window, "sittings", [])
    panel.drying.open(False)
    panel.plan.open()
    window.desk.placing.film_of_progress()
    _settle()
    _grab(window, "film", [])
    window.desk.placing.leave()


def _arms_length(window: MainWindow) -> None:
    """The fourth thing to mend, at the size of a small screen."""
    _do(window, ["arms_view"])
    assert window.desk is not None
    view = window.desk.arms.window
    assert view is not None
    view.showNormal()
    view.setGeometry(0, 0, WIDTH, HEIGHT)
    for _ in range(3):
        view.do("next")
    _settle()
    view.note.say("")
    view.grab().save(str(FOLDER / "arms-length.png"))
    print(FOLDER / "arms-length.png")
    window.desk.arms.close()


def _live(window: MainWindow, film: Path) -> None:
    """The demo's last sitting filmed, its corners placed on the outline that is offered."""
    assert window.desk is not None
    _film(window.desk.studio.painting, film)
    page = window.desk.placing.live
    _do(window, ["live"])
    page.open(Wanted(Kind.FILM, "easel", str(film)))
    _settle(lambda: page.show_on.shot is not None)
    page.place_corners()
    _settle()
    page.corners.accept.click()
    _settle(lambda: page.show_on.shot is not None and page.show_on.shot.followed is not None)
    for _ in range(6):  # until the frames of a few seconds have been counted
        _settle()
    window.say("")
    window.grab().save(str(FOLDER / "live.png"))
    print(FOLDER / "live.png")
    window.desk.placing.leave()


def _film(painting: Painting, film: Path) -> None:
    last = [photo for photo in painting.canvas_photos() if not photo.is_blank][-1]
    photo = load_photo(painting.photo_file(last.photo.id))
    frame = cv2.resize(photo.codes[..., ::-1], FILM_PX, interpolation=cv2.INTER_AREA)
    made = cv2.VideoWriter(str(film), cv2.VideoWriter.fourcc(*"MJPG"), 25.0, FILM_PX)
    for _ in range(FILM_FRAMES):
        made.write(frame)
    made.release()


def _mix(window: MainWindow) -> None:
    """Two mixes on the list, and a third in hand."""
    assert window.desk is not None
    window.desk.side.mix.recipe.set_view(palette="twelve tubes")
    for at in ((75.0, 205.0), (150.0, 150.0)):
        window.desk.mixing.mix(at)
        window.desk.mixing.put_on_list()
    window.desk.mixing.mix((258.0, 210.0))
    _grab(window, "mix", [])


def _place_corners(painting: Painting) -> None:
    for photo in painting.canvas_photos():
        fix = locate_canvas(load_photo(painting.photo_file(photo.photo.id)), painting.size)
        painting.set_corners(photo.id, fix.corners_px, found_by="outline", lens_k1=fix.k1)


def _point(sheet: Sheet, x_mm: float, y_mm: float) -> None:
    at, none = sheet.placed().point(x_mm, y_mm), Qt.MouseButton.NoButton
    everywhere = QPointF(sheet.mapToGlobal(at.toPoint()))
    moved = QMouseEvent(QEvent.Type.MouseMove, at, everywhere, none, none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(sheet, moved)


def _do(window: MainWindow, actions: Iterable[str]) -> None:
    for action in actions:
        window.actions_by_name[action].trigger()
        QApplication.processEvents()


def _at_places(window: MainWindow, action: str, places_mm: Iterable[tuple[float, float]]) -> None:
    for place in places_mm:
        if window.desk is not None:
            _point(window.desk.wall.sheets[0], *place)
        _do(window, [action])


def _settle(when: Callable[[], bool] | None = None) -> None:
    """For a moment; or until something is so, for a while at most."""
    end = time.monotonic() + (SETTLE_S if when is None else LONGEST_S)
    loop, tick = QEventLoop(), QTimer()
    tick.timeout.connect(lambda: loop.quit() if time.monotonic() > end or (when is not None and when()) else None)
    tick.start(TICK_MS)
    loop.exec()
    tick.stop()


def _grab(window: MainWindow, name: str, actions: list[str], *, pointer_mm: tuple[float, float] | None = None) -> None:
    _do(window, actions)
    window.say("")
    if pointer_mm is not None and window.desk is not None:
        _point(window.desk.wall.sheets[-1], *pointer_mm)
    _settle()
    window.grab().save(str(FOLDER / f"{name}.png"))
    if pointer_mm is not None and window.desk is not None:
        QApplication.sendEvent(window.desk.wall.sheets[-1], QEvent(QEvent.Type.Leave))
    print(FOLDER / f"{name}.png")


if __name__ == "__main__":
    main()
