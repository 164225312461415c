"""A small chart of one landmark's drift over the sittings: left and right above, high and low under it.

Everything is ink on the panel's grey, told apart by shape: a dot was measured, an open square was placed by hand, and
where a sitting could not tell there is a gap.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from core.drawing.history import Course, Moment

SIGMAS = 2.0
"""The bars reach so many standard deviations each way: 19 times in 20 the true drift lies in them."""
_PLOT_PX, _GAP_PX, _FOOT_PX = 200, 22, 34
_MOST_TICKS = 10  # of all bands together, so that the figures of two never touch
_DOT_PX, _BAR_PX = 4.0, 5.0
_MOST_FIGURES = 8


@dataclass(frozen=True)
class Band:
    """One direction: the axis of the drift, its sign upwards, and the words above and below nought."""

    axis: int
    up: float
    above: str
    below: str


BANDS = (Band(0, 1.0, "right", "left"), Band(1, -1.0, "high", "low"))


@dataclass(frozen=True)
class Point:
    """A point of the chart: the value upwards and the half length of its bar, mm; None in a gap."""

    sitting: int
    up_mm: float | None
    bar_mm: float
    by_hand: bool
    is_now: bool


def points(course: Course, band: Band, canvas_photo: int | None) -> tuple[Point, ...]:
    """What one band shows, oldest first; ``canvas_photo`` is the one that hangs."""
    return tuple(_point(moment, band, canvas_photo) for moment in course.moments)


def reaches_mm(course: Course) -> tuple[tuple[float, float], ...]:
    """How far each band goes below and above nought: whole steps, which hold every value and bar."""
    wanted = []
    for band in BANDS:
        shown = [each for each in points(course, band, None) if each.up_mm is not None]
        low = min((each.up_mm - each.bar_mm for each in shown if each.up_mm is not None), default=0.0)
        high = max((each.up_mm + each.bar_mm for each in shown if each.up_mm is not None), default=0.0)
        wanted.append((low, high))
    step = 0.5
    while True:
        found = tuple(
            (-step * max(1, math.ceil(-low / step)), step * max(1, math.ceil(high / step))) for low, high in wanted
        )
        if sum(high - low for low, high in found) <= _MOST_TICKS * step:
            return found
        step *= 2


class CourseChart(QWidget):
    """Shows a course; give it another with :meth:`show_course`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.course: Course | None = None
        self._canvas_photo: int | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_course(self, course: Course, canvas_photo: int | None) -> None:
        self.course, self._canvas_photo = course, canvas_photo
        self.setAccessibleName(course.say or f"{course.name}: not told in any sitting")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(280, round(look.px(_PLOT_PX + (len(BANDS) - 0.5) * _GAP_PX + _FOOT_PX)))

    def minimumSizeHint(self) -> QSize:
        return QSize(180, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.course is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(look.font("note"))
        reaches = reaches_mm(self.course)
        px_per_mm = look.px(_PLOT_PX) / sum(high - low for low, high in reaches)
        ticks = [_tick(band, mm) for band, reach in zip(BANDS, reaches, strict=True) for mm in reach]
        left = max(painter.fontMetrics().horizontalAdvance(tick) for tick in ticks) + look.px(8)
        top = look.px(_GAP_PX) / 2
        for band, (low, high) in zip(BANDS, reaches, strict=True):
            room = QRectF(left, top, self.width() - left - look.px(4), (high - low) * px_per_mm)
            self._paint_band(painter, room, band, (low, high))
            top = room.bottom() + look.px(_GAP_PX)
        foot = QRectF(left, top - look.px(_GAP_PX), self.width() - left - look.px(4), look.px(_FOOT_PX))
        self._paint_foot(painter, foot.adjusted(0, look.px(10), 0, 0))

    def _paint_band(self, painter: QPainter, plot: QRectF, band: Band, reach: tuple[float, float]) -> None:
        assert self.course is not None
        px_per_mm = plot.height() / (reach[1] - reach[0])
        zero = plot.top() + reach[1] * px_per_mm
        self._paint_scale(painter, plot, band, (reach[0], 0.0, reach[1]), zero, px_per_mm)
        shown = points(self.course, band, self._canvas_photo)
        columns = _columns(plot, len(shown))
        places = [
            None if each.up_mm is None else QPointF(x, zero - each.up_mm * px_per_mm)
            for each, x in zip(shown, columns, strict=True)
        ]
        self._paint_course(painter, places)
        for each, place, x in zip(shown, places, columns, strict=True):
            if place is None:
                self._paint_gap(painter, QPointF(x, zero))
            else:
                self._paint_point(painter, each, place, each.bar_mm * px_per_mm, len(shown))

    def _paint_scale(
        self, painter: QPainter, plot: QRectF, band: Band, ticks: tuple[float, ...], zero: float, px_per_mm: float
    ) -> None:
        shades = look.shades()
        high = painter.fontMetrics().height()
        for mm in ticks:
            at = zero - mm * px_per_mm
            room = QRectF(0, at - high / 2, plot.left() - look.px(6), high)
            painter.setPen(shades.colour("ink"))
            painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, _tick(band, mm))
            painter.setPen(QPen(shades.colour("line"), 1.5 if mm == 0 else 1, _line_of(mm)))
            painter.drawLine(QPointF(plot.left(), at), QPointF(plot.right(), at))

    def _paint_course(self, painter: QPainter, places: list[QPointF | None]) -> None:
        """A line from point to point, broken at a gap."""
        painter.setPen(QPen(look.shades().colour("ink"), look.px(1.5)))
        for one, other in pairwise(places):
            if one is not None and other is not None:
                painter.drawLine(one, other)

    def _paint_gap(self, painter: QPainter, at: QPointF) -> None:
        room = QRectF(at.x() - 20, at.y() - 20, 40, 40)
        painter.fillRect(QRectF(at.x() - look.px(6), at.y() - 3, look.px(12), 6), look.shades().colour("panel"))
        painter.setPen(look.shades().colour("ink"))
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, "?")

    def _paint_point(self, painter: QPainter, each: Point, at: QPointF, bar: float, count: int) -> None:
        shades = look.shades()
        ink = shades.colour("ink")
        painter.setPen(QPen(ink, look.px(1.5)))
        cap = look.px(_BAR_PX)
        for end in (at.y() - bar, at.y() + bar):
            painter.drawLine(QPointF(at.x() - cap, end), QPointF(at.x() + cap, end))
        painter.drawLine(QPointF(at.x(), at.y() - bar), QPointF(at.x(), at.y() + bar))
        dot = look.px(_DOT_PX + (1.5 if each.is_now else 0.0))
        painter.setPen(QPen(ink, look.px(2.0)))
        painter.setBrush(shades.colour("field") if each.by_hand else ink)
        if each.by_hand:
            painter.drawRect(QRectF(at.x() - dot, at.y() - dot, 2 * dot, 2 * dot))
        else:
            painter.drawEllipse(at, dot, dot)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if count <= _MOST_FIGURES and each.up_mm is not None:
            self._write_figure(painter, each, QPointF(at.x() + dot + look.px(4), at.y()))

    def _write_figure(self, painter: QPainter, each: Point, at: QPointF) -> None:
        font = look.font("strong" if each.is_now else "note")
        text = f"{abs(each.up_mm or 0.0):.1f}"
        measured = QFontMetrics(font)
        if at.x() + measured.horizontalAdvance(text) > self.width():
            at -= QPointF(measured.horizontalAdvance(text) + look.px(2 * _DOT_PX + 11), 0)
        high = measured.height()
        plate = QRectF(at.x() - 1, at.y() - look.px(5) - high * 0.75, measured.horizontalAdvance(text) + 2, high * 0.85)
        painter.fillRect(plate, look.shades().colour("panel"))
        painter.save()
        painter.setFont(font)
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, text)
        painter.restore()

    def _paint_foot(self, painter: QPainter, room: QRectF) -> None:
        """The sitting under each point, once for several photos of one."""
        assert self.course is not None
        moments = self.course.moments
        painter.setPen(look.shades().colour("ink"))
        columns = _columns(room, len(moments))
        for number in dict.fromkeys(moment.sitting for moment in moments):
            own = [x for x, moment in zip(columns, moments, strict=True) if moment.sitting == number]
            middle = (own[0] + own[-1]) / 2
            if len(own) > 1:
                painter.drawLine(QPointF(own[0], room.top() + 2), QPointF(own[-1], room.top() + 2))
            painter.drawText(
                QRectF(middle - 30, room.top(), 60, room.height()), Qt.AlignmentFlag.AlignCenter, str(number)
            )
        before = QRectF(0, room.top(), room.left() - look.px(6), room.height())
        painter.drawText(before, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, "sitting")


def _point(moment: Moment, band: Band, canvas_photo: int | None) -> Point:
    is_now = moment.canvas_photo == canvas_photo
    drift, seen = moment.drift_mm, moment.seen
    if drift is None or seen is None:
        return Point(moment.sitting, None, 0.0, by_hand=False, is_now=is_now)
    bar = SIGMAS * (seen.sigma_mm or 0.0)
    return Point(moment.sitting, band.up * drift[band.axis], bar, by_hand=seen.by_hand, is_now=is_now)


def _columns(plot: QRectF, count: int) -> list[float]:
    return [plot.left() + plot.width() * (index + 0.5) / count for index in range(count)]


def _line_of(mm: float) -> Qt.PenStyle:
    return Qt.PenStyle.SolidLine if mm == 0 else Qt.PenStyle.DotLine


def _tick(band: Band, mm: float) -> str:
    """Such as ``6 mm right``."""
    return f"{abs(mm):g} mm {band.above if mm > 0 else band.below}" if mm else "0"
