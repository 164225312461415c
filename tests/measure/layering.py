"""How well one number for the pigments of a coat tells whether it is faster, or leaner, than the one beneath.

The truth is simulated: coats of three to five tubes out of eight everyday ones; in 400 places of two coats each mixes
one to three of its tubes in chance amounts. The share of places where the upper is the faster (leaner) by half a class,
less that where the lower is, is how much the pair goes against the rule. A mixture is of the class of its parts by
amount, or half-way from that to the slowest (fattest) of them. Run: ``python -m tests.measure.layering``.
"""

from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from core.sitting.drying_classes import drying_class
from core.sitting.layering import SLIGHT_FROM
from core.sitting.pigment_oil import oil_need

TUBES = {
    "titanium white": "PW6",
    "yellow ochre": "PY43",
    "cadmium red": "PR108",
    "alizarin crimson": "PR83",
    "burnt umber": "PBr7",
    "ultramarine": "PB29",
    "cobalt blue": "PB28",
    "ivory black": "PBk9",
}
PAIRS, PLACES = 2000, 400
Floats = NDArray[np.float64]


def ranks() -> dict[str, Floats]:
    speed, oil = [], []
    for name, pigment in TUBES.items():
        drying, need = drying_class(pigment, name), oil_need(pigment)
        assert drying is not None
        assert need is not None
        speed.append(float(drying.rank))
        oil.append(float(need.rank))
    return {"speed": np.array(speed), "oil": np.array(oil)}


def places(coat: Floats, rng: np.random.Generator, *, to_highest: bool) -> Floats:
    """The rank of a mixture at each of some places, ``(PLACES,)``."""
    amounts = rng.dirichlet(np.ones(3), PLACES)
    amounts[:, 1:] *= rng.random((PLACES, 2)) < 0.67
    chosen = coat[rng.integers(len(coat), size=(PLACES, 3))]
    mean = np.asarray((amounts * chosen).sum(axis=1) / amounts.sum(axis=1))
    return (mean + np.where(amounts > 0.05, chosen, 0.0).max(axis=1)) / 2 if to_highest else mean


WAYS: dict[str, Callable[[Floats, Floats], float]] = {
    "the mean": lambda lower, upper: lower.mean() - upper.mean(),
    "half-way to the highest": lambda lower, upper: (lower.mean() + lower.max() - upper.mean() - upper.max()) / 2,
    "highest against lowest": lambda lower, upper: lower.max() - upper.min(),
}


def pairs(rank: Floats, *, to_highest: bool) -> None:
    rng = np.random.default_rng(1)
    against, drops, alike = [], [], []
    for _ in range(PAIRS):
        lower, upper = (rank[rng.choice(len(rank), rng.integers(3, 6), replace=False)] for _ in range(2))
        apart = places(lower, rng, to_highest=to_highest) - places(upper, rng, to_highest=to_highest)
        against.append((apart >= 0.5).mean() - (apart <= -0.5).mean())
        drops.append([way(lower, upper) for way in WAYS.values()])
        alike.append([way(lower, lower) for way in WAYS.values()])
    truth, told, same = np.array(against), np.array(drops), np.array(alike)
    meant = truth > 0.25
    print(f"  {meant.mean():.0%} of pairs go against the rule in a quarter of places")
    for (column, way), least in product(enumerate(WAYS), (SLIGHT_FROM, 0.5)):
        warned = told[:, column] >= least
        print(
            f"  {way:24} from {least:.2f}: correlation {np.corrcoef(truth, told[:, column])[0, 1]:.2f}, warns of "
            f"{warned.mean():4.0%}, of those against the rule {warned[meant].mean():4.0%}, rightly "
            f"{meant[warned].mean():4.0%}; of the same tubes twice {(same[:, column] >= least).mean():4.0%}"
        )


def main() -> None:
    for (question, rank), to_highest in product(ranks().items(), (False, True)):
        print(f"{question}, a mixture by {'half-way to the highest' if to_highest else 'amount'}:")
        pairs(rank, to_highest=to_highest)


if __name__ == "__main__":
    main()
