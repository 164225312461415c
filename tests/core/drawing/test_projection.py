"""Projection: corners that may be and may not, and the light that is sent, against exact geometry."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.colorimetry import decode_srgb
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.projection import FARTHEST_OUTSIDE, Projection
from core.drawing.projection_light import FINEST_LINE_PX, Slide, rendered_chains, rendered_lines, rendered_picture
from core.drawing.projection_marks import mark_pattern, rendered_frame, rendered_marks
from core.errors import DrawingError
from core.size import Size

SIZE = Size(400, 300)
FITTED = Projection.fitted(SIZE, 960, 540)


def light_of(codes: np.ndarray) -> np.ndarray:
    return decode_srgb(codes / 255)


def keystone(seed: int = 0) -> Projection:
    rng = np.random.default_rng(seed)
    return FITTED.moved(FITTED.corners_px + rng.uniform(-40, 40, (4, 2)))


@given(st.floats(60, 2000), st.floats(60, 2000), st.sampled_from([(800, 600), (1366, 768), (1920, 1080), (1080, 1920)]))
def test_the_start_has_the_canvas_s_shape_in_the_middle_of_the_screen(wide: float, high: float, screen) -> None:
    if max(wide / high, high / wide) > 8:
        return
    start = Projection.fitted(Size(wide, high), *screen)
    left, top = start.corners_px[0]
    right, bottom = start.corners_px[2]
    assert (right - left) / (bottom - top) == pytest.approx(wide / high)
    assert (left + right, top + bottom) == pytest.approx((screen[0] - 1, screen[1] - 1))
    assert min(left, top, screen[0] - 1 - right, screen[1] - 1 - bottom) >= 0.1 * min(screen) - 1
    assert start.px_per_mm == pytest.approx((right - left) / wide)


@given(st.integers(0, 500), st.floats(0, 400), st.floats(0, 300))
def test_mm_and_pixels_are_inverse(seed: int, x: float, y: float) -> None:
    throw = keystone(seed)
    assert throw.px_to_mm(throw.mm_to_px([x, y])) == pytest.approx([x, y], abs=1e-8)


def test_corners_of_the_canvas_fall_on_the_corners() -> None:
    throw = keystone(3)
    assert throw.mm_to_px([[0, 0], [400, 0], [400, 300], [0, 300]]) == pytest.approx(throw.corners_px)


@given(st.integers(0, 3), st.floats(-20, 20), st.floats(-20, 20))
def test_a_nudge_moves_one_corner_and_back(corner: int, dx: float, dy: float) -> None:
    moved = FITTED.nudged(corner, dx, dy)
    rest = [index for index in range(4) if index != corner]
    assert (moved.corners_px[rest] == FITTED.corners_px[rest]).all()
    assert moved.corners_px[corner] - FITTED.corners_px[corner] == pytest.approx([dx, dy], abs=1e-9)
    assert moved.nudged(corner, -dx, -dy).corners_px == pytest.approx(FITTED.corners_px)


def test_a_projector_may_hang_upside_down() -> None:
    turned = FITTED.moved(np.roll(FITTED.corners_px, 2, axis=0))
    assert turned.mm_to_px([0, 0]) == pytest.approx(FITTED.corners_px[2])


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([[100, 100], [800, 100], [100, 500], [800, 500]], "fold"),  # crossed
        ([[100, 100], [800, 100], [300, 200], [100, 500]], "fold"),  # a dent
        ([[100, 100], [450, 101], [800, 102], [100, 500]], "fold"),  # three in a line
        ([[800, 100], [100, 100], [100, 500], [800, 500]], "mirrored"),
        ([[100, 100], [120, 100], [800, 500], [100, 500]], "too close"),
        ([[100, 100], [100, 100], [100, 100], [100, 100]], "too close"),
        ([[-900, 100], [800, 100], [800, 500], [100, 500]], "top left corner would lie too far outside"),
        ([[100, 100], [800, 100], [800, 500], [np.nan, 500]], "four corners"),
        ([[100, 100], [800, 100]], "four corners"),
        ("nonsense", "four corners"),
    ],
)
def test_corners_that_cannot_be_are_refused_with_a_sentence(corners, words: str) -> None:
    with pytest.raises(DrawingError, match=words):
        FITTED.moved(corners)


def test_a_corner_may_lie_a_little_outside_the_screen() -> None:
    reach = FARTHEST_OUTSIDE * 960
    assert FITTED.moved([[-reach + 1, 20], [800, 20], [800, 500], [100, 500]])


def test_brightness_is_a_share_of_the_light() -> None:
    slide = Slide.of(np.full((60, 80), 188, np.uint8))
    full, half = (rendered_picture(slide, FITTED, brightness=share)[270, 480, 1] for share in (1.0, 0.5))
    assert full == 188
    # Half the light of code 188, from IEC 61966-2-1's own formula.
    assert light_of(half) == pytest.approx(light_of(np.uint8(188)) / 2, rel=0.02)


def test_a_picture_fills_the_canvas_and_nothing_else() -> None:
    throw = keystone(5)
    shown = rendered_picture(Slide.of(np.full((300, 400, 3), 255, np.uint8)), throw)[..., 0]
    y, x = np.mgrid[0:540, 0:960]
    at = throw.px_to_mm(np.stack([x, y], axis=-1))
    depth = np.minimum.reduce([at[..., 0], 400 - at[..., 0], at[..., 1], 300 - at[..., 1]])
    assert (shown[depth > 2] == 255).all()
    assert (shown[depth < -2] == 0).all()
    # All the light there is falls on the canvas's own area, edge pixels counted by their share.
    corners = throw.corners_px
    ahead = np.roll(corners, -1, axis=0)
    area = abs((corners[:, 0] * ahead[:, 1] - ahead[:, 0] * corners[:, 1]).sum()) / 2
    assert light_of(shown).sum() == pytest.approx(area, rel=0.002)


def test_a_picture_lands_where_its_millimetres_are() -> None:
    throw = keystone(7)
    codes = np.zeros((600, 800, 3), np.uint8)
    codes[298:302, 598:602] = 255  # about 300 mm, 150 mm
    light = light_of(rendered_picture(Slide.of(codes), throw)[..., 1])
    y, x = np.mgrid[0:540, 0:960]
    centre = np.array([(light * x).sum(), (light * y).sum()]) / light.sum()
    assert centre == pytest.approx(throw.mm_to_px([300, 150]), abs=0.1)


def test_fine_detail_is_averaged_in_light_and_leaves_no_moire() -> None:
    codes = np.zeros((2400, 3200, 3), np.uint8)
    codes[:, ::2] = 255
    shown = light_of(rendered_picture(Slide.of(codes, longest_px=3200), FITTED)[100:400, 300:600, 0])
    assert shown.mean() == pytest.approx(0.5, abs=0.01)
    assert shown.std() < 0.04  # single samples would give 0.3 and more


def test_a_picture_of_another_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="uint8"):
        Slide.of(np.zeros((10, 10, 3), np.float32))  # type: ignore[arg-type]


@pytest.mark.parametrize("weight_mm", [1.5, 2.0, 4.0])
def test_lines_have_their_weight_in_mm_and_their_place(weight_mm: float) -> None:
    drawing = Drawing(SIZE, (Line.through(np.array([[200.0, 20.0], [200.0, 280.0]])),))
    across = light_of(rendered_lines(drawing, FITTED, weight_mm=weight_mm)[270].astype(float))
    assert across.sum() == pytest.approx(weight_mm * FITTED.px_per_mm, rel=0.12)
    middle = (across * np.arange(960)).sum() / across.sum()
    assert middle == pytest.approx(FITTED.mm_to_px([200, 150])[0], abs=0.1)


def test_the_finest_line_can_still_be_seen() -> None:
    drawing = Drawing(SIZE, (Line.through(np.array([[200.0, 20.0], [200.0, 280.0]])),))
    shown = rendered_lines(drawing, FITTED, weight_mm=0.05)
    assert light_of(shown[270].astype(float)).sum() == pytest.approx(FINEST_LINE_PX, rel=0.2)


def test_half_the_brightness_is_half_the_light_of_a_line() -> None:
    drawing = Drawing(SIZE, (Line.through(np.array([[50.0, 40.0], [350.0, 250.0]])),))
    full, half = (light_of(rendered_lines(drawing, FITTED, brightness=b)).sum() for b in (1.0, 0.5))
    assert half == pytest.approx(full / 2, rel=0.02)


def test_lines_far_outside_the_canvas_do_not_wrap_round() -> None:
    """Beyond the horizon of a steep projection a point would come back from the other side."""
    steep = Projection(np.array([[400, 100], [560, 100], [900, 500], [60, 500]]), SIZE, 960, 540)
    drawing = Drawing(SIZE, (Line.through(np.array([[200.0, 150.0], [200.0, -4000.0]])),))
    shown = rendered_lines(drawing, steep)
    rows = np.flatnonzero(shown.any(axis=1))
    assert rows.size == 0 or rows.max() <= np.ceil(steep.mm_to_px([200, 150])[1]) + 2


def test_landmarks_are_ringed() -> None:
    drawing = Drawing(SIZE, (), (Landmark("rim", 100.0, 200.0),))
    shown = rendered_lines(drawing, FITTED, landmarks=True)
    y, x = np.nonzero(shown)
    assert (x.mean(), y.mean()) == pytest.approx(tuple(FITTED.mm_to_px([100, 200])), abs=0.6)
    assert not rendered_lines(drawing, FITTED).any()


def test_no_line_no_light() -> None:
    assert not rendered_chains((), FITTED, weight_px=2.0).any()


def test_every_mark_is_a_saddle_at_its_place() -> None:
    throw = keystone(9)
    pattern, light = mark_pattern(SIZE), light_of(rendered_marks(throw))
    y, x = np.mgrid[0:540, 0:960]
    for point in pattern.points:
        near = np.hypot(x - throw.mm_to_px(point)[0], y - throw.mm_to_px(point)[1]) < 60
        centre = np.array([(light * near * x).sum(), (light * near * y).sum()]) / (light * near).sum()
        assert centre == pytest.approx(throw.mm_to_px(point), abs=0.5)
        inside = point + pattern.half_mm / 2 * np.array([[-1, -1], [1, 1], [-1, 1], [1, -1]])
        codes = [light[tuple(np.rint(throw.mm_to_px(at)).astype(int)[::-1])] for at in inside]
        assert codes == [1.0, 1.0, 0.0, 0.0]
    # Nine marks of two squares: their light is their area.
    area = 18 * pattern.half_mm**2 * FITTED.px_per_mm**2
    assert light_of(rendered_marks(FITTED)).sum() == pytest.approx(area, rel=0.01)


def test_marks_beside_the_screen_are_left_out() -> None:
    beside = FITTED.moved(FITTED.corners_px + np.array([400, 0]))
    assert 0 < light_of(rendered_marks(beside)).sum() < 0.9 * light_of(rendered_marks(FITTED)).sum()


def test_the_frame_runs_along_the_canvas_s_edge() -> None:
    throw = keystone(11)
    shown = rendered_frame(throw)
    for place in ([0, 0], [400, 0], [400, 300], [0, 300], [200, 0], [200, 150]):
        x, y = np.rint(throw.mm_to_px(place)).astype(int)
        assert shown[y - 1 : y + 2, x - 1 : x + 2].max() > 220
    assert shown[: int(throw.corners_px[:, 1].min()) - 3].max() == 0
