"""The plan in print and for a calendar."""

from datetime import timedelta
from pathlib import Path

import pypdfium2 as pdfium

from tests.app.sittings.sitting_case import Clock, panel, reads
from tests.app.window_case import Easel


def words(file: Path) -> str:
    with pdfium.PdfDocument(file) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def unfolded(file: Path) -> list[str]:
    return file.read_bytes().replace(b"\r\n ", b"").decode().split("\r\n")


def test_the_plan_is_printed_and_goes_into_a_calendar(easel: Easel, clock: Clock, tmp_path: Path) -> None:
    panel(easel).plan.begin.click()
    fold = panel(easel).paper
    assert not fold.calendar.isEnabled()
    timer = panel(easel).this.timer
    timer.press.click()
    clock.on(hours=1)
    timer.press.click()
    panel(easel).plan.lines[1].click()
    panel(easel).plan.part.day.give.click()
    begins = reads(easel).kept.days.of(2)
    assert begins.date() > (clock.at + timedelta(days=1)).date()  # not before it may well be dry
    assert fold.goes.text() == "Now: sitting 2, the drying of sitting 1."
    easel.answers.save = tmp_path / "plan.pdf"
    fold.page.click()
    assert "The plan of the sittings, " in easel.said
    said = words(tmp_path / "plan.pdf")
    for part in ("Cat: sittings", "Sitting 4", "Lights against darks", "4 May 2026", "Oily rags", "Next sitting"):
        assert part in said
    assert len(list(pdfium.PdfDocument(tmp_path / "plan.pdf")[0].get_objects(filter=[3]))) == 1  # the reference
    easel.answers.save = tmp_path / "plan.ics"
    fold.calendar.click()
    assert "The calendar, 2 events." in easel.said
    lines = unfolded(tmp_path / "plan.ics")
    assert f"DTSTART:{begins:%Y%m%dT%H%M%S}" in lines
    assert f"DTEND:{begins + timedelta(minutes=90):%Y%m%dT%H%M%S}" in lines
    assert "SUMMARY:Cat: perhaps dry: test by touch" in lines
    uids = [line for line in lines if line.startswith("UID:")]
    panel(easel).plan.part.day.day.more.click()
    panel(easel).plan.part.up.click()  # moved, and still the same sitting
    easel.answers.save = tmp_path / "again.ics"
    fold.calendar.click()
    assert [line for line in unfolded(tmp_path / "again.ics") if line.startswith("UID:")] == uids
