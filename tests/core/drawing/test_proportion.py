"""Lengths, leans and ratios against school triangles, brute force and simulated measuring."""

import math
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.drawing.proportion import (
    HANDY_TOLERANCE,
    MOST_HANDY,
    HandyRatio,
    Ratio,
    Span,
    handy_ratio,
    handy_words,
    in_units,
    lean_words,
    length_words,
    ratio,
)

MM = st.floats(-2000, 2000, allow_nan=False)
POINTS = st.tuples(MM, MM)
LENGTHS = st.floats(0.5, 2000)


def test_the_triangle_of_3_4_5() -> None:
    span = Span((10, 10), (40, 50))
    assert (span.across_mm, span.down_mm, span.length_mm) == (30, 40, 50)
    assert span.lean_deg == pytest.approx(-36.8699, abs=1e-4)  # arctan 3/4; the upper end is to the left


@pytest.mark.parametrize(
    ("end", "lean"),
    [
        ((0, -10), 0.0),
        ((0, 10), 0.0),
        ((10, 0), 90.0),
        ((-10, 0), 90.0),
        ((10, -10), 45.0),
        ((10, 10), -45.0),
        ((5, -5 * math.sqrt(3)), 30.0),  # half an equilateral triangle
        ((-1, -math.sqrt(3)), -30.0),
    ],
)
def test_the_lean_is_told_from_plumb(end: tuple[float, float], lean: float) -> None:
    assert Span((0, 0), end).lean_deg == pytest.approx(lean, abs=1e-9)


@given(POINTS, POINTS)
def test_it_does_not_matter_from_which_end_one_measures(one: tuple[float, float], other: tuple[float, float]) -> None:
    to, fro = Span(one, other), Span(other, one)
    assert to.length_mm == fro.length_mm
    assert to.lean_deg == fro.lean_deg
    assert lean_words(to) == lean_words(fro)


