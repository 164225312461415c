"""The page of corner tabs read back from the PDF by PDFium, which had no part in making it."""

from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.canvas.corners import NAMES
from core.canvas.tab_find import find_tabs
from core.canvas.tabs import GREY_VALUES, MODULES, NEAREST, QUIET_MM, TAB_MM, grey_squares, tab_modules
from core.colorimetry import decode_srgb, munsell_value
from core.errors import CanvasError, PainterError
from core.size import PAPERS
from core.tabs_page import PIECE_MM, RULER_MM, piece_at, square_at, tabs_page, tabs_page_bytes

PX = 10.0  # pixels to the mm
RENDERED_MM = 2.1 / PX
"""PDFium fills every pixel that a rectangle touches."""
BEYOND_MM = 10.0
"""What a printer may leave white at the paper's edges: common practice, no source."""


def read(paper: str) -> tuple[np.ndarray, str]:
    document = pypdfium2.PdfDocument(tabs_page_bytes(paper=paper))
    assert len(document) == 1
    pixels = document[0].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy()
    told = document[0].get_textpage().get_text_range()
    document.close()
    return pixels.reshape(pixels.shape[:2]), " ".join(told.split())


@pytest.fixture(scope="module", params=["A4", "Letter"])
def page(request: pytest.FixtureRequest) -> tuple[str, np.ndarray, str]:
    return request.param, *read(request.param)


def places(paper: str, corner: int) -> tuple[float, float]:
    """Left and top of a square on the paper, mm."""
    return tuple(np.array(piece_at(PAPERS[paper], corner)) + np.array(square_at(corner)))


def test_the_printed_tabs_are_those_that_are_found(page: tuple[str, np.ndarray, str]) -> None:
    paper, pixels, _ = page
    found = find_tabs(np.asarray(decode_srgb(pixels / 255), dtype=np.float32))
    assert [tab.corner for tab in found] == [0, 1, 2, 3]
    for tab in found:
        left, top = places(paper, tab.corner)
        square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * TAB_MM + (left, top)
        assert np.abs((tab.corners_px + 0.5) / PX - square).max() < RENDERED_MM


def test_every_module_is_printed(page: tuple[str, np.ndarray, str]) -> None:
    paper, pixels, _ = page
    side = TAB_MM / MODULES
    for corner in range(4):
        left, top = places(paper, corner)
        for row, column in np.ndindex(MODULES, MODULES):
            y, x = top + row * side, left + column * side
            part = pixels[
                round((y + 0.4) * PX) : round((y + side - 0.4) * PX),
                round((x + 0.4) * PX) : round((x + side - 0.4) * PX),
            ]
            assert np.ptp(part) == 0
            assert (part[0, 0] > 127) == tab_modules(corner)[row, column]


def test_white_surrounds_each_square(page: tuple[str, np.ndarray, str]) -> None:
    """A module of it at least, which finding needs."""
    paper, pixels, _ = page
    for corner in range(4):
        left, top = places(paper, corner)
        wide = TAB_MM / MODULES
        outer = pixels[
            round((top - wide) * PX) : round((top + TAB_MM + wide) * PX),
            round((left - wide) * PX) : round((left + TAB_MM + wide) * PX),
        ].copy()
        edge = round((wide - 0.2) * PX)
        outer[edge:-edge, edge:-edge] = 255
        assert outer.min() > 250


def test_greys_in_print_are_those_that_are_meant(page: tuple[str, np.ndarray, str]) -> None:
    paper, pixels, said = page
    for corner in range(4):
        left, top = places(paper, corner)
        for value, grey in zip(GREY_VALUES, grey_squares(corner), strict=True):
            x, y = grey.mean(axis=0) + np.array((left, top))
            code = pixels[round(y * PX), round(x * PX)]
            assert float(munsell_value(decode_srgb(code / 255))) == pytest.approx(value, abs=0.03)
    assert "Munsell value 3, 5, 7 and 9" in said
    assert "no printer hits them" in said


def test_the_pointer_lies_towards_the_canvas(page: tuple[str, np.ndarray, str]) -> None:
    paper, pixels, _ = page
    for corner in range(4):
        left, top = places(paper, corner)
        square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
        inked = []
        for each in square:
            x, y = np.array((left, top)) + each * TAB_MM + (2 * each - 1) * (QUIET_MM - 0.7)
            inked.append(bool(pixels[round(y * PX), round(x * PX)] < 60))
        assert inked == [index == NEAREST[corner] for index in range(4)]


def test_pieces_lie_apart_and_round_their_squares(page: tuple[str, np.ndarray, str]) -> None:
    paper, pixels, _ = page
    boxes = [np.array(piece_at(PAPERS[paper], corner)) for corner in range(4)]
    assert boxes[1][0] - boxes[0][0] > PIECE_MM[0] + 4
    assert boxes[3][1] - boxes[0][1] > PIECE_MM[1] + 4
    for box in boxes:
        along = pixels[
            round(box[1] * PX) - 1 : round(box[1] * PX) + 2, round(box[0] * PX) : round((box[0] + PIECE_MM[0]) * PX)
        ]
        dashes = along.min(axis=0) < 200
        assert 0.3 < dashes.mean() < 0.8
        assert np.abs(np.diff(dashes.astype(int))).sum() > 15


def test_the_check_ruler_is_100_mm(page: tuple[str, np.ndarray, str]) -> None:
    foot = page[1][-round(30 * PX) :]
    row = foot[np.argmax((foot < 128).sum(axis=1))]
    dark = np.flatnonzero(row < 128)
    assert (dark[-1] - dark[0]) / PX == pytest.approx(RULER_MM, abs=0.3)


def test_nothing_is_printed_where_a_printer_cannot(page: tuple[str, np.ndarray, str]) -> None:
    _, pixels, _ = page
    inked = np.argwhere(pixels < 250)
    assert inked.min() >= round(BEYOND_MM * PX)
    assert (np.array(pixels.shape) - inked.max(axis=0)).min() >= round(BEYOND_MM * PX)


def test_the_page_says_what_to_do(page: tuple[str, np.ndarray, str]) -> None:
    for part in (*NAMES, "100 %", "100 mm", "Cut along the dashed lines", "level with the front", "any two tabs"):
        assert part in page[2]


def test_text_and_ruler_keep_out_of_one_another(page: tuple[str, np.ndarray, str]) -> None:
    """White over the whole width above the ruler: the words end before it on either paper."""
    _, pixels, _ = page
    gap = pixels[-round(26 * PX) : -round(22.5 * PX)]
    assert gap.min() > 250


def test_files(tmp_path: Path) -> None:
    target = tmp_path / "tabs.pdf"
    assert tabs_page(target, paper="Letter") == 1
    assert target.read_bytes().startswith(b"%PDF")
    with pytest.raises(CanvasError, match="A4 and Letter"):
        tabs_page_bytes(paper="A5")
    with pytest.raises(PainterError):
        tabs_page(tmp_path / "nowhere" / "tabs.pdf")
