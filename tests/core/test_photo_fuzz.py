"""Broken files by the hundred, in a process of their own: each gives a picture, a drawing or a sentence."""

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from core import photo
from core.errors import PhotoError
from tests.fuzz.amiss import look_amiss
from tests.fuzz.loader import Tally, all_seeds, fuzz
from tests.fuzz.mutations import FORMATS, case, format_of
from tests.fuzz.workers import FAULT, LOADED, REFUSED, Outcome, Pool, open_one

SEEDS = all_seeds()


def assert_no_faults(tally: Tally) -> None:
    assert not [(name, outcome.number, outcome.words) for name, outcome in tally.faults]


def test_hundreds_of_broken_files() -> None:
    count = 300
    tally = fuzz(count, seed=8)
    assert_no_faults(tally)
    for kind in set(FORMATS.values()):
        assert tally.counts[kind, LOADED] + tally.counts[kind, REFUSED] == count // 6
        assert tally.counts[kind, LOADED] > 0
        assert tally.counts[kind, REFUSED] > count // 20


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_ten_thousand_broken_files(tmp_path: Path) -> None:
    assert_no_faults(fuzz(10_000, seed=1, processes=2, folder=tmp_path))


def test_seeds_are_of_every_format_and_all_but_a_few_are_sound() -> None:
    kinds = Counter(format_of(name) for name in SEEDS)
    assert all(kinds[kind] >= 5 for kind in FORMATS.values())
    unsound = {name for name, data in SEEDS.items() if open_one(name, data)[0] != LOADED}
    assert unsound == {"huge.svg", "outside.svg", "loop.svg"}


def test_a_number_always_gives_the_same_file_and_nearly_every_one_is_changed() -> None:
    files = [case(SEEDS, 5, number) for number in range(240)]
    assert files == [case(SEEDS, 5, number) for number in range(240)]
    assert sum(data == SEEDS[name] for name, data in files) < 24
    assert len({data for _, data in files}) > 200
    assert files[0] != case(SEEDS, 6, 0)


def some_files() -> Iterator[tuple[int, str, bytes]]:
    yield from (
        (number, f"{number}.jpg", data) for number, data in enumerate((b"a", b"crash", b"hang", b"memory", b"b"))
    )


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere files are opened without limits")
def test_a_lost_process_is_known_by_its_file_and_the_rest_goes_on() -> None:
    pool = Pool(1, look_amiss, seconds=0.2)
    try:
        outcomes = {outcome.number: outcome for outcome in pool.run(some_files())}
    finally:
        pool.close()
    assert [outcomes[number].result for number in range(5)] == [LOADED, FAULT, FAULT, FAULT, LOADED]
    assert "SIGSEGV" in outcomes[1].words
    assert "more than 0.2 s" in outcomes[2].words
    assert outcomes[3].words == "no memory"


def test_what_is_not_a_plain_sentence_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    said = iter(("It is damaged. Copy it again.", "KeyError: 3.", "It is 1.07e+08 pixels.", "not enough memory.", "No"))

    def refuse(*_: object) -> None:
        raise PhotoError(next(said))

    monkeypatch.setattr(photo, "load_photo_bytes", refuse)
    assert [open_one("a.jpg", b"")[0] for _ in range(5)] == [REFUSED, FAULT, FAULT, FAULT, FAULT]
    monkeypatch.setattr(photo, "load_photo_bytes", lambda *_: 1 / 0)
    result, words = open_one("a.jpg", b"")
    assert result == FAULT
    assert "ZeroDivisionError" in words


def test_the_table_counts_by_format() -> None:
    tally = Tally()
    tally.add("a.jpg", Outcome(0, LOADED, "", 0.5, 3.0))
    tally.add("b.tif", Outcome(1, REFUSED, "“b.tif” is damaged.", 0.1, 9.0))
    tally.add("b.tif", Outcome(2, FAULT, "lost", 1.25, 4.0))
    rows = {row.split()[0]: row.split()[1:] for row in tally.table().splitlines()[1:-1]}
    assert rows["JPEG"] == ["1", "1", "0", "0", "0.50"]
    assert rows["TIFF"] == ["2", "0", "1", "1", "1.25"]
    assert tally.table().endswith("9 MB")
    assert [(name, outcome.number) for name, outcome in tally.faults] == [("b.tif", 2)]
    assert tally.sentences == {"“…” is damaged.": 1}
