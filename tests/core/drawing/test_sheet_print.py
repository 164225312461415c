"""The sheets as they come out of the printer: rasterised by pdfium and measured in mm."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from core.drawing.drawing import Drawing
from core.drawing.sheet import Sheets, sheet_preview
from core.drawing.sheet_request import SheetRequest
from core.drawing.squaring import Squaring
from core.size import PAPERS, Size
from tests.core.drawing.sheet_case import (
    DARK,
    along,
    demo_drawing,
    one_line,
    pdf_of,
    rendered,
    spiral,
    words_of,
)

PX = 300 / 25.4
TRUE_MM = 0.2

PAPER_SIZES = [PAPERS["A4"], PAPERS["A3"], PAPERS["Letter"], PAPERS["A5"], Size(211.5, 333.25)]


def longest_run(lit: NDArray[np.bool_]) -> tuple[int, int, int]:
    """The longest level run of dark pixels: row, first column, one past the last."""
    edges = np.diff(np.pad(lit, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)
    longest = int(np.argmax(ends - starts))
    return int(rows[longest]), int(starts[longest]), int(ends[longest])


def ruler_mm(page: NDArray[np.uint8]) -> float:
    """From the middle of a level ruler's first mark to the middle of its last, found as the page's longest line."""
    row, start, end = longest_run(page < 200)
    above = 255.0 - page[row - round(2.6 * PX) : row - round(2.3 * PX)].astype(np.float64).mean(axis=0)
    middles = []
    for at in (start, end):
        near = slice(at - round(0.5 * PX), at + round(0.5 * PX) + 1)
        weight = above[near] - above[near].min()
        assert weight.sum() > 0, "the ruler has no mark at its end"
        middles.append(float((np.arange(near.start, near.stop) * weight).sum() / weight.sum()))
    return (middles[1] - middles[0]) / PX


@pytest.mark.parametrize("paper", PAPER_SIZES)
@pytest.mark.parametrize("mirrored", [False, True])
def test_both_rulers_measure_100_mm_on_every_sheet(paper, mirrored):
    request = SheetRequest(one_line((100, 90), (300, 200)), paper=paper, mirrored=mirrored)
    sheets, document = pdf_of(request)
    for index in range(1, len(sheets.pages)):
        page = rendered(document, index, PX)
        assert ruler_mm(page) == pytest.approx(100, abs=TRUE_MM)
        assert ruler_mm(np.rot90(page)) == pytest.approx(100, abs=TRUE_MM)


def test_the_plan_has_its_ruler_too():
    _, document = pdf_of(SheetRequest(one_line((100, 100), (140, 130))))
    page = rendered(document, 0, PX)
    assert ruler_mm(page[-round(30 * PX) :]) == pytest.approx(100, abs=TRUE_MM)


@pytest.mark.parametrize("paper", PAPER_SIZES)
def test_pages_are_exactly_the_paper(paper):
    sheets, document = pdf_of(SheetRequest(spiral(), paper=paper))
    wide, high = sheets.paper.width_mm, sheets.paper.height_mm
    assert sorted((wide, high)) == sorted((paper.width_mm, paper.height_mm))
    for page in document:
        left, bottom, right, top = page.get_mediabox()
        assert (left, bottom) == (0, 0)
        assert (right * 25.4 / 72, top * 25.4 / 72) == pytest.approx((wide, high), abs=0.002)


def frame_pixels(page: NDArray[np.uint8], sheets: Sheets, index: int) -> NDArray[np.float64]:
    """Centres of the dark pixels within the frame, (n, 2) mm on the sheet."""
    frame = sheets.tiles[index - 1].frame
    rows, columns = np.nonzero(page < DARK)
    found = (np.column_stack([columns, rows]) + 0.5) / PX
    inside = (found > (frame.left, frame.top)).all(axis=1) & (found < (frame.right, frame.bottom)).all(axis=1)
    return found[inside]


def on_sheet(points: NDArray[np.float64], sheets: Sheets, index: int, *, beyond: float = 0.0) -> NDArray[np.float64]:
    """Where places on the canvas should be on a sheet, by its tile's rectangle; to so many mm beyond its frame."""
    frame = sheets.tiles[index - 1].frame
    left, top, right, _ = sheets.pages[index].on_canvas
    across = right - points[:, 0] if sheets.request.mirrored else points[:, 0] - left
    here = np.column_stack([frame.left + across, frame.top + points[:, 1] - top])
    low, high = np.array([frame.left, frame.top]) - beyond, np.array([frame.right, frame.bottom]) + beyond
    return here[(here > low).all(axis=1) & (here < high).all(axis=1)]


