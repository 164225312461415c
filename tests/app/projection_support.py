"""What the tests of the projection share: opening it on a screen of a known size, pressing its keys, reading it."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.projection.window import ProjectionWindow
from core.drawing.projection import Projection
from core.drawing.svg_read import drawing_from_svg
from tests.app.window_case import SIZE, SVG, Easel

from .wall_support import image_codes

Key, Shift, Alt = Qt.Key, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
WIDE, HIGH = 1000, 700
BROW = drawing_from_svg(SVG, SIZE).sampled(0.5).points


def project(easel: Easel) -> ProjectionWindow:
    """Open the projection, on a screen of a known size, without its words."""
    easel.desk.side.drawing.project.click()
    projecting = easel.desk.projecting
    projecting.page.go.click()
    window: ProjectionWindow = projecting.window
    window.showNormal()
    window.setGeometry(0, 0, WIDE, HIGH)
    QApplication.processEvents()
    if projecting.projector.throw.help:
        projecting.projector.toggle_help()
    return window


def shown(window: ProjectionWindow) -> np.ndarray:
    return image_codes(window.grab().toImage())


def centre(codes: np.ndarray) -> np.ndarray:
    y, x = np.nonzero(codes > 40)
    return np.array([x.mean(), y.mean()])


def press(qtbot: QtBot, window: ProjectionWindow, *keys: Qt.Key, times: int = 1, how=Qt.KeyboardModifier.NoModifier):
    for key in keys:
        for _ in range(times):
            qtbot.keyClick(window, key, how)


def thrown(easel: Easel) -> Projection:
    return easel.desk.projecting.projector.projection


def corners(easel: Easel) -> np.ndarray:
    return np.array(easel.desk.projecting.projector.projection.corners_px)
