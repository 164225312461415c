"""Corner tabs: four printed square markers stuck beside the canvas's corners, and what is known once of their places.

A tab is a square of ``TAB_MM``, black but for its white modules, with white all round and a strip of greys on the side
that faces away from the canvas. Its own places are mm, x right and y down from the square's top left corner. The
squares are of the 5 × 5 dictionary of 50; the four taken differ from one another, and from themselves turned, in 12 of
25 modules at least. The swatch card's are of another dictionary, of 4 × 4 modules, so that neither is taken for the
other.

Tabs lie in the plane of the canvas's face. Those that lie behind it shift against the canvas when the camera moves, and
nothing in the picture tells: 1 mm behind, corners are 0.1 mm off in the median where the camera goes round by up to 18
degrees, 10 mm behind 1.4 mm (``python -m tests.measure.tabs``).
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.corners import NAMES
from core.errors import CanvasError, PainterError
from core.size import Size

Points = NDArray[np.float64]

TAB_MM, QUIET_MM = 30.0, 7.0
TAB_IDS = (1, 2, 3, 5)
"""Of the 5 × 5 dictionary of 50, for the canvas's top left, top right, bottom right and bottom left corner."""
MODULES = 7
NEAREST = (2, 3, 0, 1)
"""Which corner of each square (TL TR BR BL) lies nearest to its canvas corner: the one that the print points at."""

GREY_VALUES = (3.0, 5.0, 7.0, 9.0)
"""Munsell values that the greys of the strip are meant to have, from left to right. No printer hits them."""
GREY_MM = TAB_MM / len(GREY_VALUES)

MEASURED_MM = 0.5
"""How well a painter measures a distance with a ruler, one standard deviation: from memory."""
LEAST_PLACED_MM = 0.01
"""Tabs of paper do not lie better than this."""
_SCHEMA = 1
_LONGEST_JSON = 100_000
_FARTHEST_MM = 2000.0


@dataclass(frozen=True, eq=False)
class FoundTab:
    """A tab seen in a picture of ``width`` × ``height`` px.

    ``corner``: whose it is, 0-3 (TL TR BR BL). ``corners_px``: ``(4, 2)`` float64, its square's corners, from the top
    left one as printed, clockwise. ``sigma_px``: one standard deviation of each, each way.
    """

    corner: int
    corners_px: Points
    sigma_px: float
    width: int
    height: int
    grown_px: float = 0.03

    @property
    def id(self) -> int:
        return TAB_IDS[self.corner]

    @property
    def name(self) -> str:
        return NAMES[self.corner]


@dataclass(frozen=True, eq=False)
class TabSetup:
    """What is known once: where each tab's square lies about the canvas.

    ``tabs``: by the canvas corner (0-3: TL TR BR BL) the square's corners ``(4, 2)`` canvas mm, from the top left one
    as printed, clockwise. ``placed_mm``: one standard deviation of each tab's place against the others.
    ``canvas_mm``: RMS error over the canvas that all have in common, from the corners it was set up by.
    Raises CanvasError for fewer than two tabs, or squares that no tab has.
    """

    size: Size
    tabs: Mapping[int, Points]
    placed_mm: float = LEAST_PLACED_MM
    canvas_mm: float = 0.0

    def __post_init__(self) -> None:
        held = {int(corner): np.array(square, dtype=np.float64) for corner, square in self.tabs.items()}
        if len(held) < 2 or not set(held) <= set(range(4)):
            raise CanvasError("At least two corner tabs are needed to set them up. Stick them on and try again.")
        for corner, square in held.items():
            _check_square(square, corner)
            square.flags.writeable = False
        for sigma in (self.placed_mm, self.canvas_mm):
            if not 0 <= sigma <= _FARTHEST_MM:
                raise CanvasError("How well the corner tabs are placed is a number of mm, 0 or more.")
        object.__setattr__(self, "tabs", dict(sorted(held.items())))

    def to_json(self) -> str:
        """As text that :meth:`from_json` reads back exactly."""
        told = {
            "schema": _SCHEMA,
            "size_mm": [self.size.width_mm, self.size.height_mm],
            "tabs_mm": {str(corner): square.tolist() for corner, square in self.tabs.items()},
            "placed_mm": self.placed_mm,
            "canvas_mm": self.canvas_mm,
        }
        return json.dumps(told)

    @classmethod
    def from_json(cls, text: str) -> "TabSetup":
        """Raises CanvasError where the text is not what :meth:`to_json` writes."""
        try:
            told: dict[str, Any] = json.loads(text if len(text) <= _LONGEST_JSON else "")
            if told["schema"] != _SCHEMA:
                raise ValueError(told["schema"])
            width, height = (float(each) for each in told["size_mm"])
            tabs = {int(key): np.array(square, dtype=np.float64) for key, square in told["tabs_mm"].items()}
            placed, canvas = float(told["placed_mm"]), float(told["canvas_mm"])
            return cls(Size(width, height), tabs, placed, canvas)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError, PainterError) as error:
            raise CanvasError("The record of the corner tabs cannot be read. Set the tabs up again.") from error


