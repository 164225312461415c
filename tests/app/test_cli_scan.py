"""``easelside scan``: a photo of a drawing to lines in SVG, and plain sentences when it cannot."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app import cli
from core.drawing.scan_place import corners_on
from core.drawing.svg_read import read_drawing
from core.photo import Photo
from core.size import Size
from tests.app.scan_case import A6, FALSE, FOUND, photo_file, photographed, scanned, shot, strokes
from tests.app.window_case import SIZE, reference_photo
from tests.core.drawing.drawn_sheets import moved, recovery

CANVAS = Size(300, 200)


def scan(photo: Path, out: Path, *options: str, size: str = "200x150mm") -> int:
    return cli.run(["scan", str(photo), "--size", size, "--out", str(out), *options])


def corners_of(sheet: Size) -> list[str]:
    return [f"{x:.2f},{y:.2f}" for x, y in photographed(sheet)[1]]


def assert_recovered(out: Path, size: Size, sheet: Size, place: np.ndarray) -> None:
    scale = (place[1, 0] - place[0, 0]) / sheet.width_mm
    got = recovery(read_drawing(out, size), moved(list(strokes(sheet)), sheet, place), within_mm=0.4 * max(scale, 1.0))
    assert got.found >= FOUND
    assert got.false <= FALSE


def test_it_is_one_of_the_commands() -> None:
    assert "scan" in cli.COMMANDS


def test_the_sheet_is_looked_for_and_its_lines_written_in_mm(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "lines.svg"
    assert scan(shot(tmp_path), out) == 0
    assert_recovered(out, SIZE, SIZE, corners_on(SIZE, SIZE))
    said = capsys.readouterr().out
    assert "The sheet was found: sure" in said
    assert f"{len(read_drawing(out, SIZE).lines)} lines, " in said
    assert "contours and" in said


def test_given_corners_and_a_smaller_sheet_shifted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "lines.svg"
    options = ["--sheet", "148x105mm", "--corners", *corners_of(A6), "--shift=-10,20.5"]
    assert scan(shot(tmp_path, A6), out, *options, size="300x200mm") == 0
    assert_recovered(out, CANVAS, A6, corners_on(CANVAS, A6, shift_mm=(-10.0, 20.5)))
    assert "66 mm from the canvas’s left and 68 mm from the canvas’s upper edge" in capsys.readouterr().out


def test_a_flatbed_scan_on_its_side_fills_the_canvas(tmp_path: Path) -> None:
    out = tmp_path / "lines.svg"
    turned = Image.open(scanned(tmp_path, A6)).rotate(90, expand=True)
    turned.save(tmp_path / "side.png")
    options = ["--sheet", "148x105mm", "--flatbed", "--turn", "90", "--place", "fill"]
    assert scan(tmp_path / "side.png", out, *options, size="300x200mm") == 0
    assert_recovered(out, CANVAS, A6, corners_on(CANVAS, A6, filling=True))


def test_what_is_doubtful_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert scan(shot(tmp_path, A6), tmp_path / "lines.svg", "--sheet", "100x75mm", size="60x60mm") == 0
    said = capsys.readouterr().out
    assert "Part of the drawing lies outside the canvas." in said
    assert "is that of A4 or A3 rather than of 10 × 7.5 cm" in said


class TestRefusals:
    """One sentence and exit code 2; no file is written."""

    def refused(self, capsys: pytest.CaptureFixture[str], photo: Path, *options: str) -> str:
        out = photo.parent / "lines.svg"
        assert scan(photo, out, *options) == cli.BAD_INPUT
        assert not out.exists()
        said = capsys.readouterr().err
        assert said.startswith("easelside")
        assert "Traceback" not in said
        return said

    def test_a_missing_photo(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert "There is no file “none.jpg”" in self.refused(capsys, tmp_path / "none.jpg")

    def test_a_broken_photo(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0 and no more")
        assert "broken.jpg" in self.refused(capsys, tmp_path / "broken.jpg")

    def test_no_lines(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        file = shot(tmp_path, with_lines=False)
        assert "No lines were found" in self.refused(capsys, file, "--corners", *corners_of(SIZE))

    def test_no_sheet(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        Image.new("RGB", (800, 600), (180, 180, 180)).save(tmp_path / "wall.png")
        said = self.refused(capsys, tmp_path / "wall.png")
        assert "outline was not found" in said
        assert "--corners, or --flatbed" in said

    def test_a_photograph_of_a_scene(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert "looks like a photograph" in self.refused(capsys, reference_photo(tmp_path), "--flatbed")

    @pytest.mark.parametrize(
        ("order", "sentence"),
        [
            ((0, 2, 1, 3), "The sheet's sides cross"),
            ((3, 2, 1, 0), "wrong way round"),
            ((0, 0, 2, 3), "on top of each"),
        ],
    )
    def test_corners_that_cannot_be(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], order: tuple[int, ...], sentence: str
    ) -> None:
        corners = corners_of(SIZE)
        said = self.refused(capsys, shot(tmp_path), "--corners", *(corners[k] for k in order))
        assert sentence in said
        assert "canvas" not in said

    def test_a_sheet_cut_off(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        photo, corners = photographed()
        cut = Photo(np.ascontiguousarray(photo.codes[:, : round(corners[1:3, 0].min()) - 30]), photo.curve)
        file = photo_file(tmp_path, cut)
        assert "cut off on the right" in self.refused(capsys, file, "--corners", *corners_of(SIZE))

    @pytest.mark.parametrize(
        ("options", "sentence"),
        [
            (("--corners", "1,2", "3,4"), "--corners takes four points"),
            (("--corners", "a,b c,d e,f g,h"), "--corners takes four points"),
            (("--corners", "nan,0 9,0 9,9 0,9"), "--corners takes four points"),
            (("--shift", "sideways"), "--shift takes one point"),
            (("--shift", "nan,0"), "--shift takes one point"),
            (("--sheet", "foolscap"), "“foolscap” is not a paper"),
            (("--sheet", "1x1mm"), "is not a paper"),
            (("--turn", "45"), "invalid choice"),
            (("--place", "left"), "invalid choice"),
            (("--flatbed", "--corners", "0,0", "9,0", "9,9", "0,9"), "either --corners or --flatbed"),
            (("--flatbed", "--sheet", "100x20mm"), "has not the shape of a sheet"),
        ],
    )
    def test_options_that_cannot_be(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], sentence: str
    ) -> None:
        assert sentence in self.refused(capsys, shot(tmp_path), *options)

    def test_a_folder_that_is_not_there(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        file = scanned(tmp_path, A6)
        missing = tmp_path / "none" / "lines.svg"
        assert scan(file, missing, "--sheet", "148x105mm", "--flatbed") == cli.BAD_INPUT
        assert "lines.svg" in capsys.readouterr().err


def test_help_has_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["scan", "--help"]) == 0
    said = capsys.readouterr().out
    assert "easelside scan acetate.jpg --size 400x300mm" in said
    assert "--shift=-30,12" in said
