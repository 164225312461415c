from pathlib import Path

import pytest

from app.__main__ import main
from core.demo import DEMO

REFERENCE = str(DEMO / "reference.jpg")


def run(tmp_path: Path, *options: str) -> int:
    return main(["values", "--reference", REFERENCE, "--size", "400x300mm", "--out", str(tmp_path / "v"), *options])


def test_files_are_written_and_what_was_found_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, "--best", "--steps", "3", "--grid", "4x3", "--earth", "burnt sienna") == 0
    said = capsys.readouterr().out
    assert "Value plan, 3 steps, best separation:" in said
    assert "  D1  Top, 1.8 cm²: value 1.0 ± " in said
    assert "  L1  " in said
    assert "  1  D1, " in said
    assert "11 files: " in said
    assert len(list((tmp_path / "v").iterdir())) == 11


def test_keying_and_boundaries_of_ones_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--boundaries", "3,6.5", "--keying", "lights", "--darkest", "2", "--lightest", "9", "--canvas-scale")
    assert run(tmp_path, *options) == 0
    said = capsys.readouterr().out
    assert "step 1: value 0.0 to 3.0" in said
    assert "of the reference is darker than the paint can be (value 2 ± 0.3)" in said


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--steps", "11"), "from 2 to 10"),
        (("--boundaries", "6,3"), "must rise"),
        (("--boundaries", "dark"), "Munsell values such as"),
        (("--boundaries", "3", "--best"), "either --best or --boundaries"),
        (("--earth", "sky blue"), "not an earth"),
        (("--paper", "tiny"), "is not a paper"),
        (("--darkest", "9", "--lightest", "2"), "the darkest first"),
        (("--mark", "0"), "smallest area"),
        (("--smallest", "-1"), "--smallest is a number"),
        (("--grid", "x"), "is not a grid"),
    ],
)
def test_wrong_numbers_get_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], sentence: str
) -> None:
    assert run(tmp_path, *options) == 2
    heard = capsys.readouterr().err.strip()
    assert sentence in heard
    assert "Traceback" not in heard
    assert not (tmp_path / "v").exists() or not list((tmp_path / "v").iterdir())


def test_a_missing_reference_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chosen = ["values", "--reference", "none.jpg", "--size", "40x30cm", "--out", str(tmp_path)]
    assert main(chosen) == 2
    assert "none.jpg" in capsys.readouterr().err


def test_help_has_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["values", "--help"]) == 0
    assert "easelside values --reference jug.jpg" in capsys.readouterr().out
