"""The colour wanted and the colour mixed, edge to edge on neutral grey, large enough to judge."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from core.colorimetry import encode_srgb

HEIGHT_PX = 132
_MARGIN_PX = 18
_CAPTION_PX = 22


@dataclass(frozen=True)
class Patch:
    """``light``: linear, in the sRGB primaries; what the screen cannot show is shown as near as it can."""

    caption: str
    light: tuple[float, float, float]

    @property
    def colour(self) -> QColor:
        red, green, blue = np.rint(255 * encode_srgb(np.clip(self.light, 0.0, 1.0))).astype(int).tolist()
        return QColor(red, green, blue)


class SwatchPair(QWidget):
    """Patches side by side that touch: where two cannot be told apart, no line is seen between them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._patches: tuple[Patch, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def patches(self) -> tuple[Patch, ...]:
        return self._patches

    def show_patches(self, patches: Sequence[Patch]) -> None:
        self._patches = tuple(patches)
        said = ", ".join(f"{each.caption} {each.colour.name()}" for each in self._patches)
        self.setAccessibleName(said or "No colour yet")
        self.setToolTip(said)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(240, round(look.px(HEIGHT_PX)))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, round(look.px(HEIGHT_PX)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.fillRect(self.rect(), look.SURROUND)
        if not self._patches:
            return
        margin, caption = look.px(_MARGIN_PX), look.px(_CAPTION_PX)
        room = QRectF(self.rect()).adjusted(margin, margin * 0.6, -margin, -caption - 4)
        wide = room.width() / len(self._patches)
        painter.setFont(look.font("note"))
        for index, patch in enumerate(self._patches):
            left = round(room.left() + index * wide)
            right = round(room.left() + (index + 1) * wide)
            painter.fillRect(QRectF(left, room.top(), right - left, room.height()), patch.colour)
            painter.setPen(QPen(look.INK))
            under = QRectF(left, room.bottom() + 2, right - left, caption)
            painter.drawText(under, Qt.AlignmentFlag.AlignCenter, patch.caption)
