"""Sizes against ISO 216, the inch (25.4 mm, exact since 1959) and the trade's usual stretchers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import PainterError
from core.size import PAPERS, Size, parse_size, stretchers


@pytest.mark.parametrize(
    ("text", "width", "height"),
    [
        ("400x300mm", 400, 300),
        ("40 x 30 cm", 400, 300),
        ("16x20in", 406.4, 508),
        ('16" x 20"', 406.4, 508),
        ("400 × 300", 400, 300),
        ("40,5x30,5cm", 405, 305),
        ("16inx20in", 406.4, 508),
        ("400X300MM", 400, 300),
    ],
)
def test_sizes_are_read_as_painters_write_them(text: str, width: float, height: float) -> None:
    size = parse_size(text)
    assert (size.width_mm, size.height_mm) == pytest.approx((width, height))


@pytest.mark.parametrize(
    "text", ["", "400", "400x", "axb", "400x300furlong", "-40x30cm", "0x300mm", "1x1mm", "9e9x9e9mm"]
)
def test_what_is_not_a_size_gets_a_sentence(text: str) -> None:
    with pytest.raises(PainterError, match=r"(not a size|not a canvas size).*[.]"):
        parse_size(text)


def test_a_size_must_be_a_real_length() -> None:
    for wrong in (float("nan"), float("inf"), -1.0, 0.0, 19.9, 5001.0):
        with pytest.raises(PainterError):
            Size(wrong, 300)


def test_iso_216_papers_keep_the_ratio_of_root_two() -> None:
    for name in ("A5", "A4", "A3", "A2"):
        assert PAPERS[name].height_mm / PAPERS[name].width_mm == pytest.approx(2**0.5, rel=0.005)
    assert PAPERS["Letter"].in_inches() == "8.5 × 11 in"


def test_stretchers_agree_with_their_centimetres() -> None:
    """Inch sizes beside their published centimetres (20.3 × 25.4, 40.6 × 50.8, 76.2 × 101.6)."""
    by_name = stretchers()
    assert by_name["8 × 10 in"].in_cm() == "20.32 × 25.4 cm"
    assert by_name["16 × 20 in"].in_cm() == "40.64 × 50.8 cm"
    assert by_name["30 × 40 in"].in_cm() == "76.2 × 101.6 cm"
    assert by_name["10 F (46 × 55 cm)"] == Size(460, 550)


@given(st.floats(20, 5000), st.floats(20, 5000))
def test_turning_twice_changes_nothing(width: float, height: float) -> None:
    size = Size(width, height)
    assert size.turned.turned == size
    assert size.aspect * size.turned.aspect == pytest.approx(1)


@given(st.integers(20, 5000), st.integers(20, 5000))
def test_written_sizes_are_read_back(width: int, height: int) -> None:
    assert parse_size(f"{width}x{height}mm") == Size(width, height)
    assert parse_size(Size(width, height).in_cm()) == Size(width, height)
