"""Transfer sheets from the window: what is shown is what is printed, at true size, and nothing is lost on the way."""

import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.printing.choice import SETTING, Choice, Grid
from app.printing.jobs import write_pdf
from app.work import Progress, Worker
from core.drawing.drawing import Drawing, Line
from core.drawing.sheet import lay_sheets
from core.drawing.squaring import Squaring
from core.drawing.svg_read import read_drawing
from core.errors import CancelledError
from core.size import PAPERS, Size
from tests.app.window_case import SIZE, Easel, make_easel, make_painting

RULER_TOLERANCE_MM = 0.2
SCAN_DPI = 600.0


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    made.press("sheets")
    return made


def page(easel: Easel) -> Any:
    return easel.desk.placing.sheets


def set_to(easel: Easel, **fields: str) -> None:
    """Type numbers into fields, and have the sheets laid out at once."""
    for name, words in fields.items():
        field = getattr(page(easel).settings, name).field
        field.clear()
        QTest.keyClicks(field, words)
    page(easel).lay_out_sheets()


def ruler_mm(pdf: Path, number: int) -> float:
    """How long the level ruler of a page is as it prints: between the outer edges of its first and last mark."""
    document = pypdfium2.PdfDocument(pdf)
    grey = np.asarray(document[number].render(scale=SCAN_DPI / 72.0).to_pil().convert("L"))
    document.close()
    px = SCAN_DPI / 25.4
    # Above the ruler's baseline only its marks stand; the two at its ends are the tallest, 3 mm.
    dark: Any = grey < 128
    strip = dark[-round(20 * px) :]
    runs = np.array([_longest(row) for row in strip])
    base = len(dark) - len(strip) + int(runs[:, 0].argmax())
    start, length = int(runs[:, 1][base - len(dark) + len(strip)]), int(runs[:, 0].max())
    ends = dark[base - round(2.8 * px) : base - round(2.4 * px), start - 5 : start + length + 5].all(axis=0)
    marks = np.flatnonzero(ends)
    return float(_middle(marks[marks > len(ends) / 2]) - _middle(marks[marks < len(ends) / 2])) / px


def _longest(row: Any) -> tuple[int, int]:
    """Length and start of the longest dark run."""
    edges = np.flatnonzero(np.diff(np.r_[False, row, False].astype(np.int8)))
    if not len(edges):
        return 0, 0
    lengths = edges[1::2] - edges[::2]
    return int(lengths.max()), int(edges[::2][lengths.argmax()])


def _middle(places: Any) -> float:
    return (float(places.min()) + float(places.max())) / 2.0


def test_key_shows_the_plan_first_and_says_how_many_sheets(easel: Easel) -> None:
    assert easel.desk.placing.currentWidget() is page(easel)
    assert page(easel).said.text() == "1 sheet of A4, on its side, after the plan."
    assert page(easel).which.text() == "Page 1 of 2: mounting plan"
    assert page(easel).view.hanging is not None


def test_keys_turn_the_pages(easel: Easel) -> None:
    easel.press("newer")
    assert page(easel).which.text() == "Page 2 of 2: sheet A1"
    easel.press("newer")
    assert page(easel).index == 1
    easel.press("older")
    assert page(easel).index == 0


def test_shown_page_has_a_pixel_for_every_pixel_of_the_screen(easel: Easel, qtbot: QtBot) -> None:
    view = page(easel).view
    for factor in (1.0, 3.0):
        view.zoom(factor)
        qtbot.waitUntil(lambda: view.hanging.mapping.px_per_mm == pytest.approx(view.px_per_mm))
        assert view.sheet.placed().magnification * view.devicePixelRatioF() == pytest.approx(1.0)
    assert not view.is_dimmed


