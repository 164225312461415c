"""The blur of the canvas photo, found by itself: lens, focus, shake; and a soft painting that is no soft photo."""

from functools import cache

import numpy as np
import pytest

from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.edge.kinds import EdgeBounds
from core.edge.photo_blur import PhotoBlur, inner_blur, photo_blur
from core.photo import load_photo_bytes
from tests.core.edge.cases import FLAT_PX_PER_MM, SIZE, forms, painted
from tests.measure.photo_blur import shaken
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.painter import Painted

BOUNDS = EdgeBounds()
WIDTH, HEIGHT = 1800, 1350


@cache
def paint(least_mm: float) -> Painted:
    return painted(forms(3, count=6, sigmas_mm=(least_mm, 4.0)), seed=3)


def found(
    made: Painted,
    blur_px: float,
    *,
    shake: tuple[float, float] | None = None,
    filling: float = 0.85,
    wider: float = 1.0,
) -> tuple[PhotoBlur, float]:
    """What is told, and how many photo px a mm has across; ``wider``: drawn apart to the sides."""
    corners = np.array(stand_before(np.random.default_rng(5), SIZE.aspect, width=WIDTH, height=HEIGHT, fill=filling))
    corners[:, 0] = WIDTH / 2 + wider * (corners[:, 0] - WIDTH / 2)
    camera = Camera(tuple(map(tuple, corners)), width=WIDTH, height=HEIGHT, blur_px=blur_px, exposure=0.8, seed=5)
    shot = photograph(made, camera)
    if shake is not None:
        shot = shaken(shot, *shake)
    photo = load_photo_bytes(shot.jpeg(), "canvas.jpg")
    flat = lay_flat(photo, corners, SIZE, k1=0.0, px_per_mm=FLAT_PX_PER_MM)
    density = float(np.linalg.norm(corners[1] - corners[0]) / SIZE.width_mm)
    return photo_blur(photo, corners, 0.0, flat), density


@pytest.mark.parametrize("blur_px", [3.0])
def test_lens_and_focus_are_told_by_the_sides(blur_px: float) -> None:
    told, density = found(paint(0.3), blur_px)
    assert told.known
    assert told.across_mm == pytest.approx(blur_px / density, rel=0.15)
    assert told.down_mm == pytest.approx(blur_px / density, rel=0.15)


def test_a_painting_of_soft_edges_is_not_taken_for_a_soft_photo() -> None:
    told, density = found(paint(2.0), 1.0)
    assert told.known
    assert told.largest_mm < 1.6 / density
    assert told.notes(BOUNDS) == ()


def test_a_shaken_photo_is_told_from_one_out_of_focus() -> None:
    told, density = found(paint(0.3), 0.8, shake=(14.0, 0.0))
    # Blurred evenly over 14 px, a step is best matched by one of a Gaussian a third wider than that of its variance.
    assert told.across_mm == pytest.approx(1.3 * 14 / np.sqrt(12) / density, rel=0.15)
    assert told.across_mm > 2 * told.down_mm
    assert "was shaken" in told.notes(BOUNDS)[0]


def test_an_out_of_focus_photo_is_said_with_what_to_do() -> None:
    told, _ = found(paint(0.3), 6.0)
    (note,) = told.notes(BOUNDS)
    assert "out of focus" in note
    assert "Photograph it again" in note
    assert told.hides(BOUNDS.hard_mm, np.ones(1), np.zeros(1)).all()


def test_without_sides_nothing_is_taken_out() -> None:
    painting = paint(2.0)
    told, _ = found(painting, 1.0, filling=1.12)  # the canvas runs out of the photo
    assert not told.known
    taken, least = told.taken_out(np.array([2.0, np.inf, np.nan]), np.ones(3), np.zeros(3))
    assert taken[0] == 2.0
    assert least[0] <= 2.0
    assert np.isinf(taken[1])
    assert np.isnan(least[2])


def test_what_two_sides_tell_holds_for_the_other_two_that_the_photo_does_not_show() -> None:
    told, density = found(paint(2.0), 1.0, wider=1.3)
    assert told.known
    assert told.largest_mm < 1.6 / density * 1.3


@pytest.mark.parametrize("light", [0.0, 0.3])
def test_an_even_picture_tells_nothing(light: float) -> None:
    even = np.full((round(4 * SIZE.height_mm), round(4 * SIZE.width_mm), 3), light, np.float32)
    assert inner_blur(Flat(even, FLAT_PX_PER_MM, SIZE)) == (np.inf, np.inf)


def test_the_blur_is_taken_out_by_the_direction_of_the_edge() -> None:
    blur = PhotoBlur(0.8, 0.0, known=True)
    taken, _ = blur.taken_out(np.array([1.0, 1.0]), np.array([1.0, 0.0]), np.array([0.0, 1.0]))
    assert taken == pytest.approx([0.6, 1.0])
