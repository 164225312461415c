"""Whole parts that come near a mixture of uneven shares: the fewest that the eye takes for the same."""

from collections.abc import Iterator
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import delta_e_2000
from core.errors import PaintError
from core.paint.palette_mixes import Slab

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

MOST_PARTS = 24
SAME_DIFFERENCE = 1.0
"""CIEDE2000 under which two colours side by side are taken for the same: common practice, no source."""
_MOST_ALLOWED = 200


def whole_parts(
    slab: Slab, shares: Floats, most_parts: int = MOST_PARTS, *, piles: Floats | None = None
) -> tuple[Counts, float]:
    """Parts ``(n,)`` for ``shares`` ``(n,)``, and how far off their colour is, CIEDE2000. Shares are those of the
    tubes, or of ``piles`` ``(n, tubes)`` mixed beforehand, the shares of each adding to 1.

    Of all ways to round the shares up or down to at most ``most_parts`` in all, the fewest parts that stay within
    ``SAME_DIFFERENCE``; where none do, the nearest. Raises PaintError unless ``most_parts`` is from 1 to 200.
    """
    if not 1 <= most_parts <= _MOST_ALLOWED:
        raise PaintError(f"A mixture has from 1 to {_MOST_ALLOWED} parts; {most_parts} is not that.")
    used = np.flatnonzero(shares > 0)
    held = shares[used] / shares[used].sum()
    found = np.concatenate([np.array(list(_rounded(held, total))) for total in range(1, most_parts + 1)])
    counts = np.zeros((len(found), len(shares)), dtype=np.int64)
    counts[:, used] = found
    mixed = np.eye(len(shares)) if piles is None else piles
    away = delta_e_2000(slab.lab(counts @ mixed), slab.lab(shares @ mixed))
    near = np.flatnonzero(away <= SAME_DIFFERENCE)
    fewest = near[counts[near].sum(axis=1) == counts[near].sum(axis=1).min()] if len(near) else np.arange(len(away))
    best = fewest[int(away[fewest].argmin())]
    return counts[best], float(away[best])


def _rounded(held: Floats, total: int) -> Iterator[Counts]:
    """Every way to round ``total`` times the shares up or down so that they add up to it."""
    low = np.floor(held * total).astype(np.int64)
    for up in combinations(range(len(held)), total - int(low.sum())):
        raised = low.copy()
        raised[list(up)] += 1
        yield raised
