"""The ledge: photos come in, hang, are named, marked, moved and taken off, and nothing is lost."""

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import QLocale, QPoint, Qt
from pytestqt.qtbot import QtBot

from app.ledge.card import Card
from app.ledge.sittings import day_words, sitting_for
from app.ledge.thumbs import THUMB_PX, Thumbs
from app.work import Worker
from tests.app.window_case import CORNERS, Easel, canvas_shot, drop, make_easel, make_painting


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    return made


@pytest.fixture
def three(easel: Easel, tmp_path: Path) -> Easel:
    """Three photos on the ledge, the last of which hangs."""
    drop(easel.desk.ledge, [canvas_shot(tmp_path, f"{name}.jpg")[0] for name in ("first", "second", "third")])
    return easel


def names(easel: Easel) -> list[str]:
    return [card.photo.name for card in easel.desk.ledge.cards]


def hung(easel: Easel) -> str:
    return next(card.photo.name for card in easel.desk.ledge.cards if card.isChecked())


def choose(easel: Easel, card: Card, words: str) -> None:
    """Take a line of a card's menu, or of a menu within it."""
    menu = easel.desk.ledge.menu_for(card.photo)
    lines = list(menu.actions())
    for line in menu.actions():
        if line.menu() is not None:
            lines += line.menu().actions()
    next(line for line in lines if words in line.text()).trigger()


def test_an_empty_ledge_says_how_photos_come_in(easel: Easel) -> None:
    assert easel.desk.ledge._empty.isVisible()
    assert "drop photos here" in easel.desk.ledge._empty.text()


def test_several_photos_come_in_at_once_as_one_step(three: Easel) -> None:
    assert names(three) == ["first.jpg", "second.jpg", "third.jpg"]
    assert hung(three) == "third.jpg"
    assert three.desk.studio.painting.can_undo == "added 3 canvas photos"
    three.press("undo")
    assert names(three) == []
    three.press("redo")
    assert names(three) == ["first.jpg", "second.jpg", "third.jpg"]


def test_photos_are_kept_byte_for_byte(three: Easel, tmp_path: Path) -> None:
    painting = three.desk.studio.painting
    for card in three.desk.ledge.cards:
        kept = painting.photo_file(card.photo.photo.id)
        assert kept.read_bytes() == (tmp_path / card.photo.name).read_bytes()


def test_a_press_hangs_a_photo(three: Easel) -> None:
    three.desk.ledge.cards[0].click()
    assert hung(three) == "first.jpg"
    assert three.desk.wall.hangings[-1].title.startswith("first.jpg")


def test_page_keys_go_along_the_ledge_and_stop_at_its_ends(three: Easel) -> None:
    three.press("older", "older", "older", "older")
    assert hung(three) == "first.jpg"
    three.press("newer")
    assert hung(three) == "second.jpg"


def test_cards_are_reached_with_the_keyboard(three: Easel, qtbot: QtBot) -> None:
    first, second, _ = three.desk.ledge.cards
    first.setFocus()
    qtbot.keyClick(first, Qt.Key.Key_Right)
    assert three.window.focusWidget() is second
    qtbot.keyClick(second, Qt.Key.Key_Return)
    assert hung(three) == "second.jpg"


def test_a_photo_is_renamed(three: Easel) -> None:
    three.answers.text = "after the first glaze"
    choose(three, three.desk.ledge.cards[0], "Rename")
    assert names(three)[0] == "after the first glaze"


def test_a_removed_photo_is_put_back_by_its_message(three: Easel) -> None:
    choose(three, three.desk.ledge.cards[2], "Remove")
    assert names(three) == ["first.jpg", "second.jpg"]
    assert hung(three) == "second.jpg"
    assert "Its file stays" in three.said
    three.offer("Put it back")
    assert names(three) == ["first.jpg", "second.jpg", "third.jpg"]


def test_delete_takes_a_photo_off(three: Easel, qtbot: QtBot) -> None:
    qtbot.keyClick(three.desk.ledge.cards[0], Qt.Key.Key_Delete)
    assert names(three) == ["second.jpg", "third.jpg"]


def test_the_last_photo_taken_off_leaves_the_reference_hanging(easel: Easel, tmp_path: Path) -> None:
    drop(easel.desk.ledge, [canvas_shot(tmp_path)[0]])
    choose(easel, easel.desk.ledge.cards[0], "Remove")
    assert all(hanging.title.startswith("Reference") for hanging in easel.desk.wall.hangings)
    assert easel.desk.studio.view.canvas_photo is None


def test_a_blank_is_marked_and_chosen_as_the_light(three: Easel) -> None:
    choose(three, three.desk.ledge.cards[0], "blank canvas")
    first, second, _ = three.desk.ledge.cards
    assert first.remark == "blank"
    choose(three, second, "“first.jpg”")
    assert three.desk.studio.painting.canvas_photo(second.photo.id).blank_id == first.photo.id


def test_a_photo_moves_to_a_new_sitting(three: Easel) -> None:
    choose(three, three.desk.ledge.cards[0], "2 (new)")
    assert names(three) == ["second.jpg", "third.jpg", "first.jpg"]
    assert [card.photo.sitting for card in three.desk.ledge.cards] == [1, 1, 2]


def test_corners_not_placed_are_marked_on_the_card(three: Easel) -> None:
    assert [card.remark for card in three.desk.ledge.cards] == ["corners?"] * 3


def test_a_missing_file_is_said_on_its_card_and_on_the_wall(three: Easel, tmp_path: Path) -> None:
    folder = three.desk.studio.painting.folder
    file = three.desk.studio.painting.photo_file(three.desk.ledge.cards[2].photo.photo.id)
    three.press("close")
    file.unlink()
    three.window.open_painting(folder)
    assert three.desk.ledge.cards[2].remark == "file not found"
    assert three.said
    three.press("grey", "steps")  # the rest goes on


