"""What a palette reaches, against the least difference that a descent over the shares finds."""

from functools import cache

import numpy as np
import pytest
from scipy.optimize import minimize

from core.colorimetry import delta_e_2000, lab_from_xyz
from core.errors import PaintError
from core.paint.palette_mixes import Slab
from core.paint.palette_reach import MOST_TUBES, PaletteReach, even, reach_of
from core.paint.palette_slices import outline_at, value_chroma
from core.paint.target import value_of
from core.paint.tubes import Tube, tubes

EARTHS = ("titanium white", "yellow ochre", "Venetian red", "ivory black")
FIVE = ("titanium white", "yellow ochre", "cadmium red", "ultramarine", "ivory black")
TWELVE = (
    *FIVE,
    "cadmium yellow light",
    "raw sienna",
    "burnt umber",
    "burnt sienna",
    "alizarin crimson",
    "cobalt blue",
    "viridian",
)


def of(names: tuple[str, ...]) -> tuple[Tube, ...]:
    return tuple(tubes()[name] for name in names)


@cache
def reach(names: tuple[str, ...]) -> PaletteReach:
    return reach_of(of(names))


def mixtures(names: tuple[str, ...], count: int, seed: int) -> np.ndarray:
    """CIELAB of random mixes, from strong to faint shares of every tube, four at most."""
    random = np.random.default_rng(seed)
    shares = 10.0 ** random.uniform(-3, 0, (count, len(names)))
    least = np.sort(shares, axis=1)[:, -min(MOST_TUBES, len(names))][:, None]
    return Slab(of(names)).lab(np.where(shares >= least, shares, 0))


def least_difference(names: tuple[str, ...], wanted: np.ndarray, starts: np.ndarray) -> float:
    """CIEDE2000 of the nearest mixture by descent over the logarithms of the shares."""
    slab = Slab(of(names))
    step = 1e-6 * np.eye(len(names))

    def fall(logs: np.ndarray) -> tuple[float, np.ndarray]:
        told = delta_e_2000(slab.lab(np.exp(np.vstack([logs, logs + step]))), wanted) ** 2
        return float(told[0]), (told[1:] - told[0]) / 1e-6

    found = [
        minimize(fall, np.log(np.maximum(start, 1e-4)), jac=True, method="L-BFGS-B", bounds=[(-16, 3)] * len(names))
        for start in starts
    ]
    return float(np.sqrt(max(min(each.fun for each in found), 0.0)))


@pytest.mark.parametrize("names", [EARTHS, FIVE, TWELVE])
def test_every_mixture_lies_close_to_what_is_reached(names: tuple[str, ...]) -> None:
    away, _ = reach(names).nearest(mixtures(names, 2000, seed=1))
    assert np.median(away) < 0.8
    assert np.quantile(away, 0.99) < 1.3
    assert away.max() < 2.0


def test_what_is_reached_is_mixed_of_four_tubes_at_most() -> None:
    told = reach(TWELVE)
    assert (np.count_nonzero(told.shares, axis=1) <= MOST_TUBES).all()
    some = slice(0, None, 200)
    assert told.lab[some] == pytest.approx(Slab(told.tubes).lab(told.shares[some]))
    assert told.shares.sum(axis=1) == pytest.approx(1)


@pytest.mark.parametrize("names", [EARTHS, FIVE])
def test_the_difference_is_that_of_the_nearest_mixture(names: tuple[str, ...]) -> None:
    """Colours pushed off the rim; the descent starts at the two nearest and at a far one."""
    random = np.random.default_rng(2)
    told = reach(names)
    targets = told.lab[random.integers(0, len(told.lab), 14)] + random.normal(0, 9, (14, 3))
    away, nearest = told.nearest(targets)
    for wanted, found, there in zip(targets, away, nearest, strict=True):
        near = np.argsort(delta_e_2000(told.lab, wanted))[[0, 30, 3000]]
        true = least_difference(names, wanted, told.shares[near])
        assert found == pytest.approx(delta_e_2000(there, wanted))
        assert true - 0.02 <= found <= true + 1.8


@pytest.mark.parametrize("names", [EARTHS, FIVE])
def test_far_colours_are_held_against_the_whole_reach(names: tuple[str, ...]) -> None:
    """Violets above all, where CIEDE2000 bends away from an even space: every mixture, one by one."""
    random = np.random.default_rng(8)
    told = reach(names)
    violets = np.stack([random.uniform(30, 80, 25), random.uniform(30, 90, 25), random.uniform(-80, -20, 25)], axis=1)
    away, nearest = told.nearest(violets)
    for wanted, found, there in zip(violets, away, nearest, strict=True):
        least = float(delta_e_2000(told.lab, wanted).min())
        assert least <= found <= 1.1 * least + 0.5
        assert found == pytest.approx(float(delta_e_2000(there, wanted)))