def farthest(points: NDArray[np.float64], others: NDArray[np.float64], shape: tuple[int, ...]) -> float:
    """How far the farthest of some places is from the nearest of others, mm, to a tenth of a pixel or so."""
    paper = np.full(shape, 255, dtype=np.uint8)
    columns, rows = np.floor(others * PX).astype(int).T
    paper[rows.clip(0, shape[0] - 1), columns.clip(0, shape[1] - 1)] = 0
    away = cv2.distanceTransform(paper, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    columns, rows = np.floor(points * PX).astype(int).T
    return float(away[rows, columns].max()) / PX if len(points) else 0.0


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("drawing", [spiral(), Drawing(spiral().size, demo_drawing().lines[:16])])
def test_the_sheets_put_together_are_the_drawing(drawing, mirrored):
    request = SheetRequest(drawing, mirrored=mirrored, line_weight_mm=0.3)
    sheets, document = pdf_of(request)
    points, seen = along(drawing), 0
    for index in range(1, len(sheets.pages)):
        page = rendered(document, index, PX)
        dark, should = frame_pixels(page, sheets, index), on_sheet(points, sheets, index)
        seen += len(should)
        assert farthest(should, dark, page.shape) < TRUE_MM
        assert farthest(dark, on_sheet(points, sheets, index, beyond=1.0), page.shape) < TRUE_MM + 0.3 / 2
    assert seen >= len(points)


def test_two_neighbours_show_the_same_in_their_overlap():
    sheets, document = pdf_of(SheetRequest(spiral(), paper=PAPERS["A5"], line_weight_mm=0.4))
    numbers = {page.name: index for index, page in enumerate(sheets.pages)}
    compared = 0
    for index, sheet in enumerate(sheets.pages[1:], start=1):
        other = numbers.get(sheet.neighbours.right)
        if other is None:
            continue
        shared = (sheets.pages[other].on_canvas[0] + 0.3, sheet.on_canvas[2] - 0.3)
        assert shared[1] - shared[0] == pytest.approx(10 - 0.6)
        both = []
        for number in (index, other):
            frame, box = sheets.tiles[number - 1].frame, sheets.pages[number].on_canvas
            dark = frame_pixels(rendered(document, number, PX), sheets, number)
            dark = dark + np.array([box[0] - frame.left, box[1] - frame.top]) - (shared[0], sheet.on_canvas[1])
            both.append(dark[(dark[:, 0] > 0) & (dark[:, 0] < shared[1] - shared[0])])
        compared += len(both[0])
        shape = (round(300 * PX), round(10 * PX))
        assert farthest(both[0], both[1], shape) < TRUE_MM
        assert farthest(both[1], both[0], shape) < TRUE_MM
    assert compared > 500


def test_the_marks_of_two_neighbours_lie_on_the_same_places_of_the_canvas():
    sheets, _ = pdf_of(SheetRequest(spiral(), paper=PAPERS["A5"]))
    by_name = {tile.name: tile for tile in sheets.tiles}
    for tile in sheets.tiles:
        if tile.neighbours.right:
            other = by_name[tile.neighbours.right]
            mine = tile.joins[2] - tile.frame.left + tile.shown[0]
            assert mine == pytest.approx(other.joins[0] - other.frame.left + other.shown[0], abs=1e-6)
            assert tile.shown[1] == pytest.approx(other.shown[1], abs=1e-6)


def test_names_and_neighbours_can_be_read():
    sheets, document = pdf_of(SheetRequest(spiral(), dots=True))
    plan = words_of(document, 0)
    assert "Mounting plan" in plan
    assert "actual size" in plan
    for index, sheet in enumerate(sheets.pages[1:], start=1):
        said = words_of(document, index)
        assert f"Sheet {sheet.name}, {index} of {sheets.count}" in said
        assert sheet.name in plan
        for beside in (
            sheet.neighbours.left, sheet.neighbours.right, sheet.neighbours.above, sheet.neighbours.below
        ):  # fmt: skip
            assert beside in said
    every = " ".join(words_of(document, index) for index in range(len(sheets.pages)))
    assert "spout" in every
    assert "quince" in every


def test_mirrored_sheets_say_so_and_their_words_stay_readable():
    request = SheetRequest(spiral(), mirrored=True, dots=True, squaring=Squaring(4, 3))
    sheets, document = pdf_of(request)
    assert "mirrored" in words_of(document, 0)
    for index in range(1, len(sheets.pages)):
        assert "Mirrored: for tracing from the back" in words_of(document, index)


def test_film_is_black_alone_and_thin():
    drawing = spiral()
    request = SheetRequest(
        drawing, film=True, dots=True, line_weight_mm=1.5, squaring=Squaring(4, 3), paper=PAPERS["A5"]
    )
    sheets, document = pdf_of(request)
    assert sheets.left_out == () or sheets.count < sheets.tiling.columns * sheets.tiling.rows
    for index in range(2):
        big = rendered(document, index, 40.0)
        grey = ((big > 20) & (big < 235)).astype(np.uint8)
        inner = cv2.erode(grey, np.ones((3, 3), np.uint8))  # only edges of black may be grey, and they are a pixel wide
        assert inner.sum() == 0


def test_the_preview_is_the_page_as_it_is_printed():
    """Two thresholds, since a line of hardly more than a pixel is greyed a little differently by each."""
    sheets, document = pdf_of(SheetRequest(demo_drawing(), dots=True, squaring=Squaring(4, 3, thirds=True)))
    for index in range(len(sheets.pages)):
        shown, printed = sheet_preview(sheets, index, dpi=300), rendered(document, index, PX)
        assert shown.dtype == np.uint8
        assert (shown == shown[..., :1]).all()
        high, wide = min(shown.shape[0], printed.shape[0]), min(shown.shape[1], printed.shape[1])
        one, other = shown[:high, :wide, 0], printed[:high, :wide]
        for here, there in ((one, other), (other, one)):
            dark, near = here < 90, cv2.erode(there, np.ones((5, 5), np.uint8)) < 170
            assert dark.sum() > 10_000
            assert (dark & ~near).sum() < 0.002 * dark.sum()


def test_the_shadow_edge_is_broken_and_the_inner_form_thinner():
    lines = [
        *one_line((50, 50), (250, 50)).lines,
        *one_line((50, 60), (250, 60), layer="inner form").lines,
        *one_line((50, 70), (250, 70), layer="shadow edge").lines,
    ]
    sheets, document = pdf_of(SheetRequest(Drawing(Size(400, 300), tuple(lines))))
    page = rendered(document, 1, PX)
    frame, box = sheets.tiles[0].frame, sheets.pages[1].on_canvas
    inked = []
    for y in (50, 60, 70):
        row = (y - box[1] + frame.top) * PX
        left, right = (round((x - box[0] + frame.left) * PX) for x in (52, 248))
        band = 255.0 - page[round(row - PX) : round(row + PX), left:right].astype(np.float64)
        inked.append((band.sum(axis=0) / 255 / PX, (band.max(axis=0) > 128).mean()))
    assert np.median(inked[0][0]) == pytest.approx(0.5, abs=0.03)
    assert np.median(inked[1][0]) == pytest.approx(0.25, abs=0.03)
    assert inked[0][1] == inked[1][1] == 1.0
    assert 0.6 < inked[2][1] < 0.85
