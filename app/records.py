"""The painting's own records as part of the desk: its names, and what is undone and done again."""

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.message import Offer
from app.studio import Studio
from core.errors import PainterError


class Records:
    """``handlers`` are those of the desk's actions."""

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, desk: QWidget) -> None:
        self._studio, self._dialogs, self._say, self._desk = studio, dialogs, say, desk

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {
            "title": self.retitle,
            "undo": self.undo,
            "redo": partial(self._go, self._studio.redo, "Done again"),
        }

    def undo(self) -> None:
        self._go(self._studio.undo, "Undone")

    def rename(self, canvas_photo: int) -> None:
        """Ask for another name of a canvas photo."""
        try:
            present = self._studio.painting.canvas_photo(canvas_photo).name
            name = self._dialogs.ask_text(self._desk, "Name of this canvas photo", present)
            if name is not None:
                self._studio.painting.rename_canvas_photo(canvas_photo, name)
        except PainterError as trouble:
            self._say(str(trouble))

    def retitle(self) -> None:
        """Ask for another name of the painting."""
        painting = self._studio.painting
        title = self._dialogs.ask_text(self._desk, "Name of the painting", painting.title)
        if title is not None:
            try:
                painting.set_title(title)
            except PainterError as trouble:
                self._say(str(trouble))

    def removed(self, name: str, binned: bool = False) -> None:
        """A canvas photo was taken off the ledge, and its file left where it is or moved into the bin."""
        if binned:
            where = self._studio.painting.bin_folder.name
            said = f"“{name}” is in the bin: the folder “{where}” inside the painting’s own. Nothing was erased."
        else:
            said = f"“{name}” was taken off the ledge. Its file stays."
        self._say(said, Offer("Put it back", self.undo))

    def _go(self, go: Callable[[], str | None], word: str) -> None:
        try:
            label = go()
        except PainterError as trouble:
            self._say(str(trouble))
            return
        if label is not None:
            self._say(f"{word}: {label}.", passing=True)
