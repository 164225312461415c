"""What tools share that take the wall over for a while: they begin, are left with Esc, and give the wall back."""

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import ClassVar

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter

from app.brushing import Brush
from app.checking import Say
from app.studio import Studio
from app.wall.grasp import CanvasTool
from app.wall.hand_mark import paint_advice
from app.wall.hanging import Hanging
from app.wall.sight import Placed
from app.wall.wall_view import WallView

Point = tuple[float, float]


class HoldsNothing(QObject):
    """A tool of the wall that is left with Esc. Unless it takes hold of something itself, a drag moves the picture and
    a press comes as a click of the wall."""

    changed = Signal()

    def leave(self) -> None:
        """Point no more."""

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


class WallTool(HoldsNothing):
    """``otherwise`` is the tool of the wall at all other times. ``rest``: what else is pointed at on it is left.
    ``pointer``: where it is, mm, whether or not the tool is on; None when it has left."""

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


class PressTool(WallTool):
    """Waits for presses on the pictures: ``at`` says what for, each kind with its ``advice``, None while it does not
    wait. A painting that is open only to look is not pressed on, and ``look_only`` says so."""

    advice: ClassVar[Mapping[StrEnum, str]]
    look_only: ClassVar[str]

    def __init__(
        self,
        studio: Studio,
        wall: WallView,
        otherwise: CanvasTool,
        say: Say,
        focus_wall: Callable[[], None],
        rest: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(wall, otherwise, focus_wall, rest, parent)
        self._studio, self._say = studio, say
        self.at: StrEnum | None = None
        self._brush = Brush()
        wall.clicked.connect(self._click)
        studio.view_changed.connect(self._leave_if_gone)

    def toggle(self, wanted: StrEnum) -> None:
        """Wait for presses, or wait no more."""
        if self.at is wanted:
            self.leave()
        elif self.look_only and self._studio.painting.read_only:
            self._say(self.look_only)
            self.changed.emit()
        else:
            self._say("")
            self.cancel()
            self.at = wanted
            self.begin()

    def leave(self) -> None:
        self.at = None
        super().leave()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.at is not None:
            paint_advice(painter, placed, self.advice[self.at])

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        """A press on the picture of this number, mm on the canvas."""

    def _leave_if_gone(self) -> None:
        """Leave when the view is of another question."""
