"""The window as a painter uses it: from the photograph to the list to mend, and back to the start."""

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.view import Look, Question, Subject
from app.work import Worker
from core.painting import Painting
from tests.app.window_case import SIZE, SVG, Easel, canvas_shot, drop, make_easel, make_painting, reference_photo


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return make_easel(qtbot, worker, tmp_path)


@pytest.fixture
def painting(easel: Easel, tmp_path: Path) -> Easel:
    """A painting is open; its canvas has not been photographed."""
    easel.window.open_painting(make_painting(tmp_path))
    return easel


def place_corners(easel: Easel, corners: np.ndarray) -> None:
    easel.press("corners")
    placer = easel.desk.placing.corners.placer
    placer.set_corners(corners)
    placer.corners_changed.emit(placer.corners)
    easel.desk.placing.corners.accept.click()


@pytest.fixture
def photographed(painting: Easel, tmp_path: Path) -> Easel:
    """The canvas photo hangs, its corners placed."""
    file, corners = canvas_shot(tmp_path)
    painting.answers.photos = (file,)
    painting.press("add_photos")
    place_corners(painting, corners)
    return painting


def titles(easel: Easel) -> list[str]:
    return [hanging.title for hanging in easel.desk.wall.hangings]


def test_a_painting_is_made_from_a_photograph(easel: Easel, tmp_path: Path) -> None:
    easel.answers.photo = reference_photo(tmp_path)
    easel.window.start.new_button.click()
    page = easel.window.new_page
    assert page is not None
    assert page.title.text() == "My cat"
    page.canvas.show_size(SIZE)
    page.canvas.changed.emit()
    page.choose_folder(tmp_path / "paintings")
    page.make.click()
    with_photo = easel.desk.studio.painting
    assert (with_photo.title, with_photo.size) == ("My cat", SIZE)
    assert with_photo.folder == tmp_path / "paintings" / "My cat"
    kept = with_photo.photo_file(with_photo.reference.photo.id)
    assert kept.read_bytes() == easel.answers.photo.read_bytes()
    assert titles(easel) == ["Reference", "Reference · grey"]


def test_reference_hangs_in_colour_and_grey_under_one_sight(painting: Easel) -> None:
    colour, grey = (hanging.picture.image for hanging in painting.desk.wall.hangings)
    places = [(x, y) for x in range(0, grey.width(), 40) for y in range(0, grey.height(), 40)]
    assert all(grey.pixelColor(*at).saturation() == 0 for at in places)
    assert np.mean([colour.pixelColor(*at).red() - colour.pixelColor(*at).blue() for at in places]) > 10
    assert painting.desk.wall.hangings[0].mapping is painting.desk.wall.hangings[1].mapping


def test_toggles_change_the_chosen_hanging_and_back(painting: Easel) -> None:
    wall = painting.desk.wall
    first = wall.hangings[0].picture
    painting.press("grey")
    assert titles(painting)[0] == "Reference · grey"
    assert wall.hangings[0].picture is wall.hangings[1].picture  # made once, shown twice
    painting.press("grey")
    assert wall.hangings[0].picture is first
    painting.press("acetate")
    assert len(wall.hangings[0].overlays) == 1
    assert wall.hangings[1].overlays == ()


def test_value_steps_show_as_many_greys_as_chosen(painting: Easel) -> None:
    painting.press("steps", "fewer_steps", "fewer_steps")
    assert titles(painting)[0] == "Reference · 3 steps"
    image = painting.desk.wall.hangings[0].picture.image
    greys = {image.pixelColor(x, y).name() for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)}
    assert len(greys) == 3
    shares = painting.desk.studio.shares(Subject.REFERENCE)
    assert len(shares) == 3
    assert sum(shares) == pytest.approx(1.0)


