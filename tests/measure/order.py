"""What the order of work is worth to an eye that errs: ``python -m tests.measure.order``.

A painter is simulated who puts in region after region of a photograph, judging each against all the neighbours that
are there: the difference is misjudged by a standard deviation of 0.3 step and a tenth of itself, and what was wrong in
the neighbour is wrong in it too. Ways: ours; by the certainty of each comparison alone, without what is handed on; the
largest first; at random.
"""

from collections.abc import Callable, Sequence

import numpy as np

from core.size import Size
from core.tone import value_of_linear
from core.value import order as work
from core.value.boundaries import Histogram, best_boundaries
from core.value.first_marks import FirstMark, first_marks
from core.value.order import APART, MARK_STEPS, Placed, comparison_steps, order_of_work
from core.value.regions import Regions, regions_of
from core.value.steps import steps_between
from tests.studio import references

CANVAS = Size(400, 300)
ROUNDS = 60
Way = Callable[[Regions, Sequence[FirstMark], np.ndarray], Sequence[int]]


def case(name: str, count: int) -> tuple[Regions, tuple[FirstMark, ...], np.ndarray]:
    value = value_of_linear(references.linear(references.pixels(name, CANVAS, width=400)))
    boundaries = best_boundaries(Histogram.of(value), count)
    steps = steps_between(value, boundaries, px_per_mm=1, smallest_mm2=100)
    return regions_of(value, steps, px_per_mm=1), first_marks(value, px_per_mm=1), boundaries


def ours(regions: Regions, marks: Sequence[FirstMark], boundaries: np.ndarray) -> Sequence[int]:
    return [each.region.index for each in order_of_work(regions, marks, boundaries)]


def each_alone(regions: Regions, marks: Sequence[FirstMark], boundaries: np.ndarray) -> Sequence[int]:
    """As though every neighbour that is there were right: variance is not handed on."""
    kept = work._judged

    def alone(region, all_regions, sigma, ends):  # type: ignore[no-untyped-def]
        nearest = min(
            (n for n in region.borders_mm if n in sigma), key=lambda n: abs(all_regions.every[n].value - region.value)
        )
        return kept(region, all_regions, {nearest: 0.01}, ends)

    work._judged = alone
    try:
        return ours(regions, marks, boundaries)
    finally:
        work._judged = kept


def largest_first(regions: Regions, marks: Sequence[FirstMark], boundaries: np.ndarray) -> Sequence[int]:
    first = [each.region.index for each in _marks(order_of_work(regions, marks, boundaries))]
    return first + [r.index for r in sorted(regions.every, key=lambda r: -r.area_mm2) if r.index not in first]


def at_random(regions: Regions, marks: Sequence[FirstMark], boundaries: np.ndarray) -> Sequence[int]:
    first = [each.region.index for each in _marks(order_of_work(regions, marks, boundaries))]
    rest = [r.index for r in regions.every if r.index not in first]
    return first + list(np.random.default_rng(0).permutation(rest))


def _marks(placed: Sequence[Placed]) -> list[Placed]:
    return [each for each in placed if each.mark is not None]


def painted(regions: Regions, sequence: Sequence[int], firsts: int, rng: np.random.Generator) -> np.ndarray:
    """The error in value of every region as it comes to be painted, Munsell steps."""
    error: dict[int, float] = {}
    extremes = sorted(sequence[:firsts], key=lambda n: regions.every[n].value)[:: max(firsts - 1, 1)]
    for place, index in enumerate(sequence):
        region = regions.every[index]
        there = [n for n in {*region.borders_mm, *extremes} if n in error]
        if place < firsts:
            error[index] = rng.normal(0, MARK_STEPS)
            continue
        apart = np.array([1.0 if n in region.borders_mm else APART for n in there])
        sigma = apart * [comparison_steps(region.value - regions.every[n].value) for n in there]
        judged = np.array([error[n] for n in there]) + rng.normal(0, sigma)
        error[index] = float((judged / sigma**2).sum() / (1 / sigma**2).sum())
    return np.array([error[region.index] for region in regions.every])


def wrong(way: Way, name: str, count: int, rounds: int = ROUNDS) -> tuple[float, float]:
    """Error in steps, root mean square by area, and the share of the area put into the wrong step."""
    regions, marks, boundaries = case(name, count)
    sequence = way(regions, marks, boundaries)
    firsts = len(_marks(order_of_work(regions, marks, boundaries)))
    area = np.array([region.area_mm2 for region in regions.every])
    value, step = (np.array([getattr(r, key) for r in regions.every]) for key in ("value", "step"))
    squares, missed = [], []
    for seed in range(rounds):
        error = painted(regions, sequence, firsts, np.random.default_rng(seed))
        squares.append(np.average(error**2, weights=area))
        missed.append(np.average(np.digitize(value + error, boundaries) != step, weights=area))
    return float(np.sqrt(np.mean(squares))), float(np.mean(missed))


def main() -> None:
    for name in references.NAMES:
        for count in (3, 5, 7):
            figures = {way.__name__: wrong(way, name, count) for way in (ours, each_alone, largest_first, at_random)}
            print(
                name,
                count,
                "; ".join(f"{way} {rms:.2f} step, {share:.1%} wrong" for way, (rms, share) in figures.items()),
            )


if __name__ == "__main__":
    main()
