"""Asking for transfer sheets: what is refused, what is said, and a file written whole or not at all."""

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.drawing import sheet
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.sheet import lay_sheets, parse_paper, sheet_page, sheet_preview, write_sheets
from core.drawing.sheet_request import SheetRequest
from core.drawing.squaring import Squaring
from core.errors import DrawingError
from core.size import PAPERS, Size
from tests.core.drawing.sheet_case import CANVAS, demo_drawing, one_line, pdf_of, spiral, words_of

LINE = one_line((100, 100), (140, 120))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"margin_mm": -1}, r"margin .* 0 mm or more, not -1"),
        ({"margin_mm": float("nan")}, r"margin .* not nan"),
        ({"overlap_mm": float("inf")}, r"overlap .* not inf"),
        ({"overlap_mm": -0.5}, r"overlap .* not -0.5"),
        ({"line_weight_mm": 0.0}, r"0.05 to 5 mm wide, not 0"),
        ({"line_weight_mm": float("nan")}, r"mm wide, not nan"),
        ({"paper": Size(40, 40)}, r"paper is too small: 40 × 40 mm.*Choose larger paper"),
        ({"paper": Size(60, 60), "overlap_mm": 20}, r"paper is too small.*overlap of 20 mm"),
        ({"margin_mm": 200}, r"leaves 0 × 0 mm for the drawing"),
        ({"layers": ("hatching",)}, r"no lines in “hatching”. Its layers are: contour"),
        ({"layers": ()}, r"no lines in no layer"),
        ({"squaring": Squaring(500, 3)}, r"at most 100 cells"),
        ({"drawing": Drawing(CANVAS)}, r"nothing to print: the drawing has no lines\.$"),
        ({"drawing": Drawing(CANVAS, (), (Landmark("spout", 9, 9),))}, r"no lines. Its landmarks are printed when"),
        ({"drawing": one_line((-30, 10), (50, 10))}, r"reaches 30 mm past the left edge.*400 × 300 mm"),
        ({"drawing": one_line((10, 10), (407.5, 312))}, r"7.5 mm past the right edge and 12 mm past the bottom edge"),
        ({"drawing": one_line((-30, 10), (50, 10)), "mirrored": True}, r"30 mm past the left edge"),
        ({"drawing": one_line((-3, -3), (-1, -1))}, r"all of the drawing lies outside"),
    ],
)
def test_what_cannot_be_printed_gets_a_sentence(change, sentence):
    with pytest.raises(DrawingError, match=sentence):
        lay_sheets(replace(SheetRequest(LINE), **change))


def test_a_drawing_that_pokes_out_a_little_is_clipped_and_said_so():
    sheets = lay_sheets(SheetRequest(one_line((-3, 10), (50, 10))))
    assert sheets.notes == (
        "The drawing reaches 3.0 mm past the left edge of the canvas: what lies outside was cut off.",
    )
    drawn = [stroke for stroke in sheet_page(sheets, 1).strokes if stroke.width_mm == 0.5]
    frame, box = sheets.tiles[0].frame, sheets.pages[1].on_canvas
    assert min(stroke.points[:, 0].min() for stroke in drawn) - frame.left + box[0] == pytest.approx(0.0, abs=0.02)


def test_the_plan_comes_first_and_counts_no_sheet():
    sheets = lay_sheets(SheetRequest(spiral()))
    assert sheets.pages[0].name == "plan"
    assert sheets.pages[0].on_canvas is None
    assert sheets.count == len(sheets.pages) - 1
    with pytest.raises(IndexError):
        sheet_page(sheets, len(sheets.pages))


def test_sheets_left_out_are_said_on_the_plan():
    sheets, document = pdf_of(SheetRequest(one_line((5, 5), (395, 5), (395, 295)), paper=PAPERS["A5"]))
    assert sheets.left_out
    assert sheets.notes == (f"Left out, since nothing is on them: {', '.join(sheets.left_out)}.",)
    assert sheets.notes[0] in words_of(document, 0)
    assert not set(sheets.left_out) & {page.name for page in sheets.pages}


def test_separate_pieces_are_laid_by_measure():
    two = Drawing(Size(900, 700), (*one_line((300, 300), (310, 310)).lines, *one_line((600, 600), (610, 610)).lines))
    sheets, document = pdf_of(SheetRequest(two, paper=PAPERS["A5"]))
    plan = words_of(document, 0)
    assert "They make 2 separate pieces." in plan
    for page in sheets.pages[1:]:
        assert f"{page.name}: {page.on_canvas[0]:.1f} mm from the left edge" in plan


