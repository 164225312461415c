"""Tone of a 24-megapixel picture, beside colour-science doing the same to a crop of it.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail.
"""

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from core import tone
from core.colorimetry import LUMINANCE, luminance, munsell_value
from core.photo import Photo, half_codes, half_curve, srgb_curve
from core.reduce import reduced_linear
from tests.published.libraries import colour, skimage

HEIGHT, WIDTH = 4000, 6000
CROP = 400


@pytest.fixture(scope="module")
def codes() -> np.ndarray:
    """24 megapixels of coffee, tiled, with noise so that look-ups are as scattered as in a photograph."""
    coffee = skimage.data.coffee()
    tiled = np.tile(coffee, (HEIGHT // coffee.shape[0] + 1, WIDTH // coffee.shape[1] + 1, 1))[:HEIGHT, :WIDTH]
    noise = np.random.default_rng(1).integers(-6, 7, (HEIGHT, WIDTH, 1), dtype=np.int16)
    return np.clip(tiled + noise, 0, 255).astype(np.uint8)


@pytest.fixture(scope="module")
def reference_seconds(codes: np.ndarray) -> float:
    """colour-science's time for the whole picture, from a crop: decode, luminance, Munsell value (ASTM D1535)."""
    crop = np.ascontiguousarray(codes[:CROP, :CROP])

    def reference() -> np.ndarray:
        linear = colour.models.eotf_sRGB(crop / 255)
        return colour.notation.munsell_value_ASTMD1535(100 * (linear @ LUMINANCE))

    reference()  # it builds its table once
    seconds = min(_seconds(reference) for _ in range(3))
    assert np.abs(reference() - tone.value_map(crop, srgb_curve())).max() < 0.005
    return seconds * HEIGHT * WIDTH / CROP**2


def _seconds(work: Callable[[], Any]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def _report(what: str, benchmark: Any, reference_seconds: float) -> None:
    best = benchmark.stats.stats.min
    print(f"\n{what}: {best * 1000:.0f} ms for 24 MP; colour-science {reference_seconds:.2f} s; "
          f"{reference_seconds / best:.0f} times as fast")  # fmt: skip


def test_value_map(benchmark: Any, codes: np.ndarray, reference_seconds: float) -> None:
    value = benchmark.pedantic(tone.value_map, (codes, srgb_curve()), rounds=7, warmup_rounds=1)
    _report("value map, 8-bit sRGB", benchmark, reference_seconds)
    sample = codes[::50, ::50] / 255
    exact = munsell_value(luminance(np.asarray(colour.models.eotf_sRGB(sample))))
    print(f"largest error on a sample: {np.abs(value[::50, ::50] - exact).max():.5f} V")


def test_value_map_of_16_bits(benchmark: Any, codes: np.ndarray, reference_seconds: float) -> None:
    deep = codes.astype(np.uint16) * 257
    benchmark.pedantic(tone.value_map, (deep, srgb_curve(65536)), rounds=5, warmup_rounds=1)
    _report("value map, 16-bit sRGB", benchmark, reference_seconds)


def test_value_map_of_wide_gamut(benchmark: Any, codes: np.ndarray, reference_seconds: float) -> None:
    halves = half_codes(srgb_curve()[codes])
    benchmark.pedantic(tone.value_map, (halves, half_curve()), rounds=5, warmup_rounds=1)
    _report("value map, half floats", benchmark, reference_seconds)


def test_value_of_linear(benchmark: Any, codes: np.ndarray, reference_seconds: float) -> None:
    linear = tone.linear_of_codes(codes, srgb_curve())
    benchmark.pedantic(tone.value_of_linear, (linear,), rounds=5, warmup_rounds=1)
    _report("value of linear light", benchmark, reference_seconds)


def test_grey_codes(benchmark: Any, codes: np.ndarray, reference_seconds: float) -> None:
    benchmark.pedantic(tone.grey_codes, (codes, srgb_curve()), rounds=5, warmup_rounds=1)
    _report("grey picture", benchmark, reference_seconds)


def test_display_of_wide_gamut(benchmark: Any, codes: np.ndarray) -> None:
    halves = Photo(half_codes(srgb_curve()[codes]), half_curve())
    benchmark.pedantic(halves.display, rounds=5, warmup_rounds=1)
    print(f"\nscreen codes of half floats: {benchmark.stats.stats.min * 1000:.0f} ms for 24 MP")


def test_reduced(benchmark: Any, codes: np.ndarray) -> None:
    benchmark.pedantic(reduced_linear, (codes, srgb_curve(), 1600), rounds=5, warmup_rounds=1)
    print(f"\nreduced to 1600 pixels in linear light: {benchmark.stats.stats.min * 1000:.0f} ms for 24 MP")
