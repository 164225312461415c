import numpy as np
import pytest

from core.temperature.surround import relative_warmth
from core.temperature.warmth import warmth
from tests.core.temperature import scenes


def test_one_warmth_all_over_is_no_relation() -> None:
    even = np.full((150, 200), 23.0, np.float32)
    assert np.abs(relative_warmth(even, 20, px_per_mm=1.0)).max() < 1e-3
    assert np.abs(relative_warmth(even, 3, px_per_mm=1.0)).max() < 1e-3


@pytest.mark.parametrize("px_per_mm", [0.5, 1.0, 2.0, 4.0])
def test_a_small_passage_stands_out_by_what_it_is(px_per_mm: float) -> None:
    """A disc of radius r in a surround of sigma s weighs 1 - exp(-r²/2s²) in its own middle, at any resolution."""
    side = round(200 * px_per_mm)
    y, x = (np.mgrid[:side, :side] + 0.5) / px_per_mm
    disc = np.where(np.hypot(x - 100, y - 100) < 12, 10.0, 0.0).astype(np.float32)
    told = relative_warmth(disc, 30, px_per_mm=px_per_mm)
    expected = 10 * np.exp(-(12**2) / (2 * 30**2))
    assert told[side // 2, side // 2] == pytest.approx(expected, abs=0.12)
    assert told[side // 2, round(125 * px_per_mm)] < 0
    assert told.dtype == np.float32


def test_the_edge_of_the_canvas_pulls_nothing() -> None:
    halves = np.zeros((100, 300), np.float32)
    halves[:, 150:] = 8.0
    told = relative_warmth(halves, 15, px_per_mm=1.0)
    assert np.abs(told[:, :80]).max() < 0.01
    assert np.abs(told[:, 220:]).max() < 0.01


def test_withheld_places_are_unknown_and_pull_nothing() -> None:
    even = np.full((120, 160), 5.0, np.float32)
    withheld = np.zeros(even.shape, bool)
    withheld[40:60, 50:90] = True
    even[withheld] = 60.0
    told = relative_warmth(even, 15, px_per_mm=1.0, withheld=withheld)
    assert np.isnan(told[withheld]).all()
    assert np.abs(told[~withheld]).max() < 1e-3
    even[withheld] = np.nan
    again = relative_warmth(even, 15, px_per_mm=1.0)
    assert np.abs(again[~withheld]).max() < 1e-3


def test_where_the_surround_is_not_known_nothing_is_told() -> None:
    alone = np.full((200, 200), np.nan, np.float32)
    alone[100:102, 100:102] = 4.0
    assert np.isnan(relative_warmth(alone, 30, px_per_mm=1.0)).all()


def test_relations_survive_a_white_balance_error() -> None:
    """Of places 4 or more off their surround: 800 K to either side turns the sign of under 1 in 20."""
    for picture in scenes.photographs().values():
        right = relative_warmth(warmth(picture), px_per_mm=2.0)
        clear = np.abs(right) >= 4
        for gains in scenes.white_balance_errors(800).values():
            off = relative_warmth(warmth(picture * gains), px_per_mm=2.0)
            assert (np.sign(off) == np.sign(right))[clear].mean() > 0.95


def test_wrong_sizes_are_refused() -> None:
    even = np.zeros((4, 4), np.float32)
    for size, px_per_mm in ((0, 1), (-1, 1), (3, 0)):
        with pytest.raises(ValueError, match="above 0"):
            relative_warmth(even, size, px_per_mm=px_per_mm)
    with pytest.raises(ValueError, match="mask of its shape"):
        relative_warmth(even, 3, px_per_mm=1, withheld=np.zeros((4, 5), bool))
