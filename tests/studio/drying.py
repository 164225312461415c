"""A painter whose layers dry at known times, and who comes by to touch them."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from core.sitting.drying import Expected, foretell
from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.painter_drying import Watched
from core.sitting.touch_tests import Touch, TouchTest, read_tests

BEGUN = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
TUBES = ("PW6", "PW1", "PBr7 raw umber", "PBr7 burnt sienna", "PY43", "PB29", "PR108", "PV19", "PBk9", "PB28")


@dataclass(frozen=True)
class Studio:
    """``log_factor``: the painter's own. ``shared``: part (0-1) of the layers' own variance that all of them have in
    common, as from the same tubes; the forecast takes none. ``slips``: how often a touch is told as its neighbour.
    Paint turns tacky at some share of its days, about a half."""

    log_factor: float
    shared: float = 0.0
    slips: float = 0.0


@dataclass(frozen=True)
class TrueLayer:
    expected: Expected
    days: float
    tests: tuple[TouchTest, ...]

    def watched(self, until: float = math.inf) -> Watched:
        """With the tests of the first days only."""
        return Watched(
            self.expected,
            read_tests(BEGUN, [test for test in self.tests if test.at <= BEGUN + timedelta(days=min(until, 1e4))]),
        )


def layers_of(studio: Studio, count: int, rng: np.random.Generator) -> list[TrueLayer]:
    """Layers of any kind, each touched at odd times about once a day until it is found dry."""
    common = rng.normal()
    return [_layer(studio, common, rng) for _ in range(count)]


def _layer(studio: Studio, common: float, rng: np.random.Generator) -> TrueLayer:
    layer = Layer(
        Medium(rng.choice([str(each) for each in Medium])),
        Thickness(rng.choice([str(each) for each in Thickness], p=[0.4, 0.45, 0.15])),
        tuple(str(tube) for tube in rng.choice(TUBES, rng.integers(1, 5), replace=False)),
    )
    expected = foretell(layer)
    own = math.sqrt(studio.shared) * common + math.sqrt(1 - studio.shared) * rng.normal()
    days = math.exp(expected.log_days + studio.log_factor + expected.spread * own)
    return TrueLayer(expected, days, _touched(days, rng.uniform(0.2, 0.8), studio.slips, rng))


def _touched(days: float, tacky: float, slips: float, rng: np.random.Generator) -> tuple[TouchTest, ...]:
    tests, at = [], 0.0
    while at < days and len(tests) < 60:
        at += rng.uniform(0.4, 1.6) * max(1.0, at / 6)
        found = Touch.DRY if at >= days else Touch.TACKY if at >= tacky * days else Touch.WET
        if rng.random() < slips:
            found = Touch.TACKY if found is not Touch.TACKY else Touch.WET
        tests.append(TouchTest(BEGUN + timedelta(days=at), found))
    return tuple(tests)
