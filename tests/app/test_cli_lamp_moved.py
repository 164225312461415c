"""``easelside check --lamp-moved``: other photos of the canvas that take the glare out."""

from pathlib import Path

import numpy as np
import pytest

from app import cli
from core.photo import save_jpeg
from tests.app.window_case import reference_photo
from tests.core.glare_case import FIRST, HERE, SECOND, THERE, jpeg


@pytest.fixture
def words(tmp_path: Path) -> list[str]:
    (tmp_path / "canvas.jpg").write_bytes(jpeg(FIRST))
    corners = " ".join(f"{x},{y}" for x, y in HERE)
    return [
        "check", "--reference", str(reference_photo(tmp_path)), "--photo", str(tmp_path / "canvas.jpg"), "--size",
        "200x150mm", "--corners", corners, "--out", str(tmp_path / "out"),
    ]  # fmt: skip


def test_the_glare_is_taken_out_and_a_photo_without_a_canvas_is_said(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "left.jpg").write_bytes(jpeg(SECOND, THERE))
    save_jpeg(tmp_path / "wall.jpg", np.full((600, 800, 3), 0.2, np.float32))
    more = ["--lamp-moved", str(tmp_path / "left.jpg"), "--lamp-moved", str(tmp_path / "wall.jpg")]
    assert cli.run([*words, *more]) == 0
    said = capsys.readouterr().out
    assert "Glare: taken out by 1 photo with the lamp moved; " in said
    assert "Glare: “wall.jpg” was left out. " in said
    with np.load(tmp_path / "out" / "check.npz") as maps:
        assert np.isfinite(maps["value_canvas"]).mean() > 0.99


@pytest.mark.parametrize("broken", [True, False])
def test_a_photo_that_is_missing_or_broken_is_one_sentence(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], broken: bool
) -> None:
    if broken:
        (tmp_path / "left.jpg").write_bytes(b"no photograph")
    assert cli.run([*words, "--lamp-moved", str(tmp_path / "left.jpg")]) == cli.BAD_INPUT
    said = capsys.readouterr().err
    assert "“left.jpg”" in said
    assert "Traceback" not in said
    assert said.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_help_tells_of_it_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["check", "--help"]) == 0
    assert capsys.readouterr().out.count("--lamp-moved") >= 3