def set_up(
    found: Sequence[FoundTab],
    corners_px: ArrayLike,
    size: Size,
    *,
    lens_k1: float = 0.0,
    uncertainty_mm: float = 0.0,
) -> TabSetup:
    """From one photo in which the tabs were found and the canvas's corners ``(4, 2)`` px (TL TR BR BL) are known.

    ``lens_k1, uncertainty_mm``: of the fix that gave the corners. What is off in these corners stays off the same way
    in every later fix. Raises CanvasError for fewer than two tabs, the same one twice, or corners that cannot be a
    canvas.
    """
    corners = [tab.corner for tab in found]
    for tab in found:
        if corners.count(tab.corner) > 1:
            raise CanvasError(f"Two {tab.name} tabs are in the photo. Take one of them away, and try again.")
    if len(found) < 2:
        raise CanvasError(
            "Fewer than two corner tabs are to be seen in the photo. Photograph the canvas with all of its tabs in the "
            "picture, sharp and well lit."
        )
    canvas = CanvasMap(np.asarray(corners_px, dtype=np.float64), size, found[0].width, found[0].height, lens_k1)
    squares = {tab.corner: canvas.px_to_mm(tab.corners_px) for tab in found}
    finest = float(canvas.scales(np.array([[size.width_mm / 2, size.height_mm / 2]])).min())
    # The middle of four corners is known twice as well as each.
    read = max(tab.sigma_px for tab in found) / finest / 2
    return TabSetup(size, squares, float(np.hypot(read, LEAST_PLACED_MM)), uncertainty_mm)


def set_up_measured(
    distances_mm: Mapping[int, tuple[float, float]],
    size: Size,
    *,
    side_mm: float = TAB_MM,
    measured_mm: float = MEASURED_MM,
) -> TabSetup:
    """From distances measured with a ruler, for tabs stuck parallel to the canvas, as printed way up.

    ``distances_mm``: by the canvas corner (0-3: TL TR BR BL), how far the corner of the square that the print points
    at lies from the canvas's corner: sideways and up or down, both outward; negative where it lies inward of it.
    ``side_mm``: of the printed square. ``measured_mm``: one standard deviation. Raises CanvasError.
    """
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * side_mm
    face = np.array([[0, 0], [size.width_mm, 0], [size.width_mm, size.height_mm], [0, size.height_mm]])
    outward = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    squares = {}
    for corner, pair in distances_mm.items():
        distance = np.asarray(pair, dtype=np.float64)
        if corner not in range(4) or distance.shape != (2,) or not np.isfinite(distance).all():
            raise CanvasError("Each tab needs two distances in mm from its canvas corner: sideways, and up or down.")
        nearest = face[corner] + outward[corner] * distance
        squares[corner] = square - square[NEAREST[corner]] + nearest
    return TabSetup(size, squares, float(np.hypot(measured_mm, LEAST_PLACED_MM)))


@cache
def tab_modules(corner: int) -> NDArray[np.bool_]:
    """``(7, 7)``: which modules of a tab's square are white."""
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50)
    picture = np.asarray(dictionary.generateImageMarker(TAB_IDS[corner], MODULES, borderBits=1))
    return np.asarray(picture.reshape(MODULES, MODULES) > 127)


def grey_squares(corner: int) -> Points:
    """``(4, 4, 2)`` tab mm: the corners of each grey of a tab's strip, in the order of ``GREY_VALUES``.

    The strip lies above the square in the upper tabs, and below it in the lower ones.
    """
    top = -QUIET_MM - GREY_MM if corner < 2 else TAB_MM + QUIET_MM
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * GREY_MM
    return np.array([unit + np.array([number * GREY_MM, top]) for number in range(len(GREY_VALUES))])


def greys_on_canvas(setup: TabSetup, corner: int) -> Points:
    """``(4, 4, 2)`` canvas mm: where the greys of a tab lie. KeyError for a tab that was not set up."""
    seen = setup.tabs[corner]
    own = np.array([[0, 0, 1], [TAB_MM, 0, 1], [TAB_MM, TAB_MM, 1], [0, TAB_MM, 1]])
    affine = np.linalg.lstsq(own, seen, rcond=None)[0]
    return np.asarray(grey_squares(corner) @ affine[:2] + affine[2])


def _check_square(square: Points, corner: int) -> None:
    """Raises CanvasError unless these are the corners of something nearly square, in order."""
    if square.shape != (4, 2) or not np.isfinite(square).all() or np.abs(square).max() > 3 * _FARTHEST_MM:
        raise CanvasError(f"The {NAMES[corner]} tab needs four corners, x and y each, in mm. Set the tabs up again.")
    sides = np.roll(square, -1, axis=0) - square
    lengths = np.hypot(*sides.T)
    turns = sides[:, 0] * np.roll(sides, -1, axis=0)[:, 1] - sides[:, 1] * np.roll(sides, -1, axis=0)[:, 0]
    mean = float(lengths.mean())
    if mean < 1.0 or np.ptp(lengths) > 0.3 * mean or turns.min() < 0.8 * mean**2:
        raise CanvasError(
            f"The {NAMES[corner]} tab does not look square beside the canvas's corners. Place the corners anew, and "
            "check that the tab lies flat, in the plane of the canvas."
        )
