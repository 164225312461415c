"""What is said of a scanned drawing, in the window and on the command line."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core import words

if TYPE_CHECKING:
    from core.drawing.drawing import Drawing
    from core.drawing.scan_find import SheetFix
    from core.size import Size

_FINE_MM = 0.1
_SAME = 0.0005
_ON_IT_MM = 0.5


def counted(number: int, word: str) -> str:
    """Such as ``1 line`` and ``2 lines``."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def lines_said(drawing: "Drawing", length_mm: float) -> str:
    """How many lines there are, how long they are together, and of which weights."""
    by_layer: dict[str, int] = {}
    for line in drawing.lines:
        by_layer[line.layer] = by_layer.get(line.layer, 0) + 1
    sentence = f"{counted(len(drawing.lines), 'line')}, {length_mm / 10:.0f} cm together."
    if len(by_layer) < 2:
        return sentence
    parts = " and ".join(counted(count, layer) for layer, count in sorted(by_layer.items()))
    return f"{sentence} By their weight, {parts}."


def how_sure(fix: "SheetFix") -> str:
    """How surely the sheet was found, and how closely."""
    close = f"within {_FINE_MM:g} mm" if fix.uncertainty_mm <= _FINE_MM else f"about {fix.uncertainty_mm:.1f} mm"
    return f"{words.how_sure(fix.confidence)} ({words.per_cent(fix.confidence)}), good to {close} on the sheet"


def where_said(corners_mm: NDArray[np.float64], sheet: "Size") -> str:
    """Where an upright sheet lies on the canvas, to be checked with a ruler."""
    left, top = corners_mm[0]
    times = (corners_mm[1, 0] - left) / sheet.width_mm
    place = f"{_inside(left, 'left')} and {_inside(top, 'upper')} edge"
    if max(abs(left), abs(top)) < _ON_IT_MM:
        place = "on the canvas’s"
    sentence = f"The sheet’s top left corner lies {place}."
    if abs(times - 1.0) < _SAME:
        return sentence
    larger = f"{times:.2f} times as large" if times > 1.0 else f"smaller, {words.as_share(times)} of its size"
    return f"The drawing is made {larger}. {sentence}"


def _inside(mm: float, edge: str) -> str:
    return f"{abs(mm):.0f} mm {'from' if mm > -_ON_IT_MM else 'beyond'} the canvas’s {edge}"
