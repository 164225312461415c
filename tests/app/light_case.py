"""What the tests of the light in the window share."""

import numpy as np

from app.values.light_fold import LightFold
from app.wall.known_greys import KnownGreys
from tests.app.window_case import Easel


def photo_id(easel: Easel) -> int:
    return easel.desk.studio.canvas_photos[0].id


def fold(easel: Easel) -> LightFold:
    return easel.desk.side.value.light


def shown(easel: Easel) -> list[tuple[np.ndarray, str]]:
    """Outlines, mm, and plates over the canvas photo."""
    return [
        each
        for hanging in easel.desk.wall.hangings
        for overlay in hanging.overlays
        if isinstance(overlay, KnownGreys)
        for each in overlay.outlines
    ]
