"""A page as strokes, fills and words in mm: the one description that print, preview and picture are made from.

Millimetres from the paper's top left corner, x right, y down. Greys are 0 (black) to 1 (white), as printed.
"""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]
Anchor = Literal["left", "middle", "right"]

INK, SOFT, FAINT = 0.0, 0.35, 0.6
MARK_MM, HAIR_MM = 0.2, 0.12


@dataclass(frozen=True, eq=False)
class Stroke:
    """A polyline ``(n, 2)`` mm, n ≥ 2, with round ends and joins."""

    points: Array
    width_mm: float
    grey: float = INK


@dataclass(frozen=True, eq=False)
class Fill:
    """A filled polygon ``(n, 2)`` mm, n ≥ 3."""

    points: Array
    grey: float = INK


@dataclass(frozen=True)
class Words:
    """A line of text: its baseline starts, has its middle, or ends at x, y; ``turn`` is counter-clockwise, in degrees.

    ``weight``: ``Regular``, ``Medium`` or ``SemiBold``.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    weight: str = "Regular"
    grey: float = INK
    anchor: Anchor = "left"
    turn: Literal[0, 90, 270] = 0


@dataclass(frozen=True, eq=False)
class Page:
    """All that is on one page, in the order in which it is laid down: fills, strokes, words."""

    paper: Size
    fills: tuple[Fill, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    words: tuple[Words, ...] = ()


@dataclass
class Draft:
    """A page being made. On clear film everything is black, and nothing is tinted."""

    paper: Size
    film: bool = False
    fills: list[Fill] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def page(self) -> Page:
        """The page as it is now; the lightest strokes lie lowest, so that no mark greys a line."""
        strokes = sorted(self.strokes, key=lambda stroke: (-stroke.grey, stroke.width_mm))
        return Page(self.paper, tuple(self.fills), tuple(strokes), tuple(self.words))

    def stroke(self, points: Array, width_mm: float, grey: float = INK) -> None:
        self.strokes.append(Stroke(points, width_mm, self._tone(grey)))

    def line(self, x0: float, y0: float, x1: float, y1: float, width_mm: float = MARK_MM, grey: float = INK) -> None:
        self.stroke(np.array([(x0, y0), (x1, y1)], dtype=np.float64), width_mm, grey)

    def box(
        self, left: float, top: float, right: float, bottom: float, width_mm: float = MARK_MM, grey: float = INK
    ) -> None:
        corners = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
        self.stroke(np.array(corners, dtype=np.float64), width_mm, grey)

    def fill(self, points: Array, grey: float = INK) -> None:
        """A filled shape; a tint is left out on film."""
        if not (self.film and grey > INK):
            self.fills.append(Fill(points, grey))

    def write(
        self,
        text: str,
        x: float,
        y: float,
        size_pt: float,
        *,
        weight: str = "Regular",
        grey: float = INK,
        anchor: Anchor = "left",
        turn: Literal[0, 90, 270] = 0,
    ) -> None:
        self.words.append(Words(text, x, y, size_pt, weight, self._tone(grey), anchor, turn))

    def _tone(self, grey: float) -> float:
        return INK if self.film else grey
