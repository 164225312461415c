"""Where the film and its poster are saved: the kind of file is told by the name that the painter gives."""

from pathlib import Path

from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.film.choice import Kind
from app.saving import Saving, Write
from app.work import Worker

SAVE, POSTER = "saving the film", "saving the poster"
_POSTERS = (".jpg", ".jpeg", ".png")


class Saver:
    """Asks, and writes in the background; the message strip shows how far it is, and stops it."""

    def __init__(self, worker: Worker, dialogs: Dialogs, say: Say, parent: QWidget) -> None:
        self._worker = worker
        self._saving = Saving(worker, dialogs, say, parent)

    def save_film(self, title: str, kind: Kind, write: Write) -> None:
        suggested = Path.home() / f"{title} – progress{kind}"
        path = self._saving.ask_for("Save the film", suggested, [str(each) for each in Kind])
        if path is not None:
            self._saving.write(SAVE, path, write)

    def save_poster(self, title: str, write: Write) -> None:
        path = self._saving.ask_for("Save the poster", Path.home() / f"{title} – poster.jpg", _POSTERS)
        if path is not None:
            self._saving.write(POSTER, path, write)

    def stop(self) -> None:
        """What is being written is not wanted any more."""
        for channel in (SAVE, POSTER):
            self._worker.cancel(channel)
