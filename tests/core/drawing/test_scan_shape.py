"""A sheet that is said wrongly is doubted; one that is said rightly never is."""

import numpy as np
import pytest

from core.drawing.scan_shape import shape_doubt
from core.photo import Photo, srgb_curve
from core.size import PAPERS, Size
from tests.studio.stand import stand_at

WIDTH, HEIGHT = 3264, 2448
CANVAS = Size(400.0, 300.0)
PHOTO = Photo(np.zeros((HEIGHT, WIDTH, 3), dtype=np.uint8), srgb_curve())
A4 = PAPERS["A4"].turned


def corners_of(sheet: Size, seed: int) -> np.ndarray:
    """As a hand-held camera sees it, each corner off by a pixel."""
    rng = np.random.default_rng(seed)
    corners = np.array(stand_at(rng, sheet, width=WIDTH, height=HEIGHT, fill=0.85))
    return corners + rng.normal(0.0, 1.0, (4, 2))


@pytest.mark.parametrize("sheet", [CANVAS, A4, PAPERS["A3"].turned, PAPERS["Letter"].turned, Size(240.0, 160.0)])
@pytest.mark.parametrize("seed", range(6))
def test_the_right_sheet_is_never_doubted(sheet: Size, seed: int) -> None:
    for way in (sheet, sheet.turned):
        assert shape_doubt(PHOTO, corners_of(sheet, seed), way, CANVAS) == ""


def test_paper_taken_for_the_canvas() -> None:
    doubts = [shape_doubt(PHOTO, corners_of(A4, seed), CANVAS, CANVAS) for seed in range(12)]
    told = [doubt for doubt in doubts if "is that of A4 or A3 rather than of 40 × 30 cm" in doubt]
    assert len(told) >= 9


def test_the_canvas_s_size_taken_for_paper() -> None:
    doubts = [shape_doubt(PHOTO, corners_of(CANVAS, seed), A4, CANVAS) for seed in range(12)]
    told = [doubt for doubt in doubts if "is that of the canvas rather than of 29.7 × 21 cm" in doubt]
    assert len(told) >= 9


def test_a_shape_that_is_none_of_them() -> None:
    doubt = shape_doubt(PHOTO, corners_of(Size(400.0, 200.0), 1), A4, CANVAS)
    assert "is not that of 29.7 × 21 cm" in doubt
    assert "stretched" in doubt
