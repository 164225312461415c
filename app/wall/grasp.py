"""A tool of the wall, which works in mm of the canvas, and how it takes part in the widget of one hanging."""

from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter

from app.wall.hanging import Hanging
from app.wall.sight import Placed
from core.drawing.proportion import Point

if TYPE_CHECKING:
    from app.wall.sheet import Sheet


class CanvasTool(Protocol):
    """Answers to presses on the hangings. ``at`` is mm on the canvas; it may lie beside it."""

    def paint(self, painter: QPainter, placed: Placed) -> None:
        """Paint over one hanging, at every update of it."""

    def take(self, at: Point, hanging: Hanging) -> bool:
        """Take hold of what lies here, or say False: then it is the picture that is moved."""

    def move(self, at: Point, hanging: Hanging) -> None:
        """What is held was moved here."""

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        """It was let go here; not ``moved``: it was only pressed."""

    def cancel(self) -> None:
        """As if it had not been taken."""


class SheetGrasp:
    """Tells a tool in mm what is done to one sheet, while lengths may be taken on what hangs there."""

    def __init__(self, sheet: "Sheet", tool: CanvasTool) -> None:
        self._sheet, self._tool = sheet, tool

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self._hanging is not None:
            self._tool.paint(painter, placed)

    def take(self, at: QPointF) -> bool:
        hanging, mm = self._hanging, self._mm(at)
        if hanging is None or mm is None or not self._tool.take(mm, hanging):
            return False
        parent = self._sheet.parentWidget()
        if parent is not None:
            parent.setFocus(Qt.FocusReason.MouseFocusReason)
        return True

    def move(self, at: QPointF) -> None:
        hanging, mm = self._hanging, self._mm(at)
        if hanging is not None and mm is not None:
            self._tool.move(mm, hanging)

    def drop(self, at: QPointF, *, moved: bool) -> None:
        hanging, mm = self._hanging, self._mm(at)
        if hanging is None or mm is None:
            self._tool.cancel()
        else:
            self._tool.drop(mm, hanging, moved=moved)

    def cancel(self) -> None:
        self._tool.cancel()

    @property
    def _hanging(self) -> Hanging | None:
        hanging = self._sheet.hanging
        return hanging if hanging is not None and hanging.is_measured else None

    def _mm(self, at: QPointF) -> Point | None:
        return None if self._sheet.hanging is None else self._sheet.placed().mm_at(at)
