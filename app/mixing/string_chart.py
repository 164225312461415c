"""A string of a mix through the values, darkest at the foot, and another beside it."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.mixing.jobs import Strings
from app.mixing.swatch_pair import Patch
from core.words import signed

if TYPE_CHECKING:
    from core.paint.value_string import StringStep

_ROW_PX, _MARGIN_PX, _VALUE_PX = 44, 12, 34
_SHARE, _SHARE_OF_TWO = 0.3, 0.2
"""Of the width, that each patch takes."""


class StringChart(QWidget):
    """Patches on the surround's grey, with the value and T of each step and how many parts."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._strings: Strings | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_strings(self, strings: Strings | None) -> None:
        if strings is not self._strings:
            self._strings = strings
            steps = strings.string.steps if strings is not None else ()
            told = "; ".join(f"value {step.asked:.1f}: {step.say_parts()}, T {signed(step.warmth)}" for step in steps)
            self.setAccessibleName(told or "No string yet")
            self.updateGeometry()
            self.update()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return round(sum(self._rows(width)) + 2 * look.px(_MARGIN_PX))

    def sizeHint(self) -> QSize:
        return QSize(280, self.heightForWidth(280))

    def minimumSizeHint(self) -> QSize:
        return QSize(160, round(look.px(_ROW_PX)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look.SURROUND)
        if self._strings is None:
            return
        top, margin, column = look.px(_MARGIN_PX), look.px(_MARGIN_PX), look.px(_VALUE_PX)
        wide = self._patch_px(self.width())
        for step, row in zip(reversed(self._strings.string.steps), self._rows(self.width()), strict=True):
            painter.setPen(look.INK)
            painter.setFont(look.font("strong"))
            painter.drawText(QRectF(margin, top, column, row), _LEFT, f"{step.asked:.1f}")
            left = margin + column
            for each in self._beside(step):
                if each is not None:
                    patch = QRectF(left, round(top), wide, round(top + row) - round(top))
                    painter.fillRect(patch, Patch("", each.linear_rgb).colour)
                left += wide
            painter.setFont(look.font("note"))
            room = QRectF(left + 8, top + 2, self._room(self.width()), row)
            painter.drawText(room, _WRAPPED, self._told(step))
            top += row

    def _beside(self, step: "StringStep") -> "list[StringStep | None]":
        """The step, and that of the string beside it."""
        beside = None if self._strings is None else self._strings.beside
        return [step] if beside is None else [step, beside.at(step.asked)]

    def _told(self, step: "StringStep") -> str:
        warmths = [f"T {signed(step.warmth)}"]
        warmths += [f"grey {signed(each.warmth)}" for each in self._beside(step)[1:] if each is not None]
        parts = ", ".join(f"{count} {name}" for name, count in step.whole.items())
        return f"{', '.join(warmths)}\n{parts}"

    def _rows(self, width: int) -> list[float]:
        """How high each step is, the lightest first: as its words need."""
        if self._strings is None:
            return []
        metrics, room = QFontMetrics(look.font("note")), int(self._room(width))
        heights = (
            metrics.boundingRect(0, 0, room, 10_000, _WRAPPED, self._told(step)).height()
            for step in reversed(self._strings.string.steps)
        )
        return [max(height + 8.0, look.px(_ROW_PX)) for height in heights]

    def _patch_px(self, width: int) -> float:
        two = self._strings is not None and self._strings.beside is not None
        return (width - 2 * look.px(_MARGIN_PX) - look.px(_VALUE_PX)) * (_SHARE_OF_TWO if two else _SHARE)

    def _room(self, width: int) -> float:
        """For the words beside the patches."""
        patches = 2 if self._strings is not None and self._strings.beside is not None else 1
        taken = 1.5 * look.px(_MARGIN_PX) + look.px(_VALUE_PX) + patches * self._patch_px(width) + 8
        return max(width - taken, 40.0)


_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)
