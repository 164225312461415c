"""The bin in the window: a photo that is deleted lies there, is told, and comes back; nothing is erased."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.work import Worker
from tests.app.test_ledge import choose, hung, names
from tests.app.window_case import Easel, canvas_shot, drop, make_easel, make_painting


@pytest.fixture
def three(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """Three photos on the ledge, the last of which hangs."""
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    drop(made.desk.ledge, [canvas_shot(tmp_path, f"{name}.jpg")[0] for name in ("first", "second", "third")])
    return made


def binned(easel: Easel) -> list[str]:
    return sorted(path.name.partition("-")[0] for path in (easel.desk.studio.painting.folder / "bin").glob("*"))


def show_bin(easel: Easel) -> None:
    next(line for line in easel.desk.ledge.more_menu().actions() if line.text() == "The bin…").trigger()


def test_a_deleted_photo_lies_in_the_bin_and_its_message_brings_it_back(three: Easel) -> None:
    choose(three, three.desk.ledge.cards[2], "Delete")
    assert names(three) == ["first.jpg", "second.jpg"]
    assert hung(three) == "second.jpg"
    assert binned(three) == ["third"]
    assert "Nothing was erased" in three.said
    three.offer("Put it back")
    assert names(three) == ["first.jpg", "second.jpg", "third.jpg"]
    assert binned(three) == []
    three.press("redo")
    assert binned(three) == ["third"]


def test_the_bin_tells_what_is_in_it_and_gives_it_back(three: Easel) -> None:
    show_bin(three)
    view = three.desk.ledge.bin
    assert "Nothing is in the bin" in view.says.text()
    view.back.click()
    for card in (three.desk.ledge.cards[0], three.desk.ledge.cards[1]):
        choose(three, card, "Delete")
    show_bin(three)
    assert [item.name.toolTip() for item in view.items] == ["second.jpg", "first.jpg"]
    assert "sitting 1" in view.items[0].told.text()
    assert "kB" in view.items[0].told.text()
    assert "painting/bin" in view.says.text()
    assert "Only you erase it" in view.says.text()
    view.items[1].restores.click()
    assert [item.name.toolTip() for item in view.items] == ["second.jpg"]
    view.back.click()
    assert not three.desk.ledge.shows_bin
    assert names(three) == ["first.jpg", "third.jpg"]
    assert hung(three) == "first.jpg"
    folder = three.desk.studio.painting.folder
    three.press("close")
    three.window.open_painting(folder, look_only=True)
    menu = three.desk.ledge.menu_for(three.desk.ledge.cards[1].photo)
    assert [line.text() for line in menu.actions() if line.isEnabled() and line.text()] == [
        "Compare with the one that hangs"
    ]
    show_bin(three)
    assert not three.desk.ledge.bin.items[0].restores.isEnabled()


def test_the_same_photo_brought_in_again_comes_out_of_the_bin_as_it_was(three: Easel, tmp_path: Path) -> None:
    first = three.desk.ledge.cards[0].photo
    three.desk.studio.painting.rename_canvas_photo(first.id, "underpainting")
    choose(three, three.desk.ledge.cards[0], "Delete")
    drop(three.desk.ledge, [canvas_shot(tmp_path, "first.jpg")[0]])
    assert names(three) == ["underpainting", "second.jpg", "third.jpg"]
    assert three.desk.ledge.cards[0].photo.id == first.id
    assert binned(three) == []
    assert len(three.desk.studio.painting.photos()) == 4
    three.press("undo")
    assert binned(three) == ["first"]


def test_the_photo_that_is_the_reference_too_stays(three: Easel) -> None:
    card = three.desk.ledge.cards[0]
    three.desk.studio.painting.set_reference(card.photo.photo.id)
    choose(three, three.desk.ledge.cards[0], "Delete")
    assert "is the reference too" in three.said
    assert binned(three) == []
