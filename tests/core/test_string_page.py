"""Strings in print, read and measured from the PDF by PDFium, which had no part in making it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from core.colorimetry import encode_srgb
from core.errors import PainterError, PaintError
from core.mix_pages import HONEST, beyond_print, cautions_of, swatch_code, tube_words, used_tubes, whole_warmth
from core.paint.string_pairs import family_strings
from core.paint.tubes import tubes
from core.paint.value_string import ValueString, say_mix, value_string
from core.print_page import MARGIN_MM
from core.size import PAPERS, Size
from core.string_page import StringPage, string_page_bytes, write_string_page

DPI = 100
PX = DPI / 25.4
WHITE, BLACK = {"titanium white": 1}, {"ivory black": 1}


def ochre(**options: object) -> ValueString:
    return value_string({"yellow ochre": 2, "ivory black": 1}, tubes(), lighter=WHITE, darker=BLACK, **options)  # type: ignore[arg-type]


def page(*strings: ValueString, paper: str = "A4", **options: object) -> StringPage:
    return StringPage(
        [(f"String {n}", each) for n, each in enumerate(strings, 1)], tubes(), paper=PAPERS[paper], **options
    )  # type: ignore[arg-type]


def read(made: bytes) -> tuple[list[np.ndarray], str]:
    document = pypdfium2.PdfDocument(made)
    try:
        pixels = [np.asarray(each.render(scale=DPI / 72).to_numpy())[..., 2::-1] for each in document]
        said = " ".join(each.get_textpage().get_text_bounded() for each in document)
    finally:
        document.close()
    return pixels, " ".join(said.split())


def swatches(pixels: np.ndarray, x_mm: float) -> list[tuple[int, ...]]:
    """The colours met going down a column of the page, each at least 8 mm high."""
    column = pixels[:, round(x_mm * PX)].astype(int)
    change = np.flatnonzero(np.abs(np.diff(column, axis=0)).max(axis=1) > 0) + 1
    parts = np.split(column, change)
    return [tuple(part[0].tolist()) for part in parts if len(part) > 8 * PX and part[0].tolist() != [255, 255, 255]]


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_every_step_is_a_square_of_its_colour(paper: str) -> None:
    string = ochre()
    made, count = string_page_bytes(page(string, paper=paper))
    pixels, said = read(made)
    assert count == len(pixels) == 1
    shown = swatches(pixels[0], MARGIN_MM + 8)
    wanted = [np.rint(255 * encode_srgb(np.clip(step.linear_rgb, 0, 1))) for step in reversed(string.steps)]
    assert shown == [tuple(each.astype(int).tolist()) for each in wanted]
    for step in string.steps:
        assert f"Value {step.asked:g} · T {whole_warmth(step.warmth)}" in said
        assert step.say_parts() in said
        if step.onward is not None:
            assert string.say_onward(step) in said
    height, width = pixels[0].shape[:2]
    assert (width / PX, height / PX) == pytest.approx((PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.3)


def test_what_is_to_be_said_of_the_colours_and_the_tubes_is_said_once() -> None:
    _, said = read(string_page_bytes(page(ochre(), ochre()))[0])
    assert said.count(HONEST[:60]) == 1
    assert said.count("Lighter with titanium white, darker with ivory black") == 2
    assert "String 1: not reached: value 1. This string goes from " in said
    for caution in cautions_of([tubes()[name] for name in ("titanium white", "yellow ochre", "ivory black")]):
        assert said.count(caution) == 1


def test_two_strings_stand_beside_each_other_at_their_values() -> None:
    told = family_strings(
        {"yellow ochre": 4, "cadmium red": 1}, {"burnt umber": 1, "ultramarine": 1}, tubes(), boundary=5,
        lighter=WHITE, darker=BLACK,
    )  # fmt: skip
    pixels, said = read(string_page_bytes(page(told.light, told.shadow, notes=[told.say()]))[0])
    left, right = swatches(pixels[0], MARGIN_MM + 8), swatches(pixels[0], PAPERS["A4"].width_mm / 2 + 11)
    assert left == [swatch_code(step.linear_rgb) for step in reversed(told.light.steps)]
    assert right == [swatch_code(step.linear_rgb) for step in reversed(told.shadow.steps)]
    assert told.say() in said
    assert "Cadmium red: holds cadmium" in said


def test_many_steps_go_over_pages_and_keep_their_squares_large() -> None:
    string = ochre(steps=20)
    made, count = string_page_bytes(page(string))
    pixels, said = read(made)
    assert count == len(pixels) == 2
    shown = [swatches(each, MARGIN_MM + 8) for each in pixels]
    assert [len(each) for each in shown] == [10, 10]
    assert shown[0] + shown[1] == [swatch_code(step.linear_rgb) for step in reversed(string.steps)]
    assert "1 of 2" in said
    assert "2 of 2" in said


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_nothing_runs_into_the_margins(paper: str) -> None:
    long = value_string(
        {"cadmium yellow medium": 3, "quinacridone rose": 2, "transparent oxide red": 2, "chromium oxide green": 1},
        tubes(), lighter={"titanium white": 5, "lead-tin yellow": 2}, darker={"dioxazine violet": 1, "burnt umber": 4},
    )  # fmt: skip
    pixels, _ = read(string_page_bytes(page(long, long, paper=paper, notes=["A note " * 40]))[0])
    for each in pixels:
        ink = each.min(axis=2) < 250
        side = round((MARGIN_MM - 1) * PX)
        assert not ink[:, :side].any()
        assert not ink[:, -side:].any()
        assert not ink[: round((MARGIN_MM - 2) * PX)].any()
        assert not ink[-round((MARGIN_MM - 8) * PX) :].any()


A5 = Size(148, 210)
MIXES = (
    ({"yellow ochre": 2, "ivory black": 1}, {"Venetian red": 1, "burnt umber": 2}),
    (
        {"cadmium yellow medium": 3, "quinacridone rose": 2, "chromium oxide green": 1},
        {"cadmium red": 3, "burnt umber": 2, "transparent oxide red": 1},
    ),
)


@pytest.mark.parametrize("paper", [PAPERS["A4"], PAPERS["Letter"], A5], ids=["A4", "Letter", "A5"])
@pytest.mark.parametrize("mixes", MIXES, ids=["two tubes", "three tubes"])
def test_no_words_lie_over_others_or_over_a_square(paper: Size, mixes: tuple[dict[str, float], ...]) -> None:
    strings = [(say_mix(mix), value_string(mix, tubes(), lighter=WHITE, darker=BLACK)) for mix in mixes]
    made, count = string_page_bytes(StringPage(strings, tubes(), ["A note"], paper))
    document = pypdfium2.PdfDocument(made)
    steps = 0
    try:
        for each in document:
            text = each.get_textpage()
            boxes = [text.get_rect(at) for at in range(text.count_rects())]
            squares = [item.get_bounds() for item in each.get_objects() if item.type == 2]
            steps += len(squares)
            for at, one in enumerate(boxes):
                assert not any(overlap(one, other) for other in boxes[at + 1 :])
                assert not any(overlap(one, square) for square in squares)
                assert one[1] > (MARGIN_MM - 8) * 72 / 25.4
                assert one[2] < (paper.width_mm - MARGIN_MM + 0.5) * 72 / 25.4
    finally:
        document.close()
    assert steps == sum(len(string.steps) for _, string in strings)
    assert count >= 1


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Of rectangles, left, bottom, right, top in points: by more than the half point that letters reach out."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    up = min(one[3], other[3]) - max(one[1], other[1])
    return across > 0.5 and up > 0.5


def test_a_paper_that_is_too_small_is_refused() -> None:
    for paper in (Size(60, 90), Size(300, 60), Size(70, 400)):
        with pytest.raises(PaintError, match=r"is too small for this string\. Choose a larger one"):
            string_page_bytes(StringPage([("One", ochre())], tubes(), paper=paper))
    with pytest.raises(PaintError, match="too small for two strings beside each other"):
        string_page_bytes(StringPage([("One", ochre()), ("Two", ochre())], tubes(), paper=Size(105, 148)))


def test_the_nearer_way_stands_first_and_what_is_rough_is_said() -> None:
    string = value_string({"phthalo blue": 1}, tubes(), lighter=WHITE, darker=BLACK, most_parts=4)
    _, said = read(string_page_bytes(page(string))[0])
    assert said.count("straight from the tubes more roughly") == sum(step.better_onward for step in string.steps)
    assert said.count("rough either way") == sum(step.rough_either_way for step in string.steps) > 0
    few = value_string({"phthalo blue": 1}, tubes(), lighter=WHITE, darker=BLACK, most_parts=1)
    assert "cannot be told apart" in read(string_page_bytes(page(few))[0])[1]


def test_a_colour_that_no_print_shows_is_told() -> None:
    string = value_string({"cadmium yellow light": 1}, tubes(), lighter=WHITE, steps=2)
    assert beyond_print(string.steps[0].linear_rgb)
    assert "stronger than print and screen can show" in read(string_page_bytes(page(string))[0])[1]
    assert "stronger than" not in read(string_page_bytes(page(ochre()))[0])[1]


def test_written_whole_or_refused(tmp_path: Path) -> None:
    assert write_string_page(tmp_path / "string.pdf", page(ochre())) == 1
    assert (tmp_path / "string.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(PainterError, match="no folder"):
        write_string_page(tmp_path / "none" / "string.pdf", page(ochre()))
    with pytest.raises(PaintError, match="one string, or two"):
        page(ochre(), ochre(), ochre())
    with pytest.raises(PaintError, match="No step of this string is reached"):
        page(ochre(values=[1]))
    assert replace(page(ochre()), title="Jug").title == "Jug"


def test_tubes_in_words() -> None:
    known = tubes()
    assert tube_words(known["yellow ochre"]).startswith("PY43 · semi-opaque · dries ")
    assert [tube.name for tube in used_tubes([{"ivory black": 1, "viridian": 0}, {"yellow ochre": 2}], known)] == [
        name for name in known if name in ("ivory black", "yellow ochre")
    ]
    with pytest.raises(PaintError, match="no tube “moon dust”"):
        used_tubes([{"moon dust": 1}], known)
    assert [whole_warmth(warmth) for warmth in (11.6, 0.2, -0.2, -3.4)] == ["12", "0", "0", "−3"]