def test_the_even_space_is_close_to_ciede2000() -> None:
    random = np.random.default_rng(3)
    one = mixtures(TWELVE, 400, seed=4)
    other = one + random.normal(0, 1.5, one.shape)
    ratio = np.linalg.norm(even(one) - even(other), axis=1) / delta_e_2000(one, other)
    plain = np.linalg.norm(one - other, axis=1) / delta_e_2000(one, other)
    assert np.std(np.log(ratio)) < 0.6 * np.std(np.log(plain))
    assert even([50.0, 0.0, 0.0]) == pytest.approx([0, 0, 0], abs=1e-6)
    turned = even([50.0, 30.0, -40.0])
    assert np.arctan2(turned[2], turned[1]) == pytest.approx(np.arctan2(-40, 30))


def test_a_palette_is_worked_out_once_and_always_the_same() -> None:
    assert reach_of(of(EARTHS)) is reach_of(of(EARTHS))
    alone = reach_of(of(("viridian",)))
    assert len(alone.lab) == 1
    assert alone.nearest(alone.lab)[0] == pytest.approx(0)
    with pytest.raises(PaintError, match="no tube to mix from"):
        reach_of(())


def test_the_greatest_chroma_is_that_of_the_strongest_mixture() -> None:
    found = value_chroma(reach(TWELVE))
    some = mixtures(TWELVE, 4000, seed=5)
    row = np.clip(np.digitize(value_of(some), found.value_edges) - 1, 0, len(found.values) - 1)
    over = np.hypot(some[:, 1], some[:, 2]) - found.greatest[row]
    assert np.nanmax(over) < 3.0
    for name in TWELVE:
        (colour,) = Slab(of((name,))).lab([[1.0]])
        place = int(np.digitize(value_of(colour), found.value_edges)) - 1
        assert found.greatest[place] >= np.hypot(*colour[1:]) - 1e-9
    assert np.isnan(found.greatest[0])  # darker than any black paint
    assert np.isnan(found.greatest[-1])


def test_along_a_hue_no_more_is_reached_than_of_any() -> None:
    (red,) = Slab(of(("cadmium red",))).lab([[1.0]])
    hue = float(np.degrees(np.arctan2(red[2], red[1])))
    found = value_chroma(reach(FIVE), hues_deg=[hue, hue + 180])
    place = int(np.digitize(value_of(red), found.value_edges)) - 1
    warm, cool = (each.greatest for each in found.along)
    assert warm[place] == pytest.approx(np.hypot(*red[1:]), abs=2)
    assert np.nanmax(warm - found.greatest) <= 1e-9
    assert np.nanmax(cool) < 0.5 * np.nanmax(warm)
    assert [each.hue_deg for each in found.along] == [hue, hue + 180]


def test_the_reference_is_counted_in_its_place() -> None:
    grey = np.full((10, 10, 3), 0.19272, np.float32)  # value 5: ASTM D1535, table of Y
    grey[:5, 0] = np.nan
    found = value_chroma(reach(EARTHS), grey)
    assert found.share.sum() == pytest.approx(1)
    row, column = np.unravel_index(found.share.argmax(), found.share.shape)
    assert column == 0
    assert found.value_edges[row] - 0.01 <= 5.0 <= found.value_edges[row + 1] + 0.01
    assert value_chroma(reach(EARTHS)).share.sum() == 0


@pytest.mark.parametrize("value", [3.5, 5.0, 7.0])
def test_the_outline_holds_what_is_mixed_at_its_value(value: float) -> None:
    import cv2

    rings = outline_at(reach(FIVE), value)
    some = mixtures(FIVE, 6000, seed=6)
    some = some[np.abs(value_of(some) - value) < 0.1]
    assert len(some) > 30
    inside = [
        max(cv2.pointPolygonTest(ring.astype(np.float32), tuple(point), True) for ring in rings)
        for point in some[:, 1:].tolist()
    ]
    assert min(inside) > -2.5
    far = [(a, b) for a in range(-100, 101, 10) for b in range(-100, 101, 10)]
    light = np.interp(value, np.linspace(0, 10, 101), np.linspace(0, 100, 101))
    beyond = [place for place in far if reach(FIVE).nearest([light, *place])[0][0] > 9]
    assert beyond
    assert all(cv2.pointPolygonTest(ring.astype(np.float32), place, False) < 0 for ring in rings for place in beyond)


def test_nothing_is_outlined_where_nothing_is_reached() -> None:
    assert outline_at(reach(FIVE), 0.2) == ()
    assert lab_from_xyz([0.0, 0.0, 0.0])[0] == pytest.approx(0)
