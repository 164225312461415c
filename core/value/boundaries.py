"""Where one value step ends and the next begins: equal steps, the best separation, or where the painter moves them.

The best separation leaves the least spread of value within the steps. Otsu's threshold for several levels (1979, *A
threshold selection method from gray-level histograms*, IEEE Trans. Systems, Man, and Cybernetics 9(1), 62-66) and
Jenks's natural breaks (1967) are both that optimum; it is found exactly by Fisher's dynamic programme (1958, *On
grouping for maximum homogeneity*, J. American Statistical Association 53, 789-798) on a fine histogram.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.errors import ValuesError

Floats = NDArray[np.float64]

FEWEST, MOST = 2, 10
BINS = 200
"""Bins of the histogram from black to white: a twentieth of a Munsell step is finer than a boundary can be painted."""
NEAREST_STEPS = 0.1
"""Two boundaries are no nearer than this, nor is one this near to black or white."""
WHITE = 10.0
_SEEN = 2_000_000
"""Pixels that are enough for a histogram: a large picture is counted on an even grid of about so many."""


@dataclass(frozen=True)
class Histogram:
    """How much of a picture has which value. ``shares``: ``(BINS,)`` float64, together 1; bins of equal Munsell value
    from 0 to 10 (what is lighter than white counts as white). ``means``: ``(BINS,)`` the mean value in each."""

    shares: Floats
    means: Floats

    @classmethod
    def of(cls, value: NDArray[Any]) -> "Histogram":
        """Of Munsell values of any shape; NaN is left out. Raises ValuesError when nothing is left."""
        given = np.asarray(value, dtype=np.float32)
        every = max(1, int(np.sqrt(given.size / _SEEN))) if given.ndim == 2 else 1
        told = given[::every, ::every].ravel() if every > 1 else given.ravel()
        told = np.clip(told[np.isfinite(told)], 0.0, WHITE)
        if told.size == 0:
            raise ValuesError("There is nothing in the picture whose value could be told.")
        at = np.minimum((told * np.float32(BINS / WHITE)).astype(np.int32), BINS - 1)
        count = np.bincount(at, minlength=BINS)
        middles = (np.arange(BINS) + 0.5) * WHITE / BINS
        means = np.where(count > 0, np.bincount(at, told, BINS) / np.maximum(count, 1), middles)
        return cls(count / told.size, means)

    def shares_between(self, boundaries: Floats) -> Floats:
        """Share of the picture in each step of ``boundaries``, to the nearest bin."""
        ends = np.rint(np.concatenate([[0.0], boundaries, [WHITE]]) * BINS / WHITE).astype(np.int64)
        run = np.concatenate([[0.0], np.cumsum(self.shares)])
        return np.asarray(np.diff(run[ends]))


def equal_boundaries(count: int) -> Floats:
    """Munsell values between ``count`` equal steps from black (0) to white (10), ``(count - 1,)``, rising."""
    check_count(count)
    return np.arange(1, count) * WHITE / count


def best_boundaries(histogram: Histogram, count: int) -> Floats:
    """Munsell values between ``count`` steps with the least variance of value within them, ``(count - 1,)``, rising.

    Where several places would do alike, as between two masses with nothing between them, the middle one is taken.
    A picture with fewer different values than steps has its empty steps halved off the widest ones, so that there
    are always ``count``. The best separation of the same bins differs from scikit-image's ``threshold_multiotsu``
    in nothing but that middle.
    """
    check_count(count)
    filled = np.flatnonzero(histogram.shares > 0)
    share, mean = histogram.shares[filled], histogram.means[filled]
    groups = min(count, len(filled))
    ends = _least_spread(share, mean, groups)
    # Halfway between the last bin of one group and the first of the next.
    upper, lower = (filled[ends] + 1) * WHITE / BINS, filled[ends + 1] * WHITE / BINS
    found = (upper + lower) / 2
    while len(found) < count - 1:
        every = np.concatenate([[0.0], found, [WHITE]])
        widest = int(np.diff(every).argmax())
        found = np.sort(np.append(found, (every[widest] + every[widest + 1]) / 2))
    return _held_apart(found)


def moved_boundaries(boundaries: Sequence[float]) -> Floats:
    """The painter's own boundaries, Munsell values, as an array. Raises ValuesError when they cannot be boundaries."""
    try:
        given = np.array([float(each) for each in boundaries])
    except (TypeError, ValueError):
        raise ValuesError("A boundary between value steps is a number from 0 to 10.") from None
    check_count(len(given) + 1)
    ends = np.concatenate([[0.0], given, [WHITE]])
    if not np.isfinite(given).all() or (np.diff(ends) < NEAREST_STEPS - 1e-9).any():
        raise ValuesError(
            "The boundaries between value steps must rise from dark to light within 0 and 10, "
            f"each at least {NEAREST_STEPS:g} from the next."
        )
    return given


def check_count(count: int) -> None:
    """Raise ValuesError unless a picture can be seen in so many steps."""
    if not FEWEST <= count <= MOST:
        raise ValuesError(f"Value steps go from {FEWEST} to {MOST}; {count} was asked for.")


def _least_spread(share: Floats, mean: Floats, groups: int) -> NDArray[np.int64]:
    """Index of the last bin of every group but the last, ``(groups - 1,)``: Fisher's dynamic programme."""
    bins = len(share)
    weight, first, second = (
        np.concatenate([[0.0], np.cumsum(share * power)]) for power in (np.ones(bins), mean, mean**2)
    )
    begin, end = np.meshgrid(np.arange(bins), np.arange(1, bins + 1), indexing="ij")
    held = np.maximum(weight[end] - weight[begin], 1e-300)
    spread = second[end] - second[begin] - (first[end] - first[begin]) ** 2 / held
    spread = np.where(end > begin, np.maximum(spread, 0.0), np.inf)  # of bins begin .. end - 1, at [begin, end - 1]
    best, came_from = spread[0], []
    for _ in range(groups - 1):
        # A group that begins with bin b follows the best way to have bins 0 .. b - 1.
        reached = np.concatenate([[np.inf], best[:-1]])[:, None] + spread
        came_from.append(reached.argmin(axis=0))
        best = reached.min(axis=0)
    ends, at = [], bins - 1
    for begins in reversed(came_from):
        at = int(begins[at]) - 1
        ends.append(at)
    return np.array(ends[::-1], dtype=np.int64)


def _held_apart(boundaries: Floats) -> Floats:
    """Boundaries pushed apart where they are nearer than they may be, no farther than needed."""
    held = boundaries.copy()
    for index in range(len(held)):
        held[index] = max(held[index], NEAREST_STEPS if index == 0 else held[index - 1] + NEAREST_STEPS)
    for index in reversed(range(len(held))):
        held[index] = min(held[index], (WHITE if index == len(held) - 1 else held[index + 1]) - NEAREST_STEPS)
    return held
