"""Centre lines of masks drawn from lines that are known."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from skimage.morphology import skeletonize

from core.drawing.centrelines import centrelines
from core.drawing.thinning import thinned

Array = NDArray[np.float64]
SHAPE = (420, 560)
BREADTHS = (1, 2, 3, 4, 7, 12)


def band(lines: list[Array], breadth: int, *, closed: bool = False) -> NDArray[np.bool_]:
    picture = np.zeros(SHAPE, np.uint8)
    for line in lines:
        cv2.polylines(picture, [np.rint(line * 64).astype(np.int32)], closed, 255, breadth, cv2.LINE_AA, 6)
    return picture > 127


def pieces(mask: NDArray[np.bool_]) -> tuple[int, int]:
    """Number of connected parts and of holes (with the outside), the mask framed."""
    framed = np.pad(mask, 1).astype(np.uint8)
    return cv2.connectedComponents(framed, connectivity=8)[0], cv2.connectedComponents(1 - framed, connectivity=4)[0]


RING = np.array(
    [(280 + 150 * np.cos(a), 210 + 150 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 500, endpoint=False)]
)
SLANTS = [np.array([[60.0, 70.0], [500.0, 350.0]]), np.array([[60.0, 330.0], [500.0, 90.0]])]


@pytest.mark.parametrize("breadth", BREADTHS)
def test_a_ring_is_one_closed_line_in_its_middle(breadth: int) -> None:
    (line,) = centrelines(band([RING], breadth, closed=True))
    assert line.closed
    assert np.abs(np.hypot(*(line.points - [280, 210]).T) - 150).max() < 0.4


@pytest.mark.parametrize("breadth", BREADTHS)
def test_lines_go_straight_on_across_a_crossing(breadth: int) -> None:
    lines = centrelines(band(SLANTS, breadth))
    assert [line.closed for line in lines] == [False, False]
    for start, end in SLANTS:
        along = (end - start) / np.hypot(*(end - start))
        off = [np.abs((line.points[breadth:-breadth] - start) @ [-along[1], along[0]]).max() for line in lines]
        assert min(off) < 1.0


@pytest.mark.parametrize("breadth", BREADTHS)
def test_a_ring_crossed_by_a_line_stays_closed(breadth: int) -> None:
    across = np.array([[40.0, 210.0], [520.0, 210.0]])
    lines = centrelines(band([RING], breadth, closed=True) | band([across], breadth))
    assert sorted((line.closed, len(line.points) > 400) for line in lines) == [(False, True), (True, True)]


def test_where_a_line_meets_another_the_straight_one_goes_on() -> None:
    bar, leg = np.array([[60.0, 200.0], [500.0, 200.0]]), np.array([[280.0, 200.0], [280.0, 380.0]])
    first, second = centrelines(band([bar, leg], 3))
    assert np.ptp(first.points[:, 0]) > 430
    assert np.ptp(second.points[:, 1]) > 170


def test_stubs_are_left_out() -> None:
    bar = np.array([[60.0, 200.0], [500.0, 200.0]])
    hairs = [np.array([[x, 200.0], [x + 3, 206.0]]) for x in (120.0, 240.0, 360.0)]
    mask = band([bar, *hairs], 1)
    assert len(centrelines(mask)) == 1
    assert len(centrelines(mask, spur_px=2)) == 4


def test_a_band_at_the_border_is_followed_to_it() -> None:
    mask = np.zeros(SHAPE, bool)
    mask[100:104] = True
    (line,) = centrelines(mask)
    assert np.ptp(line.points[:, 0]) > SHAPE[1] - 8
    assert np.abs(line.points[:, 1] - 101.5).max() < 0.1


def test_a_line_of_even_breadth_is_centred_between_pixels() -> None:
    mask = np.zeros(SHAPE, bool)
    mask[200:202, 50:500] = True
    (line,) = centrelines(mask)
    assert np.abs(line.points[10:-10, 1] - 200.5).max() < 0.01


def test_an_empty_mask_and_a_dot_have_no_line() -> None:
    dot = np.zeros(SHAPE, bool)
    assert centrelines(dot) == []
    dot[100, 100] = True
    assert centrelines(dot) == []


@pytest.mark.parametrize("bad", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3), bool)])
def test_what_is_no_mask_is_refused(bad: NDArray[np.generic]) -> None:
    with pytest.raises(ValueError, match="mask"):
        centrelines(bad)  # type: ignore[arg-type]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.8, 4.0), st.floats(-0.5, 0.5))
def test_thinning_keeps_every_part_and_every_hole(seed: int, grain: float, level: float) -> None:
    noise = cv2.GaussianBlur(np.random.default_rng(seed).normal(size=(90, 110)), (0, 0), grain)
    mask = noise > level * noise.std()
    skeleton = thinned(mask)
    assert not (skeleton & ~mask).any()
    assert pieces(skeleton) == pieces(mask)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_a_skeleton_is_no_thicker_than_the_reference_one(seed: int) -> None:
    noise = cv2.GaussianBlur(np.random.default_rng(seed).normal(size=(200, 200)), (0, 0), 3.0)
    mask = noise > 0
    # scikit-image's skeletonize: Zhang and Suen 1984.
    assert thinned(mask).sum() < 1.1 * skeletonize(mask).sum()


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000))
def test_points_stay_in_the_band_and_close_together(seed: int) -> None:
    noise = cv2.GaussianBlur(np.random.default_rng(seed).normal(size=(120, 160)), (0, 0), 2.5)
    mask = np.abs(noise) < 0.3 * noise.std()
    near = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, 5)
    for line in centrelines(mask):
        column, row = np.clip(np.rint(line.points).astype(int), 0, [159, 119]).T
        assert near[row, column].max() < 6  # a line is led straight across a crossing, past the notch between two arms
        assert np.linalg.norm(np.diff(line.points, axis=0), axis=1).max(initial=0) < 3.5
