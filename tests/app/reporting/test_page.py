"""The page of the painting's report: what is chosen is what is written, and colours put right are the paints' own."""

import errno
import io
import os
import subprocess
import sys
import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageCms
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from app.mixing.kept import MIXES
from app.picture import srgb_of_qimage
from app.reporting.composing import NO_FINAL, NO_PARTS, WHOLE
from app.reporting.jobs import write_pdf
from app.reporting.wish import SETTING, Audience, Wish
from app.work import Progress, Worker
from core.colorimetry import decode_srgb, delta_e_2000, lab
from core.errors import CancelledError
from core.painting_report.card import Edition
from core.painting_report.parts import Part
from core.size import PAPERS
from tests.app.reporting.report_case import PAINTS, Report, read_paints, report_page, shot, words_of

NEAR = 2.0
"""CIEDE2000 of paints that no patch told."""


def off(codes: np.ndarray) -> float:
    """Mean CIEDE2000 of the paints in a whole photo."""
    light = decode_srgb(read_paints(codes) / 255)
    return float(np.mean(delta_e_2000(lab(light), lab(PAINTS))))


def test_colours_are_put_right_by_the_card_and_saved(carded: Report) -> None:
    said = carded.settings.says.text()
    assert "CIEDE2000 of the patches as shot" in said
    assert "Each patch corrected by all the others" in said
    assert "By its patches the card was made after November 2014" in said
    right = srgb_of_qimage(carded.page.view.picture.image)
    carded.page.as_shot.click()
    as_shot = srgb_of_qimage(carded.page.view.picture.image)
    assert right.shape == as_shot.shape
    assert np.abs(right.astype(int) - as_shot).mean() > 5
    assert off(shot(Edition.AFTER_2014)) > 3 * NEAR
    for press, ending in ((carded.page.jpeg, ".jpg"), (carded.page.png, ".png")):
        carded.answers.save = carded.folder / f"saved{ending}"
        press.click()
        assert_as_painted(carded.answers.save)
        assert str(carded.answers.save) in carded.said[-1]
    final = carded.studio.painting.canvas_photos()[-1]
    carded.answers.save = carded.studio.painting.photo_file(final.photo.id)
    before = carded.answers.save.read_bytes()
    carded.page.jpeg.click()
    assert "Choose another name" in carded.said[-1]
    assert carded.answers.save.read_bytes() == before, "the photo itself is never written over"


def assert_as_painted(file: Path) -> None:
    """The whole photo, in the paints' own colours."""
    with Image.open(file) as saved:
        assert saved.size == (1200, 800)
        profile = ImageCms.ImageCmsProfile(io.BytesIO(saved.info["icc_profile"]))
        assert "sRGB" in ImageCms.getProfileDescription(profile)
        assert off(np.asarray(saved.convert("RGB"))) < NEAR


def test_card_is_taken_as_the_painter_says(carded: Report) -> None:
    told = carded.page.seen.correction
    assert told is not None
    carded.set(carded.settings.edition, Edition.BEFORE_2014)
    by_hand = carded.page.seen.correction
    assert by_hand is not None
    assert by_hand.edition is Edition.BEFORE_2014
    assert by_hand.left_out.mean > told.left_out.mean, "it is the other edition's"
    assert Wish.from_json(carded.studio.painting.setting(SETTING)).edition is Edition.BEFORE_2014
    carded.settings.by_card.click()
    carded.page.take()
    assert carded.page.seen.correction is None
    assert not carded.page.png.isVisible()
    carded.page.leave()
    assert carded.page.begin() == ""
    assert not carded.settings.by_card.isChecked()
    assert carded.settings.edition.currentData() == Edition.BEFORE_2014
    carded.settings.by_card.click()
    carded.set(carded.settings.final, carded.settings.final.itemData(1))
    assert "No colour card was seen" in carded.settings.says.text()
    assert not carded.page.jpeg.isVisible()


def test_buyer_gets_no_checks_and_student_what_is_to_mend(report: Report) -> None:
    report.settings.by.setText("Maria Silva")
    report.set(report.settings.audience, Audience.BUYER)
    words = words_of(report.saved())
    assert "Maria Silva" in words
    assert "Planned: 4 sittings" in words
    assert "The enamel in three values" in words
    assert "Still to mend" not in words
    assert "No colour card was seen" in words
    report.set(report.settings.audience, Audience.STUDENT)
    assert "Still to mend: The linen in front of the jug is too light." in words_of(report.saved())
    report.offers[0].do()
    assert report.answers.opened == [report.answers.save]


@pytest.mark.parametrize("name", ["Letter", "A5"])
def test_parts_and_paper_are_those_chosen(report: Report, name: str) -> None:
    report.put_together(Part.DRAWING, Part.REFERENCE)
    assert all(check.isVisible() for check in report.settings.parts.values())
    report.set(report.settings.paper, name)
    document = pypdfium2.PdfDocument(report.saved())
    assert len(document) == 2
    wanted = (PAPERS[name].width_mm / 25.4 * 72, PAPERS[name].height_mm / 25.4 * 72)
    assert document[0].get_size() == pytest.approx(wanted, abs=0.2)
    document.close()
    assert report.said[-1].startswith("The report, 2 pages."), "nothing was in the way"


