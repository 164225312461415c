"""What a page over the desk owes to it, known without loading what the page itself needs."""

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget


class LaidOver(QWidget):
    """``left``: back to the work."""

    left = Signal()

    @property
    def picture(self) -> QWidget:
        """The part that shows a picture: a message may lie over its foot."""
        return self

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the window's actions do on this page."""
        return {}

    def leave(self) -> None:
        """What is under way for the page is not wanted any more."""

    def restyle(self) -> None:
        """The size of the type, or of the window, has changed."""
