"""When each layer is dry, as bars on a scale of days: from one case in ten to nine in ten, and where today is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.ledge.sittings import day_words

_BAR_PX, _ROW_GAP_PX, _TICK_PX, _TODAY = 16.0, 10.0, 6.0, "today"
_STEPS_DAYS = (1, 2, 3, 5, 7, 14, 28, 56, 112, 224, 365)
_MOST_TICKS = 4


@dataclass(frozen=True)
class Bar:
    """``low``, ``even``, ``high``: when it is dry with 10, 50 and 90 %; ``finished``: when its last stroke was made."""

    name: str
    finished: datetime
    low: datetime
    even: datetime
    high: datetime


class DryingChart(QWidget):
    """``show_bars`` says in words what it shows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bars: tuple[Bar, ...] = ()
        self._now = datetime(2000, 1, 1).astimezone()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_bars(self, bars: Sequence[Bar], now: datetime, words: str) -> None:
        self.bars, self._now = tuple(bars), now
        self.setAccessibleName(words)
        self.setToolTip("From one case in ten to nine in ten; the white line is an even bet.")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        tall = QFontMetricsF(look.font("note")).height()
        rows = len(self.bars) * self._row_px()
        return QSize(280, round(tall + rows + look.px(_TICK_PX) + tall + 4))

    def minimumSizeHint(self) -> QSize:
        return QSize(180, self.sizeHint().height())

    def span(self) -> tuple[datetime, datetime]:
        """What the scale reaches over."""
        first = min((bar.finished for bar in self.bars), default=self._now)
        last = max((bar.high for bar in self.bars), default=self._now)
        first, last = min(first, self._now), max(last, self._now, first + timedelta(days=1))
        return first, last + (last - first) * 0.04

    def x_of(self, when: datetime) -> float:
        """Where a moment lies."""
        first, last = self.span()
        rim = 4.0
        return rim + (when - first) / (last - first) * (self.width() - 2 * rim)

    def ticks(self) -> list[date]:
        """The days on the scale."""
        first, last = (each.date() for each in self.span())
        whole = (last - first).days
        step = next((each for each in _STEPS_DAYS if whole / each <= _MOST_TICKS), _STEPS_DAYS[-1])
        return [first + timedelta(days=at) for at in range(step, whole + 1, step)]

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, shades = QPainter(self), look.shades()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        note = look.font("note")
        painter.setFont(note)
        tall = QFontMetricsF(note).height()
        foot = tall + len(self.bars) * self._row_px()
        for number, bar in enumerate(self.bars):
            self._paint_bar(painter, bar, tall + number * self._row_px())
        painter.setPen(QPen(shades.colour("ink"), 1))
        painter.drawLine(QPointF(0, foot), QPointF(self.width(), foot))
        self._paint_ticks(painter, foot, tall)
        now = self.x_of(self._now)
        for pen in (QPen(shades.colour("panel"), 5), QPen(shades.colour("ink"), 2)):  # seen over a bar, too
            painter.setPen(pen)
            painter.drawLine(QPointF(now, tall), QPointF(now, foot))
        painter.setPen(shades.colour("ink"))
        wide = QFontMetricsF(note).horizontalAdvance(_TODAY)
        left = min(max(now - wide / 2, 0.0), self.width() - wide)
        painter.drawText(QRectF(left, 0, wide + 2, tall), Qt.AlignmentFlag.AlignLeft, _TODAY)

    def _paint_bar(self, painter: QPainter, bar: Bar, top: float) -> None:
        shades, tall = look.shades(), QFontMetricsF(look.font("note")).height()
        painter.setPen(shades.colour("ink"))
        painter.drawText(QRectF(4, top, self.width() - 4, tall), Qt.AlignmentFlag.AlignLeft, bar.name)
        at = QRectF(0, top + tall, 0, look.px(_BAR_PX))
        middle = at.center().y()
        painter.setPen(QPen(shades.colour("line"), 1))
        painter.drawLine(QPointF(self.x_of(bar.finished), middle), QPointF(self.x_of(bar.low), middle))
        at.setLeft(self.x_of(bar.low))
        at.setRight(max(self.x_of(bar.high), at.left() + 3))
        painter.fillRect(at, shades.colour("pressed"))
        even = self.x_of(bar.even)
        painter.setPen(QPen(shades.colour("on_pressed"), 2))
        painter.drawLine(QPointF(even, at.top() + 2), QPointF(even, at.bottom() - 2))

    def _paint_ticks(self, painter: QPainter, foot: float, tall: float) -> None:
        metrics, taken = QFontMetricsF(painter.font()), 0.0
        for each in self.ticks():
            x = self.x_of(datetime(each.year, each.month, each.day, tzinfo=self._now.tzinfo))
            words = day_words(each, self._now.date())
            wide = metrics.horizontalAdvance(words)
            left = x - wide / 2
            if x < 0 or left < taken or left + wide > self.width():
                continue
            taken = left + wide + 8
            painter.drawLine(QPointF(x, foot), QPointF(x, foot + look.px(_TICK_PX)))
            painter.drawText(QRectF(left, foot + look.px(_TICK_PX), wide + 2, tall), Qt.AlignmentFlag.AlignLeft, words)

    def _row_px(self) -> float:
        return QFontMetricsF(look.font("note")).height() + look.px(_BAR_PX + _ROW_GAP_PX)
