"""What is left of a line when stretches of it are taken out."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.drawing import split
from core.drawing.drawing import Line

CRUMB_MM = 0.3
"""What is left of a line between two cuts is not kept when it is shorter than this."""


def kept_parts(line: Line, cuts: NDArray[np.float64], *, starts_out: bool, ends_out: bool) -> list[Line]:
    """The parts of a line that is cut at these places (curve number plus t, in order), every other one being out.

    Curves are split by de Casteljau, so that what is left keeps its course. The parts are open; a closed line's last
    part and its first are one. The longest keeps the line's name.
    """
    bounds = np.r_[0.0, cuts, (len(line.points) - 1) // 3]
    stretches = zip(bounds[int(starts_out) :: 2], bounds[int(starts_out) + 1 :: 2], strict=False)
    parts = [split.part(line.points, start, end) for start, end in stretches if end > start]
    if line.closed and len(parts) > 1 and not starts_out and not ends_out:
        parts = [np.concatenate([parts[-1], parts[0][1:]]), *parts[1:-1]]
    whole = [replace(line, points=points, closed=False, name="") for points in parts]
    kept = [(length, each) for each in whole if (length := each.length_mm) >= CRUMB_MM]
    longest = max((length for length, _ in kept), default=0.0)
    return [replace(each, name=line.name) if length == longest else each for length, each in kept]
