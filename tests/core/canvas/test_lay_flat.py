"""Maps between millimetres and photo pixels, against a published worked example and round trips."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.canvas.canvas_map import CanvasMap, project
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, reference_flat, supported_px_per_mm
from core.canvas.lens import bend, straighten
from core.errors import CanvasError
from core.photo import Photo, srgb_curve
from core.size import Size

SIZE = Size(400, 300)
CORNERS = np.array([[410.0, 380.0], [3590.0, 402.0], [3611.0, 2790.0], [398.0, 2764.0]])
corner_shift = st.lists(st.floats(-150, 150), min_size=8, max_size=8).map(lambda v: np.array(v).reshape(4, 2))


def test_homography_of_the_worked_example() -> None:
    """Unit square to (10,20) (110,30) (120,140) (5,125): the centre falls on (60.347072, 74.924078).

    Worked with numpy's linear solver after Hartley and Zisserman 2004, section 4.1. Here the square is 100 mm wide.
    """
    canvas = CanvasMap(np.array([[10.0, 20], [110, 30], [120, 140], [5, 125]]), Size(100, 100), 200, 200)
    assert canvas.mm_to_px(np.array([[50.0, 50.0]]))[0] == pytest.approx((60.347072, 74.924078), abs=1e-5)
    assert project(canvas.matrix, np.array([[0.0, 0.0]]))[0] == pytest.approx((10, 20), abs=1e-9)


@given(corner_shift, st.floats(-0.1, 0.06))
def test_there_and_back_again(shift: np.ndarray, k1: float) -> None:
    canvas = CanvasMap(CORNERS + shift, SIZE, 4000, 3000, k1)
    points = np.random.default_rng(0).uniform((0, 0), (400, 300), (20, 2))
    assert np.abs(canvas.px_to_mm(canvas.mm_to_px(points)) - points).max() < 1e-6
    assert np.abs(canvas.mm_to_px(np.array([[0.0, 0.0], [400, 300]])) - (CORNERS + shift)[[0, 2]]).max() < 1e-6


@given(st.floats(-0.12, 0.08))
def test_the_lens_bends_as_stated(k1: float) -> None:
    """photo = centre + (straight - centre)(1 + k1 r²), r in half-diagonals of the photo."""
    straight = np.array([[100.0, 90.0], [3900.0, 150.0], [2000.0, 1500.0]])
    centre = np.array([1999.5, 1499.5])
    r2 = ((straight - centre) ** 2).sum(axis=1, keepdims=True) / (4000**2 + 3000**2) * 4
    expected = centre + (straight - centre) * (1 + k1 * r2)
    assert np.abs(bend(straight, k1, 4000, 3000) - expected).max() < 0.5
    assert np.abs(straighten(bend(straight, k1, 4000, 3000), k1, 4000, 3000) - straight).max() < 1e-5


@pytest.mark.parametrize(
    "corners",
    [
        CORNERS[[0, 2, 1, 3]],
        CORNERS[[3, 2, 1, 0]],
        np.array([[0.0, 0], [1000, 0], [2000, 0], [0, 1000]]),
        CORNERS - 5000,
        np.full((4, 2), np.nan),
    ],
)
def test_corners_that_cannot_be_a_canvas_get_a_sentence(corners: np.ndarray) -> None:
    with pytest.raises(CanvasError, match=r"corner.*[.]"):
        lay_flat(_photo(np.zeros((300, 400, 3), np.uint8)), corners / 10, SIZE)


def _photo(codes: np.ndarray) -> Photo:
    return Photo(codes, srgb_curve())


def test_a_photo_laid_flat_keeps_places_and_light() -> None:
    """Four grey squares seen square on: every flat pixel is the photo's light at its millimetre."""
    codes = np.full((600, 800, 3), 60, np.uint8)
    codes[150:450, 200:600] = 120
    codes[150:300, 200:400] = 220
    corners = np.array([[199.5, 149.5], [599.5, 149.5], [599.5, 449.5], [199.5, 449.5]])
    flat = lay_flat(_photo(codes), corners, SIZE, px_per_mm=1.0)
    assert flat.linear.shape == (300, 400, 3)
    curve = srgb_curve()
    assert flat.linear[75, 100] == pytest.approx(curve[220], abs=1e-4)
    assert flat.linear[225, 300] == pytest.approx(curve[120], abs=1e-4)
    edge = flat.linear[75, :, 0]
    crossing = np.interp((curve[220] + curve[120]) / 2, edge[195:205][::-1], np.arange(195.5, 205.5)[::-1])
    assert crossing == pytest.approx(200.0, abs=0.1)
    assert supported_px_per_mm(corners, SIZE, 0.0, 800, 600) == pytest.approx(1.0)


def test_what_the_photo_does_not_reach_is_marked() -> None:
    corners = np.array([[-50.0, 50], [300, 50], [300, 250], [-50, 250]])
    flat = lay_flat(_photo(np.full((300, 400, 3), 128, np.uint8)), corners, SIZE, px_per_mm=1.0)
    assert flat.seen is not None
    assert not flat.seen[150, 10]
    assert flat.seen[150, 300]


def test_a_reference_of_another_shape_is_cropped_about_its_centre_and_said() -> None:
    codes = np.zeros((300, 600, 3), np.uint8)
    codes[:, 100:500] = 200
    flat, notes = reference_flat(_photo(codes), SIZE, 1.0)
    assert isinstance(flat, Flat)
    assert flat.linear.min() > 0.5
    assert len(notes) == 1
    exact, silent = reference_flat(_photo(codes[:, 100:500]), SIZE, 1.0)
    assert silent == ()
    assert exact.linear.shape == (300, 400, 3)
