"""Backups as the painter makes, checks and restores them: asked where to, done away from the window, and told."""

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.backups.jobs import Done, check_backup, make_backup, restore_backup
from app.backups.words import backup_name, folder_suggested, notice_lines, whole_words
from app.dialogs import Dialogs
from app.message import Offer
from app.places import free
from app.work import Progress, Worker

if TYPE_CHECKING:
    from app.checking import Say

T = TypeVar("T")

BACK_UP, CHECK, RESTORE = "back up", "check backup", "restore"
"""The worker's channels."""


class Backups(QObject):
    """``restored``: a painting's folder is there, and a sentence about it."""

    restored = Signal(object, str)  # Path

    def __init__(
        self, worker: Worker, dialogs: Dialogs, say: "Say", paintings: Callable[[], Path], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._worker, self._dialogs, self._say, self._over = worker, dialogs, say, parent
        self._paintings = paintings
        self._last_folder = Path.home()

    def back_up(self, folder: Path, title: str) -> None:
        """Make a zip of a painting, open or not, where the painter wants it."""
        from app.saving import Saving

        suggested = self._last_folder / backup_name(title, date.today())
        saving = Saving(self._worker, self._dialogs, self._say, self._over)
        target = saving.ask_for("Back up the painting, best to another disk", suggested)
        if target is not None:
            self._last_folder = target.parent
            self._run(BACK_UP, partial(make_backup, folder, target), self._backed_up, "No backup was made.")

    def check(self, backup: Path) -> None:
        """Read a backup from end to end."""
        done = partial(self._checked, backup)
        self._run(CHECK, partial(check_backup, backup), done, "The backup was not read to its end.")

    def choose_and_restore(self) -> None:
        """Ask for a backup, and make a painting of it."""
        backup = self._dialogs.choose_backup(self._over)
        if backup is not None:
            self.restore(backup)

    def restore(self, backup: Path) -> None:
        """Ask for a new folder, and make a painting of the backup in it."""
        paintings = self._paintings()
        where = paintings if paintings.is_dir() else Path.home()
        suggested = free(where / folder_suggested(backup))
        folder = self._dialogs.choose_new_folder(self._over, "The new folder of the restored painting", suggested)
        if folder is not None:
            work = partial(restore_backup, backup, folder)
            self._run(RESTORE, work, self._restored, "Nothing was restored.", self._restored_unawares)

    def _run(
        self,
        channel: str,
        work: Callable[[Progress], T],
        done: Callable[[T], object],
        when_stopped: str,
        too_late: Callable[[T], object] | None = None,
    ) -> None:
        """Have it done by the worker. ``too_late`` is told what was finished although it was stopped; else ``done``."""
        finished: list[T] = []
        ended: list[bool] = []

        def kept(progress: Progress) -> T:
            finished.append(work(progress))
            return finished[0]

        def told(result: T) -> None:
            ended.append(True)
            done(result)

        def failed(sentence: str) -> None:
            ended.append(True)
            self._say(sentence)

        def end() -> None:
            if finished and not ended:
                (too_late or done)(finished[0])
            elif not ended:
                self._say(f"Stopped. {when_stopped}", passing=True)

        self._say("")
        self._worker.run(channel, kept, told, failed, end)

    def _backed_up(self, done: Done) -> None:
        lines = [f"Backed up: {done.told}. It is in {done.path}."]
        if done.notices:
            lines.append(notice_lines(done.notices))
        self._say("\n".join(lines), Offer("Check this backup", partial(self.check, done.path)))

    def _checked(self, backup: Path, files: int) -> None:
        self._say(whole_words(backup, files))

    def _restored(self, done: Done) -> None:
        self.restored.emit(done.path, _restored_words(done))

    def _restored_unawares(self, done: Done) -> None:
        """It was stopped too late, perhaps since another painting was opened: that one stays."""
        said = f"{_restored_words(done)}\nIt is in {done.path}."
        self._say(said, Offer("Open it", partial(self._restored, done)))


def _restored_words(done: Done) -> str:
    return "\n".join([f"Restored: {done.told}.", *done.notices])
