"""The sheet in a photo: found either way up, named by its shape, its corners turned."""

import numpy as np
import pytest

from core.drawing.scan_find import find_sheet, lens_at, likely_sheet, standing_as, turned_corners
from core.errors import DrawingError
from core.photo import Photo, srgb_curve
from core.size import PAPERS, Size
from tests.core.drawing.drawn_sheets import Stroke, as_photo, drawn, paper
from tests.studio.camera import Camera, photograph

A6 = Size(148.0, 105.0)
CANVAS = Size(200.0, 150.0)
UPRIGHT = np.array([[100.0, 100.0], [300.0, 110.0], [310.0, 500.0], [90.0, 480.0]])


def blank(width: int, height: int, code: int = 200) -> Photo:
    return Photo(np.full((height, width, 3), code, dtype=np.uint8), srgb_curve())


def test_a_sheet_is_found_whichever_way_up_it_was_given() -> None:
    rng = np.random.default_rng(1)
    sheet = drawn([Stroke(np.array([[30.0, 20.0], [120.0, 80.0]]), 0.5)], paper(A6, rng), A6, rng)
    photo, corners = as_photo(sheet, 1, width=1600, height=1200)
    for given in (A6, A6.turned):
        fix = find_sheet(photo, given)
        assert fix.corners_px == pytest.approx(corners, abs=1.0)
        assert fix.sheet == A6
        assert fix.confidence > 0.9
        assert fix.uncertainty_mm < 0.5


def test_an_even_picture_has_no_sheet() -> None:
    with pytest.raises(DrawingError, match="outline was not found"):
        find_sheet(blank(1200, 900), A6)


def test_a_sheet_that_runs_out_of_the_photo_is_said() -> None:
    rng = np.random.default_rng(1)
    sheet = drawn([Stroke(np.array([[30.0, 20.0], [120.0, 80.0]]), 0.5)], paper(A6, rng), A6, rng)
    photo, corners = as_photo(sheet, 1, width=1600, height=1200)
    cut = Photo(np.ascontiguousarray(photo.codes[: round(corners[2:, 1].min()) - 60]), photo.curve)
    with pytest.raises(DrawingError, match="sheet seems to run out of the photo at the bottom"):
        find_sheet(cut, A6)


def test_the_lens_is_read_from_the_sheet_s_edges() -> None:
    rng = np.random.default_rng(1)
    sheet = drawn([], paper(A6, rng), A6, rng)
    corners = np.array([[150.0, 120.0], [1450.0, 130.0], [1440.0, 1060.0], [160.0, 1050.0]])
    shot = photograph(sheet, Camera(tuple(map(tuple, corners)), width=1600, height=1200, k1=-0.06))
    assert lens_at(Photo(shot.pixels, srgb_curve()), corners) == pytest.approx(-0.06, abs=0.015)
    assert lens_at(blank(1600, 1200), corners) == 0.0
    with pytest.raises(DrawingError, match="sheet's sides cross"):
        lens_at(blank(1600, 1200), corners[[0, 2, 1, 3]])


def test_which_way_up_the_corners_say() -> None:
    assert standing_as(A6, UPRIGHT) == A6.turned
    assert standing_as(A6.turned, UPRIGHT) == A6.turned
    assert standing_as(A6.turned, turned_corners(UPRIGHT, 1)) == A6


def test_corners_are_named_anew_when_the_photo_is_turned() -> None:
    once = turned_corners(UPRIGHT, 1)  # clockwise: what was bottom left is top left
    assert once[0] == pytest.approx(UPRIGHT[3])
    assert turned_corners(once, 3) == pytest.approx(UPRIGHT)


@pytest.mark.parametrize(
    ("pixels", "sheet"),
    [
        ((1600, 1200), CANVAS),
        ((1200, 1600), CANVAS),
        ((2480, 3508), PAPERS["A4"]),
        ((3508, 2480), PAPERS["A4"]),
        ((2550, 3300), PAPERS["Letter"]),
        ((1600, 900), CANVAS),
    ],
)
def test_the_sheet_that_a_picture_s_shape_tells(pixels: tuple[int, int], sheet: Size) -> None:
    assert likely_sheet(blank(*pixels), CANVAS) == sheet
