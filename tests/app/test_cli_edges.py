"""``easelside edges``: the files, the budget in words, and what is said of wrong numbers."""

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from app.__main__ import main
from core.edge.brief import EdgeBrief
from tests.app.edge_case import SHARP, SIZE, WIDE, picture


@pytest.fixture(scope="module")
def reference(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("reference") / "discs.png"
    Image.fromarray(picture()).save(file)
    return file


def run(reference: Path, out: Path, *options: str) -> int:
    return main(["edges", "--reference", str(reference), "--size", "160x120mm", "--out", str(out), *options])


def test_files_are_written_and_the_budget_is_said(
    reference: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "e"
    options = ("--focus", "45,60,30", "--focus", "115,60", "--wanted-hard", "15", "--paper", "A3")
    assert run(reference, out, *options) == 0
    said = capsys.readouterr().out
    data = json.loads((out / "edges.json").read_text())
    assert said.startswith(f"{100 * data['budget']['shares']['hard']:.0f} % of edge length is hard; 15 % wanted: ")
    assert "% hard, " in said
    assert f"4 files: {out}" in said
    assert sorted(file.name for file in out.iterdir()) == ["edges.json", "edges.pdf", "edges.png", "seen.png"]
    brief = EdgeBrief.from_json(data["brief"])
    assert brief.size == SIZE
    assert [(each.x_mm, each.y_mm, each.radius_mm) for each in brief.foci] == [(*SHARP, 30.0), (*WIDE, 20.0)]
    for name in ("edges.png", "seen.png"):
        with Image.open(out / name) as made:
            assert made.size == (640, 480)
    page = pypdfium2.PdfDocument(out / "edges.pdf")
    sides = sorted((page[0].get_width() / 72 * 25.4, page[0].get_height() / 72 * 25.4))
    page.close()
    assert sides == pytest.approx([297, 420], abs=0.1)


def test_the_lines_are_where_the_edges_are_with_their_kinds(reference: Path, tmp_path: Path) -> None:
    assert run(reference, tmp_path) == 0
    assert not (tmp_path / "seen.png").exists()
    data = json.loads((tmp_path / "edges.json").read_text())
    longest = data["lines"][:2]
    kinds = set()
    for line in longest:
        points = np.array(line["points_mm"])
        middle = np.array(min((SHARP, WIDE), key=lambda at: np.hypot(*(points.mean(axis=0) - at))))
        assert np.hypot(*(points - middle).T) == pytest.approx(25, abs=0.4)
        assert line["closed"]
        assert line["reference"] == line["planned"]
        kinds |= set(line["planned"])
        assert len(line["sigma_mm"]) == len(points) == len(line["contrast_steps"])
    assert {"hard", "soft"} <= kinds
    lengths = [line["length_mm"] for line in data["lines"]]
    assert sum(lengths) == pytest.approx(data["budget"]["total_mm"], rel=0.01)


def test_the_plan_by_the_eye_is_another(reference: Path, tmp_path: Path) -> None:
    plans = {}
    for name, options in {"distance": (), "eye": ("--eye", "40cm", "--strength", "2")}.items():
        assert run(reference, tmp_path / name, "--focus", "45,60,26", *options) == 0
        plans[name] = json.loads((tmp_path / name / "edges.json").read_text())
    assert plans["eye"]["brief"]["eye"] == {"viewing_mm": 400.0, "strength": 2.0}
    assert plans["eye"]["budget"]["shares"] != plans["distance"]["budget"]["shares"]


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--focus", "here"), "--focus takes mm on the canvas as “x,y” or “x,y,radius”"),
        (("--focus", "1,2,3,4"), "--focus takes mm"),
        (("--focus", "400,60"), "lies off the canvas"),
        (("--focus", "40,60,0"), "Give a radius above 0 mm"),
        (("--wanted-hard", "150"), "between 0 and 100 %"),
        (("--wanted-hard", "nan"), "between 0 and 100 %"),
        (("--eye", "100cm"), "give a focal point with --focus"),
        (("--focus", "45,60", "--eye", "near"), "--eye takes a distance such as 100cm"),
        (("--focus", "45,60", "--eye", "100"), "--eye takes a distance such as 100cm"),
        (("--focus", "45,60", "--eye", "1mm"), "no distance to look at a canvas from"),
        (("--focus", "45,60", "--eye", "1m", "--strength", "9"), "from 0 to 3 times"),
        (("--strength", "2"), "give --eye"),
        (("--paper", "tiny"), "is not a paper"),
        (("--size", "wide"), "wide"),
    ],
)
def test_wrong_numbers_get_a_sentence(
    reference: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    options: tuple[str, ...],
    sentence: str,
) -> None:
    assert run(reference, tmp_path / "e", *options) == 2
    heard = capsys.readouterr().err.strip()
    assert sentence in heard
    assert "Traceback" not in heard
    assert not (tmp_path / "e").exists()


def test_a_missing_reference_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path / "none.jpg", tmp_path / "e") == 2
    assert "none.jpg" in capsys.readouterr().err


def test_a_picture_without_edges_has_none_to_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Image.fromarray(np.full((240, 320, 3), 128, np.uint8)).save(tmp_path / "grey.png")
    assert run(tmp_path / "grey.png", tmp_path / "e", "--focus", "45,60") == 0
    assert capsys.readouterr().out.startswith("No edge was found to plan.")
