"""The swatch card's places, and its page read back from the PDF by PDFium, which had no part in making it."""

from itertools import combinations
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.colorimetry import decode_srgb
from core.errors import PainterError, PaintError
from core.paint import swatch_card as card
from core.paint.swatch_page import BLOCK_TOP_MM, RULER_MM, block_at, swatch_page, swatch_page_bytes
from core.size import PAPERS

PX = 10.0  # pixels to the mm
RENDERED_MM = 2.1 / PX
"""PDFium fills every pixel that a rectangle touches."""
BEYOND_MM = 10.0
"""What a printer may leave white at the paper's edges: common practice, no source."""


def rendered(paper: str, **names: str) -> np.ndarray:
    document = pypdfium2.PdfDocument(swatch_page_bytes(paper=paper, **names))
    assert len(document) == 1
    page = document[0].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy()
    document.close()
    return page.reshape(page.shape[:2])


def words(paper: str, **names: str) -> str:
    document = pypdfium2.PdfDocument(swatch_page_bytes(paper=paper, **names))
    told = document[0].get_textpage().get_text_range()
    document.close()
    return " ".join(told.split())


@pytest.fixture(scope="module", params=["A4", "Letter"])
def page(request: pytest.FixtureRequest) -> tuple[str, np.ndarray]:
    return request.param, rendered(request.param)


def apart(one: card.Rect, other: card.Rect) -> bool:
    return (
        one.left + one.width <= other.left
        or other.left + other.width <= one.left
        or one.top + one.height <= other.top
        or other.top + other.height <= one.top
    )


def test_no_two_things_on_the_card_lie_over_one_another() -> None:
    rects = [*card.mark_rects(), card.CARD_PLACE, *card.bare()]
    rects += [patch.rect for patch in card.patches()] + [square.rect for square in card.SQUARES]
    assert all(apart(one, other) for one, other in combinations(rects, 2))
    for rect in rects:
        assert rect.left >= 0
        assert rect.top >= 0
        assert rect.left + rect.width <= card.WIDTH_MM
        assert rect.top + rect.height <= card.HEIGHT_MM


def test_every_grey_lies_on_every_side() -> None:
    """Or one grey could not tell the fall-off of the light from another's level."""
    for level in range(len(card.GREYS)):
        middles = np.array([patch.rect.middle for patch in card.patches() if patch.level == level])
        assert len(middles) >= 9
        assert np.ptp(middles[:, 0]) > 0.6 * card.WIDTH_MM
        assert np.ptp(middles[:, 1]) > 0.6 * card.HEIGHT_MM


def test_what_is_painted() -> None:
    assert [square.share for square in card.SQUARES] == [0, 1, 0.25, 0.1]
    assert card.STRONG.parts == "1 part tube, 3 parts white"
    assert card.WEAK.parts == "1 part tube, 9 parts white"


def test_places_in_print_are_true_to_the_mm(page: tuple[str, np.ndarray]) -> None:
    paper, pixels = page
    size = PAPERS[paper]
    assert pixels.shape[1] == pytest.approx(size.width_mm * PX, abs=2)
    assert pixels.shape[0] == pytest.approx(size.height_mm * PX, abs=2)
    left, top = block_at(size)
    assert top == BLOCK_TOP_MM
    assert min(left, size.width_mm - left - card.WIDTH_MM) >= BEYOND_MM
    for rect in card.mark_rects():
        row = pixels[round((top + rect.top + 1.5) * PX)]
        dark = np.flatnonzero(row < 60) / PX - left
        inside = dark[(dark > rect.left - 3) & (dark < rect.left + rect.width + 3)]
        assert inside.min() == pytest.approx(rect.left, abs=RENDERED_MM)
        assert inside.max() == pytest.approx(rect.left + rect.width, abs=RENDERED_MM)


def test_greys_in_print_are_those_that_are_meant(page: tuple[str, np.ndarray]) -> None:
    paper, pixels = page
    left, top = block_at(PAPERS[paper])
    for patch in card.patches():
        x, y = patch.rect.middle
        code = pixels[round((top + y) * PX), round((left + x) * PX)]
        assert float(decode_srgb(code / 255)) == pytest.approx(card.GREYS[patch.level], abs=0.005)


def test_bare_paper_is_bare(page: tuple[str, np.ndarray]) -> None:
    paper, pixels = page
    left, top = block_at(PAPERS[paper])
    for rect in card.bare():
        y, x = round((top + rect.top) * PX), round((left + rect.left) * PX)
        assert pixels[y : y + round(rect.height * PX), x : x + round(rect.width * PX)].min() > 250


def test_the_check_ruler_is_100_mm(page: tuple[str, np.ndarray]) -> None:
    _, pixels = page
    foot = pixels[-round(30 * PX) :]
    row = foot[np.argmax((foot < 128).sum(axis=1))]
    dark = np.flatnonzero(row < 128)
    assert (dark[-1] - dark[0]) / PX == pytest.approx(RULER_MM, abs=0.3)


def test_nothing_is_printed_where_a_printer_cannot(page: tuple[str, np.ndarray]) -> None:
    _, pixels = page
    edge = round(BEYOND_MM * PX)
    inked = np.argwhere(pixels < 250)
    assert inked.min() >= edge
    assert (np.array(pixels.shape) - inked.max(axis=0)).min() >= edge


def test_the_card_says_what_to_do(tmp_path: Path) -> None:
    told = words("A4", tube_name="Ultramarine blue, my new one", white_name="Titanium white")
    for part in (
        "Ultramarine blue, my new one",
        "Titanium white",
        "1 part tube",
        "9 parts white",
        "by weight",
        "no longer shows through",
        "no flash",
        "100 mm",
    ):
        assert part in told
    assert "…" in words("Letter", tube_name="A very long name of a tube that would run over its field and on")
    target = tmp_path / "card.pdf"
    assert swatch_page(target, paper="Letter") == 1
    assert target.read_bytes().startswith(b"%PDF")


def test_another_paper_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PaintError, match="A4 and Letter"):
        swatch_page_bytes(paper="A5")
    with pytest.raises(PainterError):
        swatch_page(tmp_path / "nowhere" / "card.pdf")
