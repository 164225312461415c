"""A tube: its masstone and a tint of it, its name and pigment, and how it behaves."""

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app import look
from app.mixing.swatch_pair import Patch

if TYPE_CHECKING:
    from core.paint.tubes import Tube

_SIDE_PX = 44
_WHITE = "titanium white"


class TubeLine(QAbstractButton):
    """``pressable``: it can be laid out and taken off; checked while it lies there."""

    def __init__(
        self, tube: "Tube", among: "Mapping[str, Tube]", *, pressable: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.tube = tube
        self._masstone, self._tint = colours(tube, among[_WHITE])
        self._pressable = pressable
        self.setCheckable(pressable)
        self.setEnabled(True)
        self.setText(tube.name)
        told = f"{named(tube)}. {behaves(tube)}, {lasts(tube)}"
        self.setAccessibleName(told)
        self.setToolTip("\n".join([told, tube.basis, *(f"{key}: {source}" for key, source in tube.sources.items())]))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if pressable else Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        if pressable:
            self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        lines = QFontMetrics(look.font()).height() + 2 * QFontMetrics(look.font("note")).height()
        return QSize(260, max(lines + 10, round(look.px(_SIDE_PX)) + 8, look.target_px()))

    def minimumSizeHint(self) -> QSize:
        return QSize(160, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, shades = QPainter(self), look.shades()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        ink = shades.colour("on_pressed" if on else "ink")
        if on or (self._pressable and self.underMouse()):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shades.colour("pressed" if on else "raised"))
            painter.drawRoundedRect(self.rect(), 5, 5)
        side = look.px(_SIDE_PX)
        top = (self.height() - side) / 2
        painter.fillRect(QRectF(4, top, side * 0.8, side), self._masstone.colour)
        painter.fillRect(QRectF(4 + side * 0.8, top, side * 0.8, side), self._tint.colour)
        left = round(4 + 1.6 * side + look.px(10))
        room = self.rect().adjusted(left, 4, -4, -4)
        painter.setPen(ink)
        painter.setFont(look.font())
        high = QFontMetrics(look.font()).height()
        painter.drawText(
            room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, _cut(named(self.tube), room.width())
        )
        painter.setFont(look.font("note"))
        painter.setPen(ink if on else shades.colour("quiet"))
        under = QFontMetrics(look.font("note"))
        for number, words in enumerate((behaves(self.tube), lasts(self.tube))):
            at = room.adjusted(0, high + number * under.height(), 0, 0)
            cut = under.elidedText(words, Qt.TextElideMode.ElideRight, room.width())
            painter.drawText(at, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, cut)
        if self.hasFocus():
            painter.setPen(QPen(ink, 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 5, 5)


def named(tube: "Tube") -> str:
    """Such as ``yellow ochre · PY43``."""
    own = " · your own" if tube.own else ""
    return " · ".join([tube.name, *tube.pigments[:2]]) + own


def behaves(tube: "Tube") -> str:
    """Such as ``opaque, dries slowly``."""
    dries = {"fast": "dries fast", "medium": "medium drying", "slow": "dries slowly"}[tube.drying]
    return f"{tube.opacity}, {dries}"


def lasts(tube: "Tube") -> str:
    return f"lightfastness {tube.lightfastness}"


@lru_cache(maxsize=128)
def colours(tube: "Tube", white: "Tube") -> tuple[Patch, Patch]:
    """The paint alone, and one part of it in four of white."""
    from core.paint.paint import predict
    from core.paint.spectrum import linear_rgb

    paints = {"tube": tube.paint, "white": white.paint}
    alone = linear_rgb(predict(paints, {"tube": 1})).tolist()
    known = tube.paint.strength_known
    tint = linear_rgb(predict(paints, {"tube": 1, "white": 4})).tolist() if known else alone
    return Patch("alone", (alone[0], alone[1], alone[2])), Patch("in four of white", (tint[0], tint[1], tint[2]))


def _cut(words: str, width: int) -> str:
    return QFontMetrics(look.font()).elidedText(words, Qt.TextElideMode.ElideRight, width)
