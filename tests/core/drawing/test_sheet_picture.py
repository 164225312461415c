"""The whole drawing as one picture: its size, its resolution, and lines where they belong."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from core.drawing.sheet import write_picture
from core.drawing.sheet_page import Draft
from core.drawing.sheet_picture import page_pixels
from core.drawing.sheet_request import SheetRequest
from core.errors import DrawingError
from core.size import Size
from tests.core.drawing.sheet_case import one_line

CROSS = one_line((100, 50), (100, 250))


def read(path: Path) -> tuple[np.ndarray, tuple[float, float]]:
    with Image.open(path) as picture:
        return np.asarray(picture.convert("L")), picture.info["dpi"]


@pytest.mark.parametrize("dpi", [72, 300, 317.5])
def test_the_picture_has_the_canvas_s_size_and_says_its_dpi(tmp_path: Path, dpi: float):
    assert write_picture(tmp_path / "line.png", SheetRequest(CROSS), dpi=dpi) == (
        round(400 / 25.4 * dpi),
        round(300 / 25.4 * dpi),
    )
    pixels, noted = read(tmp_path / "line.png")
    assert pixels.shape == (round(300 / 25.4 * dpi), round(400 / 25.4 * dpi))
    assert noted == pytest.approx((dpi, dpi), abs=0.02)  # PNG counts pixels per metre, in whole numbers


@pytest.mark.parametrize(("mirrored", "x_mm"), [(False, 100), (True, 300)])
def test_lines_lie_where_they_belong_and_are_as_wide_as_asked(tmp_path: Path, mirrored: bool, x_mm: float):
    write_picture(tmp_path / "line.png", SheetRequest(CROSS, mirrored=mirrored, line_weight_mm=0.6), dpi=254)
    pixels, _ = read(tmp_path / "line.png")
    ink = (255.0 - pixels[1500]) / 255.0
    assert ((np.arange(4000) + 0.5) * ink).sum() / ink.sum() / 10 == pytest.approx(x_mm, abs=0.02)
    assert ink.sum() / 10 == pytest.approx(0.6, abs=0.03)
    inked_rows = np.flatnonzero((pixels < 128).any(axis=1)) / 10
    assert (inked_rows.min(), inked_rows.max()) == pytest.approx((50, 250), abs=0.5)


def test_a_picture_of_absurdly_many_pixels_is_refused_with_what_would_do(tmp_path: Path):
    with pytest.raises(DrawingError, match=r"37,795 × 28,346 pixels.*Take 803 dpi or less"):
        write_picture(tmp_path / "line.png", SheetRequest(CROSS), dpi=2400)
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path: Path):
    with pytest.raises(DrawingError, match="no folder"):
        write_picture(tmp_path / "gone" / "line.png", SheetRequest(CROSS), dpi=72)


@pytest.mark.parametrize("turn", [0, 90, 270])
@pytest.mark.parametrize(("anchor", "share"), [("left", 0.0), ("middle", 0.5), ("right", 1.0)])
def test_words_stand_where_they_are_said_to(turn, anchor, share):
    """A row of full-height letters: its ink begins, has its middle or ends at the place, and stands on the baseline."""
    draft = Draft(Size(100, 100))
    draft.write("HHHHHHHHHH", 50, 50, 12, anchor=anchor, turn=turn)
    rows, columns = np.nonzero(page_pixels(draft.page(), 10.0) < 128)
    x, y = (columns + 0.5) / 10 - 50, (rows + 0.5) / 10 - 50
    forward = {0: x, 90: -y, 270: y}[turn]
    up = {0: -y, 90: -x, 270: x}[turn]
    at = forward.min() + share * (forward.max() - forward.min())
    assert at == pytest.approx(0.0, abs=0.6)
    assert up.min() == pytest.approx(0.0, abs=0.15)
    assert up.max() == pytest.approx(0.728 * 12 * 25.4 / 72, abs=0.15)


def test_black_is_laid_over_grey():
    draft = Draft(Size(60, 60))
    draft.line(10, 30, 50, 30, 2.0, 0.0)
    draft.line(30, 10, 30, 50, 2.0, 0.6)
    assert page_pixels(draft.page(), 10.0)[300, 300] < 8
