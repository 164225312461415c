import io
import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageCms

from core.demo import DEMO
from core.errors import CancelledError, PainterError
from core.painting import Painting
from core.painting_report import card, final
from core.painting_report.checks import read_check
from core.painting_report.gather import MIXES, report_input
from core.painting_report.parts import (
    FOR_BUYER,
    FOR_STUDENT,
    CheckTold,
    MendLine,
    MixTold,
    PaletteTold,
    Part,
    ReportChoice,
    ReportInput,
    ReportPicture,
    Sitting,
    SittingWords,
    days,
)
from core.painting_report.pictures import MOST_BYTES, packed, share_of
from core.painting_report.write import report_bytes, write_report
from core.photo import load_photo
from core.size import PAPERS, Size
from tests.core.painting_report.card_case import CANVAS, corrected, read_paints

SIZE = Size(400, 300)
CORNERS = ((10.0, 8.0), (390.0, 12.0), (388.0, 292.0), (12.0, 288.0))
CHECK = {
    "schema": 1,
    "size_mm": [400, 300],
    "canvas": {"uncertainty_mm": 0.42},
    "light": {"uncertainty_steps": 0.21},
    "drawing": {
        "whole": {"shift_mm": [2.0, 0.0], "turn_deg": 0.0, "scale": 1.0},
        "landmarks": [
            {"name": "rim top", "dx_mm": 3.0, "dy_mm": 4.0, "confidence": 0.9},
            {"name": "spout", "dx_mm": 1.0, "dy_mm": 0.0, "confidence": 0.8},
            {"name": "guessed", "dx_mm": 90.0, "dy_mm": 0.0, "confidence": 0.2},
        ],
    },
    "value": {"areas": [], "share_within_half_step": 0.87},
    "mend": [{"question": "value", "x_mm": 100.0, "y_mm": 50.0, "say": "Left: 1.2 steps too dark.", "weight": 2.0}],
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("photos")
    shade = np.linspace(40, 200, 400, dtype=np.uint8)
    picture = np.dstack([np.tile(shade, (300, 1)), np.full((300, 400), 90, np.uint8), np.tile(shade[::-1], (300, 1))])
    Image.fromarray(picture).save(place / "canvas.jpg", quality=90)
    return place


@pytest.fixture(scope="module")
def full(folder: Path) -> ReportInput:
    photo = ReportPicture(folder / "canvas.jpg", "Third sitting", CORNERS)
    return ReportInput(
        title="Enamel jug",
        size=SIZE,
        by="A. Painter",
        began=date(2026, 3, 3),
        ended=date(2026, 6, 9),
        reference=ReportPicture(folder / "canvas.jpg", "jug.jpg", whole_is_canvas=True),
        drawing_svg=(DEMO / "drawing.svg").read_text(encoding="utf-8"),
        plan=("Three sittings.",),
        sittings=(Sitting(1, SittingWords(date(2026, 3, 3), "The darks", "Solvent", ("Blocked in.",), 135), (photo,)),),
        palettes=(PaletteTold("Earths", ("yellow ochre", "burnt umber")),),
        mixes=(MixTold("Quince", (0.5, 0.4, 0.1), (0.52, 0.4, 0.1), "3 yellow ochre, 1 titanium white", "Near"),),
        checks=(CheckTold(photo, 1, date(2026, 3, 4), (("Worst", "2.7 mm"),), (MendLine("value", "Dark.", 9, 9),)),),
        final=photo,
        look_for_card=False,
    )


def pages_of(data: bytes) -> Iterator[str]:
    document = pypdfium2.PdfDocument(data)
    for page in document:
        yield page.get_textpage().get_text_bounded().replace("\r\n", "\n")
    document.close()


def test_all_of_it_stands_on_numbered_pages(full: ReportInput) -> None:
    data, count, notes = report_bytes(full)
    pages = list(pages_of(data))
    heads = ["Enamel jug", "Reference", "Drawing", "Plan and", "Palettes", "Check", "Final photo", "How it was"]
    assert len(pages) == count == len(heads)
    assert not notes
    for number, (page, head) in enumerate(zip(pages, heads, strict=True), start=1):
        assert page.startswith(head)
        assert (f"{number} of {count}" in page) == (number > 1)
    assert "40 × 30 cm (15.75 × 11.81 in) · 3 March 2026 to 9 June 2026" in pages[0]
    assert "Time: 2 h 15 min" in pages[3]
    assert "0.9 cm from the left" in pages[5]
    document = pypdfium2.PdfDocument(data)
    told = document.get_metadata_dict()
    assert (told["Title"], told["Author"], told["Creator"]) == ("Enamel jug", "A. Painter", "Easelside")
    assert told["Subject"] == "Painting, 40 × 30 cm"


def test_the_drawing_is_lines_and_not_a_picture(full: ReportInput) -> None:
    data, _, _ = report_bytes(full, ReportChoice((Part.DRAWING,)))
    document = pypdfium2.PdfDocument(data)
    kinds = [thing.type for thing in document[0].get_objects()]
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE not in kinds
    assert kinds.count(pypdfium2.raw.FPDF_PAGEOBJ_PATH) > 15


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_buyer_is_shown_no_checks(full: ReportInput, paper: str) -> None:
    data, _, _ = report_bytes(full, ReportChoice(FOR_BUYER, PAPERS[paper]))
    text = "\n".join(pages_of(data))
    assert "To mend" not in text
    assert "Quince" in text
    size = pypdfium2.PdfDocument(data)[0].get_size()
    wanted = (PAPERS[paper].width_mm / 25.4 * 72, PAPERS[paper].height_mm / 25.4 * 72)
    assert size == pytest.approx(wanted, abs=0.1)
    assert set(FOR_STUDENT) - set(FOR_BUYER) == {Part.CHECKS}


def test_what_is_missing_is_told_and_the_rest_printed(full: ReportInput, folder: Path) -> None:
    (folder / "broken.jpg").write_bytes(b"no photo")
    gone = ReportPicture(folder / "gone.jpg", "gone")
    sittings = (replace(full.sittings[0], pictures=(gone, *full.sittings[0].pictures)),)
    broken = ReportPicture(folder / "broken.jpg", "broken")
    short = replace(full, sittings=sittings, reference=broken, drawing_svg="<svg", final=gone)
    data, _, notes = report_bytes(short)
    text = " ".join("\n".join(pages_of(data)).split())
    assert len(notes) == 3
    for note in notes:
        assert note in text
    assert "What could not be printed" in text
    assert "Quince" in text


def test_a_title_alone_is_a_report() -> None:
    data, count, notes = report_bytes(ReportInput("Jug", SIZE), ReportChoice((Part.REFERENCE, Part.MIXES)))
    assert (count, notes) == (1, ())
    assert next(pages_of(data)).startswith("Jug")
    with pytest.raises(PainterError, match="too small for a report"):
        report_bytes(ReportInput("Jug", SIZE), ReportChoice(paper=Size(80, 120)))


def test_long_lists_flow_over_the_pages(full: ReportInput) -> None:
    lines = tuple(MendLine("value", f"Fault number {each} is rather long. " * 3, each, each) for each in range(60))
    check = replace(full.checks[0], mend=lines)
    long = replace(full, checks=(check,), plan=("word " * 3000,))
    data, _, _ = report_bytes(long, ReportChoice((Part.SITTINGS, Part.CHECKS)))
    pages = list(pages_of(data))
    text = " ".join(pages)
    assert [int(each) for each in re.findall(r"(\d+)\. Fault number", text.replace("\n", " "))] == list(range(1, 61))
    assert text.count("word") == 3000
    assert sum("continued" in page for page in pages) >= 4
    for page in pypdfium2.PdfDocument(data):
        boxes = [thing.get_bounds() for thing in page.get_objects([pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=1)]
        assert min(box[1] for box in boxes) > 20
        assert max(box[2] for box in boxes) < page.get_width() - 20


def test_twenty_photos_make_no_large_file() -> None:
    noise = np.random.default_rng(1).integers(0, 256, (500, 400, 3), dtype=np.uint8)
    for most in (30_000, 200_000):
        made = packed(noise, most)
        assert len(made.jpeg) <= most
        assert Image.open(io.BytesIO(made.jpeg)).size == (made.width_px, made.height_px)
    assert packed(noise, 10**7).width_px == 400
    assert 20 * share_of(20) <= MOST_BYTES < 14_000_000


def test_it_is_written_whole_or_not_at_all(full: ReportInput, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, seen = tmp_path / "report.pdf", []
    choice = ReportChoice((Part.COVER, Part.REFERENCE))
    path.write_bytes(b"an older one")

    def stop(share: float, doing: str) -> None:
        seen.append((share, doing))
        if len(seen) == 2:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        write_report(full, path, choice, progress=stop)
    assert seen[0] == (0.0, "printing the final photo")
    monkeypatch.setattr("core.whole_file.os.fsync", _full_disk)
    with pytest.raises(PainterError, match="The disk is full"):
        write_report(full, path, choice)
    assert path.read_bytes() == b"an older one"
    assert list(tmp_path.iterdir()) == [path]
    monkeypatch.undo()
    shares: list[float] = []
    written = write_report(full, path, choice, progress=lambda share, doing: shares.append(share))
    assert path.read_bytes()[:5] == b"%PDF-"
    assert written.pages == 2
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def _full_disk(_: int) -> None:
    raise OSError(28, "No space left on device")


def test_the_final_photo_is_corrected_by_its_card(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown, photo, found = corrected()
    monkeypatch.setattr(final, "card_correction", lambda *_, canvas_px, edition: found if canvas_px == CANVAS else None)
    Image.fromarray(photo.display()).save(tmp_path / "final.png")
    made = ReportInput("Paints", Size(310, 340), final=ReportPicture(tmp_path / "final.png", "final", CANVAS))
    data, count, _ = report_bytes(made, ReportChoice((Part.COVER, Part.FINAL)))
    text = " ".join("\n".join(pages_of(data)).split())
    assert count == 2
    assert "As the camera made it" in text
    assert "Each patch corrected by all the others" in text
    final.save_corrected(photo, found, tmp_path / "corrected.png")
    with Image.open(tmp_path / "corrected.png") as saved:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(saved.info["icc_profile"]))
    assert "sRGB" in ImageCms.getProfileDescription(profile)
    read = read_paints(load_photo(tmp_path / "corrected.png").linear(), shown.paints)
    assert card.differences(read, np.clip(shown.truth, 0, 1)).mean() < 2.5
    with pytest.raises(PainterError, match="JPEG or PNG"):
        final.save_corrected(photo, found, tmp_path / "corrected.tif")


def test_a_check_is_told_in_figures(full: ReportInput) -> None:
    told = read_check(json.dumps({"check": CHECK, "certainty": ["Canvas: flat."]}), full.checks[0].picture)
    figures = dict(told.figures)
    assert figures["Values within half a step"] == "87 %"
    assert figures["Landmarks, the worst"] == "5.0 mm off (rim top)"
    assert figures["Canvas laid flat to within"] == "0.4 mm"
    assert told.mend == (MendLine("value", "Left: 1.2 steps too dark.", 100.0, 50.0),)
    assert told.notes == ("The whole drawing sits 2.0 mm too far right.",)
    assert told.certainty == ("Canvas: flat.",)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"check": 3}', '{"check": {}}'])
def test_a_damaged_check_says_so(full: ReportInput, text: str) -> None:
    assert "cannot be read" in read_check(text, full.checks[0].picture).notes[0]


def test_a_newer_or_outdated_check_says_so(full: ReportInput) -> None:
    newer = {**CHECK, "schema": 9, "mend": [3, {"x_mm": "far"}], "drawing": [], "value": None, "canvas": {}, "light": 1}
    told = read_check(json.dumps(newer), full.checks[0].picture, is_current=False)
    assert not told.figures
    assert not told.mend
    assert len(told.notes) == 2


def test_what_a_painting_holds_is_gathered(tmp_path: Path, folder: Path) -> None:
    with Painting.create(tmp_path / "jug", "Enamel jug", SIZE, folder / "canvas.jpg") as painting:
        first = painting.import_photo(DEMO / "canvas-1.jpg")
        photo = painting.add_canvas_photo(first.id, sitting=2, name="Second", note="Half-tones.")
        blank = painting.import_photo(DEMO / "blank.jpg")
        painting.add_canvas_photo(blank.id, sitting=2, name="Blank", is_blank=True)
        painting.set_check_result(photo.id, json.dumps({"check": CHECK}))
        painting.set_plan(
            MIXES,
            [
                {"number": 1, "light": [0.5, 0.4, 0.1], "parts": [["yellow ochre", 3], ["titanium white", 1]]},
                {"number": 2, "light": [0.1, 0.1, 0.1], "parts": [["my own grey", 1]], "name": "Shadow"},
                {"number": 3, "light": "dark", "parts": []},
                7,
            ],
        )
        words = {1: SittingWords(date(2026, 3, 3), aim="Darks")}
        made = report_input(painting, sittings=words, plan=("Two sittings.",))
        shutil.rmtree(tmp_path / "jug" / "photos")
        without = report_input(painting)
    assert (made.title, made.size, made.plan) == ("Enamel jug", SIZE, ("Two sittings.",))
    assert made.reference is not None
    assert made.reference.whole_is_canvas
    assert [sitting.number for sitting in made.sittings] == [1, 2]
    assert made.sittings[1].words.done == ("Half-tones.",)
    assert [len(sitting.pictures) for sitting in made.sittings] == [0, 1], "a blank is no picture of the painting"
    assert made.began == date(2026, 3, 3)
    assert made.ended == photo.added_at.date()
    assert [mix.name for mix in made.mixes] == ["Mix 1", "Shadow"]
    assert made.mixes[0].mixed is not None
    assert "CIEDE2000" in made.mixes[0].miss
    assert made.mixes[1].mixed is None
    assert "not among the tubes" in made.mixes[1].miss
    assert made.palettes[0].tubes[0].startswith("my own grey")
    assert made.checks[0].sitting == 2
    assert made.final is not None
    assert made.final.name == "Second"
    assert without.final is not None
    assert "missing" in without.final.problem


def test_days_are_told_once() -> None:
    on = date(2026, 5, 3)
    assert days(on, on) == "3 May 2026"
    assert days(None, None) == ""