def test_squint_blurs_every_picture(painting: Easel) -> None:
    def detail() -> float:
        image = painting.desk.wall.hangings[0].picture.image
        row = np.array([image.pixelColor(x, image.height() // 2).green() for x in range(image.width())], float)
        return float(np.abs(np.diff(row)).sum())

    sharp = detail()
    painting.press("squint", "squint_more", "squint_more")
    assert titles(painting) == ["Reference · squint 8 mm", "Reference · grey · squint 8 mm"]
    assert detail() < sharp / 3


def test_corners_are_placed_by_hand_and_the_photo_laid_flat(painting: Easel, tmp_path: Path) -> None:
    file, corners = canvas_shot(tmp_path)
    painting.answers.photos = (file,)
    painting.press("add_photos")
    assert "Now place the canvas’s corners" in painting.said
    assert titles(painting)[-1] == "canvas.jpg · corners not placed"
    painting.offer("Place the corners")
    assert painting.desk.placing.is_away
    placer = painting.desk.placing.corners.placer
    placer.set_corners(corners)
    placer.corners_changed.emit(placer.corners)
    painting.desk.placing.corners.accept.click()
    assert not painting.desk.placing.is_away
    record = painting.desk.studio.canvas_photo
    assert record.found_by == "given"
    assert np.array(record.corners) == pytest.approx(corners)
    flat = painting.desk.wall.hangings[-1]
    assert flat.mapping.is_flat
    assert flat.picture.width / flat.picture.height == pytest.approx(SIZE.aspect, rel=0.01)


def test_keys_that_change_the_wall_rest_while_corners_are_placed(photographed: Easel) -> None:
    photographed.press("corners")
    before = photographed.desk.studio.view
    photographed.press("grey", "three", "check")
    assert photographed.desk.placing.is_away
    assert photographed.desk.studio.view == before
    photographed.press("close")
    assert not photographed.desk.placing.is_away
    assert photographed.window.desk is not None


def test_blink_swaps_the_two_pictures_while_held(photographed: Easel, qtbot: QtBot) -> None:
    from PySide6.QtCore import Qt

    wall = photographed.desk.wall
    shown = [pane.hanging.title for pane in wall._panes]
    qtbot.keyPress(photographed.window, Qt.Key.Key_B)
    assert [pane.hanging.title for pane in wall._panes] == shown[::-1]
    qtbot.keyRelease(photographed.window, Qt.Key.Key_B)
    assert [pane.hanging.title for pane in wall._panes] == shown


def test_blink_is_between_reference_and_canvas_wherever_they_hang(photographed: Easel, qtbot: QtBot) -> None:
    from PySide6.QtCore import Qt

    photographed.press("three")
    photographed.desk.wall.select(1)
    photographed.press("reference", "grey")
    photographed.desk.wall.select(2)
    photographed.press("canvas")
    wall = photographed.desk.wall
    shown = [pane.hanging.title for pane in wall._panes]
    assert shown == ["Reference", "Reference · grey", "canvas.jpg · grey"]
    qtbot.keyPress(wall, Qt.Key.Key_B)
    assert [pane.hanging.title for pane in wall._panes] == [shown[2], shown[1], shown[0]]
    qtbot.keyRelease(wall, Qt.Key.Key_B)
    assert [pane.hanging.title for pane in wall._panes] == shown


def test_blink_with_one_picture_shows_the_other_subject(photographed: Easel) -> None:
    photographed.press("one", "reference")
    photographed.desk.bar.blink_button.pressed.emit()
    assert titles(photographed) == ["canvas.jpg"]
    photographed.desk.bar.blink_button.released.emit()
    assert titles(photographed) == ["Reference"]


def test_undo_and_redo_by_their_labels(photographed: Easel) -> None:
    action = photographed.window.actions_by_name["undo"]
    assert "placed the corners" in action.toolTip()
    photographed.press("undo")
    assert photographed.said == "Undone: placed the corners."
    assert photographed.desk.studio.canvas_photo.corners is None
    photographed.press("redo")
    assert photographed.desk.studio.canvas_photo.corners is not None


def test_a_painting_opens_as_it_was_left(photographed: Easel, tmp_path: Path) -> None:
    photographed.press("three", "steps", "squint", "question_drawing", "acetate")
    left = photographed.desk.studio.view
    folder = photographed.desk.studio.painting.folder
    photographed.press("close")
    assert photographed.window.desk is None
    assert photographed.window.machine.kept.recent[0].folder == str(folder)
    photographed.window.start.painting_given.emit(folder)
    assert photographed.desk.studio.view == left
    assert photographed.desk.side.panels[Question.DRAWING].isVisible()


def test_closing_the_window_keeps_the_view_and_lets_the_painting_go(photographed: Easel) -> None:
    photographed.press("grey")
    view, folder = photographed.desk.studio.view, photographed.desk.studio.painting.folder
    photographed.window.close()
    with Painting.open(folder) as again:
        assert again.setting("view") == view.to_json()


def test_a_photo_in_place_of_the_painting_is_refused_with_a_sentence(easel: Easel, tmp_path: Path) -> None:
    text = tmp_path / "shopping.txt"
    text.write_text("two quinces")
    drop(easel.window.start, [text])
    assert "shopping.txt" in easel.said
    assert easel.window.pages.currentWidget() is easel.window.start


def test_bad_files_on_the_ledge_are_told_and_the_good_ones_come_in(painting: Easel, tmp_path: Path) -> None:
    good, _ = canvas_shot(tmp_path)
    bad = tmp_path / "torn.jpg"
    bad.write_bytes(good.read_bytes()[:300])
    drop(painting.desk.ledge, [bad, good])
    assert [card.photo.name for card in painting.desk.ledge.cards] == ["canvas.jpg"]
    drop(painting.desk, [bad])
    assert "torn.jpg" in painting.said


def test_a_drawing_comes_in_by_drop_and_lies_over_the_pictures(painting: Easel, tmp_path: Path) -> None:
    file = tmp_path / "brow.svg"
    file.write_text(SVG.replace('id="brow"', 'id="the brow"'))
    drop(painting.desk, [file])
    assert all(len(hanging.overlays) == 1 for hanging in painting.desk.wall.hangings)
    assert painting.desk.side.drawing.about.text() == "1 line, 2 landmarks."
    assert painting.desk.studio.painting.can_undo == "brought in a drawing"


def test_a_drawing_that_cannot_be_read_changes_nothing(painting: Easel, tmp_path: Path) -> None:
    file = tmp_path / "broken.svg"
    file.write_text("<svg><path d='M 0 0")
    before = painting.desk.studio.painting.drawing_svg
    drop(painting.desk, [file])
    assert painting.said
    assert painting.desk.studio.painting.drawing_svg == before


@pytest.mark.parametrize("name", ["check", "difference", "corners", "canvas"])
def test_what_needs_a_canvas_photo_says_so_and_offers_one(painting: Easel, tmp_path: Path, name: str) -> None:
    action = painting.window.actions_by_name[name]
    if not action.isEnabled():
        assert name == "corners"
        return
    action.trigger()
    assert painting.said == "Bring in a photo of the canvas first."
    painting.answers.photos = (canvas_shot(tmp_path)[0],)
    painting.offer("Bring in photos")
    assert len(painting.desk.ledge.cards) == 1


def test_open_in_another_window_only_to_look(easel: Easel, tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder):
        easel.window.open_painting(folder)
        assert "already open" in easel.said
        easel.offer("only to look")
        assert easel.desk.studio.painting.read_only
        assert "(only to look)" in easel.window.windowTitle()
        easel.press("grey", "close")


def test_a_folder_that_is_no_painting_is_said(easel: Easel, tmp_path: Path) -> None:
    drop(easel.window.start, [tmp_path])
    assert easel.said
    assert easel.window.desk is None


def test_help_is_that_of_the_open_panel_and_one_sheet_lies_over_all(easel: Easel, tmp_path: Path) -> None:
    sheets = easel.window.sheets
    easel.window.open_painting(make_painting(tmp_path))
    easel.press("question_edge", "help")
    assert sheets.help.question is Question.EDGE
    assert not sheets.help.isHidden()
    easel.press("keys")
    assert sheets.help.isHidden()
    assert not sheets.keys.isHidden()
    easel.press("help", "help")
    assert sheets.keys.isHidden()
    assert sheets.help.isHidden()


def test_keys_sheet_lists_every_action_and_goes_away(easel: Easel, qtbot: QtBot) -> None:
    from PySide6.QtCore import Qt
    from PySide6.QtWidgets import QLabel

    easel.press("keys")
    words = {label.text() for label in easel.window.sheets.keys.findChildren(QLabel)}
    from app.keys import all_keys

    assert {key.say for key in all_keys()} <= words
    qtbot.keyClick(easel.window.sheets.keys, Qt.Key.Key_Escape)
    assert easel.window.sheets.keys.isHidden()


def test_no_two_actions_share_a_key() -> None:
    from app.keys import all_keys, shortcuts

    taken: dict[str, str] = {}
    for key in all_keys():
        for sequence in shortcuts(key.name):
            name = sequence.toString()
            assert taken.setdefault(name, key.name) == key.name, f"{name}: {taken[name]} and {key.name}"


def test_arms_length_and_back(painting: Easel, qapp: object) -> None:
    from app import look

    painting.press("arms_length")
    try:
        assert look.scale() > 1.4
        assert painting.window.machine.kept.arms_length
    finally:
        painting.press("arms_length")
    assert look.scale() == 1.0


def test_hanging_look_of_the_view_follows_the_wall(painting: Easel) -> None:
    painting.desk.wall.select(1)
    assert painting.desk.studio.view.selected == 1
    painting.press("grey")
    assert painting.desk.studio.view.hung[1].look is Look.COLOUR
