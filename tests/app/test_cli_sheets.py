"""``easelside sheets`` as a painter or a script uses it."""

from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from app import cli
from app.cli_sheets import parse_grid
from core.drawing.squaring import Squaring
from core.drawing.svg_read import read_drawing
from core.errors import PainterError
from core.size import Size
from tests.core.drawing.sheet_case import DEMO


def words(*more: str) -> list[str]:
    return ["sheets", str(DEMO), "--size", "400x300mm", *more]


def test_sheets_are_written_and_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "sheets.pdf"
    assert cli.run(words("--out", str(path))) == 0
    said = capsys.readouterr()
    assert said.out == f"3 sheets of A4, on their side, after the plan: {path}\nLeft out, since nothing is on it: B1.\n"
    assert said.err == ""
    assert len(pypdfium2.PdfDocument(path)) == 4


def test_every_option_reaches_the_sheets(tmp_path: Path) -> None:
    path = tmp_path / "sheets.pdf"
    more = ["--paper", "letter", "--overlap", "12", "--margin", "8", "--mirror", "--film", "--dots"]
    more += ["--grid", "4x3,diagonals", "--whole-canvas", "--layer", "contour", "--weight", "0.3"]
    assert cli.run(words("--out", str(path), *more)) == 0
    document = pypdfium2.PdfDocument(path)
    plan = document[0].get_textpage().get_text_range().replace("\r\n", " ")
    for said in ("4 sheets of Letter", "overlap 12 mm", "mirrored", "clear film", "printed edge of the canvas"):
        assert said in plan
    every = " ".join(page.get_textpage().get_text_range() for page in document)
    assert "handle top" in every
    assert sorted(document[1].get_size()) == pytest.approx([612, 792], abs=0.01)


def test_picture_and_drawing_without_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    png, svg = tmp_path / "jug.png", tmp_path / "jug.svg"
    assert cli.run(words("--png", str(png), "--dpi", "100", "--svg", str(svg), "--layer", "contour", "--mirror")) == 0
    assert "1575 × 1181 pixels at 100 dpi" in capsys.readouterr().out
    with Image.open(png) as picture:
        assert picture.size == (1575, 1181)
    before, after = read_drawing(DEMO, Size(400, 300)), read_drawing(svg, Size(400, 300))
    assert {line.layer for line in after.lines} == {"contour"}
    assert after.landmarks[0].x_mm == pytest.approx(400 - before.landmarks[0].x_mm, abs=1e-3)


def test_a_layer_that_is_not_there_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(words("--svg", str(tmp_path / "a.svg"), "--layer", "contour", "--layer", "hatching")) == 0
    assert "no layer “hatching”" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ([], "Say what is to be written"),
        (["--out", "x.pdf", "--paper", "a44"], "is not a paper"),
        (["--out", "x.pdf", "--overlap", "-1"], "overlap"),
        (["--out", "x.pdf", "--margin", "nan"], "margin"),
        (["--out", "x.pdf", "--grid", "4by3"], "is not a grid"),
        (["--out", "x.pdf", "--layer", "hatching"], "Its layers are"),
        (["--out", "x.pdf", "--overlap", "much"], "invalid float value"),
        (["--out", "nowhere/x.pdf"], "could not be saved"),
        (["--png", "x.png", "--dpi", "2000"], "Take 803 dpi or less"),
        (["--png", "nowhere/x.png"], "no folder"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(
    more: list[str], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.run(words(*more)) == cli.BAD_INPUT
    said = capsys.readouterr()
    assert sentence in said.err
    assert said.err.count("\n") == 1
    assert said.out == ""
    assert list(tmp_path.iterdir()) == []


def test_help_shows_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["sheets", "--help"]) == 0
    assert "examples:\n  easelside sheets jug.svg" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "grid"),
    [
        ("4x3", Squaring(4, 3)),
        ("thirds", Squaring(0, 0, thirds=True)),
        ("5×2, Diagonals,halves", Squaring(5, 2, diagonals=True, halves=True)),
    ],
)
def test_grids_are_read(text: str, grid: Squaring) -> None:
    assert parse_grid(text) == grid


@pytest.mark.parametrize("text", ["", "0x3", "4x", "x3", "4x-3", "1e3x2", "quarters", "4x3,"])
def test_other_grids_are_refused(text: str) -> None:
    with pytest.raises(PainterError, match="is not a grid"):
        parse_grid(text)
