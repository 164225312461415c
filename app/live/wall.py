"""The wall of the live page: the canvas alone, or with the reference beside it, under one zoom.

A new picture for every frame costs little on the wall as it is, so that no leaner widget was made: in a place of
1900 × 950 px, hung and painted with 250 lines, 3 ms of a processor laid flat, 5 with the reference beside it, and 7 as
the camera sees it. The picture is made at the size it is shown at: building its halves would add 5.6 ms.
"""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.wall.hanging import Hanging
from app.wall.wall_view import WallView
from core.size import Size


class LiveWall(WallView):
    """``blinked``: the blink key, while there is no other picture on the wall to blink with."""

    blinked = Signal(bool)

    def __init__(self, size: Size, parent: QWidget | None = None) -> None:
        super().__init__(size, parent)
        self.setAccessibleName("Live canvas")
        self.set_empty_text("The first picture is on its way…")

    def blink(self, on: bool, pair: tuple[int, int] = (0, 1)) -> None:
        if len(self.hangings) > max(pair):
            super().blink(on, pair)
        else:
            self.blinked.emit(on)

    def show_pictures(self, *hangings: Hanging) -> None:
        """One or two; the sight is kept, and what has not changed is not painted again."""
        if len(hangings) != len(self.hangings):
            self.hang(hangings)
            return
        for index, hanging in enumerate(hangings):
            if self.hangings[index] is not hanging:
                self.rehang(index, hanging)

    def _refresh_panes(self) -> None:
        """No place is the chosen one here: the looks act on both."""
        super()._refresh_panes()
        for pane in self._panes:
            pane.mark(selected=False, among_several=False)
