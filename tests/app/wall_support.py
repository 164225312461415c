"""What the tests of the wall share: small pictures, a drawing, and how to read a frame."""

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.picture import Picture
from app.wall import Hanging, Mapping, WallView
from app.wall.pane import Pane
from core.drawing.drawing import Drawing, Landmark, Line
from core.size import Size

SIZE = Size(400, 300)
PX_PER_MM = 5.0
FLAT = Mapping.flat(PX_PER_MM)


def plain(code: int) -> Picture:
    """A grey picture of the whole canvas."""
    return Picture.from_grey(np.full((1500, 2000), code, np.uint8))


def marked(x_mm: float, y_mm: float, side_mm: float = 4.0) -> Picture:
    """Mid grey with a white square about a point of the canvas."""
    codes = np.full((1500, 2000), 120, np.uint8)
    x, y, half = (round(v * PX_PER_MM) for v in (x_mm, y_mm, side_mm / 2))
    codes[y - half : y + half, x - half : x + half] = 255
    return Picture.from_grey(codes)


def hanging(title: str, picture: Picture, **parts: object) -> Hanging:
    return Hanging(title, picture, FLAT, **parts)  # type: ignore[arg-type]


def drawing() -> Drawing:
    """An upright line at x = 100 mm, an arch, and two landmarks."""
    upright = np.array([[100, 50], [100, 100], [100, 200], [100, 250]], dtype=np.float64)
    arch = np.array([[150, 200], [150, 80], [330, 80], [330, 200]], dtype=np.float64)
    marks = (Landmark("rim of the jug", 200.0, 150.0), Landmark("quince", 300.0, 220.0))
    return Drawing(SIZE, (Line(upright), Line(arch, name="arch")), marks)


def codes(widget: QWidget) -> np.ndarray:
    """What a widget shows, (H, W) luma-free: the green codes."""
    return image_codes(widget.grab().toImage())


def image_codes(image: QImage) -> np.ndarray:
    rgb = image.convertToFormat(QImage.Format.Format_RGB32)
    raw = np.frombuffer(rgb.constBits(), np.uint8).reshape(rgb.height(), rgb.width(), 4)
    return raw[..., 1].astype(int).copy()


def colour_at(widget: QWidget, at: QPointF) -> QColor:
    return QColor(widget.grab().toImage().pixel(round(at.x()), round(at.y())))


def hover(widget: QWidget, at: QPointF) -> None:
    """Move the mouse over a widget without a button, as the windowing system would tell it."""
    glob = QPointF(widget.mapToGlobal(at.toPoint()))
    none = Qt.MouseButton.NoButton
    move = QMouseEvent(QEvent.Type.MouseMove, at, glob, none, none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(widget, move)


def panes(wall: WallView) -> list[Pane]:
    return [sheet.parentWidget() for sheet in wall.sheets]  # type: ignore[misc]


def mm_under(wall: WallView, which: int, at: QPointF) -> tuple[float, float]:
    mm = panes(wall)[which].sheet.placed().mm_at(at)
    assert mm is not None
    return mm


def wall_of_two(qtbot: QtBot) -> WallView:
    """Two plain grey pictures, 200 and 60, hung in a window of 1200 × 700."""
    made = WallView(SIZE)
    qtbot.addWidget(made)
    made.resize(1200, 700)
    made.hang([hanging("Reference", plain(200)), hanging("Canvas photo", plain(60))])
    made.show()
    qtbot.waitExposed(made)
    return made


def leave(widget: QWidget) -> None:
    """The mouse goes elsewhere."""
    QApplication.sendEvent(widget, QEvent(QEvent.Type.Leave))
