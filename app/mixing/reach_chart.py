"""Value against chroma: what a palette reaches, over the colours of the reference."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look

HEIGHT_PX = 230
_LEFT_PX, _BOTTOM_PX, _TOP_PX, _RIGHT_PX = 30, 40, 10, 10
_SELDOM = 2e-4
"""A share of the reference that needs no column of its own."""
_STRONGEST = 0.25
"""The greatest share of the darkening that one cell takes: few cells hold most of a picture."""

if TYPE_CHECKING:
    from core.paint.palette_slices import ValueChroma

Floats = NDArray[np.float64]


class ReachChart(QWidget):
    """The reach as a region with a firm outline; the reference's colours as a darkening over it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart: ValueChroma | None = None
        self._along: int | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Value against chroma: what the palette reaches, and the colours of the reference")

    def show_chart(self, chart: "ValueChroma | None", along: int | None = None) -> None:
        """``along``: which of its hues is drawn too."""
        if (chart, along) != (self._chart, self._along):
            self._chart, self._along = chart, along
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(280, round(look.px(HEIGHT_PX)))

    def minimumSizeHint(self) -> QSize:
        return QSize(160, round(look.px(HEIGHT_PX)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        shades = look.shades()
        room = QRectF(self.rect()).adjusted(
            look.px(_LEFT_PX), look.px(_TOP_PX), -look.px(_RIGHT_PX), -look.px(_BOTTOM_PX)
        )
        painter.fillRect(room, shades.colour("field"))
        if self._chart is not None:
            painter.setClipRect(room)
            self._reach(painter, room, self._chart)
            painter.drawImage(room, _darkening(self._chart.share[:, : _columns(self._chart)]))
            if self._along is not None and self._along < len(self._chart.along):
                self._hue(painter, room, self._chart, self._along)
            painter.setClipping(False)
        self._axes(painter, room)

    def _reach(self, painter: QPainter, room: QRectF, chart: "ValueChroma") -> None:
        most = _most(chart)
        rim = _rim(room, chart.values, chart.greatest, most)
        if not rim:
            return
        ends = [QPointF(room.left(), rim[-1].y()), QPointF(room.left(), rim[0].y())]
        painter.setPen(QPen(look.shades().colour("ink"), look.px(2.0)))
        painter.setBrush(look.shades().colour("raised"))
        painter.drawPolygon(QPolygonF([*rim, *ends]))

    def _hue(self, painter: QPainter, room: QRectF, chart: "ValueChroma", along: int) -> None:
        """What is reached along one hue."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(look.shades().colour("ink"), look.px(2.0), Qt.PenStyle.DashLine))
        painter.drawPolyline(QPolygonF(_rim(room, chart.values, chart.along[along].greatest, _most(chart))))

    def _axes(self, painter: QPainter, room: QRectF) -> None:
        shades = look.shades()
        painter.setPen(QPen(shades.colour("line"), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(room)
        painter.setPen(shades.colour("ink"))
        painter.setFont(look.font("note"))
        most = _most(self._chart) if self._chart is not None else 60.0
        for value in range(0, 11, 2):
            _, y = _at(room, value, 0.0, most)
            painter.drawText(QRectF(0, y - 10, room.left() - 6, 20), _RIGHT, str(value))
        for chroma in range(0, int(most) + 1, 20):
            x, _ = _at(room, 0, chroma, most)
            painter.drawText(QRectF(x - 20, room.bottom() + 2, 40, 18), Qt.AlignmentFlag.AlignCenter, str(chroma))
        under = QRectF(room.left(), room.bottom() + look.px(18), room.width(), look.px(20))
        painter.drawText(under, Qt.AlignmentFlag.AlignCenter, "value upwards, chroma C* to the right")


_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def _columns(chart: "ValueChroma") -> int:
    """How many columns are shown: as many as the palette or the reference need, and one more."""
    needed = [float(np.nanmax(chart.greatest, initial=0.0))]
    used = np.flatnonzero(chart.share.sum(axis=0) > _SELDOM)
    needed += [float(chart.chroma_edges[used[-1] + 1])] if len(used) else []
    return min(int(np.searchsorted(chart.chroma_edges, max(needed))) + 1, len(chart.chroma_edges) - 1)


def _most(chart: "ValueChroma") -> float:
    return float(chart.chroma_edges[_columns(chart)])


def _rim(room: QRectF, values: Floats, chroma: Floats, most: float) -> list[QPointF]:
    known = np.isfinite(chroma)
    return [QPointF(*_at(room, v, c, most)) for v, c in zip(values[known], chroma[known], strict=True)]


def _at(room: QRectF, value: float, chroma: float, most: float) -> tuple[float, float]:
    return room.left() + room.width() * chroma / most, room.bottom() - room.height() * value / 10.0


def _darkening(colours: Floats) -> QImage:
    """How much of the reference lies in each cell, as ink over the chart: by its root, for small passages count too."""
    total = float(colours.sum())
    share = np.sqrt(colours / total) if total > 0 else np.zeros_like(colours)
    strength = np.clip(share / _STRONGEST, 0.0, 1.0) if total > 0 else share
    ink: QColor = look.shades().colour("ink")
    codes = np.zeros((*colours.shape, 4), np.uint8)
    codes[..., :3] = (ink.red(), ink.green(), ink.blue())
    codes[..., 3] = np.rint(230 * strength).astype(np.uint8)
    flipped = np.ascontiguousarray(codes[::-1])
    height, width = colours.shape
    return QImage(flipped.data, width, height, 4 * width, QImage.Format.Format_RGBA8888).copy()
