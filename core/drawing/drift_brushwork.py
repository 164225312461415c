"""How broad the brushwork is, place by place, and which of two looks suits it.

Under fine brushwork the canvas is like the reference down to a millimetre, and a close look with small windows tells
most. Where a passage is blocked in with broad strokes, the fine gradients are those of the strokes: they sit beside the
form by up to half a brush, and do so together all along a stroke, so that a close look is both wrong and too sure. What
the strokes still carry shows at a coarser detail, in wider windows. How far the close look resembles the reference says
which of the two it is; what it is no longer believed, the broad look is given.

Tried on nine paintings blocked in with brushes of 6 and 3 mm, landmarks' error in mm, median and 95th percentile, with
the field of :mod:`core.drawing.drift_field`:

    close look for all                                          0.38, 1.14
    broad look where it suits, detail 3 mm, window 5 mm         0.23, 0.62
    detail 2.5 or 4 mm, or windows of 4 or 7 mm                 0.23-0.24, 0.62-0.63
    regions: normalised values instead of their gradients       0.22, 0.62; blurred forms 0.22, 0.70 and not 0.18, 0.56
    gradients and regions together                              0.24, 0.61
    the broad look taken again from what was found              0.23, 0.63; blurred forms 0.20, 0.57

What remains is the wobble of the brush itself: no other look tells more.
"""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_match import Readings

Array = NDArray[np.float64]

BROAD_AT, FINE_AT = 0.86, 0.96
"""Likeness of the close look up to which brushwork counts as broad, and from which it counts as fine."""
LEAST_SHARE = 0.03
"""Share of its information that the close look always keeps."""
BRUSHWORK_NODES, PRESENCE_NODES = 3.0, 1.0
"""Sigmas, in nodes, of the neighbourhoods over which brushwork and presence are judged."""
PRESENT_FROM, PRESENT_FULL = 0.5, 0.75
"""Likeness of the broad look from which on the picture begins to be there, and is there. Bare ground reaches 0.53."""


def suited(close: Sequence[Readings], broad: Readings) -> tuple[Readings, ...]:
    """Readings of both looks at the same nodes, each with the share of its information that suits the brushwork.

    ``close``: the readings of luminance first, which decide.
    """
    share = fineness(close[0])
    return (*(_weighted(readings, share) for readings in close), _weighted(broad, 1 - share))


def fineness(close: Readings) -> Array:
    """From LEAST_SHARE (broad brushwork) to 1 (fine) at each node, ``(h, w)``.

    The mean likeness about a node, counting most what tells most: on a flat passage there is no likeness to lose.
    """
    weight = close.information[..., 0] + close.information[..., 2] + 1e-12
    likeness = _about(weight * close.likeness, BRUSHWORK_NODES) / _about(weight, BRUSHWORK_NODES)
    return np.clip((likeness - BROAD_AT) / (FINE_AT - BROAD_AT), LEAST_SHARE, 1)


def presence(broad: Readings) -> Array:
    """From 0 (bare ground, another picture, nothing to see) to 1 (the reference is found) at each node, ``(h, w)``."""
    likeness = _about(broad.likeness, PRESENCE_NODES)
    return np.clip((likeness - PRESENT_FROM) / (PRESENT_FULL - PRESENT_FROM), 0, 1)


def _about(values: Array, nodes: float) -> Array:
    return np.asarray(cv2.GaussianBlur(values, (0, 0), nodes))


def _weighted(readings: Readings, share: Array) -> Readings:
    return replace(readings, information=readings.information * share[..., None])