def test_shown_page_is_the_sheet_as_it_is_printed(easel: Easel, tmp_path: Path) -> None:
    page(easel).turn(1)
    shown = page(easel).view.hanging.picture
    easel.answers.save = tmp_path / "sheets.pdf"
    page(easel).save_pdf()
    document = pypdfium2.PdfDocument(tmp_path / "sheets.pdf")
    size = (shown.width, shown.height)
    printed = np.asarray(document[1].render(scale=4).to_pil().convert("L").resize(size, Image.Resampling.BOX))
    document.close()
    rows = np.frombuffer(shown.image.constBits(), np.uint8).reshape(shown.height, shown.width, 4)[..., 0]
    alike = np.corrcoef(255.0 - rows.ravel(), 255.0 - printed.ravel())[0, 1]
    assert alike > 0.8


def test_ruler_of_every_sheet_measures_100_mm(easel: Easel, tmp_path: Path) -> None:
    for paper in ("A4", "Letter"):
        assert_rulers_true(easel, tmp_path, paper)
    easel.offer("Open it")
    assert easel.answers.opened == [tmp_path / "sheets.pdf"]


def assert_rulers_true(easel: Easel, tmp_path: Path, paper: str) -> None:
    settings = page(easel).settings
    settings.checks["whole_canvas"].setChecked(True)
    settings.paper.setCurrentIndex(settings.paper.findText(paper, Qt.MatchFlag.MatchStartsWith))
    page(easel).lay_out_sheets()
    easel.answers.save = tmp_path / "sheets.pdf"
    page(easel).save_pdf()
    count = page(easel).sheets.count
    assert f"{count} sheet" in easel.said
    assert str(tmp_path) in easel.said
    for number in range(1, count + 1):
        assert ruler_mm(tmp_path / "sheets.pdf", number) == pytest.approx(100.0, abs=RULER_TOLERANCE_MM)


def test_png_has_its_dpi_and_the_lines_their_places(easel: Easel, tmp_path: Path) -> None:
    set_to(easel, dpi="254")
    easel.answers.save = tmp_path / "drawing"
    page(easel).save_png()
    with Image.open(tmp_path / "drawing.png") as picture:
        assert picture.info["dpi"] == pytest.approx((254.0, 254.0), abs=0.05)
        assert picture.size == (2000, 1500)
        dark = np.argwhere(np.asarray(picture.convert("L")) < 128)
    # The brow runs from x 40 to 100 mm; a contour of 0.5 mm with round ends adds a quarter each way.
    left, right = dark[:, 1].min() / 10.0, (dark[:, 1].max() + 1) / 10.0
    assert (left, right) == pytest.approx((39.75, 100.25), abs=0.15)


def test_svg_is_in_mm_and_mirrored_where_asked(easel: Easel, tmp_path: Path) -> None:
    page(easel).settings.checks["mirrored"].setChecked(True)
    easel.answers.save = tmp_path / "drawing.svg"
    page(easel).save_svg()
    written = (tmp_path / "drawing.svg").read_text("utf-8")
    assert re.search(r'width="200(\.0+)?mm"', written)
    assert re.search(r'height="150(\.0+)?mm"', written)
    points = read_drawing(tmp_path / "drawing.svg", SIZE).lines[0].points
    assert points[0] == pytest.approx((160.0, 50.0))
    assert points[-1] == pytest.approx((100.0, 50.0))


def test_choice_is_kept_with_the_painting(easel: Easel) -> None:
    settings = page(easel).settings
    settings.checks["film"].setChecked(True)
    settings.checks["dots"].setChecked(True)
    settings.grid.setCurrentIndex(2)
    settings.columns.more.click()
    set_to(easel, overlap="12,5")
    wanted = settings.choice()
    assert (wanted.overlap_mm, wanted.columns, wanted.grid) == (12.5, 5, Grid.OWN)
    page(easel).back.click()
    assert not easel.desk.placing.is_away
    assert Choice.from_json(easel.desk.studio.painting.setting(SETTING)) == wanted
    easel.press("sheets")
    assert settings.choice() == wanted


