"""A watched folder: whole photos come in, in order, once each, also those that came while the program was closed."""

import os
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.ledge.watched import Sighting, Watched, look_into
from app.ledge.watcher import PATIENCE_S, SETTING
from app.work import Worker
from core.errors import PainterError
from core.painting import Painting
from tests.app.window_case import Easel, make_easel, make_painting, reference_photo

OLD, NEW = Sighting(1, "a.jpg", 10), Sighting(2, "b.jpg", 20)


def test_only_what_is_new_and_has_stopped_changing_is_ripe() -> None:
    watched = Watched(Path("/x"), frozenset({OLD}))
    growing = Sighting(2, "b.jpg", 15)
    assert watched.ripe({}, {"b.jpg": NEW}) == ()
    assert watched.ripe({"b.jpg": growing}, {"b.jpg": NEW}) == ()
    assert watched.ripe({"a.jpg": OLD, "b.jpg": NEW}, {"a.jpg": OLD, "b.jpg": NEW}) == (NEW,)
    assert watched.ripe({"e.jpg": Sighting(3, "e.jpg", 0)}, {"e.jpg": Sighting(3, "e.jpg", 0)}) == ()
    assert watched.done(NEW).ripe({"b.jpg": NEW}, {"b.jpg": NEW}) == ()
    later = Sighting(9, "b.jpg", 20)
    assert watched.done(NEW).ripe({"b.jpg": later}, {"b.jpg": later}) == (later,)  # written anew: another photo


def test_they_come_in_the_order_they_were_written() -> None:
    now = {each.name: each for each in (Sighting(30, "a.jpg", 1), Sighting(10, "z.jpg", 1), Sighting(20, "m.heic", 1))}
    assert [each.name for each in Watched(Path("/x")).ripe(now, now)] == ["z.jpg", "m.heic", "a.jpg"]


def test_it_is_kept_and_read_back_and_nonsense_is_none() -> None:
    watched = Watched(Path("/somewhere"), frozenset({OLD, NEW}))
    assert Watched.from_json(watched.to_json()) == watched
    for nonsense in (None, {}, {"folder": ""}, {"folder": "/x", "seen": [["a"]]}, {"folder": "", "seen": []}, 7):
        assert Watched.from_json(nonsense) is None


def test_only_photographs_are_looked_at(tmp_path: Path) -> None:
    for name in ("a.JPG", "b.heic", ".hidden.jpg", "c.jpg.part", "notes.txt", "~lock.jpg", "d.tmp"):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "folder.jpg").mkdir()
    assert sorted(look_into(tmp_path)) == ["a.JPG", "b.heic"]
    with pytest.raises(PainterError, match="cannot be read"):
        look_into(tmp_path / "nowhere")


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    made.answers.folder = tmp_path / "phone"
    made.answers.folder.mkdir()
    return made


def picture(folder: Path, tail: bytes = b"0") -> bytes:
    """A photograph's bytes; a tail makes it another one."""
    (folder / "made").mkdir(exist_ok=True)
    return reference_photo(folder / "made").read_bytes() + tail


def send(easel: Easel, name: str, data: bytes, at_ns: int) -> None:
    file = easel.answers.folder / name
    file.write_bytes(data)
    os.utime(file, ns=(at_ns, at_ns))


def look(easel: Easel, times: int = 2) -> None:
    for _ in range(times):
        easel.desk.arrivals.watcher.look()


def names(easel: Easel) -> list[str]:
    return [photo.name for photo in easel.desk.studio.canvas_photos]


def begin(easel: Easel) -> None:
    next(each for each in easel.desk.ledge.more_menu().actions() if "Watch a folder" in each.text()).trigger()


