import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.filters import threshold_multiotsu

from core.errors import ValuesError
from core.tone import value_of_linear
from core.value.boundaries import (
    BINS,
    NEAREST_STEPS,
    Histogram,
    best_boundaries,
    equal_boundaries,
    moved_boundaries,
)
from tests.published.libraries import skimage
from tests.studio import references

BIN = 10 / BINS


def histogram_of(name: str) -> tuple[Histogram, np.ndarray]:
    value = value_of_linear(references.linear(getattr(skimage.data, name)()[..., :3]))
    return Histogram.of(value), value


@pytest.mark.parametrize("name", references.NAMES)
@pytest.mark.parametrize("count", [2, 3, 4])
def test_best_separation_is_otsus_as_scikit_image_finds_it(name: str, count: int) -> None:
    """scikit-image gives the middle of the last bin of each class; a boundary is that bin's end. Exhaustive search."""
    found, value = histogram_of(name)
    every_bin = np.clip(value, 0, 10).ravel()[:: value.size // 400_000 or 1]
    theirs = threshold_multiotsu(hist=(found.shares * every_bin.size, (np.arange(BINS) + 0.5) * BIN), classes=count)
    assert best_boundaries(found, count) == pytest.approx(theirs + BIN / 2, abs=BIN + 1e-9)


@given(
    st.lists(st.tuples(st.integers(1, 199), st.integers(1, 50)), min_size=1, max_size=12, unique_by=lambda p: p[0]),
    st.integers(2, 5),
)
def test_no_other_boundaries_leave_less_spread(masses: list[tuple[int, int]], count: int) -> None:
    """Against every way of parting the masses (Fisher 1958: the optimum parts them in order)."""
    from itertools import combinations

    value = np.concatenate([np.full(number, (at + 0.5) * BIN) for at, number in sorted(masses)])
    found = best_boundaries(Histogram.of(value), count)
    assert len(found) == count - 1
    assert (np.diff(np.r_[0, found, 10]) >= NEAREST_STEPS - 1e-9).all()
    if np.diff(np.unique(value), prepend=0).min() < 3 * BIN:
        return  # masses nearer than two boundaries may be cannot all be parted
    different = np.unique(value)
    cuts = [
        0.5 * (different[1:] + different[:-1])[list(c)]
        for c in combinations(range(len(different) - 1), min(count, len(different)) - 1)
    ]
    least = min((_spread(value, np.asarray(cut)) for cut in cuts), default=0.0)
    assert _spread(value, found) == pytest.approx(least, abs=1e-6)


def _spread(value: np.ndarray, boundaries: np.ndarray) -> float:
    step = np.digitize(value, boundaries)
    return float(sum(((value[step == k] - value[step == k].mean()) ** 2).sum() for k in np.unique(step)))


def test_masses_far_apart_are_parted_between_them() -> None:
    """Three masses of known value and unequal size: the boundaries are the middles of the gaps."""
    noise = np.random.default_rng(0).normal(0, 0.15, 100_000)
    value = np.repeat([2.0, 5.0, 8.5], [10_000, 70_000, 20_000]) + noise
    found = best_boundaries(Histogram.of(value), 3)
    assert found == pytest.approx([3.5, 6.75], abs=0.45)
    assert Histogram.of(value).shares_between(found) == pytest.approx([0.1, 0.7, 0.2], abs=1e-4)


def test_a_flat_picture_still_has_all_its_steps() -> None:
    flat = Histogram.of(np.full((20, 20), 4.0))
    for count in range(2, 11):
        found = best_boundaries(flat, count)
        assert len(found) == count - 1
        assert (np.diff(np.r_[0, found, 10]) >= NEAREST_STEPS).all()


def test_unknown_places_and_glare_do_not_count() -> None:
    value = np.array([[1.0, np.nan, 12.0, np.inf]])
    shares = Histogram.of(value).shares
    assert shares.sum() == pytest.approx(1)
    assert shares[[20, 199]] == pytest.approx([0.5, 0.5])
    with pytest.raises(ValuesError, match="nothing in the picture"):
        Histogram.of(np.full((3, 3), np.nan))


def test_a_large_picture_is_counted_on_a_grid() -> None:
    value = np.random.default_rng(2).uniform(0, 10, (3000, 4000)).astype(np.float32)
    assert Histogram.of(value).shares == pytest.approx(np.histogram(value, BINS, (0, 10))[0] / value.size, abs=3e-4)


def test_moved_boundaries_are_checked() -> None:
    assert moved_boundaries([3, 6.5]).tolist() == [3.0, 6.5]
    for wrong in ([], [5, 5], [6, 4], [0.05], [9.95], [1, float("nan")], list(range(1, 11)), ["dark"]):
        with pytest.raises(ValuesError):
            moved_boundaries(wrong)  # type: ignore[arg-type]


def test_equal_boundaries_are_those_of_the_scale() -> None:
    assert equal_boundaries(5).tolist() == [2, 4, 6, 8]
