"""A file is written in the background, and offered to be opened."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.message import Offer
from app.work import Progress, Worker

Write = Callable[[Path, Progress], str]
"""Writes a file and gives a sentence about it, without its place."""

PDF = ".pdf"


class Saving:
    """``save`` asks where to, and writes there; it can be stopped while it is under way."""

    def __init__(self, worker: Worker, dialogs: Dialogs, say: Say, parent: QWidget) -> None:
        self._worker, self._dialogs, self._say, self._parent = worker, dialogs, say, parent

    def ask(self, what: str, title: str, ending: str = PDF) -> Path | None:
        """Where a file is to be; None when the painter changes their mind, or another file lies there."""
        return self.ask_for(f"Save the {what}", Path.home() / f"{title} – {what}{ending}")

    def ask_for(self, question: str, suggested: Path, endings: Sequence[str] = ()) -> Path | None:
        """As ``ask``, with the name that is suggested; its ending is the one that is wanted, or any of ``endings``."""
        path = self._dialogs.choose_save(self._parent, question, suggested)
        if path is None or path.suffix.lower() in (suggested.suffix, *endings):
            return path
        path = path.with_name(f"{path.name}{suggested.suffix}")
        if path.exists():
            self._say(f"“{path.name}” is there already. To replace it, choose it by its full name.")
            return None
        return path

    def write(self, channel: str, path: Path, write: Write) -> None:
        """Write it away from the window; what came of it is said."""
        written: list[str] = []
        ended: list[str] = []

        def work(progress: Progress) -> str:
            written.append(write(path, progress))
            return written[0]

        def done(sentence: str) -> None:
            ended.append(sentence)
            self._say(f"{sentence} It is in {path}.", Offer("Open it", partial(self._open, path)))

        def failed(sentence: str) -> None:
            ended.append(sentence)
            self._say(sentence)

        def end() -> None:
            if written and not ended:
                done(written[0])  # it was stopped too late: the file is there
            elif not ended:
                self._say("Stopped. No file was written.", passing=True)

        self._worker.run(channel, work, done, failed, end)

    def _open(self, path: Path) -> None:
        if not self._dialogs.open_file(path):
            self._say(f"No program here opens {path.name}. It is in {path.parent}.")
