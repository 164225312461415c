"""The window: the start page, the page of a new painting, and the desk of the open one."""

import gc
import logging
import os
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QPoint, QRect, QSize, QStandardPaths, Qt
from PySide6.QtGui import QCloseEvent, QIcon, QKeyEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from app import look
from app.actions import make_actions
from app.backups.keeping import Keeping
from app.crash_log import listening
from app.dialogs import Dialogs, real_dialogs
from app.ledge.thumbs import Thumbs, file_name
from app.machine import LOG_FILE, PAINT_BOX_FILE, Machine, keep_log
from app.making import make_demo, make_painting, warm_up
from app.message import MessageStrip, Offer
from app.sheets import Sheets
from app.start import StartPage
from app.wall.wall_view import BLINK_KEY, LIFT_KEY
from app.work import Worker
from core.assets import FOLDER
from core.errors import PainterError

if TYPE_CHECKING:
    from app.desk import Desk
    from app.new_painting import NewPainting, NewPaintingPage
    from app.picture import Picture
    from core.painting import DayCopy, Painting
    from core.size import Size

NAME = "Easelside"
_FIRST_SIZE = (1280, 800)
_SMALLEST = (860, 480)
_HIDDEN_WORK = ("thumb", "read check", "drawing", "warm up", "rating", "check sheet", "corners: get ready")
_log = logging.getLogger("easelside.window")


