"""The mixes that come nearest to a colour by CIEDE2000: every mix is judged, so none that is nearer is passed over.

Two ways were measured on colours of photographs and 12 tubes, up to 4 in up to 12 parts, one thread
(``tests/measure/recipes.py``). This one makes a table of all 283 207 mixes once for a set of tubes and then judges
every one: 56 ms for the first colour, 21 ms for each further one (worst 31), and of 75 colours none came out farther
than by a search of every mix in double precision. The other sought the best shares of each group without regard to
whole parts (Levenberg and Marquardt), then tried whole parts of the 24 most promising groups: 97 ms, and of the same
colours 5 % came out 0.34 of CIEDE2000 farther or more, 0.70 at worst. That one is left to the measuring script.

From 18, 22 and 24 tubes, which are too many for one table, groups are first tried in fewer parts: 0.2 s (worst 0.4),
and none of 60 colours for each came out farther. Taking instead the 15 tubes that come nearest in threes lost up to
0.14.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import delta_e_2000, lightness, luminance_of_value
from core.paint.recipe_batch import Pots, Singles
from core.paint.recipe_difference import differences
from core.paint.recipe_table import Block, Mix, block_of, mixes_in, table, whole_parts
from core.paint.target import Lab, value_of

Mask = NDArray[np.bool_]

MOST_MIXES = 1_000_000
"""A table holds no more."""
_FINE = 400_000
"""Of a palette too large for one: so many mixes of each number of tubes are tried in all the parts that are asked."""
_MARGIN, _OF_DIFFERENCE = 2e-3, 1e-2
"""What single precision may take for nearer: in all, and as a share of the difference where hues are opposite."""


@dataclass(frozen=True)
class Near:
    """A mix, and its CIEDE2000 from the colour, within 0.001."""

    mix: Mix
    delta_e: float


@dataclass(frozen=True, eq=False)
class Searched:
    """All mixes of ``blocks`` and their CIEDE2000 from ``colour``, ``(g * c,)`` for each block."""

    blocks: tuple[Block, ...]
    colour: Lab
    found: tuple[Singles, ...]

    @classmethod
    def of(cls, blocks: Sequence[Block], colour: Lab) -> "Searched":
        """Judge every mix."""
        return cls(tuple(blocks), colour, tuple(differences(block.lab, colour) for block in blocks))

    def nearest(self, at: int, *, added: Singles | float = 0.0, allowed: Mask | None = None) -> list[Near]:
        """Those mixes of block ``at`` of which CIEDE2000 and what is ``added`` ``(g * c,)`` are least, with any that
        come so near to it that single precision cannot tell. ``allowed``: ``(g * c,)`` which to choose from.
        """
        block, scores = self.blocks[at], self.found[at] + np.float32(added)
        if allowed is not None:
            scores = np.where(allowed, scores, np.float32(np.inf))
        first = int(scores.argmin())
        if not np.isfinite(scores[first]):
            return []
        rows = np.flatnonzero(scores <= scores[first] + _MARGIN + _OF_DIFFERENCE * self.found[at][first])
        exact = delta_e_2000(block.lab[:, rows].T, self.colour)
        told = exact + (added[rows] if isinstance(added, np.ndarray) else added)
        kept = np.flatnonzero(told <= told.min() + _MARGIN)
        return [Near(block.mix(int(rows[each])), float(exact[each])) for each in kept]

    def value_reach(self) -> tuple[float, float]:
        """Munsell value of the darkest and of the lightest mix."""
        lights = [block.lab[0] for block in self.blocks]
        ends = min(float(each.min()) for each in lights), max(float(each.max()) for each in lights)
        dark, light = (float(value_of((end, 0.0, 0.0))) for end in ends)
        return dark, light

    def same_value(self, tolerance: float) -> tuple[tuple[Mask, ...], float]:
        """Of each block, which mixes have the Munsell value of the colour within ``tolerance`` steps, or come as near
        to it within ``tolerance`` as any does; and by how many steps the nearest is off, below 0 if it is darker."""
        wanted, lights = float(value_of(self.colour)), [block.lab[0] for block in self.blocks]
        below = max(float(each[each <= self.colour[0]].max(initial=-np.inf)) for each in lights)
        above = min(float(each[each >= self.colour[0]].min(initial=np.inf)) for each in lights)
        off = min((float(value_of((end, 0.0, 0.0))) - wanted for end in (below, above) if np.isfinite(end)), key=abs)
        reach = abs(off) + tolerance
        low, high = lightness(luminance_of_value([max(wanted - reach, 0.0), wanted + reach]))
        return tuple((each >= low) & (each <= high) for each in lights), off


def blocks_for(
    pots: Pots, colour: Lab, *, most_tubes: int, most_parts: int, keep: Sequence[int] = ()
) -> tuple[Block, ...]:
    """What to search for one colour: a table of all the tubes. Where that would hold over ``MOST_MIXES``, all are tried
    in fewer parts, and then in as many as asked those groups of tubes that came nearest, with those that hold the tubes
    to ``keep``."""
    if mixes_in(len(pots), most_tubes, most_parts) <= MOST_MIXES:
        return table(pots, most_tubes, most_parts)
    coarse = max(
        (parts for parts in range(most_tubes, most_parts) if mixes_in(len(pots), most_tubes, parts) <= MOST_MIXES),
        default=most_tubes,
    )
    tried = Searched.of(table(pots, most_tubes, coarse), colour)
    made = []
    for block, found in zip(tried.blocks, tried.found, strict=True):
        size = block.groups.shape[1]
        off = found.reshape(len(block.groups), -1).min(axis=1)
        off[np.isin(block.groups, keep).sum(axis=1) >= max(min(len(keep), size), 1)] = -1.0
        room = max(_FINE // len(whole_parts(size, most_parts)), 1)
        made.append(block_of(pots, block.groups[np.sort(np.argsort(off, kind="stable")[:room])], most_parts))
    return tuple(made)


def promising(searched: Searched, count: int) -> list[int]:
    """Tubes by the nearest mix that each is in."""
    best = np.full(count, np.inf, np.float32)
    for block, found in zip(searched.blocks, searched.found, strict=True):
        by_group = found.reshape(len(block.groups), -1).min(axis=1)
        for column in block.groups.T:
            np.minimum.at(best, column, by_group)
    return [int(at) for at in np.argsort(best, kind="stable")]
