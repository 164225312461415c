"""The window at arm's length: pictures, the thing to mend in large type, and large buttons; it fills the screen."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QGuiApplication,
    QHideEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QScreen,
)
from PySide6.QtWidgets import QWidget

from app import look
from app.arms.buttons import ButtonRow
from app.arms.fingers import Fingers
from app.arms.help_sheet import HelpSheet
from app.arms.keys import DOINGS, Keys
from app.arms.keys_page import KeysPage
from app.arms.laid_out import GAP_PX, places
from app.arms.mending import Mending
from app.arms.showing import Showing, Source
from app.arms.surround import SURROUNDS, USUAL, next_surround
from app.arms.wall import ArmsWall
from app.arms.words import MendWords, Note
from app.checks import CHECK
from app.studio import Studio

ONE_SCREEN = "Only one screen is connected."
OUTDATED = "Something was changed while the check ran, so it was not kept."
FIRST_WORDS = "{help} shows all keys, Esc leads back to the desk."
_LOW_PX = 600
_ON_LOW = ("before", "next", "blink", "grey", "closer", "check", "keys", "close")
"""A screen that is lower than that has room for these buttons only, and none for titles; all doings keep their keys."""
_COMMANDS = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier


class ArmsWindow(QWidget):
    """``keys_chosen`` and ``surround_chosen`` are to be kept; ``closed`` once it has gone.

    A key that is held does its doing once: a pedal must not run through the list.
    """

    closed = Signal()
    keys_chosen = Signal(object)
    surround_chosen = Signal(str)

    def __init__(self, studio: Studio, source: Source, check: Callable[[], object], parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self._studio, self._check = studio, check
        self.keys, self.surround, self._lifting = Keys.usual(), USUAL, 0
        self._beside: bool | None = None
        self._shape: object = None
        self.setWindowTitle("Arm’s length")
        self.setAccessibleName("The pictures and what to mend, to be read from the easel")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.mending = Mending(studio, self)
        self.wall = ArmsWall(studio.painting.size, self)
        self.words = MendWords(self)
        self.row = ButtonRow([each for each in DOINGS if each.button], self)
        self.help, self.note, self.page = HelpSheet(self), Note(self), KeysPage(self)
        self.fingers = Fingers(self, lambda: not self.wall.is_fitted)
        self.wall.new_sheet = lambda sheet: sheet.installEventFilter(self.fingers)
        self.words.installEventFilter(self.fingers)
        self.showing = Showing(studio, source, self.wall, self.mending, self.note.say)
        self._does = self._doings()
        self._connect()
        self.use_keys(self.keys)
        self.use_surround(self.surround)

    def use_keys(self, keys: Keys) -> None:
        self.keys = keys
        self.row.show_keys(keys)
        self.help.show_keys(keys)
        self._tell()

    def use_surround(self, name: str) -> None:
        self.surround = name
        shades = SURROUNDS[name]
        for part in (self.wall, self.row, self.page):
            part.use_shades(shades)
        for plain in (self.words, self.help, self.note):
            plain.shades = shades
            plain.update()
        self.update()

    def open_on(self, screen: QScreen, aside: str = "") -> None:
        """Fill a screen, and take the keyboard; ``aside``: what else has to be said."""
        self.setScreen(screen)
        self.setGeometry(screen.geometry())
        self.showFullScreen()
        handle = self.windowHandle()
        if handle is not None:
            handle.screenChanged.connect(self.lay_out, Qt.ConnectionType.UniqueConnection)
        self.showing.open()
        self._tell()
        self.lay_out()
        self.raise_()
        self.activateWindow()
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.note.say(f"{FIRST_WORDS.format(help=self.keys.shown('help')[0])} {aside}".strip())

    def do(self, name: str) -> None:
        """Do what a key or a button does."""
        self._does[name]()

    def event(self, event: QEvent) -> bool:
        """The keys that do something here are no shortcuts, wherever the system keeps those."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if self.page.asked or (not event.modifiers() & _COMMANDS and self.keys.doing(event.key())):
                event.accept()
                return True
        elif event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self.page.asked:
            self.keyPressEvent(event)  # Tab too: it is refused in words
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, commanded = event.key(), bool(event.modifiers() & _COMMANDS)
        if event.isAutoRepeat():
            return
        if self.page.isVisible():
            if not self.page.take_key(key):
                super().keyPressEvent(event)
            return
        name = "" if commanded else self.keys.doing(key)
        if name == "lift":
            self._lifting = key
            self.wall.lift_acetate(True)
        elif name:
            self.setFocus(Qt.FocusReason.OtherFocusReason)  # a pedal that sends Space is to press no button
            self.do(name)
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == self._lifting and not event.isAutoRepeat():
            self._let_go()
        super().keyReleaseEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            self._let_go()  # a key that is held while the keyboard goes elsewhere is never released here
        elif event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self.lay_out()
        super().changeEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._beside = None
        self.lay_out()

    def hideEvent(self, event: QHideEvent) -> None:
        self.fingers.rest()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.page.hide()
        self.showing.close()
        super().closeEvent(event)
        self.closed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        QPainter(self).fillRect(self.rect(), SURROUNDS[self.surround].colour("surround"))

    def lay_out(self) -> None:
        """The words keep their size; the pictures get what is left."""
        if not self.isVisible():
            return
        self._shape = self.wall.shape
        is_low = self.height() < look.px(_LOW_PX)
        self.row.show_only(_ON_LOW if is_low else None)
        self.wall.show_titles(not is_low)
        found = places(self.size(), self.row.height_for, self._words_high, self.wall.best_zoom, self._beside)
        self.words.beside = self._beside = found.beside
        self.wall.setGeometry(found.pictures)
        self.wall.setVisible(not found.pictures.isEmpty() and not self.page.isVisible())
        self.words.setGeometry(found.words)
        self.words.update()
        self.row.setGeometry(found.buttons)
        self.row.lay_out()
        self.page.setGeometry(self.rect())
        room = QRect(0, 0, self.width(), found.buttons.top() - GAP_PX)
        self.help.lie_in(room)
        self.note.lie_in(found.pictures if not found.pictures.isEmpty() else room)

    def _words_high(self, width: int, beside: bool) -> float:
        return self.words.height_for(self.words.told, width, beside=beside)

    def _connect(self) -> None:
        self.row.pressed.connect(self.do)
        self.fingers.stepped.connect(self._step)
        self.fingers.pressed_long.connect(self.wall.lift_acetate)
        self.fingers.moved.connect(self.wall.pan_by)
        self.mending.changed.connect(self._list_changed)
        self.showing.changed.connect(self._pictures_changed)
        self.wall.view_changed.connect(self._show_on)
        self.page.chosen.connect(self._choose_keys)
        self.page.left.connect(self._page_left)
        studio = self._studio
        studio.said.connect(self.note.say)
        studio.checker.failed.connect(self.note.say)
        studio.checker.made.connect(self._check_made)
        studio.checker.outdated.connect(self._check_outdated)
        studio.worker.progressed.connect(self._show_work)
        studio.worker.idle.connect(self._work_ended)

    def _doings(self) -> dict[str, Callable[[], object]]:
        showing = self.showing
        changes = ("grey", "steps", "squint", "acetate", "count", "one", "two", "three")
        found: dict[str, Callable[[], object]] = {name: partial(showing.change, name) for name in changes}
        return found | {
            "before": partial(self._step, -1),
            "next": partial(self._step, 1),
            "blink": showing.blink,
            "closer": showing.closer,
            "older": partial(showing.hang_neighbour, -1),
            "newer": partial(showing.hang_neighbour, 1),
            "surround": self._next_surround,
            "check": self._check_canvas,
            "keys": self._open_page,
            "close": self.close,
            "lift": lambda: None,  # only while its key is held
            "screen": self._other_screen,
            "help": self._toggle_help,
        }

    def _step(self, by: int) -> None:
        self.mending.step(by)  # where there is nothing on the list, the large words say so already

    def _check_canvas(self) -> None:
        before = self.mending.before_check()
        if before:
            self.note.say(before)
        else:
            self._check()
            self._list_changed()

    def _next_surround(self) -> None:
        self.use_surround(next_surround(self.surround))
        self.surround_chosen.emit(self.surround)

    def _other_screen(self) -> None:
        screens = QGuiApplication.screens()
        if len(screens) < 2:
            self.note.say(ONE_SCREEN)
            return
        here = next((index for index, each in enumerate(screens) if each is self.screen()), 0)
        self.open_on(screens[(here + 1) % len(screens)])

    def _toggle_help(self) -> None:
        self.help.setVisible(self.help.isHidden())
        self.help.raise_()

    def _open_page(self) -> None:
        self._let_go()
        for part in (self.wall, self.words, self.row):
            part.hide()
        self.help.hide()
        self.page.setGeometry(self.rect())
        self.page.open(self.keys)

    def _page_left(self) -> None:
        for part in (self.words, self.row):
            part.show()
        self.wall.setVisible(True)
        self.lay_out()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _choose_keys(self, keys: Keys) -> None:
        self.use_keys(keys)
        self.keys_chosen.emit(keys)

    def _list_changed(self) -> None:
        self._tell()
        self.lay_out()

    def _tell(self) -> None:
        told = self.mending.told(self.mending.item, self.keys.shown("check")[0])
        self.words.show_told(told)
        self.note.stay(told.aside)

    def _show_on(self) -> None:
        self.row.show_on(self.showing.on)

    def _pictures_changed(self) -> None:
        """Laid out anew only where the pictures are of another shape: a live picture changes many times a second."""
        self._show_on()
        if self.wall.shape != self._shape:
            self.lay_out()

    def _check_made(self, _canvas_photo: int) -> None:
        self.note.say("")

    def _check_outdated(self, _canvas_photo: int) -> None:
        self.note.say(OUTDATED)

    def _show_work(self, channel: str, share: float, doing: str) -> None:
        if channel == CHECK and self.isVisible():
            done = f" {round(share * 100)} %" if share >= 0 else ""
            self.note.stay(f"Checking…{done}")

    def _work_ended(self, channel: str) -> None:
        if channel == CHECK:
            self._list_changed()

    def _let_go(self) -> None:
        self._lifting = 0
        self.wall.lift_acetate(False)
