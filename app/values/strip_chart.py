"""A chart of a value strip: the values of reference and canvas along a line drawn across both pictures."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look

if TYPE_CHECKING:
    from core.value.strip import Strip

_PLOT_PX, _FOOT_PX = 150, 26
_LEAST_SPAN = 2.0
"""Munsell steps from foot to head at least: a nearly even passage shall not look steep."""


class StripChart(QWidget):
    """The reference is an unbroken line, the canvas a broken one; where the canvas cannot be judged both stop."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.strip: Strip | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_strip(self, strip: "Strip", words: str) -> None:
        self.strip = strip
        self.setAccessibleName(words)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(280, round(look.px(_PLOT_PX + _FOOT_PX)))

    def minimumSizeHint(self) -> QSize:
        return QSize(180, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.strip is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(look.font("note"))
        left = painter.fontMetrics().horizontalAdvance("10") + look.px(8)
        plot = QRectF(left, look.px(6), self.width() - left - look.px(4), look.px(_PLOT_PX) - look.px(6))
        low, high = value_reach(self.strip)
        self._paint_scale(painter, plot, low, high)
        for values, style in ((self.strip.reference, Qt.PenStyle.SolidLine), (self.strip.canvas, Qt.PenStyle.DashLine)):
            painter.setPen(QPen(look.shades().colour("ink"), look.px(2.0), style))
            for part in self._parts(values, plot, low, high):
                painter.drawPolyline(part)

    def _paint_scale(self, painter: QPainter, plot: QRectF, low: int, high: int) -> None:
        assert self.strip is not None
        shades, tall = look.shades(), painter.fontMetrics().height()
        for value in range(low, high + 1):
            at = plot.bottom() - (value - low) / (high - low) * plot.height()
            painter.setPen(QPen(shades.colour("line"), 1, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(plot.left(), at), QPointF(plot.right(), at))
            painter.setPen(shades.colour("ink"))
            where = QRectF(0, at - tall / 2, plot.left() - look.px(6), tall)
            painter.drawText(where, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(value))
        foot = QRectF(plot.left(), plot.bottom() + look.px(2), plot.width(), look.px(_FOOT_PX))
        painter.drawText(foot, Qt.AlignmentFlag.AlignLeft, "0 mm")
        painter.drawText(foot, Qt.AlignmentFlag.AlignRight, f"{self.strip.distance_mm[-1]:.0f} mm")

    def _parts(self, values: NDArray[np.float64], plot: QRectF, low: int, high: int) -> list[QPolygonF]:
        """The line where it is known, as polygons on the widget."""
        assert self.strip is not None
        x = plot.left() + self.strip.distance_mm / self.strip.distance_mm[-1] * plot.width()
        y = plot.bottom() - (values - low) / (high - low) * plot.height()
        known = np.isfinite(y)
        cuts = np.flatnonzero(known[1:] != known[:-1]) + 1
        return [
            QPolygonF([QPointF(float(x[k]), float(y[k])) for k in part])
            for part in np.split(np.arange(len(x)), cuts)
            if len(part) > 1 and known[part[0]]
        ]


def value_reach(strip: "Strip") -> tuple[int, int]:
    """The whole Munsell values at the foot and at the head of the chart."""
    told = np.concatenate([strip.reference, strip.canvas])
    told = told[np.isfinite(told)]
    if not told.size:
        return 0, 10
    low, high = int(np.floor(told.min())), int(np.ceil(told.max()))
    while high - low < _LEAST_SPAN:
        low, high = max(low - 1, 0), min(high + 1, 10)
    return low, high
