"""Photos that hold no drawing, or not all of it: a sentence each, and what to do."""

import numpy as np
import pytest

from core.drawing.scan import scan_drawing, scan_flatbed
from core.drawing.scan_sheet import flatbed_corners
from core.errors import CancelledError, DrawingError
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.core.drawing.drawn_sheets import Stroke, as_photo, drawn, paper, square_photo, weave
from tests.studio import references
from tests.studio.painter import Painted

A6 = Size(148.0, 105.0)


def sheet(*, lines: bool = True, under: bool = False) -> Painted:
    rng = np.random.default_rng(0)
    blank = weave(paper(A6, rng), A6) if under else paper(A6, rng)
    frame = np.array([[30.0, 20.0], [120.0, 30.0], [110.0, 90.0], [30.0, 20.0]])
    return drawn([Stroke(frame, 0.5)] if lines else [], blank, A6, rng)


@pytest.mark.parametrize("under", [False, True])
def test_nothing_drawn(under: bool) -> None:
    photo, corners = as_photo(sheet(lines=False, under=under), 3, width=1600, height=1200)
    with pytest.raises(DrawingError, match="No lines were found"):
        scan_drawing(photo, A6, corners_px=corners)


@pytest.mark.parametrize("name", ["astronaut", "chelsea", "coffee"])
def test_a_photograph(name: str) -> None:
    size = Size(240.0, 160.0)
    pixels = references.pixels(name, size, width=1440)
    with pytest.raises(DrawingError, match="looks like a photograph, not a line drawing"):
        scan_flatbed(Photo(pixels, srgb_curve()), size)


def test_a_sheet_black_with_lines() -> None:
    rng = np.random.default_rng(0)
    lines = [Stroke(np.array([[5.0, y], [143.0, y + 0.5]]), 1.2) for y in np.arange(5.0, 100.0, 2.4)]
    with pytest.raises(DrawingError, match="looks like a photograph"):
        scan_flatbed(square_photo(drawn(lines, paper(A6, rng), A6, rng)), A6)


def test_a_sheet_cut_off() -> None:
    photo = square_photo(sheet())
    corners = flatbed_corners(photo) + np.array([[0, 0], [60, 0], [60, 0], [0, 0]])
    with pytest.raises(DrawingError, match="cut off on the right"):
        scan_drawing(photo, A6, corners_px=corners)


@pytest.mark.parametrize("order", [(0, 2, 1, 3), (3, 2, 1, 0), (0, 0, 2, 3)])
def test_corners_that_cannot_be_a_sheet(order: tuple[int, ...]) -> None:
    photo = square_photo(sheet())
    with pytest.raises(DrawingError, match=r"sheet|corners") as caught:
        scan_drawing(photo, A6, corners_px=flatbed_corners(photo)[list(order)])
    assert "canvas" not in str(caught.value)
    with pytest.raises(DrawingError, match="corners on the canvas cannot be"):
        scan_flatbed(photo, A6, sheet_corners_mm=np.array([[0, 0], [148, 0], [148, 105], [0, 105]])[list(order)])


def test_too_small_a_photo_says_how_large_it_must_be() -> None:
    photo = square_photo(sheet())
    small = Photo(np.ascontiguousarray(photo.codes[::6, ::6]), photo.curve)  # 247 × 175 pixels of 148 × 105 mm
    with pytest.raises(DrawingError, match=r"1\.6 pixels for each mm .* 2\.5 are needed.*400 × 300"):
        scan_flatbed(small, A6)


def test_a_scan_of_another_shape() -> None:
    with pytest.raises(DrawingError, match="has not the shape of a sheet"):
        scan_flatbed(square_photo(sheet()), Size(148.0, 115.0))


@pytest.mark.parametrize("tolerance", [0.0, -1.0, np.nan, np.inf])
def test_a_tolerance_that_is_none(tolerance: float) -> None:
    with pytest.raises(ValueError, match="tolerance"):
        scan_flatbed(square_photo(sheet()), A6, tolerance_mm=tolerance)


def test_it_tells_how_far_it_is_and_can_be_stopped() -> None:
    told: list[float] = []
    photo = square_photo(sheet())
    scan_flatbed(photo, A6, progress=lambda share, doing: told.append(share))
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)

    for stop in range(len(told)):
        heard: list[float] = []

        def until(share: float, doing: str, heard: list[float] = heard, stop: int = stop) -> None:
            heard.append(share)
            if len(heard) > stop:
                raise CancelledError("Stopped.")

        with pytest.raises(CancelledError):
            scan_flatbed(photo, A6, progress=until)
