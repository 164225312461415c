"""How well the forecast of touch-dry holds, on simulated painters whose true factors are known.

    python -m tests.measure.drying [painters] [first seed]

Told for the next layer after so many tested ones: "in" is how often its true time lies within the 10-90 % range (0.80
is wanted), "early" how often it dries sooner than the range, "late" later; "wide" the range, last over first. "Now" is
a layer that has been touched itself and not found dry, at a time that does not hang on the truth.
"""

import math
import sys

import numpy as np

from core.sitting.drying import HIGH, LOW, PAINTER_SPREAD, TouchDry
from core.sitting.painter_drying import Watched, forecasts
from tests.studio.drying import Studio, TrueLayer, layers_of

TESTED = (0, 1, 3, 6)


class Held:
    """Ranges against true times."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, float, float]] = []

    def add(self, told: TouchDry, days: float) -> None:
        self.rows.append((told.after(LOW), days, told.after(HIGH)))

    def say(self) -> str:
        low, days, high = np.array(self.rows).T
        early, late = float((days < low).mean()), float((days > high).mean())
        return f"in {1 - early - late:.3f}  early {early:.3f}  late {late:.3f}  wide {np.median(high / low):.2f}"


def _now(layer: TrueLayer) -> Watched:
    """At half of the days that painters at large would need."""
    return layer.watched(layer.expected.days(0.5) * 0.5)


def measure(name: str, studios: list[Studio], first: int) -> None:
    """Prints the rows of one kind of painter."""
    held, now, factor = {count: Held() for count in TESTED}, Held(), []
    for seed, studio in enumerate(studios, start=first):
        layers = layers_of(studio, max(TESTED) + 1, np.random.default_rng(seed))
        new = layers[-1]
        for count in TESTED:
            painter, told = forecasts([*(each.watched() for each in layers[:count]), Watched(new.expected)])
            held[count].add(told[-1], new.days)
        factor.append(math.log(painter.times()) - studio.log_factor)
        bounds = _now(new).bounds
        if bounds.after is not None and bounds.by is None:
            now.add(forecasts([*(each.watched() for each in layers[:3]), _now(new)])[1][-1], new.days)
    print(f"{name}: factor off by {np.std(factor):.3f} (log, after {max(TESTED)})")
    for count in TESTED:
        print(f"    {count} tested   {held[count].say()}")
    print(f"    now        {now.say()}")


def main() -> None:
    """Painters at large; painters of one factor; and such as break what the forecast takes for granted."""
    count, first = (int(given) for given in (sys.argv[1:] + ["300", "1"][len(sys.argv) - 1 :])[:2])
    rng = np.random.default_rng(first)
    at_large = [float(each) for each in rng.normal(0.0, PAINTER_SPREAD, count)]
    kinds: list[tuple[str, list[Studio]]] = [("painters at large", [Studio(each) for each in at_large])]
    kinds += [(f"true factor {times:.2f}", [Studio(math.log(times))] * count) for times in (0.5, 2 / 3, 1.0, 1.5, 2.0)]
    kinds += [
        ("one touch in ten told wrong", [Studio(each, slips=0.1) for each in at_large]),
        ("the same tubes: half in common", [Studio(each, shared=0.5) for each in at_large]),
    ]
    for name, studios in kinds:
        measure(name, studios, first)


if __name__ == "__main__":
    main()
