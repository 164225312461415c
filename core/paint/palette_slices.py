"""What a palette reaches at each value: the greatest chroma, and the outline over a* and b*, with a reference beside.

All in CIELAB under D65; value is Munsell value.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import lab as lab_of
from core.paint.palette_reach import PaletteReach, even
from core.paint.target import value_of

Floats = NDArray[np.float64]

VALUE_STEP, CHROMA_STEP = 0.25, 2.5
_MOST_CHROMA = 130.0
_HALF_SLICE = 0.2
_WIDE = 2.0
"""How far to the side of a hue a mixture may lie to count along it, in the even space."""
_PIXEL, _DISC, _SHRUNK, _HALF_SIDE = 0.25, 1.5, 1.25, 45.0


@dataclass(frozen=True, eq=False)
class AlongHue:
    """``greatest``: ``(n,)`` chroma reached along the hue ``hue_deg`` (CIELAB, degrees) in each row of values; NaN
    where nothing is."""

    hue_deg: float
    greatest: Floats


@dataclass(frozen=True, eq=False)
class ValueChroma:
    """``value_edges`` ``(n + 1,)`` and ``chroma_edges`` ``(m + 1,)`` of the rows and columns; ``share``: ``(n, m)`` of
    the reference, 0-1, in each; ``greatest``: ``(n,)`` chroma reached of any hue, NaN where nothing is; ``along``: the
    same along some hues."""

    value_edges: Floats
    chroma_edges: Floats
    share: Floats
    greatest: Floats
    along: tuple[AlongHue, ...] = ()

    @property
    def values(self) -> Floats:
        """The middle value of each row."""
        return np.asarray((self.value_edges[1:] + self.value_edges[:-1]) / 2)


def value_chroma(
    reach: PaletteReach, linear: NDArray[Any] | None = None, *, hues_deg: Sequence[float] = ()
) -> ValueChroma:
    """The greatest chroma that a palette reaches at each value, over the colours of a reference ``(H, W, 3)``, linear
    light in the sRGB primaries; and along ``hues_deg``, such as those of the passages beyond reach."""
    values = np.arange(0.0, 10.0 + VALUE_STEP / 2, VALUE_STEP)
    chromas = np.arange(0.0, _MOST_CHROMA + CHROMA_STEP / 2, CHROMA_STEP)
    row = np.digitize(value_of(reach.lab), values) - 1
    chroma = np.hypot(reach.lab[:, 1], reach.lab[:, 2])
    along = [AlongHue(float(hue), _greatest(*_along(reach, hue, row), len(values) - 1)) for hue in hues_deg]
    share = np.zeros((len(values) - 1, len(chromas) - 1))
    if linear is not None:
        share = _shares(linear, values, chromas)
    return ValueChroma(values, chromas, share, _greatest(row, chroma, len(values) - 1), tuple(along))


def outline_at(reach: PaletteReach, value: float) -> tuple[Floats, ...]:
    """Outlines ``(n, 2)`` of a*, b*, closed, of what is reached at a Munsell value; none where nothing is."""
    near = np.abs(value_of(reach.lab) - value) <= _HALF_SLICE
    places = even(reach.lab[near])[:, 1:]
    side = round(2 * _HALF_SIDE / _PIXEL)
    drawn = np.zeros((side, side), np.uint8)
    for x, y in np.rint((places + _HALF_SIDE) / _PIXEL).astype(int).tolist():
        cv2.circle(drawn, (x, y), round(_DISC / _PIXEL), 255, -1)
    shrink = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(_SHRUNK / _PIXEL) + 1,) * 2)
    found, _ = cv2.findContours(cv2.erode(drawn, shrink), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    rings = [np.asarray(each).reshape(-1, 2) * _PIXEL - _HALF_SIDE for each in found]
    return tuple(_uneven(ring) for ring in sorted(rings, key=len, reverse=True))


def _along(reach: PaletteReach, hue_deg: float, row: NDArray[np.intp]) -> tuple[NDArray[np.intp], Floats]:
    """Rows and chromas of the mixtures that lie along a hue."""
    turn = np.radians(hue_deg)
    to, aside = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    near = np.abs(even(reach.lab)[:, 1:] @ aside) <= _WIDE
    return row[near], np.maximum(reach.lab[near, 1:] @ to, 0.0)


def _greatest(row: NDArray[np.intp], chroma: Floats, rows: int) -> Floats:
    most = np.full(rows, -np.inf)
    np.maximum.at(most, np.clip(row, 0, rows - 1), chroma)
    return np.where(np.isfinite(most), most, np.nan)


def _shares(linear: NDArray[Any], values: Floats, chromas: Floats) -> Floats:
    flat = np.asarray(linear, dtype=np.float64).reshape(-1, 3)
    colours = lab_of(np.maximum(flat[np.isfinite(flat).all(axis=1)], 0.0))
    value = np.clip(value_of(colours), values[0], values[-1])
    chroma = np.clip(np.hypot(colours[:, 1], colours[:, 2]), 0.0, chromas[-1])
    counted = np.histogram2d(value, chroma, bins=[values, chromas])[0]
    return np.asarray(counted / max(counted.sum(), 1.0))


def _uneven(ring: Floats) -> Floats:
    """a*, b* of places in the even space."""
    shrunk = np.hypot(ring[:, 0], ring[:, 1])
    return np.asarray(ring * (np.expm1(0.045 * shrunk) / 0.045 / np.maximum(shrunk, 1e-9))[:, None])
