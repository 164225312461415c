"""The fewest sheets: never more than need be, and everything drawn is on one of them."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.drawing.drawing import Drawing, Line
from core.drawing.sheet import lay_sheets, sheet_page
from core.drawing.sheet_frame import frame_on
from core.drawing.sheet_layout import MOST_SHEETS, fewest_sheets
from core.drawing.sheet_request import SheetRequest
from core.drawing.sheet_type import CAP_HEIGHT, MM_PER_PT, width_mm
from core.errors import DrawingError
from core.size import PAPERS, Size
from tests.core.drawing.curves import distance_to_polyline
from tests.core.drawing.sheet_case import CANVAS, along, drawings, one_line, papers, reach_of, spiral

FRAME, OVERLAP = (60.0, 40.0), 8.0
CELL_MM = 1.2  # ink is taken to cells of 1 mm, and an eighth of one


def naive_count(drawing_size: Size, request: SheetRequest) -> int:
    """Paper the bounds over from their top left corner, every sheet kept, the better way up."""
    left, top, right, bottom = request.drawing.bounds or (0, 0, 0, 0)
    weight, overlap = request.line_weight_mm, request.overlap_mm
    counts = []
    for paper in (request.paper, request.paper.turned):
        frame = frame_on(paper, request.margin_mm, overlap)
        across = math.ceil((right - left + weight - overlap) / (frame.width - overlap))
        down = math.ceil((bottom - top + weight - overlap) / (frame.height - overlap))
        counts.append(max(across, 1) * max(down, 1))
    return min(counts)


def fewest_by_trying(points: np.ndarray, grown: float) -> int:
    """Every place of the grid at which a frame begins at one of the points' squares; every choice of frames."""
    low, high = points - grown, points + grown
    step = np.array(FRAME) - OVERLAP
    best = len(points)
    for corner in product(low[:, 0], low[:, 1]):
        clauses = []
        for a, b in zip(low, high, strict=True):
            last = np.floor((a - corner) / step + 1e-9).astype(int)
            first = np.ceil((b - FRAME - corner) / step - 1e-9).astype(int)
            ways = [range(m, n + 1) for m, n in zip(first.tolist(), last.tolist(), strict=True)]
            clauses.append(frozenset(product(*ways)))
        best = min(best, hitting(clauses, best))
    return best


def hitting(clauses: list[frozenset[tuple[int, int]]], most: int) -> int:
    """The size of the smallest set that has a member of every clause; ``most`` when there is none smaller."""
    if not clauses:
        return 0
    if most <= 1:
        return most
    first = min(clauses, key=len)
    return min((1 + hitting([c for c in clauses if cell not in c], most - 1) for cell in first), default=most)


@given(st.lists(st.tuples(st.floats(0, 170), st.floats(0, 130)), min_size=1, max_size=6))
@example([(0.0, 0.0), (4.0, 105.0), (61.0, 68.0)])
@settings(max_examples=80, deadline=None)
def test_no_place_of_the_grid_needs_fewer_sheets(places):
    points = np.array(places)
    found = fewest_sheets([(point[None], 0.0) for point in points], *FRAME, OVERLAP)
    assert fewest_by_trying(points, 0.0) <= len(found.tiling.kept) <= fewest_by_trying(points, CELL_MM)


def test_a_frame_s_worth_of_drawing_takes_one_frame():
    corners = np.array([(10, 10), (70, 10), (70, 50), (10, 50), (10, 10)], dtype=np.float64)
    found = fewest_sheets([(corners, 0.0)], *FRAME, OVERLAP)
    assert found.tiling.kept == ((0, 0),)
    assert found.tiling.frame((0, 0)) == pytest.approx((10, 10, 70, 50))


def test_two_far_corners_take_two_frames_and_not_the_box_around_them():
    ends = [(np.array([(0.0, 0.0), (5.0, 5.0)]), 0.5), (np.array([(295.0, 195.0), (300.0, 200.0)]), 0.5)]
    tiling = fewest_sheets(ends, *FRAME, OVERLAP).tiling
    assert len(tiling.kept) == 2
    assert len(tiling.left_out) == tiling.columns * tiling.rows - 2


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_line_along_the_edge_of_the_canvas_is_all_there(mirrored):
    """Rounding puts some points of such a curve a last digit beyond the edge."""
    size = Size(80, 80)
    edges = [Line(np.array([(x, 0.0), (x, 0.0), (x, 0.0), (x, 80.0)])) for x in (0.0, 80.0)]
    sheets = lay_sheets(SheetRequest(Drawing(size, tuple(edges)), mirrored=mirrored, overlap_mm=0))
    drawn = [stroke for stroke in sheet_page(sheets, 1).strokes if stroke.width_mm == 0.5]
    assert [float(np.ptp(stroke.points[:, 1])) for stroke in drawn] == pytest.approx([80.0, 80.0])


def test_a_small_drawing_lies_in_the_middle_of_its_sheet():
    page = lay_sheets(SheetRequest(one_line((100, 100), (140, 120)))).pages[1]
    left, top, right, bottom = page.on_canvas
    assert ((left + right) / 2, (top + bottom) / 2) == pytest.approx((120, 110))


