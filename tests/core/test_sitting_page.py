"""The printed plan, read back from the PDF by PDFium, which had no part in making it."""

from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.errors import PainterError, PaintError
from core.print_page import MARGIN_MM
from core.sitting.cautions import DEFER, Work, cautions_for
from core.sitting.layer import Medium, Thickness
from core.sitting_lines import high_mm, rows_of, taken
from core.sitting_page import Note, PlanSheet, SittingBlock, notes_of, plan_page_bytes, write_plan_page
from core.size import PAPERS, Size
from tests.core.test_string_page import PX, overlap, read

CANVAS = Size(400, 300)
LIMITS = "A forecast only: touch is the test, and touch-dry is not cured."
TUBES = (("cadmium red", ("PR108",)), ("titanium white", ("PW6",)), ("cobalt blue", ("PB28",)))
CAUTIONS = cautions_for(Work((Medium.SOLVENT, Medium.MORE_OIL), TUBES, (Thickness.THICK,), varnishing=True))


def block(number: int, **options: object) -> SittingBlock:
    given: dict[str, object] = {
        "heading": f"Sitting {number}", "aim": f"Aim of {number}: the darks, then the largest lights",
        "medium": "let down with solvent", "thickness": "thin", "tubes": ("burnt umber", "titanium white"),
        "length": f"about {number} h", "warnings": (f"Sitting {number} is leaner than the one beneath.",),
        "drying": f"Sitting {number} may be dry to the touch after 2 to 5 days.",
    }  # fmt: skip
    return SittingBlock(**(given | options))  # type: ignore[arg-type]


def sheet(count: int = 4, paper: str = "A4", **options: object) -> PlanSheet:
    picture = np.full((600, 800, 3), (180, 60, 20), np.uint8)
    given: dict[str, object] = {
        "picture": picture, "facts": (Note("Ground", "acrylic"),), "drying": (Note("Varnish", "6 to 12 months."),),
        "limits": LIMITS, "cautions": notes_of(CAUTIONS), "paper": PAPERS[paper],
    }  # fmt: skip
    blocks = [block(number) for number in range(1, count + 1)]
    return PlanSheet("Enamel jug", CANVAS, blocks, **(given | options))  # type: ignore[arg-type]


def within_margins(pixels: list[np.ndarray]) -> bool:
    """No ink in the outer margins; the title of later pages and the page's number lie a little outside the inner."""
    side, end = round((MARGIN_MM - 0.5) * PX), round((MARGIN_MM - 8) * PX)
    inks = [page.min(axis=2) < 250 for page in pixels]
    return not any(
        ink[:, :side].any() or ink[:, -side:].any() or ink[:end].any() or ink[-end:].any() for ink in inks
    )  # fmt: skip


def no_words_over_others(made: bytes) -> bool:
    document = pypdfium2.PdfDocument(made)
    try:
        for page in document:
            text = page.get_textpage()
            boxes = [text.get_rect(at) for at in range(text.count_rects())]
            if any(overlap(one, other) for at, one in enumerate(boxes) for other in boxes[at + 1 :]):
                return False
    finally:
        document.close()
    return True


