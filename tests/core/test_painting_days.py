"""Copies by day: the last seven days of work and four weeks, whatever the clock says; the last good one is used."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import DayCopy, Painting
from core.store import days, files
from tests.core.painting_support import everything, make_painting, write_photo

FIRST = date(2030, 1, 1)  # a Tuesday

On = Callable[[date], Painting]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_painting(tmp_path)


@pytest.fixture
def on(folder: Path, monkeypatch: pytest.MonkeyPatch) -> On:
    """Opens the painting on a day."""

    def open_on(day: date) -> Painting:
        monkeypatch.setattr(days, "today", lambda: day)
        return Painting.open(folder)

    return open_on


def _work(on: On, day: date, title: str) -> None:
    with on(day) as painting:
        painting.set_title(title)
        assert painting.notices == ()


def _titles(folder: Path, copies: tuple[DayCopy, ...]) -> list[str]:
    found = []
    for copy in copies:
        with Painting.open_copy(folder, copy) as painting:
            found.append(painting.title)
    return found


def test_the_first_opening_of_a_day_keeps_what_was_there_before_it(folder: Path, on: On) -> None:
    _work(on, FIRST, "first day")
    _work(on, FIRST, "first day, again")
    _work(on, FIRST + timedelta(days=1), "second day")
    with on(FIRST + timedelta(days=1)) as painting:
        copies = painting.copies()
        assert [(copy.day, copy.number) for copy in copies] == [(FIRST + timedelta(days=1), 2), (FIRST, 1)]
        assert _titles(folder, copies) == ["first day, again", "Enamel jug and quinces"]
        assert all(copy.file.stat().st_size == copy.bytes and days.is_itself(copy) for copy in copies)


def test_a_new_painting_and_one_that_did_not_change_need_none(folder: Path, on: On) -> None:
    with Painting.open(folder) as painting:  # made today
        assert painting.copies() == ()
    for day in range(3):
        with on(FIRST + timedelta(days=day)) as painting:
            assert [copy.day for copy in painting.copies()] == [FIRST]


def test_an_earlier_copy_is_looked_at_with_its_photographs(folder: Path, on: On) -> None:
    with Painting.open(folder) as painting:
        before = everything(painting)
    _work(on, FIRST, "changed")
    with on(FIRST) as painting:
        (copy,) = painting.copies()
        with Painting.open_copy(folder, copy) as looking:
            assert everything(looking) == before
            assert looking.read_only
            assert looking.photo_file(1).exists()
            assert looking.notices == ("This is an earlier copy of the painting, open only to look.",)
            with pytest.raises(PaintingError, match="open only to look"):
                looking.set_title("x")
        copy.file.write_bytes(b"damaged")
        with pytest.raises(PaintingError, match="damaged"):
            Painting.open_copy(folder, copy)


def _copies_on(dates: list[date]) -> tuple[DayCopy, ...]:
    """Copies made on these days one after another, the newest first."""
    return tuple(DayCopy(day, number, Path(str(number)), 1) for number, day in enumerate(dates, 1))[::-1]


def _left_after(dates: list[date]) -> list[DayCopy]:
    """What is kept when a copy is made on each of the days and the rest thrown away at once."""
    kept: list[DayCopy] = []
    for copy in _copies_on(dates)[::-1]:
        there = (copy, *kept)
        kept = [each for each in there if each not in days.to_throw_away(there)]
    return kept


def test_seven_days_and_four_weeks_are_kept() -> None:
    every_day = [FIRST + timedelta(days=number) for number in range(100)]
    kept = [copy.day for copy in _left_after(every_day)]  # the last: Wednesday of the 15th week
    assert kept[:7] == every_day[:-8:-1]
    # Of the weeks before: the last day of each that is no longer among the seven.
    assert len(kept) == 11
    assert [day.isocalendar().week for day in kept[7:]] == [14, 13, 12, 11]
    assert [day.isoweekday() for day in kept[8:]] == [7, 7, 7]
    once_a_week = every_day[::7]
    assert [copy.day for copy in _left_after(once_a_week)] == once_a_week[:-12:-1]
    assert _left_after(every_day[:5]) == list(_copies_on(every_day[:5]))


def test_a_clock_that_goes_backwards_throws_nothing_new_away(folder: Path, on: On) -> None:
    dates = [FIRST - timedelta(days=200 * number) for number in range(12)]
    for number, day in enumerate(dates):
        _work(on, day, f"sitting {number}")
    with on(dates[-1]) as painting:
        copies = painting.copies()
    assert [copy.day for copy in copies] == dates[:-12:-1]
    assert _titles(folder, copies[:3]) == ["sitting 10", "sitting 9", "sitting 8"]
    newest = folder / "days" / "0099-2999-01-01-0123456789ab.sqlite"  # a clock that was far ahead
    copies[0].file.rename(newest)
    _work(on, FIRST, "once more")
    with on(FIRST) as painting:
        assert painting.copies()[0].number == 100


def test_when_file_and_copy_are_damaged_the_last_good_day_is_used(folder: Path, on: On, tmp_path: Path) -> None:
    for number in range(4):
        _work(on, FIRST + timedelta(days=number), f"day {number}")
    with on(FIRST + timedelta(days=3)) as painting:
        record = painting.import_photo(write_photo(tmp_path, "third.jpg", 3))
        newest, older, *_ = painting.copies()
    for path in (folder / "painting.sqlite", folder / "painting.backup.sqlite"):
        path.write_bytes(b"damaged")
    changed = newest.file.read_bytes()
    assert changed.count(b"day 2")
    newest.file.write_bytes(changed.replace(b"day 2", b"day 9"))  # where SQLite does not look
    with Painting.open(folder, look_only=True) as looking:
        assert looking.title == "day 1"
    with on(FIRST + timedelta(days=4)) as painting:
        assert painting.title == "day 1"
        assert "It was put right from the copy of 03.01.2030, made before that day's work" in painting.notices[0]
        assert "what was changed since then is lost, but no photograph is" in painting.notices[0]
        assert older.day == date(2030, 1, 3)
        assert painting.notices[1].startswith("One photograph")
        assert record.sha256 in {photo.sha256 for photo in painting.photos()}
        assert painting.verify() == ()
        assert len(painting.copies()) == 4
    assert len(list(folder.glob("painting*damaged-*"))) == 2
    # What was put right is not made a copy of the day at once; only when it was opened sound.
    with on(FIRST + timedelta(days=5)) as painting:
        assert painting.notices == ()
        assert painting.copies()[0].day == FIRST + timedelta(days=5)


def test_a_copy_that_cannot_be_made_is_a_notice(folder: Path, on: On, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(days, "copy_to", refuse)
    with on(FIRST) as painting:
        assert painting.notices[0].startswith("The disk is full, so the copy of the day was not kept")
        painting.set_title("saved all the same")
    monkeypatch.undo()
    assert not (folder / "days").exists()


def test_what_a_crash_leaves_half_made_is_cleared(folder: Path, on: On, monkeypatch: pytest.MonkeyPatch) -> None:
    real = files.sync_folder

    def crash(place: Path) -> None:
        if place.name == "days":
            raise KeyboardInterrupt
        real(place)

    with monkeypatch.context() as patched:
        patched.setattr(files, "sync_folder", crash)
        with pytest.raises(KeyboardInterrupt):
            on(FIRST)
    (folder / "painting.day.sqlite").write_bytes(b"half")
    (folder / "painting.day.sqlite.part-journal").write_bytes(b"half")
    (folder / "days" / "notes.txt").write_text("the painter's own")
    with on(FIRST + timedelta(days=1)) as painting:
        painting.set_title("going on")
    with on(FIRST + timedelta(days=2)) as painting:
        assert len(painting.copies()) == 2
        assert painting.notices == ()
    assert not list(folder.glob("painting.day*"))
    assert (folder / "days" / "notes.txt").exists()


def test_copies_stay_small(folder: Path, on: On) -> None:
    strokes = ["<svg>"]
    for day in range(5):
        with on(FIRST + timedelta(days=day)) as painting:
            for number in range(10):
                strokes.append(f"<path d='M {number} {day} L 400 {number * 7 % 300}'/>")
                painting.set_drawing("".join(strokes))
    with on(FIRST + timedelta(days=5)) as painting:
        in_all = sum(copy.bytes for copy in painting.copies())
        assert len(painting.copies()) == 6
    assert in_all < 6 * 150_000
