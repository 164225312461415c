"""The acetate put onto a picture: where its lines fall, how wide, how strong."""

from itertools import pairwise

import numpy as np
import pytest

from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.raster import line_cover, lines_over
from core.size import Size

CANVAS = Size(100, 80)
GREY = 150
RED = (200, 30, 30)


def sheet(px_per_mm: float) -> np.ndarray:
    return np.full((round(80 * px_per_mm), round(100 * px_per_mm), 3), GREY, dtype=np.uint8)


def straight(x0: float, y0: float, x1: float, y1: float) -> Drawing:
    return Drawing(CANVAS, (Line.through(np.array([(x0, y0), (x1, y1)])),))


def centre_of_rows(cover: np.ndarray) -> np.ndarray:
    """The centre of what is covered in each row, in pixels."""
    weights = cover.astype(float)
    return (weights * np.arange(cover.shape[1])).sum(axis=1) / weights.sum(axis=1)


@pytest.mark.parametrize("px_per_mm", [3.0, 5.0, 7.5])
@pytest.mark.parametrize("x_mm", [40.0, 40.1, 40.25, 40.49])
def test_lines_fall_where_their_millimetres_are(px_per_mm, x_mm):
    cover = line_cover(
        sheet(px_per_mm).shape[:2], straight(x_mm, -5, x_mm, 90), px_per_mm, line_weight_mm=3 / px_per_mm
    )
    # Pixel centres lie at (column + 0.5) / px_per_mm mm.
    assert np.allclose(centre_of_rows(cover), x_mm * px_per_mm - 0.5, atol=0.15)


@pytest.mark.parametrize("weight_px", [1.0, 2.0, 2.5, 3.4, 5.0, 9.0])
def test_lines_are_as_wide_as_asked(weight_px):
    cover = line_cover(sheet(5.0).shape[:2], straight(50.1, -5, 50.1, 90), 5.0, line_weight_mm=weight_px / 5.0)
    assert np.allclose(cover[2:-2].astype(float).sum(axis=1) / 255, weight_px, atol=0.3)
    slant = line_cover(sheet(5.0).shape[:2], straight(20, 10, 80, 70), 5.0, line_weight_mm=weight_px / 5.0)
    length = np.hypot(60, 60) * 5.0
    assert slant.sum(dtype=np.int64) / 255 / length == pytest.approx(weight_px, abs=0.35)


def test_lines_under_a_pixel_are_fainter_and_wider_ones_steadily_heavier():
    inks = [
        line_cover(sheet(5.0).shape[:2], straight(20, 10, 80, 70), 5.0, line_weight_mm=weight).sum(dtype=np.int64)
        for weight in (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0)
    ]
    assert all(lighter < heavier for lighter, heavier in pairwise(inks))
    assert inks[1] == pytest.approx(2 * inks[0], rel=0.03)


def test_a_circle_is_drawn_on_its_circle():
    angle = np.linspace(0, 2 * np.pi, 200)
    ring = np.stack([50 + 30 * np.cos(angle), 40 + 30 * np.sin(angle)], axis=1)
    cover = line_cover(sheet(8.0).shape[:2], Drawing(CANVAS, (Line.through(ring),)), 8.0, line_weight_mm=0.25)
    rows, columns = np.nonzero(cover > 128)
    radius = np.hypot((columns + 0.5) / 8 - 50, (rows + 0.5) / 8 - 40)
    assert np.abs(radius - 30).max() < 0.25
    assert len(rows) > 2 * np.pi * 30 * 8


def test_strength_blends_between_the_picture_and_the_colour():
    under, drawing = sheet(5.0), straight(50, -5, 50, 90)
    full = lines_over(under, drawing, 5.0, colour=RED, line_weight_mm=2.0)
    half = lines_over(under, drawing, 5.0, colour=RED, line_weight_mm=2.0, strength=0.5)
    assert full[200, 250].tolist() == list(RED)
    assert half[200, 250].tolist() == [175, 90, 90]
    assert np.array_equal(lines_over(under, drawing, 5.0, strength=0.0), under)
    assert full[200, 20].tolist() == [GREY] * 3
    assert full.dtype == np.uint8


def test_the_picture_underneath_is_not_touched():
    under = sheet(5.0)
    before = under.copy()
    under.setflags(write=False)
    lines_over(under, Drawing(CANVAS, straight(0, 0, 100, 80).lines, (Landmark("a", 20, 30),)), 5.0)
    assert np.array_equal(under, before)


def test_landmarks_are_rings_with_their_number_kept_on_the_picture():
    marks = (Landmark("a", 50, 40), Landmark("b", 99, 1), Landmark("c", 1, 79))
    under = sheet(6.0)
    over = lines_over(under, Drawing(CANVAS, (), marks), 6.0, line_weight_mm=0.3)
    changed = (over != under).any(axis=2)
    rows, columns = np.nonzero(changed)
    x, y = (columns + 0.5) / 6, (rows + 0.5) / 6
    for mark in marks:
        away = np.hypot(x - mark.x_mm, y - mark.y_mm)
        assert (away < 1.0).sum() == 0  # the landmark itself stays clear
        assert ((away > 1.2) & (away < 1.8)).sum() > 20  # its ring, 1.5 mm
        assert ((away > 2.0) & (away < 8.0)).sum() > 20  # its number, beside it
    plain = lines_over(under, Drawing(CANVAS, (), marks), 6.0, landmarks=False)
    assert np.array_equal(plain, under)


def test_numbers_differ():
    def around(count: int) -> np.ndarray:
        marks = tuple(Landmark(str(n), 5 + 90 * (n == count), 40) for n in range(1, count + 1))
        return lines_over(sheet(6.0), Drawing(CANVAS, (), marks), 6.0)[180:240, 500:]

    assert (around(2) != around(3)).any()


def test_a_drawing_that_runs_off_the_picture_or_is_empty():
    far = straight(-8000, 40, 8000, 40)
    over = lines_over(sheet(10.0), far, 10.0)
    assert (over[400, :, 0] != GREY).all()
    assert np.array_equal(lines_over(sheet(3.0), Drawing(CANVAS), 3.0), sheet(3.0))


@pytest.mark.parametrize(
    ("picture", "px_per_mm", "options"),
    [
        (np.zeros((10, 10), np.uint8), 1.0, {}),
        (np.zeros((10, 10, 4), np.uint8), 1.0, {}),
        (np.zeros((10, 10, 3), np.float32), 1.0, {}),
        (np.zeros((10, 10, 3), np.uint8), 0.0, {}),
        (np.zeros((10, 10, 3), np.uint8), np.nan, {}),
        (np.zeros((10, 10, 3), np.uint8), 1.0, {"strength": 1.5}),
        (np.zeros((10, 10, 3), np.uint8), 1.0, {"line_weight_mm": 0.0}),
    ],
)
def test_other_pictures_and_ranges_are_refused(picture, px_per_mm, options):
    with pytest.raises(ValueError, match=r"must be|picture is"):
        lines_over(picture, Drawing(CANVAS), px_per_mm, **options)