@cache
def usual(paper: str) -> tuple[bytes, int, list[np.ndarray], str]:
    """A plan of four sittings: the file, its pages, how they look and what they say."""
    made, count = plan_page_bytes(sheet(paper=paper))
    return made, count, *read(made)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_usual_plan_is_two_pages_with_everything_on_them(paper: str) -> None:
    made, count, pixels, said = usual(paper)
    assert count == len(pixels) == 2
    assert said.startswith("Enamel jug Canvas 40 × 30 cm (15.75 × 11.81 in) · 4 sittings Ground: acrylic ")
    at = -1
    for number in range(1, 5):
        here = said.index(f"Aim of {number}: the darks, then the largest lights")
        assert here > at
        at = here
        assert f"Let down with solvent · thin · about {number} h" in said
        assert f"Mind: Sitting {number} is leaner than the one beneath." in said
        assert f"Sitting {number} may be dry to the touch after 2 to 5 days." in said
    assert said.count("Tubes: burnt umber, titanium white") == 4
    assert said.count("Date Time taken Touch-dry What was done") == 4
    assert said.index("Drying Varnish 6 to 12 months. " + LIMITS) < said.index("Cautions " + DEFER)
    for caution in CAUTIONS:
        assert caution.line in said
    assert "2 of 2" in said
    height, width = pixels[0].shape[:2]
    assert (width / PX, height / PX) == pytest.approx((PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.3)
    assert within_margins(pixels)
    assert no_words_over_others(made)


def test_the_reference_hangs_at_the_upper_right_in_its_shape() -> None:
    pixels = usual("A4")[2][0]
    red = np.abs(pixels.astype(int) - (180, 60, 20)).max(axis=2) < 12
    rows, columns = np.flatnonzero(red.any(axis=1)), np.flatnonzero(red.any(axis=0))
    assert (columns[-1] + 1) / PX == pytest.approx(PAPERS["A4"].width_mm - MARGIN_MM, abs=0.4)
    assert rows[0] / PX == pytest.approx(MARGIN_MM, abs=0.4)
    assert (len(columns) / len(rows)) == pytest.approx(800 / 600, rel=0.02)


def test_what_is_known_stands_in_the_boxes_and_else_they_are_blank() -> None:
    blank, _ = plan_page_bytes(sheet(1, cautions=()))
    known = block(1, on="7 Mar 2026", took="1 h 10 min", dry_on="9 Mar", done="Laid in the jug.", planned="Saturday")
    made, _ = plan_page_bytes(PlanSheet("Enamel jug", CANVAS, [known], paper=PAPERS["A4"]))
    said = read(made)[1]
    for told in ("7 Mar 2026", "1 h 10 min", "9 Mar", "Laid in the jug.", "Sitting 1 · planned for Saturday"):
        assert told in said
        assert told not in read(blank)[1]
    assert "Cautions" not in said
    assert "Drying" not in said
    ink = read(blank)[0][0].min(axis=2) < 200
    down = np.flatnonzero(ink[:, round((PAPERS["A4"].width_mm - MARGIN_MM - 20) * PX)])
    assert np.diff(down[down > 62 * PX]).max() / PX > 14  # mm to write in, without a mark


def test_many_sittings_go_onto_more_pages_each_whole() -> None:
    made, count = plan_page_bytes(sheet(9, "Letter"))
    pixels, said = read(made)
    assert count == len(pixels) >= 3
    assert f"{count} of {count}" in said
    assert said.count("Enamel jug") == count
    for number in range(1, 10):
        assert said.count(f"Aim of {number}: ") == 1
    assert "continued" not in said
    assert within_margins(pixels)
    assert no_words_over_others(made)


def test_texts_of_any_length_are_set_whole() -> None:
    """A sitting that no page holds is parted; a word longer than its line, too."""
    words = [f"word{number}" for number in range(1000)]
    long = block(
        1, aim=" ".join(words[:300]), done=" ".join(words[300:900]), tubes=("x" * 300,), on="not told " * 40,
        warnings=(" ".join(words[900:]),),
    )  # fmt: skip
    blocks = [block(2, took="1 h 10 min", dry_on="9 March"), long, block(3)]
    plan = PlanSheet(
        "A title that goes on " * 20, CANVAS, blocks, facts=(Note("Ground", "chalk " * 200),),
        drying=(Note("N" * 90, "y" * 400),), limits=LIMITS * 5, cautions=(Note("", "dust " * 900),),
        picture=np.zeros((50, 5000), np.uint8), paper=PAPERS["A5"],
    )  # fmt: skip
    made, count = plan_page_bytes(plan)
    pixels, said = read(made)
    assert count == len(pixels) > 4
    assert set(words) <= set(said.split())
    assert (said.count("x" * 10) >= 10, said.count("chalk"), said.count("dust")) == (True, 200, 900)
    assert sum(len(part) for part in said.split() if set(part) == {"x"}) == 300
    assert sum(len(part) for part in said.split() if set(part) == {"y"}) == 400
    assert "What was done, continued" in said
    assert "Aim of 3" in said
    assert within_margins(pixels)
    assert no_words_over_others(made)


def test_a_paper_that_is_too_small_is_refused_and_an_empty_plan_is_a_page(tmp_path: Path) -> None:
    for paper in (Size(105, 148), Size(210, 148)):
        with pytest.raises(PaintError, match="too small for the plan of the sittings"):
            plan_page_bytes(PlanSheet("Jug", None, [], paper=paper))
    assert write_plan_page(tmp_path / "plan.pdf", PlanSheet("Jug", None, [])) == 1
    assert "Jug 0 sittings" in read((tmp_path / "plan.pdf").read_bytes())[1]
    with pytest.raises(PainterError, match="no folder"):
        write_plan_page(tmp_path / "none" / "plan.pdf", PlanSheet("Jug", None, []))


def test_rows_and_what_a_page_takes_of_them() -> None:
    rows = rows_of("one\ttwo\n\nthree " + "w" * 200, 10, 40, after=2.0)
    assert [row.words for row in rows[:3]] == ["one two", "", "three"]
    assert "".join(row.words for row in rows[3:]) == "w" * 200
    assert [row.after for row in rows[:-1]] == [0.0] * (len(rows) - 1)
    assert rows_of("  \n ", 10, 40) == []
    for room in (0.0, 9.0, high_mm(rows) - 2.0, 100.0):
        some, rest = taken(rows, room)
        assert some + rest == rows
        assert high_mm(some) <= room + 2.0
    assert taken(rows, high_mm(rows) - 2.0)[1] == []
    assert taken(rows, high_mm(rows) - 2.1)[1] == rows[-1:]
