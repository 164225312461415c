import cv2
import numpy as np
import pytest

from core.size import Size
from core.value.areas import ValueArea, find_areas
from tests.studio.painter import ValueFault, fault_map

SIZE, PX_PER_MM = Size(400, 300), 2.0


def found(*faults: ValueFault, noise: float = 0.1, overall: float = 0.0, **options: float) -> tuple[ValueArea, ...]:
    """Areas of a map with those faults, smoothed as the comparison smooths, with noise of brush-mark size."""
    height = fault_map(faults, SIZE, PX_PER_MM).astype(np.float32)
    grain = cv2.GaussianBlur(np.random.default_rng(0).normal(size=height.shape).astype(np.float32), (0, 0), 6)
    height = cv2.GaussianBlur(height, (0, 0), 2 * PX_PER_MM) + noise * grain / grain.std() + np.float32(overall)
    asked = {"tolerance": 0.5, "smallest_cm2": 4.0, "uncertainty": 0.1} | options
    return find_areas(height, px_per_mm=PX_PER_MM, overall=overall, **asked)


def test_place_size_and_steps_of_one_passage() -> None:
    fault = ValueFault(130, 170, 35, 25, -1.2)
    (area,) = found(fault)
    assert area.number == 1
    assert (area.x_mm, area.y_mm) == pytest.approx((130, 170), abs=1.5)
    assert area.area_cm2 == pytest.approx(fault.area_cm2, rel=0.08)
    assert area.steps == pytest.approx(-1.2, abs=0.08)
    reach = np.hypot((area.outline_mm[:, 0] - 130) / 35, (area.outline_mm[:, 1] - 170) / 25)
    assert np.abs(reach - 1).max() < 0.15


@pytest.mark.parametrize("steps", [-2.0, -0.7, 0.7, 2.0])
def test_size_does_not_depend_on_strength(steps: float) -> None:
    """Measured at half its own height; at a fixed half step the strong one would come out larger."""
    (area,) = found(ValueFault(200, 150, 25, 25, steps, soft_mm=8), noise=0.03)
    assert area.area_cm2 == pytest.approx(np.pi * 2.5**2, rel=0.06)


def test_a_passage_within_another_is_its_own() -> None:
    inner, outer = found(ValueFault(200, 150, 60, 50, -0.8), ValueFault(200, 150, 25, 20, -1.0))
    assert sorted([round(inner.steps, 1), round(outer.steps, 1)]) == pytest.approx([-1.8, -0.8], abs=0.11)


def test_passages_that_touch_are_told_apart() -> None:
    areas = found(ValueFault(150, 150, 40, 40, -0.8), ValueFault(225, 150, 40, 40, -1.8))
    assert [round(a.steps, 1) for a in areas] == pytest.approx([-1.8, -0.8], abs=0.11)
    assert [a.x_mm for a in areas] == pytest.approx([225, 150], abs=5)


def test_too_dark_beside_too_light() -> None:
    areas = found(ValueFault(150, 150, 25, 25, -0.8), ValueFault(215, 150, 40, 40, 0.9))
    assert [np.sign(a.steps) for a in areas] == [1, -1]
    assert [a.area_cm2 for a in areas] == pytest.approx([50.3, 19.6], rel=0.1)


def test_heaviest_first() -> None:
    areas = found(ValueFault(60, 60, 20, 20, 0.8), ValueFault(200, 200, 40, 40, 1.0), ValueFault(340, 80, 20, 20, -1.9))
    weight = [abs(a.steps) * np.sqrt(a.area_cm2) for a in areas]
    assert weight == sorted(weight, reverse=True)
    assert [a.number for a in areas] == [1, 2, 3]


def test_the_point_lies_inside_a_crescent() -> None:
    crescent = (ValueFault(200, 150, 60, 60, -1.2, soft_mm=1), ValueFault(215, 150, 50, 50, 1.2, soft_mm=1))
    (area,) = found(*crescent, noise=0.02)
    assert cv2.pointPolygonTest(area.outline_mm.astype(np.float32), (area.x_mm, area.y_mm), False) > 0
    assert np.hypot(area.x_mm - 215, area.y_mm - 150) > 50


def test_small_and_slight_things_are_left_alone() -> None:
    assert found(ValueFault(200, 150, 8, 8, -1.5), ValueFault(100, 100, 30, 30, 0.35)) == ()
    assert len(found(ValueFault(200, 150, 8, 8, -1.5), smallest_cm2=1.5)) == 1


def test_uncertain_light_asks_for_more() -> None:
    fault = ValueFault(200, 150, 30, 30, -0.7)
    assert len(found(fault, uncertainty=0.2)) == 1
    assert found(fault, uncertainty=0.8) == ()


def test_areas_are_looked_for_about_the_overall_level() -> None:
    """The picture 1.0 too dark: a passage 1.0 darker still is told with its absolute steps, and one that is right is
    not told as too light."""
    darker, right = ValueFault(120, 150, 30, 30, -1.0), ValueFault(300, 150, 30, 30, 1.0)
    areas = found(darker, right, overall=-1.0, noise=0.05)
    assert [round(a.steps, 1) for a in areas] == pytest.approx([-2.0], abs=0.11)


def test_small_overall_errors_are_the_lights() -> None:
    areas = found(ValueFault(120, 150, 30, 30, 0.7), overall=-0.2, noise=0.05)
    assert len(areas) == 1


def test_withheld_places_are_no_area() -> None:
    height = np.full((300, 400), np.nan, np.float32)
    height[100:200, 100:200] = 0.1
    options = {"px_per_mm": 1.0, "overall": 0.0, "tolerance": 0.5, "smallest_cm2": 4.0, "uncertainty": 0.1}
    assert find_areas(height, **options) == ()
