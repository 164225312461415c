import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from skimage.measure import find_contours

from core.value.borders import borders


def disc(radius: float, centre: tuple[float, float], shape: tuple[int, int] = (200, 300)) -> np.ndarray:
    y, x = np.indices(shape) + 0.5
    return (np.hypot(x - centre[0], y - centre[1]) < radius).astype(np.uint8)


def test_a_circle_is_one_smooth_ring_in_its_place() -> None:
    (ring,) = borders(disc(40, (150.3, 100.2)), px_per_mm=2)
    off = np.hypot(*(ring.points_mm - [75.15, 50.1]).T) - 20
    assert ring.closed
    assert (ring.darker, ring.lighter) == (0, 1)
    assert ring.length_mm == pytest.approx(2 * np.pi * 20, rel=0.005)
    assert abs(off.mean()) < 0.01
    assert np.sqrt((off**2).mean()) < 0.07
    assert np.abs(off).max() < 0.17


@pytest.mark.parametrize("degrees", [0, 3, 22.5, 45, 90])
def test_a_slanted_border_runs_from_edge_to_edge(degrees: float) -> None:
    y, x = np.indices((200, 300)) + 0.5
    normal = np.array([np.sin(np.radians(degrees)), np.cos(np.radians(degrees))])
    (line,) = borders(((x - 150.2) * normal[0] + (y - 100.3) * normal[1] > 0).astype(int), px_per_mm=1)
    off = (line.points_mm - [150.2, 100.3]) @ normal
    assert not line.closed
    assert np.abs(off).max() < 0.8
    assert np.sqrt((off**2).mean()) < 0.35
    ends = line.points_mm[[0, -1]]
    assert ((ends == 0) | (ends == [300, 200])).any(axis=1).all()


def test_three_shapes_meet_in_one_point() -> None:
    index = np.zeros((60, 80), int)
    index[:, 40:] = 1
    index[30:, :] = 2
    found = borders(index, px_per_mm=1)
    assert sorted((each.darker, each.lighter) for each in found) == [(0, 1), (0, 2), (1, 2)]
    for each in found:
        assert min(np.hypot(*(end - [40, 30])) for end in each.points_mm[[0, -1]]) == 0


@given(arrays(np.uint8, (9, 11), elements=st.integers(0, 3)))
def test_every_side_between_two_steps_is_drawn_once(index: np.ndarray) -> None:
    """Counted on the pixels themselves: smoothing keeps the number of a border's points, one for each side of a pixel
    (and the two ends of an open one)."""
    sides = (index[1:] != index[:-1]).sum() + (index[:, 1:] != index[:, :-1]).sum()
    found = borders(index, px_per_mm=1)
    assert sum(len(each.points_mm) - (0 if each.closed else 2) for each in found) == sides
    assert all(each.darker < each.lighter for each in found)
    assert all((each.points_mm >= -1e-9).all() and (each.points_mm <= [11, 9]).all() for each in found)


def test_as_scikit_image_finds_the_outline() -> None:
    """find_contours has pixel centres at whole numbers: half a pixel is added."""
    shape = disc(55, (120.7, 90.1))
    theirs = find_contours(shape.astype(float), 0.5)[0][:, ::-1] + 0.5
    (mine,) = borders(shape, px_per_mm=1)
    apart = np.linalg.norm(theirs[:, None] - mine.points_mm[None], axis=2).min(axis=1)
    assert apart.max() < 1.0
    assert np.median(apart) < 0.35


def test_a_picture_of_one_step_has_no_border() -> None:
    assert borders(np.full((5, 7), 3), px_per_mm=1) == []
