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
    from core.paint.string_pairs import StepPair

_ROW_PX, _MARGIN_PX, _VALUE_PX = 44, 12, 34
_SHARE, _SHARE_OF_TWO = 0.3, 0.2
"""Of the width, that each patch takes."""


class StringChart(QWidget):
    """Patches on the surround's grey, with the value and T of each step and how many parts."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._strings: Strings | None = None
        self._pairs: tuple[StepPair, ...] = ()
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_strings(self, strings: Strings | None) -> None:
        if strings is not self._strings:
            self._strings = strings
            self._pairs = () if strings is None else _pairs(strings)
            self.setAccessibleName("No string yet" if strings is None else _in_a_row(strings, self._pairs))
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
        for pair, row in zip(self._pairs, self._rows(self.width()), strict=True):
            painter.setPen(look.INK)
            painter.setFont(look.font("strong"))
            painter.drawText(QRectF(margin, top, column, row), _LEFT, f"{pair.value:.1f}")
            left = margin + column
            for each in (pair.first, pair.second)[: self._columns]:
                if each is not None:
                    patch = QRectF(left, round(top), wide, round(top + row) - round(top))
                    painter.fillRect(patch, Patch("", each.linear_rgb).colour)
                left += wide
            painter.setFont(look.font("note"))
            painter.drawText(
                QRectF(left + 8, top + 2, self._room(self.width()), row), _WRAPPED, _told(pair, self._strings)
            )
            top += row

    @property
    def _columns(self) -> int:
        return 1 if self._strings is None or self._strings.second is None else 2

    def _rows(self, width: int) -> list[float]:
        """How high each step is, the lightest first: as its words need."""
        if self._strings is None:
            return []
        metrics, room = QFontMetrics(look.font("note")), int(self._room(width))
        heights = (
            metrics.boundingRect(0, 0, room, 10_000, _WRAPPED, _told(pair, self._strings)).height()
            for pair in self._pairs
        )
        return [max(height + 8.0, look.px(_ROW_PX)) for height in heights]

    def _patch_px(self, width: int) -> float:
        share = _SHARE_OF_TWO if self._columns == 2 else _SHARE
        return (width - 2 * look.px(_MARGIN_PX) - look.px(_VALUE_PX)) * share

    def _room(self, width: int) -> float:
        """For the words beside the patches."""
        taken = 1.5 * look.px(_MARGIN_PX) + look.px(_VALUE_PX) + self._columns * self._patch_px(width) + 8
        return max(width - taken, 40.0)


def _pairs(strings: Strings) -> "tuple[StepPair, ...]":
    """Step by step, the lightest first."""
    from core.paint.string_pairs import StepPair, beside

    if strings.second is None:
        return tuple(StepPair(step.asked, step, None) for step in reversed(strings.first.steps))
    return tuple(reversed(beside(strings.first, strings.second)))


def _told(pair: "StepPair", strings: Strings) -> str:
    """The warmth and the parts of each; how to go on from the step before, where the tubes' own parts are too rough."""
    told = []
    for step, string in ((pair.first, strings.first), (pair.second, strings.second)):
        if step is not None and string is not None:
            onward = string.say_onward(step) if step.better_onward else ""
            told.append(f"T {signed(step.warmth)}: {onward or step.say_parts()}")
    return "\n".join(told)


def _in_a_row(strings: Strings, pairs: "tuple[StepPair, ...]") -> str:
    steps = (f"value {pair.value:.1f}: {_told(pair, strings)}" for pair in pairs)
    return "; ".join(step.replace("\n", ", ") for step in steps)


_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)