@given(drawings(), papers, st.floats(0, 18), st.floats(0, 12), st.booleans())
@settings(max_examples=15, deadline=None)
def test_every_bit_of_line_is_on_a_sheet_and_no_sheet_is_too_many(drawing, paper, overlap, margin, mirrored):
    request = SheetRequest(drawing, paper=paper, overlap_mm=overlap, margin_mm=margin, mirrored=mirrored)
    sheets = lay_sheets(request)
    assert sheets.count <= naive_count(drawing.size, request)
    points = along(drawing)
    uncovered = np.full(len(points), np.inf)
    for index, (tile, sheet) in enumerate(zip(sheets.tiles, sheets.pages[1:], strict=True), start=1):
        left, top, right, _ = sheet.on_canvas
        here = points - (left, top) + (tile.frame.left, tile.frame.top)
        if mirrored:
            here[:, 0] = tile.frame.left + right - points[:, 0]
        drawn = [stroke for stroke in sheet_page(sheets, index).strokes if stroke.width_mm == request.line_weight_mm]
        assert drawn, "a sheet with nothing on it"
        for stroke in drawn:
            near = (here > stroke.points.min(axis=0) - 0.1) & (here < stroke.points.max(axis=0) + 0.1)
            some = np.flatnonzero(near.all(axis=1))
            uncovered[some] = np.minimum(uncovered[some], distance_to_polyline(here[some], stroke.points))
    assert uncovered.max() < 0.03


@given(drawings(), papers, st.floats(0, 18), st.floats(3, 12), st.booleans())
@settings(max_examples=12, deadline=None)
def test_nothing_is_printed_where_the_printer_cannot(drawing, paper, overlap, margin, whole_canvas):
    request = SheetRequest(
        drawing, paper=paper, overlap_mm=overlap, margin_mm=margin, whole_canvas=whole_canvas, line_weight_mm=0.8
    )
    sheets = lay_sheets(request)
    wide, high = sheets.paper.width_mm - margin, sheets.paper.height_mm - margin
    for index in range(min(len(sheets.pages), 6)):
        page = sheet_page(sheets, index)
        left, top, right, bottom = reach_of(page)
        assert min(left, top) >= margin
        assert right <= wide
        assert bottom <= high
        for words in page.words:
            long, rise = width_mm(words.text, words.size_pt, words.weight), CAP_HEIGHT * words.size_pt * MM_PER_PT
            begin = -long * {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor]
            if words.turn == 90:
                box = (words.x_mm - rise, words.y_mm - begin - long, words.x_mm, words.y_mm - begin)
            else:
                box = (words.x_mm + begin, words.y_mm - rise, words.x_mm + begin + long, words.y_mm)
            assert margin - 0.1 <= box[0], words
            assert margin - 0.1 <= box[1], words
            assert box[2] <= wide + 0.1, words
            assert box[3] <= high + 0.1, words


def test_the_smallest_paper_still_makes_pages():
    request = SheetRequest(one_line((100, 100), (140, 120)), paper=Size(48, 49), mirrored=True, film=True, dots=True)
    sheets = lay_sheets(request)
    for index in range(len(sheets.pages)):
        left, top, right, bottom = reach_of(sheet_page(sheets, index))
        assert min(left, top, sheets.paper.width_mm - right, sheets.paper.height_mm - bottom) >= request.margin_mm


def test_the_whole_canvas_is_on_sheets_edge_and_all():
    sheets = lay_sheets(SheetRequest(one_line((100, 100), (140, 120)), whole_canvas=True))
    assert sheets.count == 4  # 2 x 2 of A4 on its side, each showing 271 x 181 mm
    boxes = np.array([page.on_canvas for page in sheets.pages[1:]])
    for x, y in ((0, 0), (400, 0), (200, 0), (0, 150), (400, 300), (200, 300)):
        inside = (boxes[:, 0] <= x) & (x <= boxes[:, 2]) & (boxes[:, 1] <= y) & (y <= boxes[:, 3])
        assert inside.any()


def test_paper_is_turned_when_that_saves_a_sheet():
    wide = lay_sheets(SheetRequest(one_line((5, 100), (270, 100))))
    tall = lay_sheets(SheetRequest(one_line((100, 5), (100, 270))))
    assert (wide.count, wide.pages[1].on_its_side) == (1, True)
    assert (tall.count, tall.pages[1].on_its_side) == (1, False)


def test_large_canvases_are_laid_out_in_good_time_and_too_large_ones_refused():
    mural = spiral(Size(4000, 3000))
    sheets = lay_sheets(SheetRequest(mural, paper=PAPERS["A3"]))
    assert 30 < sheets.count <= MOST_SHEETS
    with pytest.raises(DrawingError, match=r"would be [\d,]+ sheets, and 400 are the most.*larger paper"):
        lay_sheets(SheetRequest(mural, paper=PAPERS["A5"], whole_canvas=True, overlap_mm=40))


def test_neighbours_name_each_other():
    sheets = lay_sheets(SheetRequest(spiral(CANVAS), paper=PAPERS["A5"]))
    by_name = {page.name: page for page in sheets.pages[1:]}
    assert {"A1", "B1", "A2"} <= set(by_name) | set(sheets.left_out)
    for page in by_name.values():
        for there, back in (("right", "left"), ("below", "above"), ("left", "right"), ("above", "below")):
            name = getattr(page.neighbours, there)
            if name:
                assert getattr(by_name[name].neighbours, back) == page.name


@given(drawings(), papers, st.floats(0, 18))
@settings(max_examples=12, deadline=None)
def test_neighbours_overlap_by_just_what_was_asked(drawing, paper, overlap):
    sheets = lay_sheets(SheetRequest(drawing, paper=paper, overlap_mm=overlap))
    by_name = {page.name: page for page in sheets.pages[1:]}
    for page in by_name.values():
        if page.neighbours.right:
            assert page.on_canvas[2] - by_name[page.neighbours.right].on_canvas[0] == pytest.approx(overlap, abs=1e-6)
        if page.neighbours.below:
            assert page.on_canvas[3] - by_name[page.neighbours.below].on_canvas[1] == pytest.approx(overlap, abs=1e-6)
