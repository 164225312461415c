"""The page of first marks, read back from the PDF by PDFium, which had no part in making it."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.colorimetry import encode_srgb, luminance_of_value
from core.errors import PainterError
from core.first_marks_print import (
    FirstMarksPages,
    clear_of,
    first_marks_bytes,
    mark_words,
    placed_words,
    write_first_marks,
)
from core.print_page import MARGIN_MM
from core.size import PAPERS, Size
from core.value.boundaries import equal_boundaries
from core.value.first_marks import first_marks
from core.value.order import order_of_work
from core.value.regions import regions_of
from core.value.steps import steps_picture, value_steps

CANVAS, PX_PER_MM = Size(300, 200), 1.0
DPI = 200
PX = DPI / 25.4


def pages(paper: str = "A4") -> FirstMarksPages:
    """A dark square about (60, 60) mm and a light one about (230, 140) mm on a middle grey."""
    value = np.full((200, 300), 5.0, np.float32)
    value[40:80, 40:80], value[120:160, 210:250] = 1.0, 9.2
    steps = value_steps(value, 5, px_per_mm=PX_PER_MM)
    marks = first_marks(value, px_per_mm=PX_PER_MM)
    order = order_of_work(regions_of(value, steps, px_per_mm=PX_PER_MM), marks, equal_boundaries(5))
    grey = np.rint(255 * encode_srgb(luminance_of_value(value.astype(np.float64)))).astype(np.uint8)
    picture = np.repeat(grey[..., None], 3, axis=2)
    return FirstMarksPages(
        picture, steps_picture(steps), CANVAS, marks, order, tuple(equal_boundaries(5)), PAPERS[paper], "Squares"
    )


def read(made: bytes) -> tuple[list[np.ndarray], list[str], list[tuple[float, float]]]:
    document = pypdfium2.PdfDocument(made)
    try:
        pixels = [np.asarray(page.render(scale=DPI / 72).to_numpy())[..., :3].mean(axis=2) for page in document]
        words = [page.get_textpage().get_text_bounded() for page in document]
        sizes = [tuple(each / 72 * 25.4 for each in page.get_size()) for page in document]
    finally:
        document.close()
    return pixels, words, sizes


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_two_pages_of_the_paper(paper: str) -> None:
    _, words, sizes = read(first_marks_bytes(pages(paper)))
    assert len(sizes) == 2
    for size in sizes:
        assert size == pytest.approx((PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.1)
    assert "Squares: first marks" in words[0]
    assert "Squares: order of work" in words[1]


def test_marks_are_outlined_where_they_lie() -> None:
    made = pages()
    (page, _), _, _ = read(first_marks_bytes(made))
    scale = (PAPERS["A4"].width_mm - 2 * MARGIN_MM) / CANVAS.width_mm  # as wide as the page allows
    top = MARGIN_MM + 14.0

    def profile(y_mm: float, from_mm: float, to_mm: float) -> np.ndarray:
        row = page[round((top + y_mm * scale) * PX)]
        return row[round((MARGIN_MM + from_mm * scale) * PX) : round((MARGIN_MM + to_mm * scale) * PX)]

    # Across the left edge of the dark square, at x = 40 mm: light rim, dark line, light rim.
    across = profile(50, 36, 44)
    light = np.flatnonzero(across > 230)
    assert len(light) > 2
    middle = 36 + (light.mean() / len(across)) * 8
    assert middle == pytest.approx(40, abs=0.7)
    # Its name stands on black, the light one's on white.
    plates = [
        page[round((top + mark.y_mm * scale + 1.7) * PX), round((MARGIN_MM + mark.x_mm * scale + aside) * PX)]
        for mark, aside in ((made.marks[0], -1.7), (made.marks[-1], 0.0))
    ]
    assert plates[0] < 60
    assert plates[1] > 200


def test_the_lists_say_what_was_found() -> None:
    made = pages()
    _, words, _ = read(first_marks_bytes(made))
    assert "D1" in words[0]
    assert "L1" in words[0]
    assert "value 1.0 ± 0.0" in words[0]
    assert "Step 1 of 5, the darkest" in words[0]
    assert "Step 5 of 5, the lightest" in words[0]
    ground = made.order[-1]
    assert ground.mark is None
    assert f"value 5.0 ± {ground.sigma:.1f}, step 3 of 5" in words[1]
    assert "Against 1 and 2" in words[1] or "Against 2 and 1" in words[1]


def test_words_of_a_mark_and_of_a_place() -> None:
    made = pages()
    dark = made.marks[0]
    assert mark_words(dark, made.boundaries, CANVAS)[0] == "Upper left, 16 cm²: value 1.0 ± 0.0"
    assert mark_words(dark, None, CANVAS)[1].startswith("Sure")
    assert placed_words(made.order[0], made.boundaries, CANVAS)[1].startswith("A first mark")


def test_plates_keep_clear_of_one_another() -> None:
    taken: list[tuple[float, float]] = []
    for _ in range(9):
        taken.append(clear_of((50.0, 50.0), taken))
    assert taken[0] == (50.0, 50.0)
    apart = [np.hypot(a[0] - b[0], a[1] - b[1]) for i, a in enumerate(taken) for b in taken[:i]]
    assert min(apart) > 3.0
    assert all(np.hypot(x - 50, y - 50) < 12 for x, y in taken)
    assert all(one != other for one, other in pairwise(taken))


def test_written_whole_or_refused(tmp_path: Path) -> None:
    said: list[float] = []
    assert write_first_marks(tmp_path / "m.pdf", pages(), tell=lambda share, doing: said.append(share)) == 2
    assert said == [0.0, 0.5]
    assert (tmp_path / "m.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(PainterError):
        write_first_marks(tmp_path / "no such folder" / "m.pdf", pages())