def test_only_the_layers_chosen_are_printed():
    drawing = Drawing(CANVAS, (*LINE.lines, *one_line((10, 10), (390, 290), layer="inner form").lines))
    assert lay_sheets(SheetRequest(drawing, layers=("Contour",))).count == 1
    assert lay_sheets(SheetRequest(drawing)).count > 1


def test_a_landmark_whose_letters_the_typeface_lacks_stands_by_its_number():
    marks = (Landmark("spout", 110, 110), Landmark("\u4e95\u6238", 120, 110))
    sheets, document = pdf_of(SheetRequest(replace(LINE, landmarks=marks), dots=True))
    assert sheets.notes == (
        "Landmarks 2 stand on the sheets by number: the sheets' typeface has not all letters of their names.",
    )
    assert "spout 2" in " ".join(words.text for words in sheet_page(sheets, 1).words if words.size_pt == 6.5)
    assert "spout" in words_of(document, 1)


def test_dots_alone_make_a_sheet_and_none_is_off_the_canvas():
    marks = (Landmark("spout", 110, 110), Landmark("far", 403, 110))
    sheets = lay_sheets(SheetRequest(Drawing(CANVAS, (), marks), dots=True))
    assert sheets.count == 1
    assert len(sheet_page(sheets, 1).fills) == 1
    assert "3.0 mm past the right edge" in sheets.notes[0]


def test_a_line_of_no_length_and_repeated_points_do_no_harm():
    points = np.array([(10, 10), (10, 10), (10, 10), (60, 10), (60, 10), (400, 10), (400, 10)], dtype=np.float64)
    drawing = Drawing(CANVAS, (Line(points, layer="shadow edge"), Line.through(np.array([(5.0, 5.0), (5.0, 5.0)]))))
    assert lay_sheets(SheetRequest(drawing)).count >= 1


@pytest.mark.parametrize(
    ("text", "paper"),
    [
        ("a4", PAPERS["A4"]),
        (" Letter ", PAPERS["Letter"]),
        ("330x480mm", Size(330, 480)),
        ("13x19in", Size(330.2, 482.6)),
    ],
)
def test_papers_go_by_name_or_size(text, paper):
    found = parse_paper(text)
    assert (found.width_mm, found.height_mm) == pytest.approx((paper.width_mm, paper.height_mm))


@pytest.mark.parametrize("text", ["a44", "", "wide", "5x5mm", "0x100mm", "nanxnan"])
def test_other_papers_are_refused(text):
    with pytest.raises(DrawingError, match="is not a paper"):
        parse_paper(text)


@pytest.mark.parametrize("dpi", [0, -5, 9, 5000, float("nan"), float("inf")])
def test_a_preview_of_no_resolution_is_refused(dpi):
    with pytest.raises(DrawingError, match="dots per inch"):
        sheet_preview(lay_sheets(SheetRequest(LINE)), 0, dpi=dpi)


def test_the_file_is_written_whole(tmp_path: Path):
    heard: list[float] = []
    path = tmp_path / "sheets.pdf"
    sheets = write_sheets(path, SheetRequest(demo_drawing()), tell=lambda share, say: heard.append(share))
    assert [each.name for each in tmp_path.iterdir()] == ["sheets.pdf"]
    assert len(pypdfium2.PdfDocument(path)) == len(sheets.pages)
    assert heard == sorted(heard)
    assert (heard[0], heard[-1]) == (0.0, 1.0)
    assert len(heard) == len(sheets.pages) + 2  # and before laying out, and before saving
    assert b"/PrintScaling /None" in path.read_bytes()


@pytest.mark.parametrize("name", ["gone/sheets.pdf", "", "a\0b.pdf", "x" * 300 + ".pdf"])
def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path: Path, name: str):
    with pytest.raises(DrawingError, match=r"could not be saved.*choose another folder or name"):
        write_sheets(tmp_path / name if name else tmp_path, SheetRequest(LINE))
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_keeps_the_earlier_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = tmp_path / "sheets.pdf"
    path.write_bytes(b"earlier")

    def full(number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DrawingError, match="No space left on device"):
        write_sheets(path, SheetRequest(LINE))
    assert path.read_bytes() == b"earlier"
    assert [each.name for each in tmp_path.iterdir()] == ["sheets.pdf"]


def test_printing_can_be_stopped_and_leaves_nothing(tmp_path: Path):
    def stop(share: float, say: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_sheets(tmp_path / "sheets.pdf", SheetRequest(LINE), tell=stop)
    assert list(tmp_path.iterdir()) == []


def test_all_public_names_are_there():
    assert all(hasattr(sheet, name) for name in sheet.__all__)
