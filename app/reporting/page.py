"""The page of the painting's report, filled when it is first wanted.

Its choices are core's own words, and core's report loads OpenCV and Pillow: 0.2 s of processor that opening a painting
does not wait for.
"""

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.studio import Studio

if TYPE_CHECKING:
    from app.reporting.composing import Composing


class ReportPage(QWidget):
    """``left``: the painter has done."""

    left = Signal()

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio, self._dialogs, self._say = studio, dialogs, say
        self._whole = QVBoxLayout(self)
        self._whole.setContentsMargins(0, 0, 0, 0)

    @cached_property
    def inside(self) -> "Composing":
        """What is on it."""
        from app.reporting.composing import Composing

        made = Composing(self._studio, self._dialogs, self._say, self)
        made.left.connect(self.left)
        self._whole.addWidget(made)
        return made

    def begin(self) -> str:
        """Show the report as it was wanted last; gives a sentence where there can be none."""
        return self.inside.begin()

    def focus_first(self) -> None:
        """Have the keys go to the first choice."""
        self.inside.settings.audience.setFocus()

    def leave(self) -> None:
        """What is looked at is not wanted any more; a file that is being written is."""
        if self._is_filled:
            self.inside.leave()

    def restyle(self) -> None:
        """The size of the type has changed."""
        if self._is_filled:
            self.inside.restyle()

    @property
    def _is_filled(self) -> bool:
        return "inside" in self.__dict__
