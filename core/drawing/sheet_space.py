"""Where on a page words can stand without lying on lines or on one another."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from core.drawing.sheet_ink import Rect

Array = NDArray[np.float64]

_SPACING_MM = 0.4
_WORD_WEIGHT = 20.0  # mm of line that are sooner covered than a square mm of another word


class Space:
    """Remembers what stands on a page: lines as polylines ``(n, 2)`` mm, words as boxes."""

    def __init__(self, lines: Iterable[Array], boxes: Iterable[Rect] = ()) -> None:
        parts = [_dotted(line) for line in lines]
        self._dots = np.concatenate(parts) if parts else np.empty((0, 2))
        self._boxes = list(boxes)

    def take(self, choices: Sequence[Rect]) -> Rect:
        """The choice that covers least, the first of those as good; it is taken from now on."""
        best = min(choices, key=self._covered)
        self._boxes.append(best)
        return best

    def _covered(self, box: Rect) -> float:
        inside = (self._dots >= box[:2]).all(axis=1) & (self._dots <= box[2:]).all(axis=1)
        return float(inside.sum()) * _SPACING_MM + _WORD_WEIGHT * sum(_shared(box, other) for other in self._boxes)


def _dotted(line: Array) -> Array:
    """Places along a polyline, close enough that none runs through a word unseen."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))]
    at = np.arange(0.0, run[-1] + _SPACING_MM, _SPACING_MM)
    return np.stack([np.interp(at, run, axis) for axis in line.T], axis=1)


def _shared(one: Rect, other: Rect) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return max(wide, 0.0) * max(high, 0.0)
