"""Measuring as part of the desk: its tool on the wall, its page in the drawing panel, and its actions."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.measuring import Measuring
from app.questions.proportion import ProportionPage
from app.questions.side import Side
from app.studio import Studio
from app.view import Question
from app.wall.wall_view import WallView


class Proportion:
    """Puts the page into the panel; ``handlers`` are those of the desk's actions."""

    def __init__(
        self,
        studio: Studio,
        wall: WallView,
        side: Side,
        actions: dict[str, QAction],
        dialogs: Dialogs,
        say: Say,
        desk: QWidget,
    ) -> None:
        self._studio, self._wall, self._side = studio, wall, side
        self._measure = actions["measure"]
        self.measuring = Measuring(studio, wall, say, partial(dialogs.ask_text, desk), desk)
        self.page = ProportionPage(studio, self.measuring, actions)
        side.drawing.add_proportion(self.page)
        self.page.said.connect(partial(say, passing=True))
        self.measuring.changed.connect(self.refresh)
        self.refresh()

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"measure": self.measure, "pin": self.measuring.pin}

    def refresh(self) -> None:
        self._measure.setChecked(self.measuring.is_on)

    def measure(self) -> None:
        """Take the measuring up, with its page beside the wall, or put it away."""
        self.measuring.toggle()
        if self.measuring.is_on:
            view = self._studio.view
            if view.question is not Question.DRAWING:
                self._studio.change_view(view.open_question(Question.DRAWING))
            self._side.drawing.show_proportion()
            self._focus_wall()

    def _focus_wall(self) -> None:
        """Arrow keys and Esc belong to the measure now."""
        if self._wall.sheets:
            place = self._wall.sheets[self._wall.selected].parentWidget()
            if place is not None:
                place.setFocus(Qt.FocusReason.OtherFocusReason)
