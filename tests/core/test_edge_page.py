"""The printed page of an edge plan, read back from the PDF by PDFium, which had no part in making it."""

from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.edge.brief import Brushed, EdgeBrief, EyeSettings, FocalPoint
from core.edge.kinds import EdgeKind
from core.edge.plan import plan_edges
from core.edge_page import EdgePage, edge_page_bytes, laid, write_edge_page
from core.errors import PainterError
from core.print_page import MARGIN_MM
from core.size import PAPERS, Size
from tests.core.edge.plan_cases import ring, straight, together

CANVAS = Size(400, 300)
DPI = 300
PX = DPI / 25.4
FOCUS = FocalPoint(150, 100, 40)


def page(paper: str = "A4", *, size: Size = CANVAS, brief: EdgeBrief | None = None) -> EdgePage:
    """A hard ring about (150, 100) mm, and a lost line along the foot of the canvas."""
    share = size.width_mm / CANVAS.width_mm
    edges = together(
        ring(150 * share, 100 * share, 40 * share, sigma_mm=0.05),
        straight((20 * share, 280 * share), (380 * share, 280 * share), sigma_mm=20),
    )
    picture = np.full((300, 400, 3), 255, np.uint8)
    return EdgePage(picture, plan_edges(edges, brief or EdgeBrief(size)), PAPERS[paper], "Jug")


def read(made: bytes, dpi: float = DPI) -> tuple[np.ndarray, str, tuple[float, float]]:
    document = pypdfium2.PdfDocument(made)
    try:
        assert len(document) == 1
        pixels = np.asarray(document[0].render(scale=dpi / 72).to_numpy())[..., :3].mean(axis=2)
        words = document[0].get_textpage().get_text_bounded()
        width, height = (each / 72 * 25.4 for each in document[0].get_size())
    finally:
        document.close()
    return pixels, " ".join(words.split()), (width, height)


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_one_page_of_the_paper_laid_so_that_the_canvas_is_largest(paper: str) -> None:
    _, words, size = read(edge_page_bytes(page(paper)))
    assert sorted(size) == pytest.approx(sorted((PAPERS[paper].width_mm, PAPERS[paper].height_mm)), abs=0.1)
    scales = [laid(each, page().plan)[2] for each in (PAPERS[paper], PAPERS[paper].turned)]
    assert (size[0] > size[1]) == (scales[1] > scales[0])
    assert "Jug: edge plan" in words
    for label in ("Hard", "Firm", "Soft", "Lost", "heavy, unbroken", "long dashes", "thin, short dashes", "dots"):
        assert label in words


def test_the_lines_lie_where_the_edges_are_in_the_picture() -> None:
    pixels, _, (width, height) = read(edge_page_bytes(page()))
    left, top, scale = laid(Size(width, height), page().plan)
    rows, columns = np.nonzero(pixels < 60)
    x, y = ((columns + 0.5) / PX - left) / scale, ((rows + 0.5) / PX - top) / scale
    away = np.hypot(x - 150, y - 100)
    on = away < 60
    assert on.sum() > 1000
    assert away[on] == pytest.approx(40, abs=1.2)
    turn = np.arctan2(y[on] - 100, x[on] - 150)
    assert len(np.unique(np.floor(np.degrees(turn)))) == 360  # the hard ring is unbroken


def test_the_lost_line_is_a_row_of_dots() -> None:
    pixels, _, (width, height) = read(edge_page_bytes(page()))
    left, top, scale = laid(Size(width, height), page().plan)
    row = round((top + 280 * scale) * PX)
    strip = pixels[row - 8 : row + 9, round((left + 20 * scale) * PX) : round((left + 380 * scale) * PX)].min(axis=0)
    dark = strip < 160
    starts = np.flatnonzero(dark[1:] & ~dark[:-1])
    assert np.diff(starts) / PX == pytest.approx(1.6, abs=0.2)
    assert 0.15 < dark.mean() < 0.4


def test_a_small_canvas_is_printed_at_full_size() -> None:
    small = Size(120, 90)
    made = page("A4", size=small)
    pixels, words, (width, height) = read(edge_page_bytes(made))
    left, top, scale = laid(Size(width, height), made.plan)
    assert scale == 1.0
    assert "full size" in words
    rows, columns = np.nonzero(pixels < 60)
    x, y = (columns + 0.5) / PX - left, (rows + 0.5) / PX - top
    away = np.hypot(x - 45, y - 30)
    assert away[away < 18] == pytest.approx(12, abs=0.6)


def test_nothing_runs_into_the_margins_however_much_is_told() -> None:
    foci = tuple(FocalPoint(30 + 40 * k, 100, 20) for k in range(9))
    for paper in ("A4", "Letter", "A3"):
        for size in (CANVAS, CANVAS.turned, Size(900, 300), Size(300, 900)):
            some = EdgeBrief(size, tuple(FocalPoint(min(f.x_mm, 290), 100, 20) for f in foci), wanted_hard=0.3)
            pixels, words, _ = read(edge_page_bytes(page(paper, size=size, brief=some)), dpi=100)
            clear = round((MARGIN_MM - 1.0) / 25.4 * 100)
            inner = np.zeros(pixels.shape, bool)
            inner[clear:-clear, clear:-clear] = True
            assert pixels[~inner].min() > 250
            assert "And 3 more focal points." in words


def test_the_page_says_how_much_is_hard_and_how_it_was_planned() -> None:
    def words(brief: EdgeBrief) -> str:
        return read(edge_page_bytes(page(brief=brief)))[1]

    share = 2 * np.pi * 40 / (2 * np.pi * 40 + 360)
    said = words(EdgeBrief(CANVAS, (FOCUS,), wanted_hard=0.3))
    assert f"{100 * share:.0f} % of edge length is hard; 30 % wanted: soften about" in said
    assert "Softened from the focal point outward" in said
    assert "Focal point, centre: 150 mm from the left, 100 mm from the top, radius 40 mm." in said
    assert "No focal point is set" in words(EdgeBrief(CANVAS))
    by_hand = (Brushed(((10, 10),), 5, EdgeKind.SOFT),)
    assert "Some of it is brushed by hand." in words(EdgeBrief(CANVAS, brushed=by_hand))
    seen = page().plan
    brief = EdgeBrief(CANVAS, (FOCUS,), eye=EyeSettings(1500, 2.0))
    plan = plan_edges(seen.edges, brief, seen_mm=seen.edges.sigma_mm)
    told = read(edge_page_bytes(EdgePage(np.full((30, 40), 200, np.uint8), plan)))[1]
    assert "As the eye sees it that rests there, from 1.5 m, 2 times as strong." in told


def test_written_whole_or_refused(tmp_path: Path) -> None:
    assert write_edge_page(tmp_path / "plan.pdf", page()) == 1
    assert (tmp_path / "plan.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(PainterError):
        write_edge_page(tmp_path / "no such folder" / "plan.pdf", page())