def test_change_on_the_way_out_is_kept(easel: Easel) -> None:
    page(easel).settings.checks["mirrored"].setChecked(True)
    QTest.keyClick(page(easel), Qt.Key.Key_Escape)
    assert Choice.from_json(easel.desk.studio.painting.setting(SETTING)).mirrored


@pytest.mark.parametrize(
    "kept", [None, 7, {}, {"paper": [1, "x"], "grid": "?", "columns": -3, "film": 1}, {"dpi": 1e99}]
)
def test_what_was_kept_is_read_forgivingly(kept: Any) -> None:
    read = Choice.from_json(kept)
    assert read == replace(Choice(), columns=read.columns)
    assert read.columns in (1, 4)


BAD = (
    ("overlap", "wide", "Overlap: give a number of mm, such as 10."),
    ("overlap", "-3", "must be 0 mm or more"),
    ("overlap", "nan", "must be 0 mm or more"),
    ("margin", "99", "The paper is too small"),
    ("weight", "50", "Lines are printed 0.05 to 5 mm wide"),
    ("dpi", "", "Fineness of a PNG: give a number of dpi"),
)


def test_bad_numbers_are_told_in_place_and_the_last_page_dimmed(easel: Easel) -> None:
    view, trouble = page(easel).view, page(easel).trouble
    for field, words, says in BAD:
        set_to(easel, **{field: words})
        assert trouble.isVisible()
        assert says in trouble.text()
        assert view.is_dimmed
        assert view.hanging is not None
        set_to(easel, **{field: "300" if field == "dpi" else "1"})
        assert not trouble.isVisible()
        assert not view.is_dimmed


def test_dpi_out_of_range_is_told_and_writes_nothing(easel: Easel, tmp_path: Path) -> None:
    set_to(easel, dpi="5")
    easel.answers.save = tmp_path / "drawing.png"
    page(easel).save_png()
    assert "10 to 2400 dots per inch" in easel.said
    assert not (tmp_path / "drawing.png").exists()


def test_layer_left_out_stays_left_out(easel: Easel) -> None:
    studio = easel.desk.studio
    extra = Line.through(np.array([(20.0, 20.0), (30.0, 90.0)]), layer="inner form")
    easel.press("close")
    studio.keep_drawing(replace(studio.drawing, lines=(*studio.drawing.lines, extra)), "Drawn")
    studio.keep_now()
    easel.press("sheets")
    page(easel).settings.layers["inner form"].setChecked(False)
    page(easel).lay_out_sheets()
    assert page(easel).sheets.request.layers == ("contour",)
    assert studio.painting.setting(SETTING)["without"] == ["inner form"]


def test_grid_of_the_wall_is_printed(easel: Easel) -> None:
    studio = easel.desk.studio
    studio.change_view(replace(studio.view, squaring=Squaring(columns=7, rows=3)))
    page(easel).settings.grid.setCurrentIndex(1)
    page(easel).lay_out_sheets()
    assert page(easel).sheets.request.squaring == Squaring(columns=7, rows=3)


