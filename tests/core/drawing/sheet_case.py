"""Drawings for the transfer sheets' tests, and pages turned into pixels by a reader of PDF."""

from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
from hypothesis import strategies as st
from numpy.typing import NDArray

from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.sheet import Sheets, lay_sheets, sheet_page
from core.drawing.sheet_page import Page
from core.drawing.sheet_pdf import pdf_bytes
from core.drawing.sheet_request import SheetRequest
from core.drawing.svg_read import read_drawing
from core.size import PAPERS, Size
from tests.core.drawing.curves import exact

CANVAS = Size(400, 300)
DEMO = Path(__file__).resolve().parents[3] / "assets" / "demo" / "drawing.svg"
DARK = 64
"""Lines are darker than this where they cover a pixel; marks that may lie over the drawing are lighter."""


def demo_drawing() -> Drawing:
    return read_drawing(DEMO, CANVAS)


def spiral(size: Size = CANVAS) -> Drawing:
    """A curve all over the canvas, and straight lines across it."""
    t = np.linspace(0.0, 12.0 * np.pi, 400)
    middle, reach = np.array([size.width_mm, size.height_mm]) / 2, np.array([size.width_mm, size.height_mm]) * 0.47
    points = middle + np.column_stack([np.cos(t), np.sin(t)]) * reach * (t / t[-1])[:, None]
    across = np.array([(2.0, 3.0), (size.width_mm - 3.0, size.height_mm - 2.0)])
    bow = np.array([(5, 5), (size.width_mm, 20), (10, size.height_mm), (size.width_mm - 9, size.height_mm - 30)])
    return Drawing(
        size,
        (Line.through(points), Line.through(across, layer="inner form"), Line(bow.astype(np.float64))),
        (Landmark("spout", size.width_mm / 3, size.height_mm / 3), Landmark("quince", 8.0, size.height_mm - 7.0)),
    )


def one_line(*points: tuple[float, float], size: Size = CANVAS, layer: str = "contour") -> Drawing:
    return Drawing(size, (Line.through(np.array(points, dtype=np.float64), layer=layer),))


def pdf_of(request: SheetRequest) -> tuple[Sheets, pypdfium2.PdfDocument]:
    sheets = lay_sheets(request)
    pages = (sheet_page(sheets, index) for index in range(len(sheets.pages)))
    return sheets, pypdfium2.PdfDocument(BytesIO(pdf_bytes(pages, "Sheets")))


def rendered(document: pypdfium2.PdfDocument, index: int, px_per_mm: float) -> NDArray[np.uint8]:
    """A page as grey codes, by pdfium, at exactly this scale but for the rounding of the page to whole pixels."""
    return np.asarray(document[index].render(scale=px_per_mm * 25.4 / 72).to_pil().convert("L"))


def words_of(document: pypdfium2.PdfDocument, index: int) -> str:
    return document[index].get_textpage().get_text_range().replace("\r\n", " ")


def along(drawing: Drawing) -> NDArray[np.float64]:
    """Places on all lines by the Bernstein polynomials, (n, 2) mm, spaced at most about 0.3 mm."""
    return np.concatenate([_spaced(exact(line, 200)) for line in drawing.lines])


def _spaced(points: NDArray[np.float64]) -> NDArray[np.float64]:
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    at = np.linspace(0.0, run[-1], int(run[-1] / 0.3) + 2)
    return np.stack([np.interp(at, run, axis) for axis in points.T], axis=1)


def reach_of(page: Page) -> NDArray[np.float64]:
    """Left, top, right, bottom of everything on a page but its words."""
    parts = [points for stroke in page.strokes for points in (_grown(stroke.points, stroke.width_mm / 2),)]
    every = np.concatenate([*parts, *(fill.points for fill in page.fills)])
    return np.r_[every.min(axis=0), every.max(axis=0)]


def _grown(points: NDArray[np.float64], by: float) -> NDArray[np.float64]:
    return np.concatenate([points - by, points + by])


papers = st.one_of(
    st.sampled_from([PAPERS["A4"], PAPERS["A3"], PAPERS["Letter"], PAPERS["A5"]]),
    st.builds(Size, st.floats(90, 500), st.floats(90, 500)),
)


@st.composite
def drawings(draw: st.DrawFn) -> Drawing:
    """One to five straight or bent lines anywhere on a canvas of any usual size."""
    size = Size(draw(st.floats(80, 900)), draw(st.floats(80, 900)))
    shares = st.floats(0.0, 1.0)
    lines = []
    for _ in range(draw(st.integers(1, 5))):
        points = np.array([(draw(shares), draw(shares)) for _ in range(4)]) * (size.width_mm, size.height_mm)
        lines.append(Line(points) if draw(st.booleans()) else Line.through(points))
    return Drawing(size, tuple(lines))
