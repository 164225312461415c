"""Recipes from 12 tubes for colours of photographs, beside a plain search of the same mixes in double precision.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail; the bar for a recipe is 100 ms.
The plain search reckons every mix with the sums of ``core.paint`` as they stand, group by group, and CIEDE2000 by
``core.colorimetry``; both give the same answer. All is
processor time.
"""

import time
from itertools import combinations, cycle
from typing import Any

import numpy as np
import pytest

from core.colorimetry import delta_e_2000
from core.paint.kubelka_munk import reflectance
from core.paint.munsell import munsell_of_xyy, xyy_under_c
from core.paint.recipe import recipes_for
from core.paint.recipe_reach import reach_with
from core.paint.recipe_table import table, whole_parts
from core.paint.recipe_touch import touched
from core.paint.spectrum import lab
from core.paint.surface import saunderson
from core.paint.target import Target
from core.paint.tubes import Tube, tubes
from tests.measure.recipes import palette, photographed
from tests.published.libraries import colour

BAR_MS = 100.0
TIMED = pytest.mark.benchmark(timer=time.process_time)


def plain(target: Target, among: dict[str, Tube]) -> float:
    """CIEDE2000 of the nearest of all mixes."""
    paints, nearest = [tube.paint for tube in among.values()], np.inf
    k, s, k1 = (np.array([getattr(paint, name) for paint in paints]) for name in ("k", "s", "k1"))
    k2 = np.array([paint.k2 for paint in paints])
    for size in range(1, 5):
        parts = whole_parts(size, 12)
        shares = parts / parts.sum(axis=1, keepdims=True)
        for group in combinations(range(len(paints)), size):
            some = list(group)
            scattered = shares @ s[some]
            outer = shares @ (s[some] * k1[some]) / scattered
            within = reflectance(shares @ k[some], scattered)
            labs = lab(saunderson(within, outer, (shares @ k2[some])[:, None]))
            nearest = min(nearest, float(delta_e_2000(labs, np.array(target.lab)).min()))
    return nearest


@pytest.fixture(scope="module")
def plain_ms() -> tuple[Target, float, float]:
    target, among = photographed(1, seed=8)[0], palette()
    began = time.process_time()
    found = plain(target, among)
    return target, found, 1e3 * (time.process_time() - began)


def say(name: str, benchmark: Any, other: str, other_ms: float, bar_ms: float = BAR_MS) -> None:
    median, worst = 1e3 * benchmark.stats.stats.median, 1e3 * benchmark.stats.stats.max
    print(
        f"\n{name:<34} median {median:7.2f} ms, worst {worst:7.2f} of {bar_ms:.0f}; {other_ms / median:7.1f} × {other}"
    )


@TIMED
def test_a_first_recipe(benchmark: Any, plain_ms: tuple[Target, float, float]) -> None:
    target, found, other_ms = plain_ms
    among = palette()
    answer = benchmark.pedantic(lambda: recipes_for(target, among), setup=table.cache_clear, rounds=15, warmup_rounds=1)
    say("first recipe, with the table", benchmark, f"as fast as a plain search ({other_ms:.0f} ms)", other_ms)
    assert answer.nearest.delta_e == pytest.approx(found, abs=1e-9)


@TIMED
def test_a_further_recipe(benchmark: Any, plain_ms: tuple[Target, float, float]) -> None:
    among, targets = palette(), cycle(photographed(40))
    benchmark.pedantic(lambda: recipes_for(next(targets), among), rounds=40, warmup_rounds=1)
    say("further recipe", benchmark, f"as fast as a plain search ({plain_ms[2]:.0f} ms)", plain_ms[2])


@TIMED
def test_a_touch(benchmark: Any, plain_ms: tuple[Target, float, float]) -> None:
    among = palette()
    best = recipes_for(Target.of_hex("#a08070"), among).best
    benchmark.pedantic(lambda: touched(best, "warmer", among), rounds=15, warmup_rounds=1)
    say("a touch warmer", benchmark, f"as fast as a plain search ({plain_ms[2]:.0f} ms)", plain_ms[2])


@TIMED
def test_one_more_tube(benchmark: Any, plain_ms: tuple[Target, float, float]) -> None:
    among, others, target = palette(), dict(tubes()), Target.of_hex("#e040a0")
    more = len(others) - len(among)
    benchmark.pedantic(lambda: reach_with(target, among, others), rounds=5, warmup_rounds=1)
    say(f"one of {more} more tubes", benchmark, f"as fast as {more} plain searches", more * plain_ms[2], 1000.0)


@TIMED
def test_munsell_notation(benchmark: Any) -> None:
    """Beside colour-science's own search, on colours that it finds."""
    found, spent = [], 0.0
    for target in photographed(30):
        xyy, began = xyy_under_c(target.lab), time.process_time()
        try:
            colour.xyY_to_munsell_colour(xyy)
        except (AssertionError, ValueError, RuntimeError, Warning):
            continue
        spent += 1e3 * (time.process_time() - began)
        found.append(xyy)
    told = cycle(found)
    benchmark.pedantic(lambda: munsell_of_xyy(next(told)), rounds=60, warmup_rounds=2)
    other_ms = spent / len(found)
    say("Munsell notation", benchmark, f"as fast as colour-science ({other_ms:.0f} ms)", other_ms, 10.0)