def dated(folder: Path, name: str, taken: str) -> Path:
    """A photo whose file tells when it was taken."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = taken  # DateTimeOriginal, Exif 3.0 table 8
    Image.new("RGB", (60, 40), (len(name), 90, 60)).save(folder / name, exif=exif)
    return folder / name


def test_photos_go_into_sittings_by_the_day_and_the_time_their_files_tell(easel: Easel, tmp_path: Path) -> None:
    taken = {"b.jpg": "2025:11:12 15:00:00", "c.jpeg": "2025:11:14 09:00:00", "aaa.jpg": "2025:11:12 10:00:00"}
    drop(easel.desk.ledge, [dated(tmp_path, name, told) for name, told in taken.items()])
    assert names(easel) == ["aaa.jpg", "b.jpg", "c.jpeg"]
    assert [card.photo.sitting for card in easel.desk.ledge.cards] == [1, 1, 2]
    assert easel.desk.ledge.cards[0].photo.taken_at == datetime(2025, 11, 12, 10)
    drop(easel.desk.ledge, [dated(tmp_path, "between.jpg", "2025:11:12 12:00:00"), canvas_shot(tmp_path)[0]])
    assert names(easel) == ["aaa.jpg", "between.jpg", "b.jpg", "c.jpeg", "canvas.jpg"]
    assert hung(easel) == "canvas.jpg"
    choose(easel, easel.desk.ledge.cards[0], "Later in its sitting")
    assert names(easel)[:3] == ["between.jpg", "aaa.jpg", "b.jpg"]
    today = date.today()
    days = (date(2025, 11, 12), date(2025, 11, 14), today)
    told = tuple(f"Sitting {n}\n{day_words(day, today)}" for n, day in enumerate(days, 1))
    assert easel.desk.ledge.sittings == told


@pytest.mark.parametrize(
    ("place", "same_year", "other_year"),
    [
        ("en_GB", "12 Nov", "5 Mar 2025"), ("en_US", "Nov 12", "Mar 5, 2025"), ("de_DE", "12. Nov.", "5. März 2025"),
        ("ja_JP", "11月12日", "2025年3月5日"), ("hu_HU", "nov. 12.", "2025. márc. 5."),
    ],
)  # fmt: skip
def test_days_are_written_as_where_the_painter_lives(place: str, same_year: str, other_year: str) -> None:
    """The forms and names of the Unicode CLDR, as Qt carries them."""
    today = date(2026, 12, 1)
    assert day_words(date(2026, 11, 12), today, QLocale(place)) == same_year
    assert day_words(date(2025, 3, 5), today, QLocale(place)) == other_year


def test_photos_of_another_day_begin_a_new_sitting(easel: Easel, tmp_path: Path) -> None:
    today = date.today()
    assert sitting_for((), today) == 1
    drop(easel.desk.ledge, [canvas_shot(tmp_path)[0]])
    photos = easel.desk.studio.canvas_photos
    assert sitting_for(photos, today) == 1
    assert sitting_for(photos, today + timedelta(days=1)) == 2
    assert sitting_for(photos, today - timedelta(days=1)) == 1


def test_a_name_pressed_twice_is_asked_for_again(three: Easel, qtbot: QtBot) -> None:
    three.answers.text = "after the glaze"
    card = three.desk.ledge.cards[0]
    qtbot.mouseDClick(card, Qt.MouseButton.LeftButton, pos=QPoint(40, card.height() - 10))
    assert names(three)[0] == "after the glaze"
    assert three.desk.ledge.menu_for(three.desk.ledge.cards[1].photo).activeAction().text() == "Rename…"


def test_two_photos_are_chosen_to_be_compared(three: Easel, qtbot: QtBot) -> None:
    wanted: list[tuple[int, int]] = []
    three.desk.ledge.compare_wanted.connect(lambda *pair: wanted.append(pair))
    one, two, last = three.desk.ledge.cards
    for card in (one, one, one):  # the second press lets the first go
        qtbot.mouseClick(card, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ControlModifier)
    assert "to be compared" in three.said
    qtbot.mouseClick(two, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ControlModifier)
    assert hung(three) == "third.jpg"
    choose(three, one, "Compare with the one that hangs")
    menu = three.desk.ledge.more_menu()
    beside = next(line.menu() for line in menu.actions() if line.text() == "Compare with")
    beside.actions()[1].trigger()
    ids = [card.photo.id for card in (one, two, last)]
    assert wanted == [(ids[0], ids[1]), (ids[0], ids[2]), (ids[2], ids[1])]


@pytest.mark.parametrize(
    ("words", "page"), [("A film of the progress…", "film"), ("The painting’s report…", "reporting")]
)
def test_film_and_report_lie_over_the_desk_when_asked_for(three: Easel, words: str, page: str) -> None:
    for photo in three.desk.studio.canvas_photos:
        three.desk.studio.painting.set_corners(photo.id, CORNERS)
    next(line for line in three.desk.ledge.more_menu().actions() if line.text() == words).trigger()
    placing = three.desk.placing
    assert placing.currentWidget() is getattr(placing, page)
    placing.leave()
    assert not placing.is_away


def test_small_pictures_are_made_once_for_the_machine(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    file, _ = canvas_shot(tmp_path)
    thumbs = Thumbs(tmp_path / "thumbs", worker)
    made = thumbs.image("ab" * 32, file)
    assert made is not None
    assert (made.width(), made.height()) == (THUMB_PX, THUMB_PX * 3 // 4)
    file.unlink()
    again = Thumbs(tmp_path / "thumbs", worker).image("ab" * 32, file)
    assert again is not None
    assert again.size() == made.size()
