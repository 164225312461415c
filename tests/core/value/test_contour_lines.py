import cv2
import numpy as np
import pytest

from core.size import Size
from core.value.compare import compare_values
from core.value.contour_lines import ContourLine, contour_lines, field_contours
from core.value.contour_picture import dashes, with_contours
from tests.studio.painter import ValueFault, fault_map, grid_mm

SIZE = Size(200, 150)
ACCURACY_MM = 0.02


def hill(px_per_mm: float, height: float = 1.7, sigma_mm: float = 20.0) -> np.ndarray:
    x, y = grid_mm(SIZE, px_per_mm)
    return height * np.exp(-((x - 100) ** 2 + (y - 75) ** 2) / (2 * sigma_mm**2))


@pytest.mark.parametrize("px_per_mm", [2.0, 3.0, 4.0, 5.0])
@pytest.mark.parametrize("height", [1.7, -1.7])
def test_lines_of_a_gaussian_are_circles_of_its_inverse(px_per_mm: float, height: float) -> None:
    """Where a Gaussian of height h falls to L: r = sigma sqrt(2 ln(h / L))."""
    lines = field_contours(hill(px_per_mm, height), px_per_mm=px_per_mm, every=0.5)
    assert [line.level for line in lines] == sorted(np.sign(height) * np.array([0.5, 1.0, 1.5]))
    for line in lines:
        radius = 20 * np.sqrt(2 * np.log(height / line.level))
        assert line.closed
        assert np.abs(np.hypot(*(line.points_mm - (100, 75)).T) - radius).max() < ACCURACY_MM
        assert line.length_mm == pytest.approx(2 * np.pi * radius, rel=0.002)


def test_a_plane_is_cut_by_straight_lines_that_end_at_the_sides() -> None:
    x, _ = grid_mm(SIZE, 2.0)
    lines = field_contours((x - 100) / 40, px_per_mm=2.0, every=0.5)
    assert [line.level for line in lines] == [-2.0, -1.5, -1.0, -0.5, 0.5, 1.0, 1.5, 2.0]
    for line in lines:
        assert not line.closed
        assert np.abs(line.points_mm[:, 0] - (100 + 40 * line.level)).max() < 1e-6
        assert sorted(line.points_mm[[0, -1], 1]) == [0.25, 149.75]


def test_lines_end_where_values_are_withheld() -> None:
    field = hill(2.0)
    field[:, 200:230] = np.nan
    for line in field_contours(field, px_per_mm=2.0, every=0.5):
        assert not line.closed
        ends = line.points_mm[[0, -1], 0]
        assert ((np.abs(ends - 99.75) < 0.26) | (np.abs(ends - 115.25) < 0.26)).all()
        assert not ((line.points_mm[:, 0] > 99.8) & (line.points_mm[:, 0] < 115.2)).any()


def test_what_is_above_lies_to_one_side_all_along() -> None:
    """Every line keeps the higher side on its left, so that chains never turn back on themselves."""
    rng = np.random.default_rng(5)
    field = cv2.GaussianBlur(rng.normal(size=(300, 400)), (0, 0), 8)
    field /= field.std()
    lines = field_contours(field, px_per_mm=2.0, every=0.5, least_mm=0.0)
    assert len(lines) > 40
    for line in lines:
        step = np.diff(line.points_mm, axis=0)
        at = (line.points_mm[:-1] + line.points_mm[1:]) / 2
        left = at + 0.1 * np.stack([step[:, 1], -step[:, 0]], axis=1) / np.maximum(np.hypot(*step.T), 1e-9)[:, None]
        read = cv2.remap(field, *(2 * left - 0.5).astype(np.float32).T, cv2.INTER_LINEAR)
        long = np.hypot(*step.T) > 0.05
        assert (np.asarray(read).ravel()[long] > line.level - 0.01).mean() > 0.95