def test_without_a_drawing_ways_to_one_are_offered(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    from core.painting import Painting
    from tests.app.window_case import reference_photo

    Painting.create(tmp_path / "bare", "Bare", SIZE, reference_photo(tmp_path)).close()
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(tmp_path / "bare")
    easel.press("sheets")
    assert not easel.desk.placing.is_away
    assert "no line drawing" in easel.said
    assert next(offer.text() for offer in easel.window.strip.offers) == "Trace lines"
    easel.offer("Trace lines")
    assert easel.desk.placing.is_tracing


def test_empty_drawing_is_told_in_place(easel: Easel) -> None:
    easel.press("close")
    studio = easel.desk.studio
    studio.keep_drawing(Drawing(SIZE), "Emptied")
    studio.keep_now()
    easel.press("sheets")
    assert "There is nothing to print" in page(easel).trouble.text()


def test_unwritable_folder_is_told_and_an_older_file_stays(
    easel: Easel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    older = tmp_path / "sheets.pdf"
    older.write_bytes(b"older")

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    easel.answers.save = older
    page(easel).save_pdf()
    assert "No space left on device" in easel.said
    assert "Nothing was changed" in easel.said
    assert older.read_bytes() == b"older"
    assert sorted(tmp_path.glob("*.part")) == []


def test_ending_is_added_but_replaces_nothing_unasked(easel: Easel, tmp_path: Path) -> None:
    (tmp_path / "mine.svg").write_text("older")
    easel.answers.save = tmp_path / "mine"
    page(easel).save_svg()
    assert "there already" in easel.said
    assert (tmp_path / "mine.svg").read_text() == "older"


def test_stopped_half_way_leaves_no_file(easel: Easel, tmp_path: Path) -> None:
    told: list[str] = []

    class Stops(Progress):
        def __init__(self) -> None:
            pass

        def __call__(self, share: float = -1.0, say: str = "") -> None:
            told.append(say)
            if say == "Drawing sheet A1":
                raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        write_pdf(page(easel).sheets.request, tmp_path / "sheets.pdf", Stops())
    assert told[-2:] == ["Drawing the plan", "Drawing sheet A1"]
    assert not list(tmp_path.glob("*.pdf"))
    assert not list(tmp_path.glob(".*"))


def test_stop_button_says_that_nothing_was_written(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import threading

    begun, go_on = threading.Event(), threading.Event()

    def slow(request: Any, path: Path, progress: Progress) -> str:
        begun.set()
        go_on.wait(5)
        progress(0.5, "Drawing")
        path.write_bytes(b"never")
        return ""

    monkeypatch.setattr("app.printing.page.write_pdf", slow)
    easel = make_easel(qtbot, threaded_worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    qtbot.waitUntil(lambda: easel.desk.studio.drawing is not None)
    easel.press("sheets")
    qtbot.waitUntil(lambda: page(easel).view.hanging is not None)
    easel.answers.save = tmp_path / "sheets.pdf"
    page(easel).save_pdf()
    qtbot.waitUntil(begun.is_set)
    threaded_worker.cancel("saving transfer sheets")
    go_on.set()
    qtbot.waitUntil(lambda: "No file was written" in easel.said)
    assert not (tmp_path / "sheets.pdf").exists()
    easel.window.close()


def test_newest_of_quick_changes_is_what_is_laid(easel: Easel, qtbot: QtBot) -> None:
    laid: list[float] = []
    settings = page(easel).settings
    page(easel)._studio.worker.idle.connect(lambda channel: laid.append(1.0) if channel == "transfer sheets" else None)
    for words in ("1", "2", "3"):
        settings.overlap.field.clear()
        QTest.keyClicks(settings.overlap.field, words)
    qtbot.waitUntil(lambda: page(easel).sheets.request.overlap_mm == 3.0)
    assert len(laid) == 1


def test_fewest_is_said_to_be_unproven_where_the_search_is_coarse() -> None:
    generator = np.random.default_rng(5)
    size = Size(3000, 2400)
    starts = generator.uniform((50, 50), (2900, 2300), (160, 2))
    lines = tuple(Line.through(np.array([start, np.add(start, (40.0, 30.0))])) for start in starts)
    wanted = replace(Choice(), paper=PAPERS["A3"], overlap_mm=60.0)
    assert any(
        "Fewer sheets may do" in note for note in lay_sheets(wanted.request(Drawing(size, lines), Squaring())).notes
    )
    small = wanted.request(
        Drawing(Size(400, 300), (Line.through(np.array([(20.0, 20.0), (380.0, 280.0)])),)), Squaring()
    )
    assert not any("Fewer sheets may do" in note for note in lay_sheets(small).notes)
