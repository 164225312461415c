"""Thinning: a mask worn down from its edge to lines one pixel wide.

Guo and Hall 1989, *Parallel thinning with two-subiteration algorithms*, Comm. ACM 32(3), 359-373 (algorithm A1). Only
pixels that have just come to lie on the edge are looked at, so the work follows the length of the edges and not the
picture's area.
"""

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]


def thinned(mask: Mask) -> Mask:
    """The skeleton ``(H, W)`` bool of a mask ``(H, W)``: connected where the mask is, no part lost, one pixel wide save
    for steps and junctions."""
    padded = cv2.copyMakeBorder(mask.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    inner = cv2.erode(padded, np.ones((3, 3), np.uint8), borderType=cv2.BORDER_CONSTANT, borderValue=0)
    picture = padded.reshape(-1)
    around = _around(mask.shape[1] + 2)
    stamp = np.empty(picture.shape, dtype=np.int32)
    new = np.flatnonzero(picture & ~inner.reshape(-1) & 1)
    once = new[:0]  # seen by one half of a round since anything about them changed
    turn = 0
    while len(new) or len(once):
        edge = np.concatenate([once, new])
        gone = edge[_may_go()[turn][_codes(picture, edge, around)]]
        picture[gone] = 0
        once = new[picture[new] > 0]
        bared = (gone[:, None] + around).reshape(-1)
        bared = bared[picture[bared] > 0]
        number = np.arange(len(bared), dtype=np.int32)
        stamp[once] = -1
        stamp[bared] = number
        once, new = once[stamp[once] == -1], bared[stamp[bared] == number]
        turn = 1 - turn
    return np.ascontiguousarray(padded[1:-1, 1:-1].astype(bool))


def _around(width: int) -> NDArray[np.int64]:
    """Offsets of the eight neighbours p2 … p9: north, then clockwise."""
    return np.array([-width, -width + 1, 1, width + 1, width, width - 1, -1, -width - 1])


def _codes(picture: NDArray[np.uint8], index: NDArray[np.int64], around: NDArray[np.int64]) -> NDArray[np.uint8]:
    code = np.zeros(len(index), dtype=np.uint8)
    for bit, offset in enumerate(around):
        code |= picture[index + offset] << bit
    return code


@cache
def _may_go() -> NDArray[np.bool_]:
    """For either half of a round and all 256 neighbourhoods: whether the pixel is taken away, ``(2, 256)``."""
    p2, p3, p4, p5, p6, p7, p8, p9 = (((np.arange(256) >> bit) & 1).astype(bool) for bit in range(8))
    parts = [~p2 & (p3 | p4), ~p4 & (p5 | p6), ~p6 & (p7 | p8), ~p8 & (p9 | p2)]
    once = np.sum(parts, axis=0) == 1
    pairs_1 = np.sum([p9 | p2, p3 | p4, p5 | p6, p7 | p8], axis=0)
    pairs_2 = np.sum([p2 | p3, p4 | p5, p6 | p7, p8 | p9], axis=0)
    pairs = np.minimum(pairs_1, pairs_2)
    border = once & (pairs >= 2) & (pairs <= 3)
    return np.stack([border & ~((p2 | p3 | ~p5) & p4), border & ~((p6 | p7 | ~p9) & p8)])
