"""What the tests of tracing share: a page before a painter, and the painter's hand."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QInputDevice, QPointingDevice, QPointingDeviceUniqueId, QTabletEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.tracing.page import TracePage
from app.work import Worker
from core.drawing.drawing import Drawing
from core.drawing.svg_read import drawing_from_svg
from core.painting import Painting
from tests.app.window_case import SIZE, Easel, make_easel, reference_photo

LEFT = Qt.MouseButton.LeftButton
Place = tuple[float, float]
CIRCLE_MM = (
    60.0,
    75.0,
    30.0,
)  # in the left of the window: the screenless platform has fingers only on its own 800 pixels


def bare_painting(folder: Path) -> Path:
    """A painting with its reference and no drawing, closed again; its folder."""
    where = folder / "bare"
    Painting.create(where, "Cat", SIZE, reference_photo(folder)).close()
    return where


def tracing_easel(qtbot: QtBot, worker: Worker, folder: Path) -> Easel:
    """The tracing page of a painting that has no drawing yet, with snapping off."""
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(bare_painting(folder))
    made.press("trace", "trace_snap")
    return made


def page_of(easel: Easel) -> TracePage:
    found = easel.desk.placing.trace
    assert isinstance(found, TracePage)
    return found


def kept(easel: Easel) -> Drawing:
    """The drawing as it is on disk, once what is on its way has been kept."""
    easel.desk.studio.keep_now()
    text = easel.desk.studio.painting.drawing_svg
    return Drawing(SIZE) if text is None else drawing_from_svg(text, SIZE)


def circle(count: int = 90) -> np.ndarray:
    """Once round, mm: the last point beside the first."""
    x, y, radius = CIRCLE_MM
    turn = np.linspace(0, 2 * np.pi, count)
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


def off_the_circle(points: np.ndarray) -> np.ndarray:
    x, y, radius = CIRCLE_MM
    return np.abs(np.hypot(points[:, 0] - x, points[:, 1] - y) - radius)


class Hand:
    """Draws on the sheet in mm on the canvas, with mouse, finger or pen."""

    def __init__(self, page: TracePage) -> None:
        self.page = page
        self.sheet: Any = page.view.sheet

    def at(self, place: Place | np.ndarray) -> QPoint:
        return self.sheet.placed().point(float(place[0]), float(place[1])).toPoint()

    def click(self, place: Place) -> None:
        QTest.mouseClick(self.sheet, LEFT, pos=self.at(place))

    def double_click(self, place: Place) -> None:
        QTest.mouseClick(self.sheet, LEFT, pos=self.at(place))
        QTest.mouseDClick(self.sheet, LEFT, pos=self.at(place))

    def drag(self, places: Sequence[Place] | np.ndarray, *, lift: bool = True) -> None:
        points = [self.at(place) for place in places]
        QTest.mousePress(self.sheet, LEFT, pos=points[0])
        for point in points[1:]:
            QTest.mouseMove(self.sheet, point)
        if lift:
            QTest.mouseRelease(self.sheet, LEFT, pos=points[-1])
        QApplication.processEvents()

    def finger(self, places: Sequence[Place] | np.ndarray) -> None:
        points, device = [self.at(place) for place in places], QTest.createTouchDevice()
        QTest.touchEvent(self.sheet, device).press(0, points[0], self.sheet).commit()
        for point in points[1:]:
            QTest.touchEvent(self.sheet, device).move(0, point, self.sheet).commit()
        QTest.touchEvent(self.sheet, device).release(0, points[-1], self.sheet).commit()

    def pen(self, places: Sequence[Place] | np.ndarray, *, turned: bool = False) -> None:
        """With a tablet's pen, pressing harder as it goes; ``turned``: with its other end."""
        points = [QPointF(self.at(place)) for place in places]
        device = _pen(turned)
        count = len(points)
        self._pen_event(QEvent.Type.TabletPress, device, points[0], LEFT, LEFT, 0.2)
        for index, point in enumerate(points[1:]):
            pressure = 0.2 + 0.8 * index / count
            self._pen_event(QEvent.Type.TabletMove, device, point, Qt.MouseButton.NoButton, LEFT, pressure)
        self._pen_event(QEvent.Type.TabletRelease, device, points[-1], LEFT, Qt.MouseButton.NoButton, 0.0)

    def _pen_event(
        self, kind: QEvent.Type, device: QPointingDevice, at: QPointF, button: Any, buttons: Any, pressure: float
    ) -> None:
        glob = QPointF(self.sheet.mapToGlobal(at.toPoint()))
        none = Qt.KeyboardModifier.NoModifier
        event = QTabletEvent(kind, device, at, glob, pressure, 10.0, -5.0, 0.0, 0.0, 0.0, none, button, buttons)
        QApplication.sendEvent(self.sheet, event)


_pens: dict[bool, QPointingDevice] = {}


def _pen(turned: bool) -> QPointingDevice:
    if turned not in _pens:
        kinds = QPointingDevice.PointerType
        _pens[turned] = QPointingDevice(
            "pen", 7 + turned, QInputDevice.DeviceType.Stylus, kinds.Eraser if turned else kinds.Pen,
            QInputDevice.Capability.Position | QInputDevice.Capability.Pressure, 1, 3, "",
            QPointingDeviceUniqueId.fromNumericId(7 + turned),
        )  # fmt: skip
    return _pens[turned]