class MainWindow(QMainWindow):
    """Shows one page at a time and says what has to be said; holds one open painting at most."""

    def __init__(self, worker: Worker, dialogs: Dialogs, machine: Machine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.worker, self.dialogs, self.machine = worker, dialogs, machine
        self.all_ended = True
        self.desk: Desk | None = None
        self.new_page: NewPaintingPage | None = None
        self._handlers: dict[str, Callable[[], object]] = {}
        self.thumbs = Thumbs(machine.folder / "thumbs", worker, self)
        self.actions_by_name = make_actions(self)
        for name, action in self.actions_by_name.items():
            action.triggered.connect(partial(self._act, name))
        self.start = StartPage()
        self.pages = QStackedWidget()
        self.pages.addWidget(self.start)
        self._host = host = QWidget()
        column = QVBoxLayout(host)
        column.setContentsMargins(0, 0, 0, 0)
        self.keeping = Keeping(self, host)
        column.addWidget(self.keeping.bar)
        column.addWidget(self.pages, 1)
        self.setCentralWidget(host)
        self.strip = MessageStrip(host, self._message_room)
        self.pages.currentChanged.connect(lambda _: self.strip.lay_out())
        self.sheets = Sheets(host, lambda: self.desk.studio.view.question if self.desk is not None else None)
        self._connect()
        self.setMinimumSize(*_SMALLEST)
        self._restore_place()
        self.show_start()

    def say(self, sentence: str, *offers: Offer, passing: bool = False) -> None:
        """Tell the painter; an empty sentence takes the last one away."""
        if sentence:
            self.strip.say(sentence, *offers, passing=passing)
        else:
            self.strip.clear()

    def show_start(self) -> None:
        self._let_go()
        self.setWindowTitle(NAME)
        self.start.show_recent(self.machine.kept.recent, self.thumbs.folder)
        self.pages.setCurrentWidget(self.start)
        self._use({})

    def take_paths(self, paths: Sequence[Path]) -> None:
        """A painting's folder is opened, a photo begins a new painting; more than one is a choice to be made."""
        if len(paths) == 1 and (paths[0].is_dir() or paths[0].name == "painting.sqlite"):
            self.open_painting(paths[0] if paths[0].is_dir() else paths[0].parent)
        elif len(paths) == 1 and paths[0].suffix.lower() == ".zip":
            self.keeping.backups.restore(paths[0])
        elif len(paths) == 1:
            self.begin_painting(paths[0])
        elif paths:
            self.say("Give one photograph to begin a painting, or one painting’s folder to open it.")

    def open_painting(self, folder: Path, *, look_only: bool = False) -> None:
        """Open a painting in place of what is open."""
        from core.painting import AlreadyOpenError, Painting

        self.say("")
        is_open = self.desk is not None and self.desk.studio.painting.folder == folder.absolute()
        if is_open and not self.keeping.is_earlier:
            return
        try:
            painting = Painting.open(folder, look_only=look_only)
        except AlreadyOpenError as trouble:
            self.say(str(trouble), Offer("Open it only to look", partial(self.open_painting, folder, look_only=True)))
        except PainterError as trouble:
            self.say(str(trouble))
        else:
            self.show_desk(painting)

    def begin_painting(self, photo: Path) -> None:
        """Read a photo and show it with the frame that crops it."""
        from app.new_painting import NewPaintingPage
        from app.prints import read_for_crop

        self.say("")
        self._let_go()
        if self.new_page is None:
            self.new_page = NewPaintingPage()
            self.new_page.made.connect(self.make_painting)
            self.new_page.left.connect(self.show_start)
            self.new_page.other_photo_wanted.connect(self._choose_photo)
            self.new_page.folder_wanted.connect(self._choose_folder)
            self.new_page.refused.connect(self.say)
            self.pages.addWidget(self.new_page)
        self.new_page.begin(photo, self.keeping.paintings(), self.machine.kept.unit)
        self.pages.setCurrentWidget(self.new_page)
        self.setWindowTitle(f"New painting – {NAME}")
        self._use({"close": self.show_start})
        self.worker.run("new photo", partial(read_for_crop, photo), self._show_crop, self._photo_refused)

    def make_painting(self, wanted: "NewPainting") -> None:
        """Make it in a worker, then open it."""
        self.say("")
        self.machine.keep(parent_folder=str(wanted.folder.parent))
        page = self.new_page
        assert page is not None
        page.make.setEnabled(False)
        ended, open_it = partial(page.make.setEnabled, True), lambda _: self.open_painting(wanted.folder)
        self.worker.run("make painting", partial(make_painting, wanted), open_it, self.say, ended)

    def open_demo(self) -> None:
        """Open the demo painting, made on this machine when it is wanted first."""
        folder = self.machine.folder / "Demo painting"
        if (folder / "painting.sqlite").exists():
            self.open_painting(folder)
        else:
            self.say("")
            self.worker.run("make demo", partial(make_demo, folder), lambda _: self.open_painting(folder), self.say)

    def set_arms_length(self, on: bool) -> None:
        """Large type, to read from the easel; or the usual."""
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        look.apply_look(app, arms_length=on)
        self.machine.keep(arms_length=on)
        self.actions_by_name["arms_length"].setChecked(on)
        if self.desk is not None:
            self.desk.restyle()

    def change_unit(self) -> None:
        """Centimetres or inches, for the scale bar and wherever a size is said."""
        self.machine.keep(unit="in" if self.machine.kept.unit == "cm" else "cm")
        if self.desk is not None:
            self.desk.wall.set_unit(self.machine.kept.unit)
        self._title()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._hold(event, True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self._hold(event, False):
            super().keyReleaseEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.strip.clear()
        self.machine.keep(geometry=bytes(self.saveGeometry().toHex().data()).decode())
        self._let_go()
        self.hide()  # nobody need watch while the last piece of work is stopped
        self.all_ended = self.worker.close()
        super().closeEvent(event)

    def _connect(self) -> None:
        self.start.photo_wanted.connect(self._choose_photo)
        self.start.photo_given.connect(self.begin_painting)
        self.start.open_wanted.connect(self._choose_painting)
        self.start.painting_given.connect(self.open_painting)
        self.start.demo_wanted.connect(self.open_demo)
        self.start.keys_wanted.connect(self.sheets.keys.show_keys)
        self.start.forget_wanted.connect(self._forget)
        self.start.dropped.connect(self.take_paths)
        self.keeping.follow_start(self.start)
        self.strip.cancelled.connect(self.worker.cancel)
        self.worker.progressed.connect(self._show_work)
        self.worker.idle.connect(self.strip.end_work)
        self.worker.failed.connect(lambda _channel, sentence: self.say(sentence))

    def _message_room(self) -> QRect:
        """Where a message may lie: over the pictures, never over what is to be pressed."""
        page = self.pages.currentWidget()
        over: QWidget = self.start
        if self.desk is not None and page is self.desk:
            over = self.desk.message_room
        elif self.new_page is not None and page is self.new_page:
            over = self.new_page.crop_view
        return QRect(over.mapTo(self._host, QPoint(0, 0)), over.size())

    def _act(self, name: str, _checked: bool = False) -> None:
        if self.sheets.put_away(name):
            return
        handler = self._handlers.get(name)
        if handler is not None:
            handler()

    def _use(self, page: dict[str, Callable[[], object]]) -> None:
        """Give the actions what they do on the page shown; the others rest."""
        always: dict[str, Callable[[], object]] = {
            "new": self._choose_photo,
            "open": self._choose_painting,
            "quit": self.close,
            "arms_length": lambda: self.set_arms_length(look.scale() == 1.0),
            "unit": self.change_unit,
            "full_screen": self._full_screen,
        }
        self._handlers = always | self.sheets.handlers() | page
        for name, action in self.actions_by_name.items():
            action.setEnabled(name in self._handlers)

    def show_desk(self, painting: "Painting", copy: "DayCopy | None" = None) -> None:
        """Show a painting; ``copy``: the earlier day that it is, which is only looked at."""
        from app.desk import Desk
        from app.studio import Studio

        self._let_go()
        studio = Studio(painting, self.worker, self)
        self.desk = Desk(studio, self.actions_by_name, self.dialogs, self.thumbs, self.say, self.pages)
        self.desk.use(self.machine)
        studio.mixes.box.open(self.machine.folder / PAINT_BOX_FILE)
        self.keeping.follow_desk(self.desk, copy)
        self.desk.retitled.connect(self._title)
        self.desk.moved.connect(self.strip.lay_out)
        self.desk.arrivals.painting_dropped.connect(self.open_painting)
        self.pages.addWidget(self.desk)
        self.pages.setCurrentWidget(self.desk)
        self._use(self.desk.handlers())
        self.desk.refresh_view()
        self.desk.wall.set_unit(self.machine.kept.unit)
        self.desk.focus_wall()
        self._title()
        if copy is None:
            self._remember(painting)
        if copy is None and painting.notices:  # that it is a copy is told by the bar
            self.say("\n".join(painting.notices))

    def _title(self) -> None:
        if self.desk is not None:
            painting = self.desk.studio.painting
            only = " (only to look)" if painting.read_only else ""
            title = f"{painting.title}{only} – {self._size_said(painting.size)} – {NAME}"
            if title != self.windowTitle():
                self.setWindowTitle(title)

    def _size_said(self, size: "Size") -> str:
        return size.in_inches() if self.machine.kept.unit == "in" else size.in_cm()

    def _let_go(self) -> None:
        """Close what is open; its last changes are on disk when this returns."""
        self.sheets.put_away()
        self.keeping.bar.hide()
        self.thumbs.stop()
        if self.desk is not None:
            self.desk.rating.rest()
        self.worker.cancel_all()
        if self.desk is not None:
            desk, self.desk = self.desk, None
            self._use({})
            desk.close_painting()
            self.pages.removeWidget(desk)
            desk.hide()
            desk.deleteLater()
            desk.studio.deleteLater()

    def _choose_photo(self) -> None:
        photo = self.dialogs.choose_photo(self, "The photograph to paint from")
        if photo is not None:
            self.begin_painting(photo)

    def _choose_painting(self) -> None:
        folder = self.dialogs.choose_folder(self, "The folder of a painting", self.keeping.paintings())
        if folder is not None:
            self.open_painting(folder)

    def _choose_folder(self) -> None:
        if self.new_page is not None:
            folder = self.dialogs.choose_folder(self, "Where the painting is to lie", self.new_page.parent_folder)
            if folder is not None:
                self.new_page.choose_folder(folder)

    def _show_crop(self, read: "tuple[Picture, int, int]") -> None:
        if self.new_page is not None and self.pages.currentWidget() is self.new_page:
            self.new_page.show_photo(*read)

    def _photo_refused(self, sentence: str) -> None:
        self.show_start()
        self.say(sentence, Offer("Choose another photograph…", self._choose_photo))

    def _forget(self, folder: str) -> None:
        self.machine.forget(folder)
        self.start.show_recent(self.machine.kept.recent, self.thumbs.folder)

    def _remember(self, painting: "Painting") -> None:
        """Put it first on the start page, with a small picture of its reference."""
        reference, picture = painting.reference, ""
        if reference is not None and reference.photo.state != "missing":
            self.thumbs.image(reference.photo.sha256, painting.photo_file(reference.photo.id))
            picture = file_name(reference.photo.sha256)
        self.machine.opened(painting.folder, painting.title, self._size_said(painting.size), picture)

    def _show_work(self, channel: str, share: float, doing: str) -> None:
        if doing and not channel.startswith(_HIDDEN_WORK):
            self.strip.show_work(channel, share, doing)

    def _full_screen(self) -> None:
        self.setWindowState(self.windowState() ^ Qt.WindowState.WindowFullScreen)
        self.actions_by_name["full_screen"].setChecked(self.isFullScreen())

    def _hold(self, event: QKeyEvent, held: bool) -> bool:
        """The keys that are held work wherever the focus is."""
        if self.desk is None or event.key() not in (BLINK_KEY, LIFT_KEY) or event.modifiers():
            return False
        if not event.isAutoRepeat():
            if event.key() == BLINK_KEY:
                self.desk.blink(held)
            else:
                self.desk.wall.lift_acetate(held)
        return True

    def _restore_place(self) -> None:
        room = self.screen().availableSize()
        self.resize(QSize(*_FIRST_SIZE).boundedTo(room))
        kept = self.machine.kept.geometry
        if kept:
            self.restoreGeometry(QByteArray.fromHex(kept.encode("ascii", "ignore")))


def run(paths: Sequence[str], *, demo: bool = False) -> int:
    """Open the window on what is named, if anything; returns the exit code when it is closed."""
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName(NAME)
    app.setDesktopFileName("easelside")
    app.setWindowIcon(QIcon(str(FOLDER / "icon" / "easelside-256.png")))
    machine = Machine(Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation)))
    keep_log(machine.folder)
    look.apply_look(app, arms_length=machine.kept.arms_length)
    window = MainWindow(Worker(), real_dialogs(), machine)
    with listening(machine, window, partial(_unexpected, window)):
        window.show()
        window.worker.run("warm up", warm_up, lambda _: _set_aside())
        if demo:
            window.open_demo()
        elif paths:
            window.take_paths([Path(path) for path in paths])
        code = app.exec()
    if not window.all_ended:
        # A thread that does not listen is deep in a computation; Python cannot be taken down under it in good order.
        # All is saved, so the process simply ends.
        logging.shutdown()
        os._exit(code)
    return code


def _set_aside() -> None:
    """What is loaded by now stays: looking through it for garbage would hold a frame up by 50-100 ms."""
    gc.collect()
    gc.freeze()


def _unexpected(
    window: MainWindow, kind: type[BaseException], error: BaseException, trace: TracebackType | None
) -> None:
    """What nobody foresaw: said in place, with its details in the log; the window goes on."""
    _log.error("not foreseen", exc_info=(kind, error, trace))
    window.say(f"Something went wrong inside the program. What was saved is safe; {LOG_FILE} says more.")