def test_every_point_lies_on_a_side_of_the_grid_at_its_level() -> None:
    rng = np.random.default_rng(6)
    field = cv2.GaussianBlur(rng.normal(size=(120, 160)), (0, 0), 3)
    for line in field_contours(field / field.std(), px_per_mm=1.0, every=0.5, least_mm=0.0):
        at = line.points_mm - 0.5
        near = np.abs(at - np.rint(at)).min(axis=1)
        assert near.max() < 1e-9
        low, part = np.floor(at + 1e-12).astype(int), at - np.floor(at + 1e-12)
        high = low + (part > 1e-9)
        told = field / field.std()
        one, other = told[low[:, 1], low[:, 0]], told[high[:, 1], high[:, 0]]
        share = part.max(axis=1)
        assert np.abs(one + share * (other - one) - line.level).max() < 1e-6


def test_saddles_do_not_cross() -> None:
    x, y = np.meshgrid(np.linspace(-1, 1, 40), np.linspace(-1, 1, 40))
    lines = field_contours(4 * x * y, px_per_mm=0.5, every=0.02)
    for line in lines:
        assert len({(np.sign(px - 40), np.sign(py - 40)) for px, py in line.points_mm.round(6)}) <= 1 or line.level == 0


def test_the_comparison_is_cut_at_its_own_levels() -> None:
    flat = np.full((300, 400), 5.0, np.float32)
    fault = fault_map((ValueFault(100, 75, 40, 30, -1.2),), SIZE, 2.0).astype(np.float32)
    comparison = compare_values(flat, flat + fault, px_per_mm=2.0, uncertainty_steps=0.1)
    half, whole = contour_lines(comparison)[::-1]
    assert (half.level, whole.level) == (-0.5, -1.0)
    reach = np.hypot((half.points_mm[:, 0] - 100) / 40, (half.points_mm[:, 1] - 75) / 30)
    assert np.abs(reach - 1).max() < 0.05
    assert {line.level for line in contour_lines(comparison, 0.25)} == {-0.25, -0.5, -0.75, -1.0}
    assert [line.level for line in contour_lines(comparison, None)] == [-1.0, -0.5]


def test_specks_are_left_out_and_nothing_is_no_line() -> None:
    speck = hill(2.0, 1.0, 1.0)
    assert field_contours(speck, px_per_mm=2.0, every=0.5) == ()
    assert len(field_contours(speck, px_per_mm=2.0, every=0.5, least_mm=1.0)) == 1
    assert field_contours(np.full((30, 40), np.nan), px_per_mm=2.0, every=0.5) == ()
    assert field_contours(np.zeros((30, 40)), px_per_mm=2.0, every=0.5) == ()
    with pytest.raises(ValueError, match="above 0"):
        field_contours(speck, px_per_mm=2.0, every=0)


def drawn(level: float) -> np.ndarray:
    line = ContourLine(level, np.array([[10.0, 50], [190, 50]]), False)
    grey = np.full((400, 800, 3), 150, np.uint8)
    return np.abs(with_contours(grey, (line,), px_per_mm=4.0).astype(int) - 150).max(axis=2)


def test_pattern_and_weight_tell_sign_and_whole_steps_without_colour() -> None:
    middle = np.s_[199, 48:752]
    assert (drawn(0.5)[middle] > 20).all()
    broken = drawn(-0.5)[middle] > 20
    assert broken.mean() == pytest.approx(0.6, abs=0.05)  # 3 mm drawn, 2 mm left
    assert (np.diff(broken.astype(int)) == 1).sum() >= 34
    assert (drawn(1.0) > 20).sum() > 1.5 * (drawn(0.5) > 20).sum()
    assert (drawn(-1.0) > 20).sum() > 1.5 * (drawn(-0.5) > 20).sum()


def test_dashes_keep_corners_and_lengths() -> None:
    corner = np.array([[0.0, 0], [4, 0], [4, 4]])
    first, second = dashes(corner)
    assert first.tolist() == [[0, 0], [3, 0]]
    assert second.tolist() == [[4, 1], [4, 4]]
    bent = dashes(np.array([[0.0, 0], [1, 0], [1, 1]]))
    assert bent[0].tolist() == [[0, 0], [1, 0], [1, 1]]
    with pytest.raises(ValueError, match="above 0"):
        with_contours(np.zeros((4, 4, 3), np.uint8), (), px_per_mm=0)
