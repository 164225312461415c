"""The window's part in backups and earlier days: what the start page and the desk wish for, and the way back."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app import look
from app.backups.backups import Backups
from app.backups.earlier_bar import EarlierBar
from app.places import paintings_folder
from app.start import StartPage
from core.errors import PainterError

if TYPE_CHECKING:
    from app.desk import Desk
    from app.window import MainWindow
    from core.painting import DayCopy

_LOWEST_WALL_PX = 110


class Keeping(QObject):
    """``bar`` is for the window to place; it shows itself while an earlier day is looked at."""

    def __init__(self, window: "MainWindow", host: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self.bar = EarlierBar(host)
        self.bar.left.connect(self._back_to_now)
        self.backups = Backups(window.worker, window.dialogs, window.say, self.paintings, window)
        self.backups.restored.connect(self._open_restored)

    @property
    def is_earlier(self) -> bool:
        """Whether what is open is an earlier day."""
        return not self.bar.isHidden()

    def paintings(self) -> Path:
        """Where paintings lie on this machine."""
        return paintings_folder(self._window.machine.kept.parent_folder)

    def follow_start(self, start: StartPage) -> None:
        start.restore_wanted.connect(self.backups.choose_and_restore)
        start.backup_wanted.connect(self.backups.back_up)

    def follow_desk(self, desk: "Desk", copy: "DayCopy | None") -> None:
        """``copy``: the earlier day that the desk shows; None for the painting as it is now."""
        desk.left.connect(self._window.show_start)
        desk.ledge.backup_wanted.connect(self._back_up_open)
        desk.ledge.day_wanted.connect(self._look_at)
        desk.ledge.earlier.looked_at = copy
        if copy is not None:
            self.bar.show_day(copy.day)
            desk.ledge.show_earlier()
            # What the bar takes in a low window, the pictures give, or a line of the desk's own bar would be cut off.
            desk.wall.setMinimumHeight(round(look.px(_LOWEST_WALL_PX)))

    def _back_to_now(self) -> None:
        if self._window.desk is not None:
            folder = self._window.desk.studio.painting.folder
            self._window.show_start()  # where a painting that is open elsewhere by now is told of
            self._window.open_painting(folder)

    def _back_up_open(self) -> None:
        """What is still on its way is saved first, so that it is in the backup."""
        desk = self._window.desk
        if desk is not None and desk.studio.keep_now():
            desk.studio.save_view()
            self.backups.back_up(desk.studio.painting.folder, desk.studio.painting.title)

    def _look_at(self, copy: "DayCopy") -> None:
        from core.painting import Painting

        window = self._window
        if window.desk is None:
            return
        try:
            painting = Painting.open_copy(window.desk.studio.painting.folder, copy)
        except PainterError as trouble:
            window.say(str(trouble))
        else:
            window.say("")
            window.show_desk(painting, copy)

    def _open_restored(self, folder: Path, sentence: str) -> None:
        """Open it; what is told of the opening stands below."""
        self._window.open_painting(folder)
        opened = self._window.strip.sentence
        self._window.say("\n".join(filter(None, (sentence, opened))))
