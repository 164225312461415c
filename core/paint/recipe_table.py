"""Every mix of a few tubes in whole parts, with its CIELAB: what is searched for a recipe.

A table knows no target, so it is made once for a set of tubes. Parts that have a common factor are left out: 2 and 4
are 1 and 2. What a table holds and its time are in :mod:`core.paint.recipe_search`.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from core.paint.recipe_batch import Indices, Pots, Singles

Mix = tuple[tuple[int, int], ...]
"""Which tube and how many parts, of each tube in it."""
_TABLES_KEPT = 4


@dataclass(frozen=True, eq=False)
class Block:
    """All mixes of just so many tubes. ``groups``: ``(g, m)`` which tubes; ``parts``: ``(c, m)`` of each, 1 or more;
    ``lab``: ``(3, g * c)`` CIELAB under D65, group by group."""

    groups: Indices
    parts: Indices
    lab: Singles

    @property
    def totals(self) -> Singles:
        """``(g * c,)`` how many parts each mix has."""
        return np.tile(self.parts.sum(axis=1).astype(np.float32), len(self.groups))

    def mix(self, at: int) -> Mix:
        """Tube and parts of the mix in row ``at``, in the order of the tubes."""
        group, row = divmod(at, len(self.parts))
        return tuple(zip(self.groups[group].tolist(), self.parts[row].tolist(), strict=True))


@lru_cache(maxsize=_TABLES_KEPT)
def table(pots: Pots, most_tubes: int, most_parts: int) -> tuple[Block, ...]:
    """A block for one tube, for two, and so on, up to ``most_tubes`` and ``most_parts`` in all."""
    return tuple(block_of(pots, _groups(pots, count), most_parts) for count in _counts(pots, most_tubes, most_parts))


def table_with(pots: Pots, tube: int, most_tubes: int, most_parts: int) -> tuple[Block, ...]:
    """The same, of the mixes that ``tube`` is in."""
    groups = (_groups(pots, count) for count in _counts(pots, most_tubes, most_parts))
    with_it = [some[(some == tube).any(axis=1)] for some in groups]
    return tuple(block_of(pots, some, most_parts) for some in with_it if len(some))


def block_of(pots: Pots, groups: Indices, most_parts: int) -> Block:
    """All mixes of ``groups`` ``(g, m)`` of tubes."""
    parts = whole_parts(groups.shape[1], most_parts)
    shares: NDArray[np.float32] = (parts / parts.sum(axis=1, keepdims=True)).astype(np.float32)
    labs = pots.stirrer().labs(groups, shares).reshape(-1, 3)
    return Block(groups, parts, np.ascontiguousarray(labs.T))


def mixes_in(tubes: int, most_tubes: int, most_parts: int) -> int:
    """How many mixes a table of so many tubes holds."""
    return sum(comb(tubes, count) * len(whole_parts(count, most_parts)) for count in range(1, most_tubes + 1))


@cache
def whole_parts(count: int, most: int) -> Indices:
    """``(c, count)``: all ways to share out up to ``most`` parts, each getting one at least, without common factor."""
    rows = np.zeros((1, 0), dtype=np.intp)
    for _ in range(count):
        rows = np.vstack([np.column_stack([rows, np.full(len(rows), part)]) for part in range(1, most + 1)])
        rows = rows[rows.sum(axis=1) <= most - (count - rows.shape[1])]
    kept = rows[np.gcd.reduce(rows, axis=1) == 1]
    return np.ascontiguousarray(kept[np.lexsort([*kept.T[::-1], kept.sum(axis=1)])])


def _counts(pots: Pots, most_tubes: int, most_parts: int) -> range:
    return range(1, min(most_tubes, most_parts, max(sum(pots.mixable), 1)) + 1)


def _groups(pots: Pots, count: int) -> Indices:
    mixable = [at for at, known in enumerate(pots.mixable) if known or count == 1]
    return np.array(list(combinations(mixable, count)), dtype=np.intp)