def test_nothing_chosen_is_refused(report: Report) -> None:
    report.put_together()
    assert not report.saved().exists()
    assert report.page.trouble.text() == NO_PARTS
    report.set(report.settings.audience, Audience.BUYER)
    assert not report.page.trouble.isVisible()


def test_missing_photo_is_told_and_the_rest_is_saved(report: Report) -> None:
    photo = report.studio.painting.canvas_photos()[-1].photo.id
    report.studio.painting.photo_file(photo).unlink()
    report.page.leave()
    assert report.page.begin() == ""
    assert report.page.view.picture is None
    assert report.page.view.words.endswith(".")
    assert "Planned" in words_of(report.saved())
    assert report.page.view.words in report.said[-1]
    assert report.said[-1].endswith(f"It is in {report.answers.save}.")


def test_full_disk_and_folder_that_is_none_are_told(report: Report, monkeypatch: pytest.MonkeyPatch) -> None:
    report.put_together(Part.SITTINGS)
    (report.folder / "file").touch()
    report.saved("file/report.pdf")
    assert "Choose another folder" in report.said[-1]

    def full(_number: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("core.whole_file.os.fsync", full)
    assert not report.saved().exists()
    assert "The disk is full" in report.said[-1]


def test_report_that_is_stopped_leaves_no_file(report: Report) -> None:
    stopped = threading.Event()
    asked: list[float] = []

    def stop(share: float, _say: str) -> None:
        asked.append(share)
        stopped.set()

    gathered = report.page._gathered(Wish())
    with pytest.raises(CancelledError):
        write_pdf(gathered, Wish().choice, report.folder / "report.pdf", Progress(stop, stopped))
    assert asked
    assert not list(report.folder.glob("*report*"))


def test_own_tubes_go_in_as_the_paint_box_has_them(report: Report) -> None:
    box = report.studio.mixes.box
    own = replace(box.held.tubes["yellow ochre"], name="my ochre", own=True)
    parts = [["my ochre", 2], ["titanium white", 1]]
    report.studio.painting.set_plan(MIXES, [{"number": 1, "light": [0.5, 0.4, 0.2], "parts": parts, "name": "quince"}])
    report.put_together(Part.MIXES)
    assert "my ochre is not among the tubes" in words_of(report.saved())
    assert box.keep(box.held.with_tube(own))
    words = words_of(report.saved())
    report.put_together(Part.MIXES)
    assert "my ochre is not among the tubes" not in words
    assert "2 my ochre" in words


def test_page_follows_the_ledge(report: Report) -> None:
    painting = report.studio.painting
    painting.remove_canvas_photo(painting.canvas_photos()[-1].id)
    assert report.settings.final.itemText(0) == "The last: Sitting 2"
    assert "No colour card was seen" in report.settings.says.text()
    for photo in painting.canvas_photos():
        painting.remove_canvas_photo(photo.id)
    assert report.page.view.words == NO_FINAL
    assert not report.settings.final.isEnabled()
    assert "final photo" in report.settings.goes_in.text().split("left away:")[1]
    report.studio.undo()
    painting.set_corners(painting.canvas_photos()[0].id, None)
    assert WHOLE in report.settings.says.text()


def test_painting_open_only_to_look_is_reported_and_keeps_nothing(
    qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path
) -> None:
    made = report_page(qtbot, worker, tmp_path, plain, look_only=True)
    made.put_together(Part.SITTINGS)
    assert "Planned" in words_of(made.saved())
    assert made.studio.painting.setting(SETTING) is None
    made.page.leave()
    made.studio.close()


def test_everything_has_a_name_and_is_large_enough(report: Report) -> None:
    report.set(report.settings.audience, Audience.OWN)
    kinds = (QAbstractButton, QComboBox, QLineEdit)
    parts = [part for kind in kinds for part in report.page.findChildren(kind) if part.isVisible()]
    assert len(parts) == len(Part) + 7
    for part in parts:
        name = part.accessibleName() or (part.text() if isinstance(part, QAbstractButton) else "")
        assert name, part
        assert part.height() >= 44, name


def test_typed_name_is_kept_and_escape_leaves(report: Report, qtbot: QtBot) -> None:
    QTest.keyClicks(report.settings.by, "Ana")
    with qtbot.waitSignal(report.whole.left):
        QTest.keyClick(report.page, Qt.Key.Key_Escape)
    report.page.leave()
    assert Wish.from_json(report.studio.painting.setting(SETTING)).by == "Ana"
    assert report.page.view.picture is None


def test_page_that_is_not_wanted_yet_loads_nothing() -> None:
    code = "import sys, app.reporting.page; print([m for m in ('cv2', 'PIL', 'reportlab') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
