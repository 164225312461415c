"""Projecting as part of the desk: the page that is asked for, the window that it opens, and the screen remembered."""

from collections.abc import Callable
from functools import partial

from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.dialogs import Dialogs
from app.machine import Machine
from app.projection.page import ProjectionPage
from app.projection.projector import Projector
from app.projection.screens import ONLY_ONE, place_of, remembered, screens
from app.projection.window import ProjectionWindow
from app.studio import Studio


class Projecting:
    """Made with the desk; its page and its window are made when they are first wanted."""

    def __init__(self, studio: Studio, dialogs: Dialogs, desk: QWidget) -> None:
        self._studio, self._dialogs, self._desk = studio, dialogs, desk
        self.machine: Machine | None = None
        self.projector: Projector | None = None
        self.page: ProjectionPage | None = None
        self.window: ProjectionWindow | None = None
        self._on = ""

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"project": self.show_page}

    def show_page(self) -> None:
        """The control page, in front."""
        if self.page is None:
            self._make()
        assert self.page is not None
        self.refresh_screens()
        self.page.show()
        self.page.raise_()
        self.page.activateWindow()

    def refresh_screens(self) -> None:
        """List the screens that are connected now."""
        page = self.page
        if page is not None:
            places = [place_of(each) for each in screens()]
            own = self._own()
            kept = self.machine.kept.projector if self.machine is not None else ""
            chosen, sentence = remembered(places, kept, own)
            page.show_screens(places, chosen, own, sentence if len(places) > 1 else ONLY_ONE)

    def close(self) -> None:
        """Take the picture away and keep the corners."""
        if self.window is not None:
            self.window.close()
        if self.page is not None:
            self.page.put_away()
        if self.projector is not None:
            self.projector.close()

    def _make(self) -> None:
        self.projector = Projector(self._studio, self._desk)
        self.window = ProjectionWindow(self.projector, self._desk)
        self.page = ProjectionPage(self._studio, self.projector, self._dialogs.choose_photo, self._desk)
        self.page.opened.connect(self._open)
        self.page.shut.connect(self.window.close)
        self.page.screen_chosen.connect(self._choose)
        self.page.screens_changed.connect(self._screens_changed)
        self.page.key_pressed.connect(self._key)
        self.window.closed.connect(partial(self.page.show_open, False))
        self.page.show_open(False)

    def _open(self, index: int) -> None:
        there = screens()
        if self.window is None or self.page is None or not there:
            return
        screen = there[min(index, len(there) - 1)]
        self._remember(index)
        self._on = screen.name()
        self.window.open_on(screen)
        self.page.show_open(True)

    def _choose(self, index: int) -> None:
        """Another screen: the picture moves there if it is shown."""
        self._remember(index)
        if self.window is not None and self.window.isVisible():
            self._open(index)

    def _remember(self, index: int) -> None:
        there = screens()
        if self.machine is not None and index < len(there):
            self.machine.keep(projector=place_of(there[index]).key)

    def _screens_changed(self) -> None:
        """The projector was plugged in, or pulled out while it showed the picture: that may not cover the work."""
        self.refresh_screens()
        if self.window is not None and self.window.isVisible() and self._on not in [each.name() for each in screens()]:
            self.window.close()

    def _key(self, event: QKeyEvent) -> None:
        if self.window is not None:
            self.window.take_key(event)

    def _own(self) -> int:
        here = self._desk.screen()
        return next((index for index, each in enumerate(screens()) if each is here), 0)
