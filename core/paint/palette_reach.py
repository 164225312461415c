"""What a palette reaches: mixtures so near to each other that every colour that can be mixed lies close to one.

Tubes differ a thousandfold in strength, so even shares crowd in the dark. Instead the mixtures known are altered at
random, and what falls into an empty cell of an even colour space is kept, so that the cells fill to the rim.

Two ways were held against the true least CIEDE2000 of 600 colours for each of three palettes, of 4, 5 and 12 tubes,
found by descent over the shares: half of them any colours of sRGB, half off the rim by 1 to 9. Whether a colour lies
beyond 2 was told wrongly for 0.8, 1.3 and 0.7 % by the nearest of these mixtures, and for 2.5, 10.7 and 4.0 % by the
convex hull of a* and b* in slices of half a value, each with its best margin: mixtures fill no convex body. The
difference is too large by 0.02, 0.04 and 0.19 in the middle and by 1.1, 1.1 and 1.7 at most, by 12.7 without a second
look at far colours. What is reached reads 0.6, and 1.2 at most. A reach takes 0.6 s, and is kept.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import delta_e_2000
from core.paint.palette_mixes import Slab
from core.paint.tubes import Tube

Floats = NDArray[np.float64]

MOST_TUBES = 4
"""In one mixture."""
_CELL = 1.0
"""Side of a cell of the even space, near CIEDE2000."""
_ROUNDS, _EACH_ROUND = 16, 15_000
_OLD_SHARE, _ADDED = 0.75, 0.25
_PAIR_LOGITS = np.linspace(-7.0, 7.0, 15)
_NEAREST = 4
_FAR, _ROUGH, _ROUGH_WANTED = 5.0, 4.0, 4.0
"""CIEDE2000 from which the whole reach is looked through, by one mixture in each cell of that side."""
_OFFSET, _SPAN = 200, 1024


def even(lab: ArrayLike) -> Floats:
    """Coordinates ``(…, 3)`` of CIELAB ``(…, 3)`` in which near colours are about CIEDE2000 apart: its weights of
    lightness and of chroma, summed from L* 50 and from grey; hues stay where they are."""
    told = np.asarray(lab, dtype=np.float64)
    off = told[..., 0] - 50.0
    chroma = np.hypot(told[..., 1], told[..., 2])
    shrunk = np.log1p(0.045 * chroma) / 0.045 / np.maximum(chroma, 1e-9)
    light = np.interp(off, _OFF, _LIGHT)
    return np.stack([light, told[..., 1] * shrunk, told[..., 2] * shrunk], axis=-1)


@dataclass(frozen=True, eq=False)
class PaletteReach:
    """``lab``: CIELAB ``(n, 3)`` (D65) of mixtures of ``tubes`` by ``shares`` ``(n, tubes)``, of 4 tubes at most, one
    at least within about half a CIEDE2000 of every colour that the palette reaches."""

    tubes: tuple[Tube, ...]
    lab: Floats
    shares: Floats

    def nearest(self, lab: ArrayLike) -> tuple[Floats, Floats]:
        """The least CIEDE2000 ``(m,)`` from colours ``(m, 3)`` to what is reached, and the colours there ``(m, 3)``."""
        wanted = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
        away, found = self._best(wanted, even(wanted))
        far = np.flatnonzero(away > _FAR)
        if len(far):
            again, elsewhere = self._best(wanted[far], even(self._roughly(wanted[far])))
            nearer = again < away[far]
            away[far[nearer]], found[far[nearer]] = again[nearer], elsewhere[nearer]
        return away, self.lab[found]

    def _best(self, wanted: Floats, places: Floats) -> tuple[Floats, NDArray[np.intp]]:
        """Of the mixtures about ``places`` of the even space, the nearest to each colour: how near, and which."""
        found = np.asarray(self._tree.query(places, min(_NEAREST, len(self.lab)))[1]).reshape(len(wanted), -1)
        away = delta_e_2000(self.lab[found], wanted[:, None])
        best = away.argmin(axis=1)
        rows = np.arange(len(wanted))
        return away[rows, best], found[rows, best]

    def _roughly(self, wanted: Floats) -> Floats:
        """Of a few mixtures all over the reach the one nearest to each colour ``(m, 3)``. Far off, CIEDE2000 bends away
        from any even space, most of all in the violets."""
        _, first, which = np.unique(_cells(wanted, _ROUGH_WANTED), return_index=True, return_inverse=True)
        best = [int(delta_e_2000(self._rough, each).argmin()) for each in wanted[first]]
        return np.asarray(self._rough[np.array(best)[which]])

    @cached_property
    def _rough(self) -> Floats:
        return self.lab[np.unique(_cells(self.lab, _ROUGH), return_index=True)[1]]

    @cached_property
    def _tree(self) -> Any:
        from scipy.spatial import cKDTree

        return cKDTree(even(self.lab))


def reach_of(tubes: Iterable[Tube]) -> PaletteReach:
    """What these tubes reach together. Kept for the last palettes asked for. Raises PaintError without a tube, or with
    one of which the strength in a mixture is not known."""
    return _reach(tuple(tubes))


@lru_cache(maxsize=8)
def _reach(tubes: tuple[Tube, ...]) -> PaletteReach:
    slab = Slab(tubes)
    shares = _pairs(len(tubes))
    kept = _Kept()
    kept.new(shares, slab.lab(shares))
    random = np.random.default_rng(0)
    for _ in range(_ROUNDS if len(tubes) > 1 else 0):
        altered = _altered(np.concatenate(kept.shares), random)
        if kept.new(altered, slab.lab(altered)) == 0:
            break
    return PaletteReach(tubes, np.concatenate(kept.lab), np.concatenate(kept.shares))


class _Kept:
    """One mixture for each cell of the even space."""

    def __init__(self) -> None:
        self.shares: list[Floats] = []
        self.lab: list[Floats] = []
        self._cells = np.empty(0, np.int64)

    def new(self, shares: Floats, lab: Floats) -> int:
        """Keep those in cells that were empty; how many these are."""
        cell, first = np.unique(_cells(lab, _CELL), return_index=True)
        empty = ~np.isin(cell, self._cells, assume_unique=True)
        self._cells = np.concatenate([self._cells, cell[empty]])
        self.shares.append(shares[first[empty]])
        self.lab.append(lab[first[empty]])
        return int(empty.sum())


def _cells(lab: Floats, side: float) -> NDArray[np.int64]:
    """A number for each colour, the same for those in one cell of the even space."""
    place = np.rint(even(lab) / side).astype(np.int64) + _OFFSET
    return np.asarray((place[:, 0] * _SPAN + place[:, 1]) * _SPAN + place[:, 2])


def _pairs(count: int) -> Floats:
    """Each tube alone, and each two of them from a thousandth upward."""
    share = 1.0 / (1.0 + np.exp(-_PAIR_LOGITS))
    rows = [np.eye(count)]
    for one, other in combinations(range(count), 2):
        mixed = np.zeros((len(share), count))
        mixed[:, one], mixed[:, other] = share, 1.0 - share
        rows.append(mixed)
    return np.concatenate(rows)


def _altered(shares: Floats, random: np.random.Generator) -> Floats:
    """Some of the mixtures, half of them the newest, with more and less of each tube, some with another one added."""
    newest = int(_OLD_SHARE * len(shares))
    chosen = shares[random.integers([[0], [newest]], len(shares), (2, _EACH_ROUND // 2)).ravel()]
    made = chosen * np.exp(random.normal(0.0, 1.0, chosen.shape))
    added = np.flatnonzero(random.random(len(made)) < _ADDED)
    made[added, random.integers(0, shares.shape[1], len(added))] += 10.0 ** random.uniform(-3.0, 0.3, len(added))
    if shares.shape[1] > MOST_TUBES:
        least = np.partition(made, -MOST_TUBES, axis=1)[:, -MOST_TUBES][:, None]
        made = np.where(made >= least, made, 0.0)
    return np.asarray(made / made.sum(axis=1, keepdims=True))


_OFF = np.linspace(-60.0, 60.0, 1201)
_WEIGHT = 1.0 + 0.015 * _OFF**2 / np.sqrt(20.0 + _OFF**2)
_LIGHT = np.concatenate([[0.0], np.cumsum(2.0 * np.diff(_OFF) / (_WEIGHT[1:] + _WEIGHT[:-1]))])
_LIGHT -= _LIGHT[len(_LIGHT) // 2]
