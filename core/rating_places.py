"""Where on the canvas something lies, in words."""

import numpy as np
from numpy.typing import NDArray

_THIRD, _EDGE, _ACROSS, _MOST = 1 / 3, 0.14, 0.55, 0.35


def where_words(box: NDArray[np.floating], share: float = 1.0) -> str:
    """``box``: left, top, right, bottom in which it lies, in shares of the canvas's width and height, 0-1; ``share``:
    of the canvas that it covers."""
    left, top, right, bottom = (float(np.clip(each, 0, 1)) for each in box)
    x, y = (left + right) / 2, (top + bottom) / 2
    wide, high = right - left > _ACROSS, bottom - top > _ACROSS
    if wide and high:
        return "over most of it" if share > _MOST else "in several places"
    if wide:
        return f"across the {_one_of(y, ('top', 'middle', 'bottom'))}"
    if high:
        return f"down the {_one_of(x, ('left side', 'middle', 'right side'))}"
    at_edge = _at_edge(x, y)
    if at_edge:
        return f"{at_edge} edge"
    row, column = _one_of(y, ("upper", "", "lower")), _one_of(x, ("left", "", "right"))
    if row and column:
        return f"{row} {column}"
    return f"{row} middle" if row else f"middle {column}" if column else "in the middle"


def _one_of(share: float, words: tuple[str, str, str]) -> str:
    return words[0] if share < _THIRD else words[2] if share > 1 - _THIRD else words[1]


def _at_edge(x: float, y: float) -> str:
    """The side at whose middle a place lies; empty where it is at a corner or inside."""
    if _THIRD < y < 1 - _THIRD:
        return "left" if x < _EDGE else "right" if x > 1 - _EDGE else ""
    if _THIRD < x < 1 - _THIRD:
        return "top" if y < _EDGE else "bottom" if y > 1 - _EDGE else ""
    return ""
