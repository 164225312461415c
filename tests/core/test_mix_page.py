"""The mixing list in print, read and measured from the PDF by PDFium, which had no part in making it."""

from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.errors import PainterError, PaintError
from core.mix_page import Entry, mixing_list_bytes, mixing_list_page
from core.mix_pages import HONEST, cautions_of, swatch_code
from core.paint.palette import palette_named
from core.paint.recipe import recipes_for
from core.paint.target import Target
from core.paint.tubes import tubes
from core.print_page import MARGIN_MM
from core.size import PAPERS, Size
from tests.core.test_string_page import PX, overlap, read, swatches


def entry(name: str = "cheek", code: str = "#c9796a") -> Entry:
    return Entry.of(name, recipes_for(Target.of_hex(code), palette_named("twelve tubes").held()).best)


def plain(name: str, **parts: int) -> Entry:
    named = {each.replace("_", " "): part for each, part in parts.items()}
    return Entry(name, (0.5, 0.3, 0.2), (0.45, 0.32, 0.2), named, 3.4, "too dull by 4")


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_what_is_wanted_stands_beside_what_is_mixed(paper: str) -> None:
    entries = [entry(), entry("jaw", "#5b3a33")]
    made, count = mixing_list_bytes(entries, paper=PAPERS[paper], title="Jug")
    (pixels,), said = read(made)
    assert count == 1
    assert swatches(pixels, MARGIN_MM + 10) == [swatch_code(each.target) for each in entries]
    assert swatches(pixels, MARGIN_MM + 32) == [swatch_code(each.mixed) for each in entries]
    assert said.startswith("Jug ")
    for each in entries:
        parts = ", ".join(f"{count} {name}" for name, count in each.parts.items())
        assert f"{each.name} {parts} {each.say[:1].upper()}{each.say[1:]} · CIEDE2000 {each.difference:.1f}" in said
    assert "Wanted: value 5.8, T 36" in said


def test_swatches_touch_so_that_the_eye_can_compare_them() -> None:
    (pixels,), _ = read(mixing_list_bytes([plain("one", yellow_ochre=1)])[0])
    row = pixels[round((MARGIN_MM + 19 + 10) * PX)].astype(int)
    across = row[round((MARGIN_MM + 2) * PX) : round((MARGIN_MM + 42) * PX)]
    ends = [np.array(swatch_code(light)) for light in ((0.5, 0.3, 0.2), (0.45, 0.32, 0.2))]
    between = np.minimum(*ends) - 1, np.maximum(*ends) + 1
    assert ((across >= between[0]) & (across <= between[1])).all()


def test_the_tubes_needed_are_listed_once_with_their_cautions() -> None:
    entries = [
        plain("one", yellow_ochre=2, titanium_white=3),
        plain("two", cadmium_red=1, titanium_white=5),
        plain("three", cadmium_red=1, cadmium_yellow_light=1),
    ]
    _, said = read(mixing_list_bytes(entries)[0])
    tail = said[said.index("Tubes needed") :]
    order = [name for name in tubes() if any(name in each.parts for each in entries)]
    assert [tail.index(name) for name in order] == sorted(tail.index(name) for name in order)
    assert "titanium white PW6 · opaque · dries at a medium pace in 2 of 3 mixes" in tail
    assert "yellow ochre PY43" in tail
    assert "in 1 of 3 mixes" in tail
    for caution in cautions_of([tubes()[name] for name in order]):
        assert said.count(caution) == 1
    assert "cadmium red: holds cadmium" in tail.replace("Cadmium yellow light, ", "")
    assert HONEST in said


def test_a_long_list_goes_over_pages_and_within_the_margins() -> None:
    entries = [plain(f"passage {n} with a name that goes on " * (1 + 2 * (n == 3)), yellow_ochre=1) for n in range(25)]
    made, count = mixing_list_bytes(entries, paper=PAPERS["Letter"], title="A title " * 20)
    pixels, said = read(made)
    assert count == len(pixels) >= 3
    assert f"{count} of {count}" in said
    assert sum(len(swatches(each, MARGIN_MM + 10)) for each in pixels) == 25
    for each in pixels:
        ink = each.min(axis=2) < 250
        side = round((MARGIN_MM - 1) * PX)
        assert not ink[:, :side].any()
        assert not ink[:, -side:].any()
        assert not ink[-round((MARGIN_MM - 8) * PX) :].any()


@pytest.mark.parametrize("paper", [Size(60, 90), Size(70, 300), Size(148, 60)])
def test_a_paper_that_is_too_small_is_refused(paper: Size) -> None:
    with pytest.raises(PaintError, match="too small for the mixing list"):
        mixing_list_bytes([plain("one", yellow_ochre=1)], paper=paper)


@pytest.mark.parametrize("paper", [Size(148, 210), Size(105, 148)], ids=["A5", "A6"])
def test_small_papers_begin_with_a_mix_and_no_words_lie_over_others(paper: Size) -> None:
    entries = [
        plain("one", cadmium_yellow_medium=2, transparent_oxide_red=3, titanium_white=8),
        plain("two", quinacridone_rose=1, burnt_sienna=2, chromium_oxide_green=1),
    ]
    document = pypdfium2.PdfDocument(mixing_list_bytes(entries, paper=paper)[0])
    try:
        assert "2 cadmium yellow medium" in " ".join(document[0].get_textpage().get_text_bounded().split())
        for each in document:
            text = each.get_textpage()
            boxes = [text.get_rect(at) for at in range(text.count_rects())]
            for at, one in enumerate(boxes):
                assert not any(overlap(one, other) for other in boxes[at + 1 :])
    finally:
        document.close()


def test_colours_outside_print_are_named() -> None:
    strong = Entry("sun", (1.2, 0.9, -0.1), (0.9, 0.8, 0.1), {"yellow ochre": 1}, 20.0, "too dull by 40")
    assert "Wanted stronger than print and screen can show" in read(mixing_list_bytes([strong])[0])[1]


def test_written_whole_or_refused(tmp_path: Path) -> None:
    assert mixing_list_page(tmp_path / "list.pdf", [entry()], paper=PAPERS["A4"], title="Jug") == 1
    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(PainterError, match="no folder"):
        mixing_list_page(tmp_path / "none" / "list.pdf", [entry()])
    with pytest.raises(PaintError, match="nothing on the mixing list"):
        mixing_list_bytes([])
    with pytest.raises(PaintError, match="no tube “moon dust”"):
        mixing_list_bytes([plain("one", moon_dust=1)])
    with pytest.raises(PaintError, match="“one” has no parts"):
        plain("one", yellow_ochre=0)
