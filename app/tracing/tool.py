"""What a tool is: it hears what the hand does, paints what is in hand, and commits what is done."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app.tracing.board import Board
from app.wall.sight import Placed


class Tool:
    """The base of the tools: does nothing of its own. Places are points of the screen."""

    name = ""
    word = ""
    hint = ""

    def __init__(self, board: Board) -> None:
        self.board = board

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        """The hand goes down; ``double`` when it is the second time in quick succession."""

    def drag(self, at: QPointF, *, shift: bool) -> None:
        """It moves while it is down."""

    def release(self, at: QPointF) -> None:
        """It is lifted."""

    def take_back(self) -> None:
        """What is in hand is not wanted."""

    def hover(self, at: QPointF | None) -> None:
        """The pointer moves while the hand is up, or leaves the sheet (None)."""

    def key(self, event: QKeyEvent) -> bool:
        """Use a key, or say False."""
        return False

    def taken_up(self) -> None:
        """It is the tool in hand now."""

    def put_down(self) -> None:
        """Another tool is taken up."""
        self.take_back()

    def drawing_changed(self) -> None:
        """The drawing is another now, by this tool or from elsewhere."""

    def paint(self, painter: QPainter, placed: Placed) -> None:
        """Paint what is in hand over the sheet."""


def shift_held(modifiers: Qt.KeyboardModifier) -> bool:
    return bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
