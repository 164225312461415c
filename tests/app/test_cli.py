"""The command line as a painter or a script uses it: what is printed, what is written, and the exit code."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from app import cli
from core.drawing.svg_write import write_drawing
from tests.core.check_case import cat_case

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("files")
    case = cat_case()
    (folder / "reference.jpg").write_bytes(case.reference)
    (folder / "canvas.jpg").write_bytes(case.photo)
    (folder / "blank.jpg").write_bytes(case.blank)
    assert case.request.drawing is not None
    write_drawing(folder / "drawing.svg", case.request.drawing)
    return folder


def _check(files: Path, out: Path, *more: str, size: str = "160x120mm") -> list[str]:
    corners = " ".join(f"{x:.2f},{y:.2f}" for x, y in cat_case().corners)
    return [
        "check", "--reference", str(files / "reference.jpg"), "--photo", str(files / "canvas.jpg"),
        "--size", size, "--out", str(out), "--corners", corners, *more,
    ]  # fmt: skip


def test_check_writes_its_files_and_prints_the_list(
    files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing, blank = str(files / "drawing.svg"), str(files / "blank.jpg")
    assert cli.run(_check(files, tmp_path / "out", "--drawing", drawing, "--blank", blank, size="400x300mm")) == 0
    said = capsys.readouterr().out
    assert said.startswith("To mend, largest first:\n  1. ")
    assert "check.pdf" in said
    written = {path.name for path in (tmp_path / "out").iterdir()}
    pictures = {"canvas.png", "edge.png", "temperature.png", "drawing.png", "value.png", "grey.png", "light.png"}
    assert written == {"check.json", "check.npz", "check.pdf", *pictures}


def test_json_alone_is_printed_when_asked(files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(_check(files, tmp_path / "out", "--json", "--steps", "5")) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == json.loads((tmp_path / "out" / "check.json").read_text(encoding="utf-8"))
    assert printed["light"]["from"] == "fit"
    assert printed["drawing"]["landmarks"] == []


@pytest.mark.parametrize(
    ("option", "value", "sentence"),
    [
        ("--size", "wide", "is not a size"),
        ("--corners", "1,2 3,4", "four points"),
        ("--corners", "a,b c,d e,f g,h", "four points"),
        ("--corners", "10,10 900,10 10,900 900,900", "corner"),
        ("--steps", "11", "from 2 to 10"),
        ("--steps", "many", "invalid int value"),
        ("--focus", "12", "“x,y” or “x,y,radius”"),
        ("--photo", "nowhere.jpg", "nowhere.jpg"),
        ("--reference", "pyproject.toml", "pyproject.toml"),
        ("--drawing", "pyproject.toml", "drawing"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(
    files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, value: str, sentence: str
) -> None:
    words = _check(files, tmp_path / "out")
    if option in words:
        words[words.index(option) + 1] = value
    else:
        words += [option, value]
    assert cli.run(words) == cli.BAD_INPUT
    said = capsys.readouterr().err
    assert sentence in said
    assert "Traceback" not in said
    assert not (tmp_path / "out").exists()


def test_a_missing_option_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["check"]) == cli.BAD_INPUT
    assert "--help" in capsys.readouterr().err


def test_help_explains_every_file_and_option(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["check", "--help"]) == 0
    said = capsys.readouterr().out
    for word in ("check.json", "check.npz", "check.pdf", "--corners", "--blank", "--steps", "--drawing", "examples:"):
        assert word in said


def test_the_installed_command_and_the_module_are_the_same_program() -> None:
    command = Path(sys.executable).with_name("easelside")
    installed = subprocess.run([str(command), "--help"], capture_output=True, text=True, check=True).stdout
    module = subprocess.run(
        [sys.executable, "-m", "app", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    assert installed == module
    assert "check" in installed


def test_greys_that_cannot_be_used_are_said_and_the_check_goes_on(
    files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(_check(files, tmp_path / "out", "--card", "5,5=8", "--keying", "evenly", "--darkest", "2")) == 0
    said = capsys.readouterr().out
    assert "It was not used." in said
    assert "against the keyed reference (compress evenly, within 2.0 to 9.5)" in said


@pytest.mark.parametrize("card", ["5,5", "5=8", "5,5=white", "a,b=8"])
def test_a_card_written_wrongly_gets_a_sentence(
    files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], card: str
) -> None:
    assert cli.run(_check(files, tmp_path / "out", "--card", card)) == 2
    assert "--card takes" in capsys.readouterr().err
