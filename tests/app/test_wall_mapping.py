"""Where a millimetre of the canvas lies in a picture, and on the screen."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF

from app.wall.mapping import Lens, Mapping
from app.wall.sight import Placed, Reach, Sight, fit_zoom
from core.size import Size

SIZE = Size(400, 300)
CORNERS_MM = np.array([[0, 0], [400, 0], [400, 300], [0, 300]], dtype=np.float64)
CORNERS_PX = np.array([[510.0, 402.0], [3720.0, 260.0], [3900.0, 2710.0], [390.0, 2590.0]])


def homography() -> np.ndarray:
    return cv2.getPerspectiveTransform(CORNERS_MM.astype(np.float32), CORNERS_PX.astype(np.float32))


def test_a_flat_picture_is_scaled_from_its_outer_corner() -> None:
    """Pixel (0, 0) of a picture laid flat has its centre at half a pixel: at 6 px/mm that is 1/12 mm."""
    mapping = Mapping.flat(6.0)
    np.testing.assert_allclose(mapping.to_picture([1 / 12, 1 / 12]), [[0.5, 0.5]])
    np.testing.assert_allclose(mapping.to_mm([2400.0, 1800.0]), [[400.0, 300.0]])


def test_a_photo_as_shot_follows_opencvs_homography() -> None:
    """Against cv2.perspectiveTransform; its pixel centres are whole numbers, ours lie half a pixel further."""
    points = np.random.default_rng(0).uniform([0, 0], [400, 300], (50, 2))
    wanted = cv2.perspectiveTransform(points[:, None], homography()).reshape(-1, 2) + 0.5
    mapping = Mapping.as_shot(homography(), SIZE)
    np.testing.assert_allclose(mapping.to_picture(points), wanted, atol=1e-6)
    np.testing.assert_allclose(mapping.to_mm(wanted), points, atol=1e-6)
    np.testing.assert_allclose(Mapping.as_shot(-3.0 * homography(), SIZE).to_picture(points), wanted, atol=1e-6)


def test_a_worked_example_of_a_homography() -> None:
    """Hartley and Zisserman 2004: the unit square to (10,20) (110,30) (120,140) (5,125) takes its middle to
    (60.347072, 74.924078)."""
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    onto = np.array([[10, 20], [110, 30], [120, 140], [5, 125]], np.float32)
    unit = cv2.getPerspectiveTransform(square, onto)
    mapping = Mapping.as_shot(unit @ np.diag([1 / 100, 1 / 100, 1.0]), Size(100, 100))
    np.testing.assert_allclose(mapping.to_picture([50.0, 50.0]) - 0.5, [[60.347072, 74.924078]], atol=1e-4)


def test_the_mean_scale_of_a_photo_is_that_of_its_area() -> None:
    area = cv2.contourArea(CORNERS_PX.astype(np.float32))
    assert Mapping.as_shot(homography(), SIZE).px_per_mm == pytest.approx(np.sqrt(area / (400 * 300)), rel=1e-6)


def test_beyond_the_horizon_there_is_no_canvas() -> None:
    tilted = np.array([[5.0, 0.0, 0.0], [0.0, 5.0, 0.0], [0.0, 0.002, 1.0]])
    mapping = Mapping.as_shot(tilted, SIZE)
    assert np.isnan(mapping.to_picture([100.0, -600.0])).all()
    assert np.isnan(mapping.to_mm([100.0, 2501.0])).all()
    np.testing.assert_allclose(mapping.to_mm(mapping.to_picture([100.0, -300.0])), [[100.0, -300.0]], atol=1e-6)


def test_a_canvas_behind_the_camera_is_refused() -> None:
    with pytest.raises(ValueError, match="behind"):
        Mapping.as_shot(np.array([[1.0, 0, 0], [0, 1.0, 0], [-0.005, 0, 1.0]]), SIZE)


def test_a_lens_in_numbers() -> None:
    """x_photo = c + (x - c)(1 + k1 r²): half way to the corner r = 0.5, so k1 = -0.1 draws it in by 2.5 %; c is the
    middle of the picture, whose outer corner is the origin here."""
    points = np.array([[3000.0, 2250.0], [2000.0, 1500.0], [4000.0, 3000.0]])
    lens = Lens(-0.1, 4000, 3000)
    np.testing.assert_allclose(lens.bend(points), [[2975.0, 2231.25], [2000.0, 1500.0], [3800.0, 2850.0]])
    np.testing.assert_allclose(lens.straighten(lens.bend(points)), points, atol=1e-6)


def test_a_photo_with_a_lens_there_and_back() -> None:
    mapping = Mapping.as_shot(homography(), SIZE, lens_k1=-0.06, photo_size=(4000, 3000))
    points = np.random.default_rng(1).uniform([0, 0], [400, 300], (40, 2))
    straight = Mapping.as_shot(homography(), SIZE)
    assert np.abs(mapping.to_picture(points) - straight.to_picture(points)).max() > 20
    np.testing.assert_allclose(mapping.to_mm(mapping.to_picture(points)), points, atol=1e-4)


def placed(mapping: Mapping) -> Placed:
    return Placed(mapping, Sight(200, 150, 2.0), QRectF(0, 0, 901, 700))


MAPPINGS = [
    Mapping.flat(7.5),
    Mapping.as_shot(homography(), SIZE),
    Mapping.as_shot(homography(), SIZE, lens_k1=-0.05, photo_size=(4000, 3000)),
]


@pytest.mark.parametrize("mapping", MAPPINGS)
def test_the_sight_is_in_the_middle_at_its_zoom(mapping: Mapping) -> None:
    here = placed(mapping)
    assert here.point(200, 150) == QPointF(450.5, 350)
    assert here.mm_at(QPointF(450.5, 350)) == pytest.approx((200, 150), abs=1e-6)
    if mapping.is_flat:
        assert here.point(201, 150).x() - here.point(200, 150).x() == pytest.approx(2.0)
        assert here.screen_px(10, 20, 30) == pytest.approx(20.0)


@pytest.mark.parametrize("mapping", MAPPINGS)
@given(factor=st.floats(0.2, 20), x=st.floats(250, 650), y=st.floats(200, 500))
def test_zooming_keeps_what_is_under_the_pointer(mapping: Mapping, factor: float, x: float, y: float) -> None:
    about = QPointF(x, y)
    before = placed(mapping)
    after = Placed(mapping, before.zoomed(factor, about), before.viewport)
    mm = before.mm_at(about)
    assert mm is not None
    moved = after.point(*mm) - about
    assert abs(moved.x()) < 1e-3
    assert abs(moved.y()) < 1e-3
    assert after.sight.zoom == pytest.approx(2.0 * factor)


@pytest.mark.parametrize("mapping", MAPPINGS)
def test_panning_carries_the_picture_along(mapping: Mapping) -> None:
    before = placed(mapping)
    mm = before.mm_at(QPointF(300, 300))
    after = Placed(mapping, before.panned(40, -25), before.viewport)
    assert mm is not None
    moved = after.point(*mm)
    assert (moved.x(), moved.y()) == pytest.approx((340, 275), abs=1e-3)


@pytest.mark.parametrize("mapping", MAPPINGS)
@pytest.mark.parametrize("room", [(901, 700), (300, 900), (1900, 200)])
def test_fitted_all_corners_are_seen_and_one_touches_the_margin(mapping: Mapping, room: tuple[int, int]) -> None:
    viewport = QRectF(0, 0, *room)
    zoom = fit_zoom(mapping, 400, 300, viewport, 10)
    corners = Placed(mapping, Sight(200, 150, zoom), viewport).points(CORNERS_MM)
    gaps = np.concatenate([corners, np.array(room) - corners], axis=0)
    assert gaps.min() == pytest.approx(10, abs=1e-6)


def test_reach_holds_centre_and_zoom() -> None:
    reach = Reach(400, 300, 0.5, 64)
    assert reach.hold(Sight(-5, 301, 0.1)) == Sight(0, 300, 0.5)
    assert reach.hold(Sight(410, 20, 100)) == Sight(400, 20, 64)
    assert reach.hold(Sight(float("nan"), 20, 2)) == Sight(0, 20, 2)
