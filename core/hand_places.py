"""From the pixels where a painter placed landmarks by hand to millimetres on the canvas as it is laid flat now."""

from collections.abc import Iterable

import numpy as np

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.drawing.by_hand import Hand, hand_sigma_mm
from core.size import Size
from core.store.records import Corners, LandmarkByHand


def hands_on_canvas(
    placed: Iterable[LandmarkByHand], corners: Corners | None, size: Size, lens_k1: float
) -> dict[str, Hand]:
    """The hand's places by landmark name, mm; none while the canvas's corners are not placed.

    Raises CanvasError for corners that cannot be a canvas.
    """
    if corners is None:
        return {}
    found = {}
    for each in placed:
        canvas = CanvasMap(np.asarray(corners), size, each.photo_width, each.photo_height, lens_k1)
        x, y = canvas.px_to_mm((each.x_px, each.y_px))
        found[each.name] = Hand(float(x), float(y), hand_sigma_mm(float(canvas.scales(grid_mm(size, 3)).min())))
    return found
