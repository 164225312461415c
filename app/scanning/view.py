"""The found lines over the sheet laid flat, where they will lie on the canvas."""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPainterPath, QPolygonF
from PySide6.QtWidgets import QWidget

from app import look
from app.hangings import ACETATE
from app.picture import Picture
from app.scanning.jobs import Corners
from app.wall import marks
from app.wall.acetate import Acetate, Ink
from app.wall.hanging import Hanging
from app.wall.mapping import Mapping
from app.wall.sheet import Sheet
from app.wall.sheet_view import SheetView
from app.wall.sight import LEAST_OF_FIT, MOST_PX_PER_PX, Placed, Reach, Sight, centred
from core.drawing.drawing import Drawing
from core.size import Size

_MARGIN_PX = 24.0
_CONTOUR_PX = 2.2
_COLOUR = ACETATE["vermilion"]  # told from pencil and ink, which it lies over


@dataclass(frozen=True, eq=False)
class _Lie:
    """How an upright sheet lies on its canvas: ``scale`` mm on the canvas for each mm on the sheet."""

    canvas: Size
    scale: float
    left_mm: float
    top_mm: float

    @classmethod
    def of(cls, canvas: Size, sheet: Size, corners: Corners) -> "_Lie":
        (left, top), (right, _) = corners[0], corners[1]
        return cls(canvas, float(right - left) / sheet.width_mm, float(left), float(top))

    def on_canvas(self, sight: Sight) -> Sight:
        """Of a sight in mm on the sheet."""
        return Sight(
            self.left_mm + self.scale * sight.x_mm, self.top_mm + self.scale * sight.y_mm, sight.zoom / self.scale
        )

    def on_sheet(self, sight: Sight) -> Sight:
        """Of a sight in mm on the canvas."""
        x_mm, y_mm = (sight.x_mm - self.left_mm) / self.scale, (sight.y_mm - self.top_mm) / self.scale
        return Sight(x_mm, y_mm, sight.zoom * self.scale)

    def canvas_corners(self) -> Corners:
        """``(4, 2)`` mm on the sheet."""
        width, height = self.canvas.width_mm, self.canvas.height_mm
        corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
        return np.asarray((corners - (self.left_mm, self.top_mm)) / self.scale)


class LinesView(SheetView):
    """Owns the sight. All is painted in mm on the sheet, whose lines never change: a shift moves the canvas under it,
    and the sight with the canvas, so that it is the sheet that is seen to move."""

    accepted = Signal()  # Enter

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Sheet, "The lines that were found, on the canvas", parent)
        self._hanging: Hanging | None = None
        self._lines: Acetate | None = None
        self._size = Size(400, 300)
        self._lie = _Lie(self._size, 1.0, 0.0, 0.0)
        self._lines_shown = True

    @property
    def lines_shown(self) -> bool:
        return self._lines_shown

    def show_sheet(self, picture: Picture, drawing: Drawing) -> None:
        """Another sheet, laid flat, and the lines found on it; :meth:`place` says where it lies."""
        self._size = drawing.size
        self._hanging = Hanging("", picture, Mapping.flat(picture.width / drawing.size.width_mm))
        self._lines = Acetate(Ink(drawing), colour=_COLOUR, weight_px=_CONTOUR_PX, landmarks=False)
        self._fitted = True
        self.show_lines(True)

    def place(self, canvas: Size, corners: Corners) -> None:
        """Lay the sheet on its canvas, its corners at ``(4, 2)`` mm."""
        if self._hanging is None or self._lines is None:
            return
        before, self._lie = self._lie, _Lie.of(canvas, self._size, corners)
        overlays = (_Ground(self._size, self._lie), self._lines)
        self.sheet.show_hanging(replace(self._hanging, overlays=overlays))
        if self._fitted:
            self.fit()
        else:
            self._look_at(self._lie.on_sheet(before.on_canvas(self.sheet.sight)))

    def show_lines(self, shown: bool) -> None:
        """The lines over the sheet, or the sheet alone."""
        self._lines_shown = shown
        self.sheet.lift_acetate(not shown)

    def clear(self) -> None:
        """Let the pictures go."""
        self._hanging = self._lines = None
        self.sheet.show_hanging(None)

    def fit(self) -> None:
        """Show the whole canvas, and the whole sheet."""
        canvas = self._lie.canvas
        sight = centred(canvas.width_mm, canvas.height_mm, self._fit_zoom())
        self._look_at(self._lie.on_sheet(sight), fitted=True)

    def _take_key(self, event: QKeyEvent) -> bool:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.accepted.emit()
            return True
        return self._hanging is not None and super()._take_key(event)

    def _lift(self, lifted: bool) -> None:
        self.sheet.lift_acetate(lifted or not self._lines_shown)

    def _look_at(self, sight: Sight, *, fitted: bool = False) -> None:
        if self.sheet.hanging is None:
            return
        self._fitted = fitted
        canvas, fit = self._lie.canvas, self._fit_zoom()
        most = max(MOST_PX_PER_PX * self.sheet.hanging.mapping.px_per_mm / self._lie.scale, fit)
        reach = Reach(canvas.width_mm, canvas.height_mm, fit * LEAST_OF_FIT, most)
        self.sheet.look_at(self._lie.on_sheet(reach.hold(self._lie.on_canvas(sight))))

    def _fit_zoom(self) -> float:
        """Screen pixels for each mm of the canvas."""
        lie = self._lie
        half = np.array([lie.canvas.width_mm, lie.canvas.height_mm]) / 2.0
        first = np.array([lie.left_mm, lie.top_mm])
        last = first + lie.scale * np.array([self._size.width_mm, self._size.height_mm])
        reach = np.maximum(np.abs(np.array([first, last]) - half).max(axis=0), half)
        room = np.array([self.sheet.width(), self.sheet.height()]) / 2.0 - _MARGIN_PX
        return float((np.maximum(room, 1.0) / reach).min())


class _Ground:
    """The bare canvas about the sheet, its outline, and a veil over what of the sheet lies beside it."""

    def __init__(self, sheet: Size, lie: _Lie) -> None:
        self._sheet, self._canvas_corners = sheet, lie.canvas_corners()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        width, height = self._sheet.width_mm, self._sheet.height_mm
        canvas = placed.polygon(self._canvas_corners)
        on = _path(canvas)
        sheet = _path(placed.polygon([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.fillPath(on.subtracted(sheet), look.neutral(9.0))
        veil = QColor(look.shades().colour("surround"))
        veil.setAlphaF(0.6)
        painter.fillPath(sheet.subtracted(on), veil)
        marks.outline(painter, canvas)


def _path(polygon: QPolygonF) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(polygon)
    path.closeSubpath()
    return path
