"""What lies under a stroke, against the area of a stroke with round ends and a picture many times finer."""

from itertools import pairwise

import numpy as np
import pytest

from core.strokes import pixels_under_line, under_line

ZIGZAG = ((12.3, 8.1), (40.7, 21.9), (22.2, 33.3), (47.9, 41.6))


def test_a_straight_stroke_has_the_area_of_one_with_round_ends() -> None:
    under = pixels_under_line((400, 600), ((10.0, 20.0), (45.0, 30.0)), 8.0, px_per_mm=10)
    length = np.hypot(35, 10)
    assert under.sum() / 100 == pytest.approx(length * 8 + np.pi * 16, rel=2e-3)


def test_a_dab_is_a_disc_about_its_point() -> None:
    rows, columns = np.nonzero(pixels_under_line((300, 300), ((10.0, 20.0),), 6.0, px_per_mm=10))
    assert len(rows) / 100 == pytest.approx(np.pi * 9, rel=5e-3)
    assert (columns.mean() + 0.5) / 10 == pytest.approx(10.0, abs=1e-6)
    assert (rows.mean() + 0.5) / 10 == pytest.approx(20.0, abs=1e-6)
    assert rows.min() == 170  # the pixel from 17.0 to 17.1 mm
    assert rows.max() == 229


@pytest.mark.parametrize("px_per_mm", [1.0, 1.7])
def test_pixels_are_those_whose_centres_lie_under_it(px_per_mm: float) -> None:
    shape = (round(50 * px_per_mm), round(60 * px_per_mm))
    y, x = (np.mgrid[: shape[0], : shape[1]] + 0.5) / px_per_mm
    pixels = pixels_under_line(shape, ZIGZAG, 5.0, px_per_mm=px_per_mm)
    assert np.array_equal(pixels.ravel(), under_line(x.ravel(), y.ravel(), ZIGZAG, 5.0))
    # Along the line every place within half the width is of it, and none beyond.
    fine = np.concatenate([np.linspace(a, b, 2000) for a, b in pairwise(ZIGZAG)])
    away = np.hypot(fine[:, 0] - x[..., None], fine[:, 1] - y[..., None]).min(axis=2)
    assert away[pixels].max() <= 2.5
    assert away[~pixels].min() > 2.5 - 1e-3


def test_what_leaves_the_picture_is_cut_off() -> None:
    whole = pixels_under_line((90, 120), ((20.0, 30.0), (60.0, 60.0)), 12.0, px_per_mm=1)
    part = pixels_under_line((40, 50), ((20.0, 30.0), (60.0, 60.0)), 12.0, px_per_mm=1)
    assert np.array_equal(part, whole[:40, :50])
    for outside in ((-30.0, -30.0), (200.0, 20.0), (20.0, 500.0)):
        assert not pixels_under_line((40, 50), (outside,), 12.0, px_per_mm=1).any()
    assert pixels_under_line((40, 50), ((-5.0, 20.0),), 12.0, px_per_mm=1)[:, 0].any()


def test_no_place_lies_under_a_stroke_elsewhere() -> None:
    assert not under_line(np.array([90.0]), np.array([10.0]), ZIGZAG, 5.0).any()
    assert not under_line(np.zeros(0), np.zeros(0), ZIGZAG, 5.0).size