def test_what_was_there_stays_out_and_what_comes_goes_onto_the_ledge(easel: Easel, tmp_path: Path) -> None:
    send(easel, "before.jpg", picture(tmp_path), 5)
    begin(easel)
    assert "The one that is there already stays out." in easel.said
    look(easel)
    assert names(easel) == []
    send(easel, "second.jpg", picture(tmp_path, b"2"), 20)
    send(easel, "first.jpg", picture(tmp_path, b"1"), 10)
    look(easel, 1)
    assert names(easel) == []  # they may still be growing
    look(easel, 1)
    assert names(easel) == ["first.jpg", "second.jpg"]
    look(easel, 3)
    assert len(names(easel)) == 2


def test_a_half_written_photo_waits_until_it_is_whole(easel: Easel, tmp_path: Path) -> None:
    begin(easel)
    whole = picture(tmp_path)
    send(easel, "slow.jpg", whole[: len(whole) // 3], 10)
    look(easel, 4)
    assert names(easel) == []
    send(easel, "slow.jpg", whole, 11)
    look(easel)
    assert names(easel) == ["slow.jpg"]


def test_what_never_becomes_a_picture_is_said_once(easel: Easel) -> None:
    begin(easel)
    now = [0.0]
    watcher = easel.desk.arrivals.watcher
    watcher._clock = lambda: now[0]
    send(easel, "broken.jpg", b"no picture at all", 10)
    look(easel)
    assert "broken.jpg" not in easel.said
    now[0] = PATIENCE_S + 1
    look(easel, 1)
    assert "broken.jpg" in easel.said
    easel.window.say("")
    look(easel, 3)
    assert easel.said == ""


def test_the_very_same_photo_is_noticed(easel: Easel, tmp_path: Path) -> None:
    begin(easel)
    send(easel, "one.jpg", picture(tmp_path), 10)
    look(easel)
    send(easel, "copy of it.jpg", picture(tmp_path), 20)
    look(easel)
    assert names(easel) == ["one.jpg"]
    assert "is on the ledge already, as “one.jpg”" in easel.said
    easel.window.say("")
    look(easel)
    assert easel.said == ""


def test_what_came_while_the_program_was_closed_comes_in_when_it_opens(easel: Easel, tmp_path: Path) -> None:
    begin(easel)
    send(easel, "one.jpg", picture(tmp_path, b"1"), 10)
    look(easel)
    easel.press("close")
    send(easel, "two.jpg", picture(tmp_path, b"2"), 20)
    easel.window.open_painting(tmp_path / "painting")
    look(easel)
    assert names(easel) == ["one.jpg", "two.jpg"]


def test_it_is_stopped_from_the_menu_and_stays_so(easel: Easel, tmp_path: Path) -> None:
    begin(easel)
    stop = next(each for each in easel.desk.ledge.more_menu().actions() if "no more" in each.text())
    assert "phone" in stop.text()
    stop.trigger()
    send(easel, "late.jpg", picture(tmp_path), 10)
    look(easel)
    assert names(easel) == []
    assert not any("no more" in each.text() for each in easel.desk.ledge.more_menu().actions())
    assert easel.desk.studio.painting.setting(SETTING) == {}


def test_a_folder_that_has_gone_is_said_once(easel: Easel) -> None:
    begin(easel)
    easel.answers.folder.rmdir()
    look(easel, 1)
    assert "cannot be read" in easel.said
    easel.window.say("")
    look(easel, 3)
    assert easel.said == ""


def test_a_full_disk_loses_nothing(easel: Easel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begin(easel)
    with monkeypatch.context() as broken:

        def full(*_: object, **__: object) -> None:
            raise PainterError("The disk is full. Make room.")

        broken.setattr(type(easel.desk.studio.painting), "stage_photo", full)
        send(easel, "one.jpg", picture(tmp_path), 10)
        look(easel)
    assert names(easel) == []
    assert "disk is full" in easel.said
    easel.press("close")
    easel.window.open_painting(tmp_path / "painting")
    look(easel)
    assert names(easel) == ["one.jpg"]
    with Painting.open(tmp_path / "painting", look_only=True) as painting:
        assert len(painting.canvas_photos()) == 1
