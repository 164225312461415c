"""The light as the panel shows it: the exposure as a bar, the white balance as a swatch, the field as a picture."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.values.light_found import LightFound
from app.wall import marks

_BAR_PX, _TICK_PX, _SWATCH_PX, _FIELD_PX = 16, 6, 44, 260
_GAP_PX = 4


class LightChart(QWidget):
    """One picture of a light that was found; ``show_light`` says in words what it shows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.light: LightFound | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_light(self, light: LightFound, words: str) -> None:
        self.light = light
        self.setAccessibleName(words)
        self.updateGeometry()
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(180, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.light is None:
            return
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        painter.setFont(look.font("note"))
        self.paint(painter, self.light)

    def paint(self, painter: QPainter, light: LightFound) -> None:
        """Each kind of chart paints itself; a widget's class cannot be abstract, so one that does not fails here."""
        raise NotImplementedError


class ExposureBar(LightChart):
    """A scale of stops with a bar from 0, where white just fills the camera's range, to where white lies."""

    def sizeHint(self) -> QSize:
        tall = QFontMetricsF(look.font("note")).height()
        return QSize(280, round(look.px(_BAR_PX + _TICK_PX + _GAP_PX) + tall))

    def bar(self) -> QRectF:
        """Where the bar lies."""
        if self.light is None:
            return QRectF()
        start, end = sorted((self.x_of(self.light.exposure_stops), self.x_of(0.0)))
        return QRectF(start, 0.0, end - start, look.px(_BAR_PX))

    def x_of(self, stops: float) -> float:
        least, most = self.light.stops if self.light is not None else (0, 1)
        rim = QFontMetricsF(look.font("note")).horizontalAdvance("+0")
        return rim + (stops - least) / (most - least) * (self.width() - 2 * rim)

    def paint(self, painter: QPainter, light: LightFound) -> None:
        shades, foot = look.shades(), look.px(_BAR_PX) + 1
        painter.fillRect(self.bar(), shades.colour("ink"))
        painter.setPen(QPen(shades.colour("ink"), 1))
        painter.drawLine(QPointF(self.x_of(light.stops[0]), foot), QPointF(self.x_of(light.stops[1]), foot))
        room = QFontMetricsF(painter.font()).horizontalAdvance("+00")
        for stop in range(light.stops[0], light.stops[1] + 1):
            at, under = self.x_of(stop), foot + look.px(_TICK_PX)
            painter.drawLine(QPointF(at, foot), QPointF(at, under))
            where = QRectF(at - room, under + 1, 2 * room, self.height() - under - 1)
            says = str(stop) if stop == 0 else f"{'+' if stop > 0 else '−'}{abs(stop)}"
            painter.drawText(where, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, says)


class BalanceSwatch(LightChart):
    """A light grey as it comes out in the photo (left), beside the same grey in neutral light."""

    def sizeHint(self) -> QSize:
        return QSize(280, round(look.px(_SWATCH_PX)))

    def paint(self, painter: QPainter, light: LightFound) -> None:
        half = self.width() // 2
        painter.fillRect(QRectF(0, 0, half, self.height()), QColor(*light.balance))
        painter.fillRect(QRectF(half, 0, self.width() - half, self.height()), QColor(*light.neutral))


class FieldPicture(LightChart):
    """How the light falls over the canvas, the lines of equal light with their figures."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        field = self.light.field if self.light is not None else None
        return 1 if field is None else round(min(look.px(_FIELD_PX), width * field.height() / field.width()))

    def sizeHint(self) -> QSize:
        return QSize(280, self.heightForWidth(280))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.heightForWidth(120))

    def picture(self) -> QRectF:
        """Where the picture lies."""
        field = self.light.field if self.light is not None else None
        if field is None:
            return QRectF()
        scale = min(self.width() / field.width(), self.height() / field.height())
        return QRectF(0, 0, scale * field.width(), scale * field.height())

    def paint(self, painter: QPainter, light: LightFound) -> None:
        if light.field is None:
            return
        lies = self.picture()
        painter.drawImage(lies, light.field)
        taken: list[QRectF] = []
        for x, y, words in light.figures:
            plate = marks.text_rect(words, painter.font(), 3.0)
            plate.moveCenter(QPointF(x * lies.width(), y * lies.height()))
            if lies.contains(plate) and not any(plate.intersects(other) for other in taken):
                taken.append(plate)
                marks.plate(painter, plate, words, painter.font())
