import numpy as np
import pytest

from core.size import Size
from core.value.areas import find_areas
from core.value.passages import Passage, find_passages
from tests.studio.painter import ValueFault, fault_map

SIZE, PX_PER_MM = Size(400, 300), 2.0


def found(
    *faults: ValueFault, gap: tuple[float, float] | None = None, ground: np.ndarray | float = 0.0
) -> tuple[Passage, ...]:
    """Passages of a map with those faults on a ground, a strip of it withheld between two x."""
    height = (fault_map(faults, SIZE, PX_PER_MM) + ground).astype(np.float32)
    if gap is not None:
        height[:, round(gap[0] * PX_PER_MM) : round(gap[1] * PX_PER_MM)] = np.nan
    areas = find_areas(height, px_per_mm=PX_PER_MM, overall=0.0, tolerance=0.5, smallest_cm2=4.0, uncertainty=0.1)
    flat = np.zeros(height.shape, np.float32)
    return find_passages(areas, height, flat, px_per_mm=PX_PER_MM, uncertainty_steps=0.1, tolerance=0.5)


def test_one_fault_cut_by_what_is_withheld_is_one_passage() -> None:
    (passage,) = found(ValueFault(200, 150, 60, 40, -1.2), gap=(196, 203))
    assert len(passage.areas) == len(passage.outlines_mm) == 2
    assert passage.area_cm2 == pytest.approx(ValueFault(200, 150, 60, 40, -1.2).area_cm2 - 7 * 79.7 / 100, rel=0.05)
    assert passage.steps == pytest.approx(-1.2, abs=0.05)
    assert passage.number == 1


def test_what_is_right_between_keeps_two_passages_apart() -> None:
    pair = (ValueFault(150, 150, 40, 40, -1.2), ValueFault(237, 150, 40, 40, -1.2))
    assert len(found(*pair)) == 2


def test_unlike_passages_are_not_made_one() -> None:
    assert len(found(ValueFault(200, 150, 60, 40, -1.2), ValueFault(260, 150, 30, 30, 2.6), gap=(228, 231))) >= 2
    strengths = found(ValueFault(150, 150, 40, 40, -0.8), ValueFault(225, 150, 40, 40, -1.8))
    assert sorted(round(p.steps, 1) for p in strengths) == pytest.approx([-1.8, -0.8], abs=0.11)


def test_heaviest_first_and_numbered() -> None:
    passages = found(
        ValueFault(60, 60, 20, 20, 0.8), ValueFault(200, 200, 40, 40, 1.0), ValueFault(340, 80, 20, 20, -1.9)
    )
    weight = [abs(p.steps) * np.sqrt(p.area_cm2) for p in passages]
    assert weight == sorted(weight, reverse=True)
    assert [p.number for p in passages] == [1, 2, 3]


@pytest.mark.parametrize("radius", [18.0, 40.0, 70.0])
def test_area_and_steps_lie_within_what_is_stated(radius: float) -> None:
    fault = ValueFault(200, 150, radius, radius, -1.0)
    (passage,) = found(fault)
    assert abs(passage.area_cm2 - fault.area_cm2) < passage.area_uncertainty_cm2
    assert passage.area_uncertainty_cm2 < 0.15 * fault.area_cm2
    assert abs(passage.steps + 1.0) < passage.steps_uncertainty < 0.2


def test_a_passage_on_even_ground_stands_out_by_all_its_error() -> None:
    (passage,) = found(ValueFault(200, 150, 40, 30, -1.2))
    assert passage.surround_steps == pytest.approx(0.0, abs=0.02)
    assert passage.against_surround == pytest.approx(-1.2, abs=0.05)
    assert not passage.holds


def test_a_passage_whose_surround_is_off_as_much_holds() -> None:
    """Darker and darker to the right without a border anywhere: what is told off is off by hardly more than its
    neighbours."""
    x = (np.arange(800) + 0.5) / 2
    (passage,) = found(ground=np.clip((150 - x) / 250, -0.9, 0.0)[None, :] * np.ones((600, 1)))
    assert passage.steps < -0.6
    assert passage.holds
    (sharp,) = found(ground=np.where(x < 250, 0.0, -1.2)[None, :] * np.ones((600, 1)))
    assert not sharp.holds


def test_a_withheld_surround_is_not_made_up() -> None:
    height = np.full((600, 800), np.nan, np.float32)
    height[200:400, 200:500] = -1.0
    areas = find_areas(height, px_per_mm=2.0, overall=0.0, tolerance=0.5, smallest_cm2=4.0, uncertainty=0.1)
    zero = np.zeros(height.shape, np.float32)
    (passage,) = find_passages(areas, height, zero, px_per_mm=2.0, uncertainty_steps=0.1, tolerance=0.5)
    assert np.isnan(passage.surround_steps)
    assert not passage.holds


def test_one_that_is_right_in_itself_is_no_passage() -> None:
    """The whole one step too dark: a passage that is right stands out from it, and is not to be mended."""
    height = (fault_map((ValueFault(120, 150, 30, 30, 1.0), ValueFault(300, 150, 30, 30, -1.0)), SIZE, 2.0) - 1).astype(
        np.float32
    )
    baseline = np.full(height.shape, -1.0, np.float32)
    options = {"px_per_mm": 2.0, "tolerance": 0.5}
    areas = find_areas(height - baseline, overall=0.0, smallest_cm2=4.0, uncertainty=0.1, **options)
    assert len(areas) == 2
    (passage,) = find_passages(areas, height, baseline, uncertainty_steps=0.1, **options)
    assert passage.x_mm == pytest.approx(300, abs=2)
    assert passage.beside_whole == pytest.approx(-1.0, abs=0.05)
    assert passage.steps == pytest.approx(-2.0, abs=0.05)


def test_how_far_a_point_lies_outside() -> None:
    (passage,) = found(ValueFault(200, 150, 40, 40, -1.2))
    assert passage.away_mm(200, 150) == pytest.approx(-40, abs=1)
    assert passage.away_mm(260, 150) == pytest.approx(20, abs=1)


def test_nothing_is_no_passage() -> None:
    assert found() == ()
