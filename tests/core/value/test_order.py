import numpy as np
import pytest
from skimage.measure import label, regionprops

from core.value.first_marks import first_marks
from core.value.order import order_of_work
from core.value.regions import Regions, regions_of
from core.value.steps import Steps, steps_between
from tests.measure.order import at_random, case, largest_first, ours, painted, wrong


def bands(levels: list[float]) -> tuple[np.ndarray, Steps, Regions]:
    """Upright bands of known values, each 60 × 100 mm."""
    value = np.repeat(np.array(levels, np.float32), 60)[None].repeat(100, axis=0)
    boundaries = np.array([2.0, 4.0, 6.0, 8.0])
    steps = steps_between(value, boundaries, px_per_mm=1)
    return value, steps, regions_of(value, steps, px_per_mm=1)


def test_regions_are_those_of_scikit_image() -> None:
    regions, _, _ = case("coffee", 5)
    steps = np.array([r.step for r in regions.every])[regions.label]
    theirs = regionprops(label(steps, connectivity=1, background=-1), intensity_image=regions.label)
    assert len(theirs) == len(regions.every)
    for each in theirs:
        (index,) = np.unique(regions.label[each.coords[:, 0], each.coords[:, 1]])
        assert regions.every[index].area_mm2 == each.area


def test_a_region_knows_its_value_its_place_and_its_neighbours() -> None:
    _, _, regions = bands([1.0, 5.0, 9.0])
    dark, middle, light = sorted(regions.every, key=lambda region: region.value)
    assert (dark.value, dark.deviation, dark.area_mm2, dark.step) == pytest.approx((1.0, 0.0, 6000.0, 0), abs=1e-6)
    assert middle.borders_mm == {dark.index: 100.0, light.index: 100.0}
    assert dark.borders_mm == {middle.index: 100.0}
    assert regions.at(middle.x_mm, middle.y_mm) is middle
    assert (middle.x_mm, middle.y_mm) == pytest.approx((90, 50), abs=25)


def test_the_inmost_point_is_deep_inside() -> None:
    regions, _, _ = case("chelsea", 5)
    for region in regions.every:
        assert regions.at(region.x_mm, region.y_mm) is region


def test_it_bridges_from_both_ends_to_the_middle() -> None:
    value, steps, regions = bands([1.0, 3.0, 5.0, 7.0, 9.0])
    placed = order_of_work(regions, first_marks(value, px_per_mm=1), steps.boundaries)
    assert [each.number for each in placed] == [1, 2, 3, 4, 5]
    assert [each.region.step for each in placed[:2]] == [0, 4]
    assert {each.region.step for each in placed[2:4]} == {1, 3}
    assert placed[4].region.step == 2
    assert sorted(placed[4].against) == [3, 4]
    assert [each.mark.kind if each.mark else None for each in placed] == ["dark", "light", None, None, None]


def test_certainty_by_hand() -> None:
    """Three bands 1, 5, 9, marks at both ends (sigma 0.15). The middle one differs by 4 from each: a comparison errs by
    0.3 + 0.4 = 0.7, with the mark's own 0.7159, of two 0.5062. Its step is 4-6: Phi(1 / 0.5062) - Phi(-1 / 0.5062)."""
    value, steps, regions = bands([1.0, 5.0, 9.0])
    last = order_of_work(regions, first_marks(value, px_per_mm=1), steps.boundaries)[-1]
    assert last.sigma == pytest.approx(0.5062, abs=1e-4)
    assert last.certainty == pytest.approx(0.9518, abs=1e-3)


def test_every_region_comes_once_and_touches_one_that_is_there() -> None:
    regions, marks, boundaries = case("astronaut", 6)
    placed = order_of_work(regions, marks, boundaries)
    assert sorted(each.region.index for each in placed) == list(range(len(regions.every)))
    for each in placed:
        beside = {placed[number - 1].region.index for number in each.against}
        assert beside <= each.region.borders_mm.keys()
        assert all(number < each.number for number in each.against)
        assert each.mark is not None or beside


def test_without_marks_it_begins_with_the_largest() -> None:
    regions, _, boundaries = case("rocket", 4)
    first = order_of_work(regions, (), boundaries)[0]
    assert first.region.area_mm2 == max(region.area_mm2 for region in regions.every)


@pytest.mark.parametrize("name", ["chelsea", "astronaut"])
def test_an_eye_that_errs_errs_less_in_this_order(name: str) -> None:
    best, worse, worst = (wrong(way, name, 7, rounds=30)[0] for way in (ours, largest_first, at_random))
    assert best < worse
    assert best < worst


def test_the_chance_that_is_stated_is_borne_out() -> None:
    for name, count in (("chelsea", 5), ("coffee", 7), ("rocket", 3)):
        regions, marks, boundaries = case(name, count)
        placed = order_of_work(regions, marks, boundaries)
        sequence, firsts = [each.region.index for each in placed], sum(each.mark is not None for each in placed)
        certain = np.zeros(len(sequence))
        certain[sequence] = [each.certainty for each in placed]
        area, value, step = (
            np.array([getattr(r, key) for r in regions.every]) for key in ("area_mm2", "value", "step")
        )
        rounds = [painted(regions, sequence, firsts, np.random.default_rng(seed)) for seed in range(60)]
        right = np.mean([np.digitize(value + error, boundaries) == step for error in rounds], axis=0)
        assert np.average(right, weights=area) > np.average(certain, weights=area) - 0.03


def test_value_and_steps_must_be_of_one_picture() -> None:
    value, steps, _ = bands([1.0, 5.0])
    with pytest.raises(ValueError, match="differ in shape"):
        regions_of(value[:, :-1], steps, px_per_mm=1)
