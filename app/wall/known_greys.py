"""What of known value was pointed at in a canvas photo, over the photo as shot: outlines, each with its plate."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.sight import Placed

_AWAY_PX = 4.0


@dataclass(frozen=True, eq=False)
class KnownGreys:
    """``outlines``: each ``(n, 2)`` mm on the plane of the canvas, on it or beside it, and what stands on its plate."""

    outlines: tuple[tuple[NDArray[np.float64], str], ...]

    def paint(self, painter: QPainter, placed: Placed) -> None:
        font = look.font("strong")
        for outline, words in self.outlines:
            polygon = placed.polygon(outline)
            marks.outline(painter, polygon)
            plate = marks.text_rect(words, font)
            around = polygon.boundingRect()
            plate.moveCenter(around.center())
            if around.top() - plate.height() - _AWAY_PX > placed.viewport.top():
                plate.moveBottom(around.top() - _AWAY_PX)  # what was taken for it can then be seen
            marks.plate(painter, plate, words, font)
