"""``easelside trace``: a reference to lines in SVG, and plain sentences when it cannot."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app import cli
from core.drawing.svg_read import read_drawing
from core.size import Size

SIZE = Size(400, 300)
DEMO = Path(__file__).parents[2] / "assets" / "demo" / "reference.jpg"


def trace(*options: str | Path) -> int:
    return cli.run(["trace", "--size", "400x300mm", *map(str, options)])


def test_it_is_one_of_the_commands() -> None:
    assert "trace" in cli.COMMANDS


def test_lines_are_written_in_mm(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, picture = tmp_path / "lines.svg", tmp_path / "lines.png"
    assert trace("--reference", DEMO, "--out", out, "--png", picture) == 0
    drawing = read_drawing(out, SIZE)
    assert drawing.size == SIZE
    assert f"{len(drawing.lines)} lines of " in capsys.readouterr().out
    with Image.open(picture) as opened:
        ink = np.asarray(opened.convert("L"))
    assert ink.shape == (1800, 2400)
    assert 0.005 < (ink < 128).mean() < 0.1


def test_a_larger_amount_writes_more(tmp_path: Path) -> None:
    few, many = tmp_path / "few.svg", tmp_path / "many.svg"
    trace("--reference", DEMO, "--out", few, "--amount", "0.1")
    trace("--reference", DEMO, "--out", many, "--amount", "1")
    assert 0 < len(read_drawing(few, SIZE).lines) < len(read_drawing(many, SIZE).lines)


def test_an_even_picture_is_said_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    grey = tmp_path / "grey.png"
    Image.new("RGB", (400, 300), (120, 120, 120)).save(grey)
    out = tmp_path / "lines.svg"
    assert trace("--reference", grey, "--out", out) == cli.BAD_INPUT
    assert "No line was found in “grey.png”" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("amount", ["2", "-0.1", "nan"])
def test_an_amount_outside_is_said_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], amount: str
) -> None:
    assert trace("--reference", DEMO, "--out", tmp_path / "lines.svg", f"--amount={amount}") == cli.BAD_INPUT
    assert "a number from 0 to 1" in capsys.readouterr().err


def test_a_missing_reference_is_said_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert trace("--reference", tmp_path / "none.jpg", "--out", tmp_path / "lines.svg") == cli.BAD_INPUT
    assert "There is no file “none.jpg”" in capsys.readouterr().err


def test_help_has_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["trace", "--help"]) == 0
    assert "easelside trace --reference jug.jpg" in capsys.readouterr().out
