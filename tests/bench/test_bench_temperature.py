"""The temperature question of a 12 MP check, and a reading at the pointer, beside scikit-image's CIELAB.

Bars: 0.5 s and 10 ms. Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail.
"""

import time
from dataclasses import replace
from typing import Any

import pytest

from core.check import CheckResult, run_check
from core.check_warmth import warmth_of_check
from core.demo import demo_request
from core.temperature.around import around_of
from core.temperature.neutral import BY_LIGHT
from core.temperature.pins import read_pin, relation
from core.tone import display_of_linear
from tests.published.libraries import skimage


@pytest.fixture(scope="module")
def checked() -> CheckResult:
    return run_check(demo_request())


@pytest.fixture(scope="module")
def lab_seconds(checked: CheckResult) -> float:
    """scikit-image's time for CIELAB of the reference and the canvas, which T is read from."""
    began = time.perf_counter()
    for linear in (checked.reference.linear, checked.canvas_lit):
        skimage.color.rgb2lab(display_of_linear(linear))
    return time.perf_counter() - began


def test_temperatures_compared(benchmark: Any, checked: CheckResult, lab_seconds: float) -> None:
    lit = replace(checked.canvas, linear=checked.canvas_lit)

    def compared() -> object:
        return warmth_of_check(checked.reference, checked.reference, lit, withheld=checked.withheld, balance_known=True)

    answer = benchmark.pedantic(compared, rounds=5, warmup_rounds=1)
    best = benchmark.stats.stats.min
    print(
        f"\ncompared, with both families: {best:.2f} s of 0.5 s; scikit-image's CIELAB of both: {lab_seconds:.2f} s, "
        f"{best / lab_seconds:.1f} ×"
    )
    assert answer[0] is not None


def test_a_place_read_against_its_surround(benchmark: Any, checked: CheckResult) -> None:
    px_per_mm = checked.canvas.px_per_mm
    around = around_of(checked.canvas_lit, px_per_mm=px_per_mm)

    def read() -> object:
        here, there = read_pin(checked.canvas_lit, 75.0, 205.0, px_per_mm=px_per_mm), around.pin(75.0, 205.0)
        assert here is not None
        assert there is not None
        return relation(here, there, balance=BY_LIGHT)

    benchmark.pedantic(read, rounds=20, warmup_rounds=2)
    stats = benchmark.stats.stats
    print(f"\na place read: {1000 * stats.median:.2f} ms, at most {1000 * stats.max:.2f} of 10 ms")
