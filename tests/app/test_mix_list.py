"""The mixing list, its page, and strings, in the window."""

from pathlib import Path

import pypdfium2 as pdfium
import pytest
from pytestqt.qtbot import QtBot

from app.view import Subject
from app.wall.pin_marks import PinMarks
from app.work import Worker
from tests.app.mix_case import BLUE, GREY, MIXES, TAN, in_hand, mix_easel, open_fold, panel, press
from tests.app.window_case import Easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return mix_easel(qtbot, worker, tmp_path)


@pytest.fixture
def listed(easel: Easel) -> Easel:
    """Two mixes on the list."""
    for at in (GREY, TAN):
        press(easel, at)
        panel(easel).recipe.keep.click()
    open_fold(easel, panel(easel).list)
    return easel


def told(easel: Easel) -> list[str]:
    return [line.say for line in panel(easel).list.lines.lines]


def words(file: Path) -> str:
    with pdfium.PdfDocument(file) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


def test_mixes_are_listed_with_what_they_need(listed: Easel) -> None:
    assert told(listed) == [
        "Mix 1: 4 titanium white, 1 ivory black", "Mix 2: 3 yellow ochre, 2 titanium white, 1 ivory black",
    ]  # fmt: skip
    assert (
        panel(listed).list.needs.text() == "Tubes for it, most used first: titanium white, yellow ochre, ivory black."
    )
    overlays = listed.desk.wall.hangings[0].overlays
    assert [pin.number for each in overlays if isinstance(each, PinMarks) for pin in each.pins] == [1, 2]
    panel(listed).list.shown.click()
    overlays = listed.desk.wall.hangings[0].overlays
    assert [pin.number for each in overlays if isinstance(each, PinMarks) for pin in each.pins] == ["mix"]


def test_undo_takes_them_off_again_one_by_one(listed: Easel) -> None:
    listed.press("undo")
    assert len(told(listed)) == 1
    listed.press("undo")
    assert told(listed) == []
    assert panel(listed).list.says.isVisible()
    listed.press("redo")
    assert len(told(listed)) == 1


def test_a_mix_is_named_chosen_and_taken_off(listed: Easel) -> None:
    fold = panel(listed).list
    press(listed, BLUE)
    fold.lines.lines[0].click()
    assert in_hand(listed) == MIXES[GREY]  # what is chosen is in hand again
    fold.name.setText("  wall,  shadow ")
    fold.name.setModified(True)
    fold.name.editingFinished.emit()
    assert told(listed)[0].startswith("Wall, shadow: ")
    fold.remove.click()
    assert len(told(listed)) == 1
    assert not fold.name.isVisible()
    fold.remove_all.click()
    assert told(listed) == []


def test_the_list_is_there_when_the_painting_is_opened_again(listed: Easel, tmp_path: Path) -> None:
    listed.press("close")
    listed.window.open_painting(tmp_path / "painting")
    assert len(listed.desk.studio.mixes.mixes.mixes) == 2


def test_the_page_of_the_list(listed: Easel, tmp_path: Path) -> None:
    listed.answers.save = tmp_path / "list.pdf"
    panel(listed).list.page.click()
    assert "The mixing list, 1 page." in listed.said
    said = words(tmp_path / "list.pdf")
    assert "Mix 1" in said
    assert "4 titanium white" in said
    assert "CIEDE2000" in said


def test_a_string_of_the_mix_in_hand_and_its_page(listed: Easel, tmp_path: Path) -> None:
    press(listed, TAN)
    fold = panel(listed).string
    open_fold(listed, fold)
    fold.beside.click()
    fold.steps.less.click()
    strings = listed.desk.studio.mixes.strings()
    assert len(strings.first.steps) == 8
    assert strings.second is not None
    warmer = [
        step.warmth > strings.second.at(step.asked).warmth for step in strings.first.steps[1:-1]
        if strings.second.at(step.asked) is not None
    ]  # fmt: skip
    assert warmer
    assert all(warmer)
    listed.answers.save = tmp_path / "string.pdf"
    fold.page.click()
    assert "The string, " in listed.said
    assert "Plain grey" in words(tmp_path / "string.pdf")


def test_a_palette_with_neither_white_nor_black_says_what_to_do(listed: Easel) -> None:
    from core.paint.palette import Palette

    box = listed.desk.studio.mixes.box
    assert box.keep(box.held.with_palette(Palette("reds", ("cadmium red", "vermilion"))))
    press(listed, TAN)
    fold = panel(listed).string
    fold.set_view(palette="reds")
    open_fold(listed, fold)
    assert "neither a white nor a black" in fold.says.text()
    assert not fold.chart.isVisible()


def test_without_a_mix_the_string_says_what_to_do_first(easel: Easel) -> None:
    open_fold(easel, panel(easel).string)
    assert panel(easel).string.says.text().startswith("Mix a passage first")
    assert not panel(easel).string.page.isVisible()


def test_the_same_mix_is_on_the_list_once(listed: Easel) -> None:
    press(listed, TAN)
    panel(listed).recipe.keep.click()
    assert "on the list already" in listed.said
    assert len(told(listed)) == 2


def test_a_tube_that_is_gone_is_said_and_the_others_are_printed(listed: Easel, tmp_path: Path) -> None:
    from dataclasses import replace

    reads = listed.desk.studio.mixes
    box = reads.box
    assert box.keep(box.held.with_tube(replace(box.held.tubes["yellow ochre"], name="my ochre")))
    reads.take((("my ochre", 3), ("titanium white", 2)))
    panel(listed).recipe.keep.click()
    assert box.keep(box.held.without_tube("my ochre"))
    panel(listed).list.lines.lines[2].click()
    open_fold(listed, panel(listed).recipe)
    assert "my ochre, which is no longer among your tubes" in panel(listed).recipe.says.text()
    listed.answers.save = tmp_path / "list.pdf"
    panel(listed).list.page.click()
    assert "Left out: mix 3" in listed.said
    assert "Mix 1" in words(tmp_path / "list.pdf")


def test_families_are_carried_from_light_and_shadow(listed: Easel, tmp_path: Path) -> None:
    fold = panel(listed).string
    open_fold(listed, fold)
    fold.families.click()
    strings = listed.desk.studio.mixes.strings()
    assert strings.headings == ("Light family", "Shadow family")
    boundary = listed.desk.studio.warmths.families(Subject.REFERENCE).families.boundary
    assert min(step.asked for step in strings.first.steps) == pytest.approx(boundary)
    assert max(step.asked for step in strings.second.steps) <= boundary + 1e-6
    assert "boundary" in fold.notes.text()
    listed.answers.save = tmp_path / "families.pdf"
    fold.page.click()
    assert "Shadow family" in words(tmp_path / "families.pdf")


def test_a_palette_with_a_white_alone_says_that_families_need_both(listed: Easel) -> None:
    fold = panel(listed).string
    fold.set_view(palette="umber and white", families=True)
    open_fold(listed, fold)
    assert "lacks a white or a black" in fold.says.text()
    assert not fold.beside.isEnabled()
