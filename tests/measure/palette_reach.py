"""Whether a palette reaches a colour, told in two ways against descent: ``python -m tests.measure.palette_reach [n]``.

The truth is the least CIEDE2000 that a descent over the shares of all tubes finds, from the nearest mixtures known.
Colours: half of them any of sRGB, half off the rim of what is reached. Told are wrong verdicts at the limit, and how
far the difference itself is off. The other way: the convex hull of a* and b* in slices of half a value.
"""

import sys
import time

import numpy as np
from scipy.spatial import ConvexHull

from core.colorimetry import lab
from core.paint.palette_map import LIMIT
from core.paint.palette_reach import PaletteReach, even, reach_of
from core.paint.target import value_of
from tests.core.paint.test_palette_map_reach import EARTHS, FIVE, TWELVE, least_difference, of

STARTS, SLICE = 3, 0.5
MARGINS = np.linspace(-4.0, 8.0, 49)


def colours(reach: PaletteReach, count: int) -> np.ndarray:
    """CIELAB ``(count, 3)``."""
    rng = np.random.default_rng(7)
    anywhere = lab(rng.random((count // 2, 3)) ** 2.2)
    near = reach.lab[rng.integers(0, len(reach.lab), count - len(anywhere))]
    outward = near[:, 1:] / np.maximum(np.hypot(near[:, 1], near[:, 2]), 1e-6)[:, None]
    moved = near + np.column_stack([rng.normal(0, 4, len(near)), outward * rng.uniform(2, 20, len(near))[:, None]])
    return np.concatenate([anywhere, np.clip(moved, [1, -100, -100], [99, 100, 100])])


def outside_hull(reach: PaletteReach, wanted: np.ndarray) -> np.ndarray:
    """How far ``(n,)`` each lies outside the hull of its slice, in the even space; far where its slice is empty."""
    known, places = even(reach.lab), even(wanted)
    values, own = value_of(reach.lab), value_of(wanted)
    far = np.full(len(wanted), 50.0)
    for at, (place, value) in enumerate(zip(places, own, strict=True)):
        inside = known[np.abs(values - value) <= SLICE / 2][:, 1:]
        if len(inside) > 3:
            planes = ConvexHull(inside).equations
            far[at] = float((planes[:, :2] @ place[1:] + planes[:, 2]).max())
    return far


def main(count: int) -> None:
    for names in (EARTHS, FIVE, TWELVE):
        began = time.perf_counter()
        reach = reach_of(of(names))
        took = time.perf_counter() - began
        wanted = colours(reach, count)
        away, _ = reach.nearest(wanted)
        near = reach._tree.query(even(wanted), STARTS)[1]
        truth = np.array(
            [least_difference(names, each, reach.shares[rows]) for each, rows in zip(wanted, near, strict=True)]
        )
        truth = np.minimum(truth, away)
        wrong = ((away > LIMIT) != (truth > LIMIT)).mean()
        off = outside_hull(reach, wanted)
        hull = min(((off > margin) != (truth > LIMIT)).mean() for margin in MARGINS)
        error = away - truth
        print(f"{len(names)} tubes in {took:.1f} s; {count} colours, {(truth > LIMIT).mean():.0%} of them beyond")
        print(f"    wrong verdicts: {wrong:.1%} by the nearest mixture, {hull:.1%} by hulls with their best margin")
        print(f"    difference off by {np.median(error):.2f} in the middle, {error.max():.1f} at most")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 600)
