"""What tools share that take the wall over for a while: they begin, are left with Esc, and give the wall back."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter

from app.wall.grasp import CanvasTool
from app.wall.hanging import Hanging
from app.wall.sight import Placed
from app.wall.wall_view import WallView

Point = tuple[float, float]


class WallTool(QObject):
    """``otherwise`` is the tool of the wall at all other times. ``rest``: what else is pointed at on it is left.
    ``pointer``: where it is, mm, whether or not the tool is on; None when it has left.

    Unless it takes hold of something itself, a drag moves the picture and a press comes as a click of the wall.
    """

    changed = Signal()

    def __init__(
        self,
        wall: WallView,
        otherwise: CanvasTool,
        focus_wall: Callable[[], None],
        rest: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.wall, self._otherwise = wall, otherwise
        self._focus_wall, self._rest = focus_wall, rest
        self.is_on = False
        self.pointer: Point | None = None
        wall.pointer_moved.connect(self._follow)
        wall.pointer_left.connect(self._lose)

    def begin(self) -> None:
        """Take the wall over; the keyboard goes with it."""
        self._rest()
        if not self.is_on:
            self.is_on = True
            self.wall.use(self)
            self.wall.installEventFilter(self)
        self._focus_wall()
        self.wall.repaint_tool()
        self.changed.emit()

    def leave(self) -> None:
        """Give it back; what was done stays."""
        if self.is_on:
            self.cancel()
            self.is_on = False
            self.wall.removeEventFilter(self)
            self.wall.use(self._otherwise)
            self.wall.repaint_tool()
            self.changed.emit()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        """Nothing is painted."""

    def take(self, at: Point, hanging: Hanging) -> bool:
        return False

    def move(self, at: Point, hanging: Hanging) -> None:
        """Nothing is held."""

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        """Nothing is held."""

    def cancel(self) -> None:
        """Nothing is held."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
            self.leave()
            return True
        return super().eventFilter(watched, event)

    @property
    def shows_pointer(self) -> bool:
        """Whether what is painted moves with the pointer."""
        return False

    def _follow(self, x_mm: float, y_mm: float, _which: int) -> None:
        self._point((x_mm, y_mm))

    def _lose(self) -> None:
        self._point(None)

    def _point(self, at: Point | None) -> None:
        self.pointer = at
        if self.shows_pointer:
            self.wall.repaint_tool()
