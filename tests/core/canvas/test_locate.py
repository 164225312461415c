"""Finding the canvas on known truth: simulated photos against a wall, an easel, a room; cropped; and none at all."""

from functools import cache

import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray

from core.canvas.locate import locate_canvas
from core.canvas.outline import find_outline
from core.errors import CanvasError
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint

SIZE = Size(400, 300)
WIDTH, HEIGHT = 2000, 1500


@cache
def _painted(name: str) -> Painted:
    linear = references.linear(references.pixels(name, SIZE, width=1200))
    return paint(linear, Displacement(SIZE), brushwork="texture", px_per_mm=3.0)


@cache
def _shot(name: str, setting: str, k1: float, seed: int) -> tuple[Photo, NDArray[np.float64]]:
    rng = np.random.default_rng(seed)
    corners = stand_before(rng, SIZE.aspect, width=WIDTH, height=HEIGHT, fill=0.8)
    camera = Camera(
        corners,
        width=WIDTH,
        height=HEIGHT,
        k1=k1,
        exposure=0.8,
        light_ratio=1.7,
        setting=setting,
        seed=seed,
        blur_px=0.7,
    )
    return Photo(photograph(_painted(name), camera).pixels, srgb_curve()), np.array(corners)


@pytest.mark.parametrize(
    ("name", "setting", "k1", "seed"),
    [("chelsea", "wall", -0.05, 1), ("coffee", "easel", 0.0, 2), ("rocket", "room", 0.03, 4),
     pytest.param("astronaut", "easel", -0.03, 3, marks=pytest.mark.slow),
     pytest.param("chelsea", "dark", -0.06, 5, marks=pytest.mark.slow)],
)  # fmt: skip
def test_the_outline_is_found_and_the_lens_with_it(name: str, setting: str, k1: float, seed: int) -> None:
    photo, truth = _shot(name, setting, k1, seed)
    reference = Photo(references.pixels(name, SIZE, width=1200), srgb_curve())
    fix = locate_canvas(photo, SIZE, reference=reference)
    error_mm = np.linalg.norm(fix.corners_px - truth, axis=1) / fix.px_per_mm
    assert fix.found_by == "outline"
    assert error_mm.max() <= 0.6
    assert fix.k1 == pytest.approx(k1, abs=0.01)
    assert 0 < fix.uncertainty_mm < 1.0


def test_corners_given_by_hand_are_kept_and_only_the_lens_is_read() -> None:
    photo, truth = _shot("chelsea", "wall", -0.05, 1)
    placed = truth + np.array([[2.0, -1.0], [-1.5, 1.0], [1.0, 2.0], [-1.0, -1.0]])
    fix = locate_canvas(photo, SIZE, corners_px=placed)
    assert fix.found_by == "given"
    assert np.array_equal(fix.corners_px, placed)
    assert fix.k1 == pytest.approx(-0.05, abs=0.015)
    assert fix.uncertainty_mm > 0.1


def test_a_canvas_that_runs_out_of_the_photo_is_said() -> None:
    photo, truth = _shot("chelsea", "wall", 0.0, 1)
    cut = int(truth[[0, 3], 0].max()) + 60
    beheaded = Photo(np.ascontiguousarray(photo.codes[:, cut:]), photo.curve)
    assert find_outline(beheaded, size=SIZE).cropped == ("left",)
    with pytest.raises(CanvasError, match="on the left"):
        locate_canvas(beheaded, SIZE)


def _confidence(picture: str) -> float:
    codes = getattr(skimage.data, picture)()
    codes = np.repeat(codes[..., None], 3, axis=2) if codes.ndim == 2 else codes[..., :3]
    try:
        return locate_canvas(Photo(np.ascontiguousarray(codes), srgb_curve()), SIZE).confidence
    except CanvasError:
        return 0.0


def test_photos_with_no_canvas_are_refused() -> None:
    names = "coffee chelsea grass rocket astronaut coins gravel moon page camera brick"
    assert [name for name in names.split() if _confidence(name) > 0] == []
