"""Corners foretold from the photo before, on simulated photos of a painting between two sittings."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from core.canvas.foretold import LastSeen, foretell, locate_again
from core.errors import CanvasError
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, ValueFault, paint

SIZE = Size(400, 300)
WIDTH, HEIGHT = 1200, 900


@cache
def _painted(name: str = "chelsea", *, shift_mm: float = 0.0) -> Painted:
    linear = references.linear(references.pixels(name, SIZE, width=900))
    faults = (ValueFault(120, 100, 50, 40, 1.2),) if shift_mm else ()
    return paint(
        linear, Displacement(SIZE, shift_mm=(shift_mm, 0.0)), faults=faults, brushwork="texture", px_per_mm=3.0
    )


@cache
def _shot(name: str, seed: int, shift_mm: float = 0.0) -> tuple[Photo, Camera]:
    corners = stand_before(np.random.default_rng(seed), SIZE.aspect, width=WIDTH, height=HEIGHT, fill=0.7, tilt=0.06)
    camera = Camera(
        corners, width=WIDTH, height=HEIGHT, k1=-0.03, exposure=0.9, light_ratio=1.5, setting="frames", seed=seed
    )
    return Photo(photograph(_painted(name, shift_mm=shift_mm), camera).pixels, srgb_curve()), camera


@cache
def _last() -> LastSeen:
    photo, camera = _shot("chelsea", 1)
    return LastSeen.of(photo, np.array(camera.corners), SIZE, camera.k1)


def _off_mm(found: np.ndarray, camera: Camera) -> float:
    return float(np.linalg.norm(found - np.array(camera.corners), axis=1).max()) / (WIDTH * 0.7 / SIZE.width_mm)


def test_the_corners_are_where_the_canvas_ends() -> None:
    photo, camera = _shot("chelsea", 2)
    fix = foretell(photo, _last())
    assert _off_mm(fix.corners_px, camera) < 0.5
    assert fix.found_by == "outline"
    assert fix.k1 == pytest.approx(camera.k1, abs=0.02)


@pytest.mark.parametrize("shift_mm", [2.5, 9.0])
def test_a_painting_that_moved_on_its_canvas_moves_no_corner(shift_mm: float) -> None:
    """Everything is painted further right than in the photo before: the corners stay the canvas's."""
    photo, camera = _shot("chelsea", 3, shift_mm)
    assert _off_mm(foretell(photo, _last()).corners_px, camera) < 0.5


def test_another_painting_is_not_foretold() -> None:
    with pytest.raises(CanvasError, match="too differently"):
        foretell(_shot("coffee", 2)[0], _last())


def test_where_it_cannot_be_foretold_the_outline_is_taken_if_it_is_certain() -> None:
    photo, camera = _shot("chelsea", 4)
    blind = replace(_last(), marks=(np.empty((0, 2)), np.empty((0, 128), np.float32)))
    with pytest.raises(CanvasError):
        foretell(photo, blind)
    assert _off_mm(locate_again(photo, blind).corners_px, camera) < 0.5
    plain = Photo(np.full((600, 800, 3), 128, np.uint8), srgb_curve())
    with pytest.raises(CanvasError):
        locate_again(plain, _last())
