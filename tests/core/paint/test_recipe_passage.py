import numpy as np
import pytest

from core.colorimetry import lab
from core.errors import PaintError
from core.paint.recipe_passage import passage_target, step_target

LEFT, RIGHT = np.array([0.6, 0.4, 0.2]), np.array([0.1, 0.2, 0.3])


def halves(px_per_mm: float = 4.0) -> np.ndarray:
    """100 × 50 mm: one colour on the left, another on the right."""
    linear = np.empty((round(50 * px_per_mm), round(100 * px_per_mm), 3), np.float32)
    linear[:, : linear.shape[1] // 2], linear[:, linear.shape[1] // 2 :] = LEFT, RIGHT
    return linear


@pytest.mark.parametrize("px_per_mm", [1.0, 4.0, 7.3])
def test_the_mean_light_of_a_disc(px_per_mm: float) -> None:
    linear = halves(px_per_mm)
    assert passage_target(linear, 20, 25, diameter_mm=10, px_per_mm=px_per_mm).linear_rgb == pytest.approx(LEFT)
    across = passage_target(linear, 50, 25, diameter_mm=20, px_per_mm=px_per_mm)
    assert across.linear_rgb == pytest.approx((LEFT + RIGHT) / 2, abs=0.01)
    assert across.lab == pytest.approx(lab(across.linear_rgb))


def test_the_disc_is_round_and_as_wide_as_told() -> None:
    linear = np.zeros((200, 200, 3))
    y, x = np.mgrid[:200, :200]
    inside = np.hypot((x + 0.5) / 4 - 25, (y + 0.5) / 4 - 25) <= 5
    linear[inside] = 0.5
    assert passage_target(linear, 25, 25, diameter_mm=10, px_per_mm=4).linear_rgb == pytest.approx((0.5,) * 3)
    wider = passage_target(linear, 25, 25, diameter_mm=20, px_per_mm=4)
    assert wider.linear_rgb == pytest.approx((0.125,) * 3, rel=0.02)


def test_a_disc_smaller_than_a_pixel_reads_one() -> None:
    linear = np.random.default_rng(1).random((20, 20, 3)) * 0.9
    told = passage_target(linear, 3.5, 7.5, diameter_mm=0.01, px_per_mm=1)
    assert told.linear_rgb == pytest.approx(linear[7, 3])


def test_what_is_withheld_is_left_out() -> None:
    linear = halves()
    withheld = np.zeros(linear.shape[:2], bool)
    withheld[:, 200:] = True
    half = passage_target(linear, 49.7, 25, diameter_mm=20, px_per_mm=4, withheld=withheld)
    assert half.linear_rgb == pytest.approx(LEFT)
    linear[:, 200:] = np.nan
    assert passage_target(linear, 49.7, 25, diameter_mm=20, px_per_mm=4).linear_rgb == pytest.approx(LEFT)
    with pytest.raises(PaintError, match="Too little of that place"):
        passage_target(linear, 55, 25, diameter_mm=20, px_per_mm=4)


@pytest.mark.parametrize(("x", "y"), [(-1, 25), (101, 25), (50, -0.5), (50, 51)])
def test_a_place_outside_is_said(x: float, y: float) -> None:
    with pytest.raises(PaintError, match="outside the picture"):
        passage_target(halves(), x, y, diameter_mm=5, px_per_mm=4)


def test_sizes_not_above_nothing_are_a_defect() -> None:
    for diameter, scale in ((0.0, 4.0), (5.0, 0.0)):
        with pytest.raises(ValueError, match="above 0"):
            passage_target(halves(), 20, 20, diameter_mm=diameter, px_per_mm=scale)


def test_light_over_white_is_said_and_below_black_is_black() -> None:
    with pytest.raises(PaintError, match="lighter than white"):
        passage_target(np.full((9, 9, 3), 1.2), 4, 4, diameter_mm=3, px_per_mm=1)
    assert passage_target(np.full((9, 9, 3), -0.001), 4, 4, diameter_mm=3, px_per_mm=1).lab == (0, 0, 0)
    assert passage_target(np.ones((9, 9, 3)), 4, 4, diameter_mm=3, px_per_mm=1).lab == pytest.approx((100, 0, 0))


def test_a_colour_of_a_wide_gamut_photograph_is_kept() -> None:
    wide = np.array([0.9, 0.5, -0.05])
    told = passage_target(np.broadcast_to(wide, (9, 9, 3)), 4, 4, diameter_mm=3, px_per_mm=1)
    assert told.linear_rgb == pytest.approx(wide)


def test_the_mean_of_a_value_step() -> None:
    linear = halves()
    index = np.zeros(linear.shape[:2], np.uint8)
    index[:, :200] = 2
    assert step_target(linear, index, 2).linear_rgb == pytest.approx(LEFT)
    assert step_target(linear, index, 0).linear_rgb == pytest.approx(RIGHT)
    linear[0, 0] = np.nan
    assert step_target(linear, index, 2).linear_rgb == pytest.approx(LEFT)
    with pytest.raises(PaintError, match="value step 2 from the dark"):
        step_target(linear, index, 1)
    with pytest.raises(PaintError, match="value step 3"):
        step_target(linear, index, 2, withheld=index == 2)
    with pytest.raises(ValueError, match="one picture"):
        step_target(linear, index[:-1], 2)
