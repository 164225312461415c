"""check.json, check.npz, the pictures and the printed sheet, as a painter's other tools would read them."""

import errno
import json
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from core import check_pictures
from core.check_files import as_json, as_maps, write_check
from core.develop import srgb_curve
from core.errors import PainterError
from core.report import sheet_bytes
from core.tone import linear_of_codes, value_of_linear
from tests.core.check_case import SIZE, cat_result

TOP = {"schema", "size_mm", "canvas", "light", "drawing", "value", "edge", "temperature", "mend"}
MAPS = {
    "value_reference", "value_canvas", "value_difference", "drift_dx_mm", "drift_dy_mm",
    "edge_reference_mm", "edge_canvas_mm", "warmth_reference", "warmth_canvas", "warmth_difference",
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("check") / "deep" / "Prüfung 1"
    write_check(cat_result(), place)
    return place


def test_json_has_the_keys_and_types_of_schema_1(folder: Path) -> None:
    data = json.loads((folder / "check.json").read_text(encoding="utf-8"))
    assert set(data) == TOP
    assert data["schema"] == 1
    assert data["size_mm"] == [400, 300]
    assert set(data["canvas"]) == {"corners_px", "found_by", "px_per_mm", "lens_k1", "uncertainty_mm"}
    assert np.array(data["canvas"]["corners_px"]).shape == (4, 2)
    assert data["canvas"]["found_by"] == "given"
    assert set(data["light"]) == {"from", "uncertainty_steps", "glare_share"}
    assert set(data["drawing"]["whole"]) == {"shift_mm", "turn_deg", "scale"}
    for mark in data["drawing"]["landmarks"]:
        assert set(mark) == {"name", "x_mm", "y_mm", "dx_mm", "dy_mm", "confidence"}
        assert 0 <= mark["confidence"] <= 1
    assert set(data["value"]) == {"areas", "share_within_half_step"}
    for area in data["value"]["areas"]:
        assert set(area) == {"x_mm", "y_mm", "area_cm2", "steps"}
    for finding in data["mend"]:
        assert set(finding) == {"question", "x_mm", "y_mm", "say", "weight"}


def test_maps_are_on_the_millimetre_grid(folder: Path) -> None:
    with np.load(folder / "check.npz") as maps:
        assert set(maps) == MAPS
        for name in maps:
            assert maps[name].shape == (300, 400)
            assert maps[name].dtype == np.float32
        known = np.isfinite(maps["value_difference"])
        assert known.mean() > 0.6
        assert np.nanmin(maps["value_reference"]) >= 0


def test_the_difference_is_canvas_minus_reference() -> None:
    """Brush marks are smoothed out of the difference and fur that moved by a millimetre is followed, so only nearly."""
    maps = as_maps(cat_result())
    gap = maps["value_canvas"] - maps["value_reference"] - maps["value_difference"]
    assert abs(np.nanmedian(gap)) < 0.05
    assert np.nanmedian(np.abs(gap)) < 0.25


def test_every_finding_lies_on_the_canvas() -> None:
    for finding in as_json(cat_result())["mend"]:
        assert 0 <= finding["x_mm"] <= SIZE.width_mm
        assert 0 <= finding["y_mm"] <= SIZE.height_mm
        assert finding["say"].endswith(".")


def test_the_sheet_is_three_a4_pages_with_the_list_on_the_last() -> None:
    document = pypdfium2.PdfDocument(BytesIO(sheet_bytes(cat_result(), on=date(2026, 3, 1))))
    assert len(document) == 3
    for page in document:
        assert page.get_size() == pytest.approx((595.276, 841.890), abs=0.01)
    first, second, last = (page.get_textpage().get_text_range().replace("\r\n", " ") for page in document)
    assert "01 March 2026" in first
    assert "Reference in grey" in first
    assert "Too dark or too light" in second
    assert "Too hard or too soft" in second
    assert "Too warm or too cool" in second
    assert "To mend, largest first" in last
    assert "Withheld" in last
    assert cat_result().mend[0].say.split()[0] in last


def test_nothing_on_the_sheet_runs_off_the_paper() -> None:
    document = pypdfium2.PdfDocument(BytesIO(sheet_bytes(cat_result(), on=date(2026, 3, 1))))
    for page in document:
        pixels = np.asarray(page.render(scale=2).to_pil().convert("L"))
        rim = 2 * int(10 / 25.4 * 72)
        for strip in (pixels[:rim], pixels[-rim:], pixels[:, :rim], pixels[:, -rim:]):
            assert strip.min() > 250


@pytest.mark.parametrize(("notes", "pages"), [(8, 3), (25, 4)])
def test_a_long_list_and_much_to_say_stay_on_the_paper(notes: int, pages: int) -> None:
    result = cat_result()
    more = tuple(f"{number}: {'Said of the photo, at some length. ' * 5}" for number in range(notes))
    findings = tuple(
        replace(result.mend[0], say=f"Left, {number} cm of edge too soft. {'More beside it is. ' * (number % 5)}")
        for number in range(80)
    )
    made = sheet_bytes(replace(result, mend=findings, notes=more), pictures=check_pictures.check_pictures(result))
    document = pypdfium2.PdfDocument(BytesIO(made))
    assert len(document) == pages
    for page in document:
        pixels = np.asarray(page.render(scale=1).to_pil().convert("L"))
        rim = int(10 / 25.4 * 72)
        assert min(strip.min() for strip in (pixels[:rim], pixels[-rim:])) > 250
    said = " ".join(page.get_textpage().get_text_range().replace("\r\n", " ") for page in list(document)[2:])
    assert all(f"{number}: Said" in said for number in range(notes))
    assert "never by its picture." in said
    assert "smaller: they stand in check.json." in said


def test_pictures_are_written_for_each_question(folder: Path) -> None:
    for name in ("drawing", "value", "grey", "edge", "temperature", "light"):
        with Image.open(folder / f"{name}.png") as picture:
            assert picture.mode == ("L" if name == "grey" else "RGB")
            assert picture.width >= 800


def test_the_canvas_picture_has_the_light_taken_out(folder: Path) -> None:
    result = cat_result()
    with Image.open(folder / "canvas.png") as picture:
        codes = np.asarray(picture.convert("RGB"), dtype=np.uint8)
    assert codes.shape == result.canvas.linear.shape
    value = value_of_linear(linear_of_codes(codes, srgb_curve()))
    apart = np.abs(value - result.value_canvas)[~result.withheld & (result.canvas_lit.max(axis=2) <= 1)]
    assert np.percentile(apart, 99) < 0.05  # of eight bits a code


def test_the_value_picture_is_numbered_as_the_list(monkeypatch: pytest.MonkeyPatch) -> None:
    result, written = cat_result(), []
    monkeypatch.setattr(
        check_pictures, "numbered", lambda picture, labels, height_px: written.extend(labels) or picture
    )
    check_pictures.value_picture(result)
    scale = result.canvas.px_per_mm
    assert written
    for x, y, text in written:
        listed = result.mend[int(text) - 1]
        assert (listed.question, listed.x_mm, listed.y_mm) == (
            "value",
            pytest.approx(x / scale),
            pytest.approx(y / scale),
        )


def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("here already")
    with pytest.raises(PainterError, match=r"cannot be made"):
        write_check(cat_result(), tmp_path / "file" / "inside")


def test_a_full_disk_keeps_the_earlier_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = (folder / "check.json").read_bytes()

    def full(number: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("core.whole_file.os.fsync", full)
    with pytest.raises(PainterError, match=r"The disk is full: “check.json” was not saved"):
        write_check(cat_result(), folder)
    assert (folder / "check.json").read_bytes() == before
    assert not list(folder.glob("*.part"))