@given(POINTS, POINTS)
def test_a_lean_and_a_length_give_back_the_span(one: tuple[float, float], other: tuple[float, float]) -> None:
    span = Span(one, other)
    assume(span.length_mm > 1e-3)
    assert span.lean_deg is not None
    across = span.length_mm * math.sin(math.radians(span.lean_deg))
    up = span.length_mm * math.cos(math.radians(span.lean_deg))
    assert abs(across) == pytest.approx(abs(span.across_mm), abs=1e-6)
    assert up == pytest.approx(abs(span.down_mm), abs=1e-6)
    assert up >= -1e-9


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_span_is_between_finite_points(bad: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        Span((0, 0), (bad, 1))


@pytest.mark.parametrize(
    ("end", "words"),
    [
        ((0, -100), "plumb"),
        ((100, 0), "level"),
        ((100 * math.sin(math.radians(12)), -100 * math.cos(math.radians(12))), "leans 12° to the right of plumb"),
        ((-100 * math.sin(math.radians(12)), -100 * math.cos(math.radians(12))), "leans 12° to the left of plumb"),
        ((100 * math.cos(math.radians(8)), -100 * math.sin(math.radians(8))), "rises 8° from level to the right"),
        ((100 * math.cos(math.radians(8)), 100 * math.sin(math.radians(8))), "rises 8° from level to the left"),
        ((0.3, -100), "plumb"),  # 0.17° rounds to nothing
        ((0, 0), "no length"),
    ],
)
def test_the_lean_in_words(end: tuple[float, float], words: str) -> None:
    assert lean_words(Span((0, 0), end)) == words


def test_a_lean_within_its_uncertainty_is_not_told() -> None:
    span = Span((0, 0), (1, -50))  # 1.15°
    assert lean_words(span) == "leans 1° to the right of plumb"
    assert lean_words(span, place_uncertainty_mm=1.2) == "plumb"
    assert lean_words(Span((0, 0), (1, -1)), place_uncertainty_mm=1.5) == "too short to tell its lean"
    assert lean_words(Span((0, 0), (20, -400)), place_uncertainty_mm=0.3) == "leans 2.9° to the right of plumb"


def test_uncertainties_against_simulated_measuring() -> None:
    """Two places, each wrong by 0.4 mm RMS both ways together, measured many times over."""
    random = np.random.default_rng(7)
    start, end, rms = np.array([50.0, 60.0]), np.array([80.0, 20.0]), 0.4
    shifts = random.normal(0, rms / math.sqrt(2), (2, 200_000, 2))
    lengths = np.linalg.norm(end + shifts[0] - start - shifts[1], axis=1)
    along = end + shifts[0] - start - shifts[1]
    leans = np.degrees(np.arctan2(along[:, 0], -along[:, 1]))
    span = Span((50, 60), (80, 20))
    assert lengths.std() == pytest.approx(rms, rel=0.02)
    assert leans.std() == pytest.approx(span.lean_uncertainty_deg(rms), rel=0.02)
    units = 25 + random.normal(0, 0.3, 200_000)
    known = ratio(50, 25, length_uncertainty_mm=rms, unit_uncertainty_mm=0.3)
    assert known.uncertainty == pytest.approx((lengths / units).std(), rel=0.02)


def test_nothing_is_known_of_the_lean_of_a_span_shorter_than_its_uncertainty() -> None:
    assert Span((0, 0), (0.1, 0)).lean_uncertainty_deg(0.2) == 90.0


def test_a_figure_of_seven_and_a_half_heads() -> None:
    """The usual canon of the standing figure: 180 cm and a head of 24 cm, drawn at a fifth."""
    found = ratio(360, 48)
    assert found == Ratio(7.5)
    assert in_units(found, "head") == "7.50 heads"
    assert handy_ratio(360, 48, most=15) == HandyRatio(15, 2, 0.0)


@pytest.mark.parametrize(
    ("found", "name", "words"),
    [
        (Ratio(2.4), "head", "2.40 heads"),
        (Ratio(1.0), "head", "1 head"),
        (Ratio(2.0), "eye", "2 eyes"),
        (Ratio(12.34), "eye", "12.3 eyes"),
        (Ratio(0.375), "width of the jug", "0.38 × width of the jug"),
        (Ratio(2.4, 0.05), "head", "2.40 ± 0.05 heads"),
        (Ratio(2.4, 0.3), "head", "2.4 ± 0.3 heads"),
        (Ratio(7.6, 1.4), "head", "8 ± 1 heads"),
        (Ratio(3), "box", "3 boxes"),
        (Ratio(3), "belly", "3 bellies"),
        (Ratio(3), "foot", "3 feet"),
    ],
)
def test_a_length_in_units_of_the_painters_own(found: Ratio, name: str, words: str) -> None:
    assert in_units(found, name) == words


@given(LENGTHS, LENGTHS)
def test_so_many_units_are_the_length_again(length: float, unit: float) -> None:
    assert ratio(length, unit).value * unit == pytest.approx(length)


@pytest.mark.parametrize("unit", [0.0, -1.0, math.nan, math.inf])
def test_a_unit_has_a_length(unit: float) -> None:
    with pytest.raises(ValueError, match="unit"):
        ratio(10, unit)
    with pytest.raises(ValueError, match="more than 0"):
        handy_ratio(10, unit)


@pytest.mark.parametrize(
    ("one", "other", "first", "second"),
    [
        (100, 60, 5, 3),
        (60, 100, 3, 5),
        (70, 70, 1, 1),
        (1920, 1080, 16, 9),
        (297, 210, 17, 12),  # ISO 216: √2, of which 17/12 is a convergent (OEIS A001333 over A000129)
        (100, 100.9, 1, 1),
    ],
)
def test_handy_ratios(one: float, other: float, first: int, second: int) -> None:
    found = handy_ratio(one, other, most=22)
    assert found is not None
    assert (found.first, found.second) == (first, second)


def test_pi_is_22_to_7_within_a_thousandth() -> None:
    """The convergents of π are 3, 22/7, 333/106 (OEIS A002485 over A002486)."""
    found = handy_ratio(math.pi, 1, tolerance=0.001, most=22)
    assert found is not None
    assert (found.first, found.second) == (22, 7)
    assert found.miss == pytest.approx(4.02e-4, rel=1e-2)  # 22/7 − π = 0.00126


@given(LENGTHS, LENGTHS, st.sampled_from([0.002, HANDY_TOLERANCE, 0.05]))
def test_the_handy_ratio_is_the_smallest_there_is(one: float, other: float, tolerance: float) -> None:
    true = one / other
    near = [
        (p + q, p, q)
        for p, q in product(range(1, MOST_HANDY + 1), repeat=2)
        if max(p / q, true) <= min(p / q, true) * (1 + tolerance)
    ]
    found = handy_ratio(one, other, tolerance=tolerance)
    if found is None:
        assert not near
        return
    assert found.first + found.second == min(near)[0]
    assert Fraction(found.first, found.second).numerator == found.first
    assert found.first / found.second == pytest.approx(true * (1 + found.miss))


@given(LENGTHS, LENGTHS)
def test_turned_round_the_ratio_is_turned_round(one: float, other: float) -> None:
    found, turned = handy_ratio(one, other), handy_ratio(other, one)
    assert (found is None) == (turned is None)
    if found is not None and turned is not None:
        assert (found.first, found.second) == (turned.second, turned.first)


def test_how_near_a_handy_ratio_is() -> None:
    assert handy_words(HandyRatio(5, 3, 0.0)) == "5 : 3, within 1 %"
    assert handy_words(HandyRatio(5, 3, -0.008)) == "5 : 3, within 1 %"
    assert handy_words(HandyRatio(5, 3, 0.008), relative_uncertainty=0.015) == "5 : 3, within 3 %"


@pytest.mark.parametrize(
    ("mm", "unit", "uncertainty", "words"),
    [
        (84.26, "mm", None, "84.3 mm"),
        (84.26, "cm", None, "8.43 cm"),
        (25.4, "in", None, "1.00 in"),
        (9.9, "cm", None, "9.9 mm"),
        (84.26, "mm", 0.42, "84.3 ± 0.4 mm"),
        (84.26, "cm", 0.42, "8.43 ± 0.04 cm"),
        (84.26, "mm", 0.01, "84.3 ± 0.1 mm"),
    ],
)
def test_lengths_in_the_painting_s_unit(mm: float, unit: str, uncertainty: float | None, words: str) -> None:
    assert length_words(mm, unit, uncertainty_mm=uncertainty) == words
