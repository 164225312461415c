"""The grey pair, printed and measured: the PDF is rasterised by PDFium, which had no part in making it."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.colorimetry import encode_srgb, luminance_of_value
from core.drawing.squaring import Squaring
from core.errors import PainterError
from core.grey_pair import LAP_MM, MARGIN_MM, STRIP_VALUES, GreyPair, grey_pair_bytes, write_grey_pair
from core.size import PAPERS, Size

DPI = 300
PX = DPI / 25.4
CANVAS = Size(400, 300)


def pair(size: Size = CANVAS, px_per_mm: int = 2, **options: object) -> GreyPair:
    """A dark cross each 50 mm on a middle grey, so that a place can be measured."""
    grey = np.full((round(size.height_mm * px_per_mm), round(size.width_mm * px_per_mm)), 128, np.uint8)
    for at in range(50, round(max(size.width_mm, size.height_mm)), 50):
        grey[:, at * px_per_mm - px_per_mm // 2 : at * px_per_mm + px_per_mm // 2] = 40
        grey[at * px_per_mm - px_per_mm // 2 : at * px_per_mm + px_per_mm // 2] = 40
    return GreyPair(np.repeat(grey[..., None], 3, axis=2), grey, size, **options)  # type: ignore[arg-type]


def pages(made: bytes) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(made)
    try:
        return [np.asarray(page.render(scale=DPI / 72).to_numpy())[..., :3].mean(axis=2) for page in document]
    finally:
        document.close()


def dark_bars(row: np.ndarray, below: float) -> list[float]:
    """Middles, mm, of the runs of a row that are darker."""
    dark = np.flatnonzero(np.diff(np.r_[0, row < below, 0]))
    return [float((a + b) / 2 / PX) for a, b in dark.reshape(-1, 2)]


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
@pytest.mark.parametrize("fitted", [True, False])
def test_the_ruler_is_true_on_every_page(paper: str, fitted: bool) -> None:
    made, count = grey_pair_bytes(pair(Size(300, 200), paper=PAPERS[paper], fitted=fitted))
    printed = pages(made)
    assert len(printed) == count
    for page in printed:
        # Just above the ruler's line, only its three ticks are dark.
        column = page[:, round((MARGIN_MM + 25) * PX)]
        level = max(dark_bars(column, 60))
        ticks = dark_bars(page[round((level - 0.8) * PX), : round(110 * PX)], 100)
        assert len(ticks) == 3
        assert ticks[2] - ticks[0] == pytest.approx(100, abs=0.2)
        assert ticks[1] - ticks[0] == pytest.approx(50, abs=0.2)


def test_the_strip_has_the_greys_of_its_values() -> None:
    """ASTM D1535 and sRGB (IEC 61966-2-1); 121.5 is the code of value 5 in the published table."""
    (page,) = pages(grey_pair_bytes(pair())[0])
    expected = np.rint(255 * encode_srgb(luminance_of_value(np.array(STRIP_VALUES))))
    row = _strip_row(page, expected)
    step = 14.0
    shown = [row[round((MARGIN_MM + (k + 0.5) * step) * PX)] for k in range(10)]
    assert shown == expected.tolist()
    assert encode_srgb(luminance_of_value(5.0)) * 255 == pytest.approx(121.5, abs=0.1)


def _strip_row(page: np.ndarray, expected: np.ndarray) -> np.ndarray:
    at = round((MARGIN_MM + 7.0) * PX)
    rows = np.flatnonzero(page[:, at] == expected[0])
    return page[int(np.median(rows))]


def test_at_canvas_scale_every_mark_is_in_its_place() -> None:
    made, count = grey_pair_bytes(pair(fitted=False))
    assert count == 8
    for page in pages(made):
        middle = page[round((MARGIN_MM + 9 + 20) * PX)]
        bars = [x for x in dark_bars(middle, 80) if x > MARGIN_MM]
        assert len(bars) >= 3
        assert np.diff(bars) == pytest.approx(50, abs=0.15)


def test_pages_lap_and_together_show_all_of_the_canvas() -> None:
    from core.grey_pair import _scaled_pages

    wanted = pair(Size(500, 700), fitted=False)
    shown = [part.shows for (part,) in _scaled_pages(wanted) if part.in_grey]
    covered = np.zeros((700, 500), int)
    for left, top, right, bottom in shown:
        covered[round(top) : round(bottom), round(left) : round(right)] += 1
    assert covered.min() >= 1
    columns = sorted({(left, right) for left, _, right, _ in shown})
    for (_, right), (left, _) in pairwise(columns):
        assert right - left == pytest.approx(LAP_MM)


@pytest.mark.parametrize("size", [Size(200, 150), Size(400, 300), Size(300, 500), Size(610, 455)])
@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_the_paper_lies_the_way_that_takes_fewer_pages(size: Size, paper: str) -> None:
    _, count = grey_pair_bytes(pair(size, 1, paper=PAPERS[paper], fitted=False))
    ways = []
    for each in (PAPERS[paper], PAPERS[paper].turned):
        room = each.width_mm - 16, each.height_mm - 16 - 35
        sides = zip((size.width_mm, size.height_mm), room, strict=True)
        tiles = [1 if side <= r else math.ceil((side - LAP_MM) / (r - LAP_MM)) for side, r in sides]
        ways.append(2 * math.prod(tiles))
    assert count == min(ways)


def test_greys_are_printed_as_they_are() -> None:
    codes = np.repeat(np.repeat(np.arange(256, dtype=np.uint8).reshape(16, 16), 20, 0), 20, 1)
    wanted = GreyPair(np.repeat(codes[..., None], 3, axis=2), codes, Size(160, 160), fitted=False)
    last = pages(grey_pair_bytes(wanted)[0])[-1]
    shown = [
        last[round((MARGIN_MM + 9 + (row + 0.5) * 10) * PX), round((MARGIN_MM + (column + 0.5) * 10) * PX)]
        for row in range(16)
        for column in range(16)
    ]
    assert shown == list(range(256))


def test_the_grid_lies_over_both() -> None:
    plain = grey_pair_bytes(pair(Size(200, 160), px_per_mm=1))[0]
    squared = grey_pair_bytes(pair(Size(200, 160), px_per_mm=1, squaring=Squaring(4, 4)))[0]
    changed = np.abs(pages(plain)[0] - pages(squared)[0]) > 20
    assert changed.mean() > 0.002


def test_what_cannot_be_printed_is_said(tmp_path: Path) -> None:
    with pytest.raises(PainterError, match="too small"):
        grey_pair_bytes(pair(paper=Size(60, 60), fitted=False))
    with pytest.raises(PainterError, match="pages at canvas scale"):
        grey_pair_bytes(pair(Size(4000, 3000), 1, paper=PAPERS["A5"], fitted=False))
    with pytest.raises(PainterError, match="no folder"):
        write_grey_pair(tmp_path / "missing" / "pair.pdf", pair())
    assert write_grey_pair(tmp_path / "pair.pdf", replace(pair(), title="Jug")) == 1
    assert (tmp_path / "pair.pdf").read_bytes().startswith(b"%PDF")
