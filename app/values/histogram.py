"""The histogram of the reference, in the greys that its values are, with the boundaries between the steps to move."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.wall import marks
from core.errors import ValuesError
from core.value.boundaries import WHITE, moved_boundaries

NUDGE, FAR_NUDGE = 0.1, 0.5
_BARS_PX, _STRIP_PX, _GRIP_PX, _SIDE_PX = 84.0, 14.0, 24.0, 16.0
_ROWS = 2  # of labels, for boundaries that are close together


class HistogramBar(QWidget):
    """``moved`` gives the boundaries as the painter has put them, ``refused`` the sentence when they cannot be so."""

    moved = Signal(object)  # tuple of float
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shares: NDArray[np.float64] = np.empty(0)
        self._boundaries: tuple[float, ...] = ()
        self._greys: tuple[int, ...] = ()
        self._chosen = 0
        self._held: float | None = None  # from the pointer to the boundary that is dragged
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Boundaries between the value steps, on the histogram of the reference")
        self.setCursor(Qt.CursorShape.SplitHCursor)

    @property
    def boundaries(self) -> tuple[float, ...]:
        return self._boundaries

    @property
    def chosen(self) -> int:
        """Which boundary the arrow keys move, from 0 between the two darkest steps."""
        return self._chosen

    def show_values(self, shares: NDArray[np.float64], boundaries: Sequence[float], greys: Sequence[int]) -> None:
        """``shares`` of the picture in bins of equal value from black to white; empty while they are being found.
        ``greys``: the sRGB code that each step is shown in."""
        self._shares, self._greys = shares, tuple(greys)
        self._boundaries = tuple(float(each) for each in boundaries)
        self._chosen = min(self._chosen, max(len(self._boundaries) - 1, 0))
        self._say()
        self.update()

    def choose(self, index: int) -> None:
        self._chosen = min(max(index, 0), max(len(self._boundaries) - 1, 0))
        self._say()
        self.update()

    def move_chosen(self, value: float) -> None:
        """Put the chosen boundary at a value, if it may lie there."""
        if not self._boundaries:
            return
        wanted = list(self._boundaries)
        wanted[self._chosen] = round(value, 2)
        try:
            found = tuple(moved_boundaries(wanted).tolist())
        except ValuesError as trouble:
            self.refused.emit(str(trouble))
            return
        if found != self._boundaries:
            self._boundaries = found
            self._say()
            self.update()
            self.moved.emit(found)

    def sizeHint(self) -> QSize:
        return QSize(260, round(self._label_px() * _ROWS + look.px(_BARS_PX + _STRIP_PX + _GRIP_PX)))

    def minimumSizeHint(self) -> QSize:
        return QSize(180, self.sizeHint().height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        near = self._nearest(event.position().x())
        if event.button() != Qt.MouseButton.LeftButton or near is None:
            super().mousePressEvent(event)
            return
        self.choose(near)
        self._held = self._x_of(self._boundaries[near]) - event.position().x()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self.move_chosen(self._value_at(event.position().x() + self._held))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = FAR_NUDGE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else NUDGE
        moves = {Qt.Key.Key_Left: -step, Qt.Key.Key_Right: step}
        turns = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1}
        key = Qt.Key(event.key())
        if key in moves and self._boundaries:
            self.move_chosen(self._boundaries[self._chosen] + moves[key])
        elif key in turns:
            self.choose(self._chosen + turns[key])
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        bars = self._bars()
        painter.fillRect(bars, look.shades().colour("surround"))
        self._paint_bars(painter, bars)
        self._paint_steps(painter, QRectF(bars.left(), bars.bottom(), bars.width(), look.px(_STRIP_PX)))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        order = sorted(range(len(self._boundaries)), key=lambda index: index == self._chosen)
        for index in order:
            self._paint_boundary(painter, index, bars)
        self._paint_labels(painter)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.shades().colour("ink"), 2))
            painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 5, 5)

    def _paint_bars(self, painter: QPainter, bars: QRectF) -> None:
        """The square root of each share, so that small ones are seen beside large ones."""
        if not len(self._shares) or not self._shares.max() > 0.0:
            painter.setFont(look.font("note"))
            painter.setPen(look.shades().colour("ink"))
            painter.drawText(bars, Qt.AlignmentFlag.AlignCenter, "Being found…")
            return
        count = len(self._shares)
        high = np.sqrt(self._shares / self._shares.max()) * (bars.height() - 4.0)
        edges = bars.left() + np.arange(count + 1) * bars.width() / count
        shape = QPolygonF([bars.bottomLeft()])
        for number, tall in enumerate(high.tolist()):
            left, right = float(edges[number]), float(edges[number + 1])
            painter.fillRect(
                QRectF(left, bars.bottom() - tall, right - left, tall), look.neutral((number + 0.5) * WHITE / count)
            )
            shape.append(QPointF(left, bars.bottom() - tall))
            shape.append(QPointF(right, bars.bottom() - tall))
        painter.setPen(QPen(look.shades().colour("ink"), 1))
        painter.drawPolyline(shape)

    def _paint_steps(self, painter: QPainter, strip: QRectF) -> None:
        ends = [self._x_of(value) for value in (0.0, *self._boundaries, WHITE)]
        for code, (left, right) in zip(self._greys, pairwise(ends), strict=False):
            painter.fillRect(QRectF(left, strip.top(), right - left, strip.height()), QColor(code, code, code))
        painter.setPen(QPen(look.shades().colour("line"), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(strip)

    def _paint_boundary(self, painter: QPainter, index: int, bars: QRectF) -> None:
        x, foot = self._x_of(self._boundaries[index]), bars.bottom() + look.px(_STRIP_PX)
        chosen = index == self._chosen
        for colour, width in ((look.PAPER, look.px(4.5)), (look.INK, look.px(2.5 if chosen else 1.5))):
            painter.setPen(QPen(colour, width))
            painter.drawLine(QPointF(x, bars.top()), QPointF(x, foot))
        half, tall = look.px(8.0), look.px(_GRIP_PX - 3.0)
        grip = QPolygonF(
            [QPointF(x, foot), QPointF(x + half, foot + half), QPointF(x + half, foot + tall),
             QPointF(x - half, foot + tall), QPointF(x - half, foot + half)]
        )  # fmt: skip
        painter.setPen(QPen(look.INK, look.px(1.5)))
        painter.setBrush(look.INK if chosen else look.PAPER)
        painter.drawPolygon(grip)

    def _paint_labels(self, painter: QPainter) -> None:
        """Over their boundaries; where two would touch, the later one stands in the row above."""
        font, rows = look.font("note"), [-1e9] * _ROWS
        measured = QFontMetricsF(font)
        for index, value in enumerate(self._boundaries):
            words = f"{value:.1f}" if abs(value - round(value, 1)) < 0.005 else f"{value:.2f}"
            wide, x = measured.horizontalAdvance(words) + 8.0, self._x_of(value)
            row = next((r for r in range(_ROWS) if x - wide / 2 >= rows[r]), None)
            if row is None and index != self._chosen:
                continue
            row = row or 0
            rows[row] = x + wide / 2
            left = min(max(x - wide / 2, 0.0), self.width() - wide)
            top = (_ROWS - 1 - row) * self._label_px()
            rect = QRectF(left, top, wide, self._label_px() - 2.0)
            if index == self._chosen:
                marks.plate(painter, rect, words, font, dark=True)
            else:
                painter.setFont(font)
                painter.setPen(look.shades().colour("ink"))
                painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, words)

    def _label_px(self) -> float:
        return QFontMetricsF(look.font("note")).height() + 4.0

    def _bars(self) -> QRectF:
        side = look.px(_SIDE_PX)
        return QRectF(side, _ROWS * self._label_px(), self.width() - 2 * side, look.px(_BARS_PX))

    def _x_of(self, value: float) -> float:
        bars = self._bars()
        return bars.left() + value / WHITE * bars.width()

    def _value_at(self, x: float) -> float:
        bars = self._bars()
        return (x - bars.left()) / bars.width() * WHITE

    def _nearest(self, x: float) -> int | None:
        """The boundary that a finger on x means."""
        near = min(
            range(len(self._boundaries)), key=lambda index: abs(self._x_of(self._boundaries[index]) - x), default=None
        )
        if near is None or abs(self._x_of(self._boundaries[near]) - x) > look.target_px() / 2:
            return None
        return near

    def _say(self) -> None:
        if self._boundaries:
            at = self._chosen
            words = f"boundary {at + 1} of {len(self._boundaries)} at {self._boundaries[at]:.2f}"
        else:
            words = "not known yet"
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))
