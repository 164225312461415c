"""Which lines a drawing has already, near enough to be the same to a painter."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Drawing, Line

_STEP_MM = 0.5
_CELL_MM = 1.0


def drawn_already(lines: Sequence[Line], drawing: Drawing, *, share: float = 0.8) -> NDArray[np.bool_]:
    """For each of ``lines`` ``(n,)`` whether at least this ``share`` of it runs within about 1.5 mm of a drawn line.

    Told by cells of a millimetre: what lies in a cell beside a drawn one counts as on it.
    """
    if not lines or not drawing.lines:
        return np.zeros(len(lines), dtype=bool)
    wanted = Drawing(drawing.size, tuple(lines)).sampled(_STEP_MM)
    there = drawing.sampled(_STEP_MM).points
    low = np.minimum(wanted.points.min(axis=0), there.min(axis=0)) - 2 * _CELL_MM
    cells, drawn = (np.floor((points - low) / _CELL_MM).astype(np.int64) for points in (wanted.points, there))
    grid = np.zeros(np.maximum(cells.max(axis=0), drawn.max(axis=0)) + 2, dtype=bool)
    for across in (-1, 0, 1):
        for down in (-1, 0, 1):
            grid[drawn[:, 0] + across, drawn[:, 1] + down] = True
    on = grid[cells[:, 0], cells[:, 1]].astype(np.float64)
    counts = np.bincount(wanted.line_index, minlength=len(lines))
    return np.asarray(np.bincount(wanted.line_index, weights=on, minlength=len(lines)) >= share * counts)
