"""Where pictures, words and buttons lie: the words keep their size, and the pictures get what is left.

The words lie under the pictures or beside them, whichever leaves the pictures larger. They stay where they are unless
the other way wins by a fifth, so that a longer sentence does not turn everything round.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from PySide6.QtCore import QRect, QSize

GAP_PX = 12
_WINS_BY = 1.2
_COLUMNS = (0.26, 0.30, 0.34, 0.38, 0.42)
_LEAST_PICTURE_PX = 90


@dataclass(frozen=True)
class Places:
    """``pictures`` is empty where the words need all the room."""

    pictures: QRect
    words: QRect
    buttons: QRect
    beside: bool


def places(
    room: QSize,
    buttons_high: Callable[[int], int],
    words_high: Callable[[int, bool], float],
    zoom_in: Callable[[QSize], float],
    lie: bool | None = None,
) -> Places:
    """``buttons_high``: of a width; ``words_high``: of a width, and whether they lie beside the pictures; ``zoom_in``:
    how large the pictures show in a room; ``lie``: whether the words lie beside them now, None when they are new."""
    high = buttons_high(room.width() - 2 * GAP_PX)
    buttons = QRect(GAP_PX, room.height() - high - GAP_PX, room.width() - 2 * GAP_PX, high)
    above = QRect(0, 0, room.width(), buttons.top() - GAP_PX)
    best, best_zoom = _under(above, buttons, words_high), 0.0
    if not best.pictures.isEmpty():
        best_zoom = zoom_in(best.pictures.size()) * (_WINS_BY if lie is False else 1.0)
    for found in _beside(above, buttons, words_high):
        zoom = zoom_in(found.pictures.size()) * (_WINS_BY if lie else 1.0)
        if zoom > best_zoom:
            best, best_zoom = found, zoom
    return best


def _under(above: QRect, buttons: QRect, words_high: Callable[[int, bool], float]) -> Places:
    wanted = min(words_high(above.width(), False), float(above.height()))
    high = round(wanted + 0.5)
    left = above.height() - high - GAP_PX
    if left < _LEAST_PICTURE_PX:
        return Places(QRect(), above, buttons, beside=False)
    pictures = QRect(0, 0, above.width(), left)
    return Places(pictures, QRect(0, left + GAP_PX, above.width(), high), buttons, beside=False)


def _beside(above: QRect, buttons: QRect, words_high: Callable[[int, bool], float]) -> Iterator[Places]:
    for share in _COLUMNS:
        wide = round(above.width() * share)
        if words_high(wide, True) <= above.height() - 2 * GAP_PX:
            left = above.width() - wide
            words = QRect(left, 2 * GAP_PX, wide, above.height() - 2 * GAP_PX)
            yield Places(QRect(0, 0, left, above.height()), words, buttons, beside=True)
