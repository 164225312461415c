"""The swatch card: where its corner marks, its squares to paint and its printed greys lie.

Everything measured lies in one block, the same in mm on every paper: x right and y down from the block's top left
corner. Two ways to an absolute scale were weighed, since a painter's printer prints greys of no known reflectance:

- printed greys taken at the values that they are meant to have;
- the greys only as the same ink in many places, which tells how the light falls off, and the scale from the square
  painted with white alone, whose reflectance is known from the tube.

The second is what the card is made for; ``core.paint.swatch_read`` gives the figures of both. A grey card, where the
painter has one, has its place: it tells the camera's contrast. A black bar is printed through every square: where it
shows, the paint does not hide.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WIDTH_MM, HEIGHT_MM = 180.0, 98.0
MARK_MM = 20.0
CORNERS = ("top left", "top right", "bottom right", "bottom left")
MARK_IDS = (11, 23, 34, 42)
"""Of the 4 × 4 dictionary of 50, in the order of ``CORNERS``."""
MODULES = 6

SQUARE_MM, BETWEEN_MM, SQUARE_TOP_MM = 28.0, 13.6, 31.0
BAR_MM = 4.0
"""Width of the black bar, upright through the middle of every square."""
GREYS = (0.10, 0.22, 0.45)
"""What the printed greys are meant to reflect."""
PATCH_MM = 8.0
_PATCH_FROM_EDGE_MM = 2.8


@dataclass(frozen=True)
class Rect:
    """Left, top, width and height, mm in the block."""

    left: float
    top: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        return self.left + self.width / 2, self.top + self.height / 2

    def inset(self, by: float) -> "Rect":
        """Smaller by so many mm on every side."""
        return Rect(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)


@dataclass(frozen=True)
class Patch:
    """A printed grey: which of ``GREYS``, and where."""

    level: int
    rect: Rect


@dataclass(frozen=True)
class Square:
    """A square to paint: ``share`` of the tube in what it is painted with, by mass, 0 (white alone) to 1."""

    name: str
    share: float
    rect: Rect

    @property
    def parts(self) -> str:
        """What to mix."""
        if self.share == 0:
            return "the white you mix with"
        if self.share == 1:
            return "as it comes from the tube"
        return f"1 part tube, {round(1 / self.share - 1)} parts white"

    @property
    def bar(self) -> Rect:
        """The printed black bar under the paint."""
        return Rect(self.rect.middle[0] - BAR_MM / 2, self.rect.top, BAR_MM, SQUARE_MM)


def _square(number: int, name: str, share: float) -> Square:
    return Square(
        name, share, Rect(BETWEEN_MM + number * (SQUARE_MM + BETWEEN_MM), SQUARE_TOP_MM, SQUARE_MM, SQUARE_MM)
    )


WHITE, PURE, STRONG, WEAK = SQUARES = (
    _square(0, "white alone", 0.0),
    _square(1, "tube alone", 1.0),
    _square(2, "strong tint", 1 / 4),
    _square(3, "weak tint", 1 / 10),
)
CARD_PLACE = Rect(61.0, 78.0, 58.0, 20.0)
"""Where a grey card may lie, if the painter has one."""


def mark_rects() -> tuple[Rect, ...]:
    """The four corner marks, in the order of ``CORNERS``."""
    right, low = WIDTH_MM - MARK_MM, HEIGHT_MM - MARK_MM
    return tuple(Rect(x, y, MARK_MM, MARK_MM) for x, y in ((0.0, 0.0), (right, 0.0), (right, low), (0.0, low)))


def mark_corners() -> Floats:
    """``(4, 4, 2)`` mm: the corners of each mark, from its top left clockwise."""
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * MARK_MM
    return np.array([unit + np.array([rect.left, rect.top]) for rect in mark_rects()])


@cache
def mark_modules(corner: int) -> NDArray[np.bool_]:
    """``(6, 6)``: which modules of a corner's mark are white."""
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    picture = np.asarray(dictionary.generateImageMarker(MARK_IDS[corner], MODULES, borderBits=1))
    return np.asarray(picture.reshape(MODULES, MODULES) > 127)


@cache
def patches() -> tuple[Patch, ...]:
    """The printed greys: every level at every side of the squares, so that each tells of the light everywhere."""
    count = len(GREYS)
    told = []
    for column in range(9):  # the strip between the upper marks
        told.append(Patch(column % count, Rect(26.0 + column * 15.0, 6.0, PATCH_MM, PATCH_MM)))
    for gap in range(len(SQUARES) + 1):  # beside every square
        left = gap * (SQUARE_MM + BETWEEN_MM) + _PATCH_FROM_EDGE_MM
        for row in range(count):
            at = Rect(left, SQUARE_TOP_MM + row * (PATCH_MM + 2.0), PATCH_MM, PATCH_MM)
            told.append(Patch((row + gap) % count, at))
    for column in range(2 * count):  # either side of the grey card's place
        left = 26.0 + column * 12.0 if column < count else 122.0 + (column - count) * 12.0
        told.append(Patch((column + 1) % count, Rect(left, 84.0, PATCH_MM, PATCH_MM)))
    return tuple(told)


@cache
def bare() -> tuple[Rect, ...]:
    """Places of bare paper, one between each two patches of the upper strip and of the lower, and above the squares."""
    upper = [Rect(35.5 + column * 15.0, 6.0, 4.0, PATCH_MM) for column in range(8)]
    lower = [Rect(x, 80.0, 8.0, 3.0) for x in (26.0, 38.0, 50.0, 122.0, 134.0, 146.0)]
    sides = [Rect(x, 62.0, 6.0, 12.0) for x in (3.0, 171.0)] + [Rect(x, 23.0, 6.0, 6.0) for x in (3.0, 171.0)]
    return (*upper, *lower, *sides)
