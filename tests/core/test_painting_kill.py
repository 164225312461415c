"""Killed at any moment, a painting opens again with every change that was acknowledged."""

import hashlib
import json
import os
import random
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting, check_back_up
from core.size import Size
from core.store import days
from tests.core.painting_support import child, make_painting, photo_bytes, write_photo

if hasattr(signal, "SIGKILL"):  # Windows has no such signal; there the same promise rests on the same code

    def _killed_after(seconds: float, lines: int, *arguments: str) -> list[str]:
        """Start a child, wait until it said some lines and then a moment more, kill it; all that it said."""
        process = child(*arguments)
        assert process.stdout is not None
        said = [process.stdout.readline().strip() for _ in range(lines)]
        time.sleep(seconds)
        process.send_signal(signal.SIGKILL)
        rest, errors = process.communicate(timeout=60)
        assert process.returncode == -signal.SIGKILL, errors
        # A line without its end was not said to the end.
        return [line for line in said + rest.split("\n")[:-1] if line]

    def _kill_while_changing(tmp_path: Path, runs: int) -> None:
        chance = random.Random(20)
        folder, reached = make_painting(tmp_path), 0
        for _ in range(runs):
            said = _killed_after(chance.uniform(0, 0.1), chance.randint(1, 12), "change", str(folder), str(reached + 1))
            acknowledged = int(said[-1]) if len(said) > 1 else reached
            with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
                assert connection.execute("PRAGMA quick_check").fetchone()[0] == "ok"
            with Painting.open(folder) as painting:
                there = int(painting.title) if painting.title.isdigit() else 0
                assert there in (acknowledged, acknowledged + 1)
                assert painting.notices == ()
                if there:
                    assert painting.drawing_svg is not None
                    assert f"<text>{there}</text>" in painting.drawing_svg
                    assert painting.plan("number")["number"] == there
                while (label := painting.can_undo) is not None and not label.startswith("step"):
                    painting.undo()
                if there > 1:
                    assert painting.undo() == f"step {there}"
                    assert painting.title == str(there - 1)
                    painting.redo()
                assert painting.verify() == ()
            reached = there
        assert reached > runs

    def _kill_while_bringing_in(tmp_path: Path, runs: int) -> None:
        chance = random.Random(30)
        folder, card, acknowledged, first = make_painting(tmp_path), tmp_path / "card", set[str](), 100
        card.mkdir()
        for run in range(runs):
            # Every other time at a known place in the copying, else at any moment.
            pause_at = run // 2 % 3 + 1 if run % 2 else 0
            moment, lines = (0.0, 3) if pause_at else (chance.uniform(0, 0.05), chance.randint(2, 5))
            said = _killed_after(moment, lines, "bring_in", str(folder), str(card), str(first), str(pause_at))
            acknowledged |= {line for line in said if len(line) == 64}
            first = 1 + max(int(line.split()[1]) for line in said if line.startswith("starting"))
            if pause_at:
                assert any(path.name.startswith(".incoming") for path in (folder / "photos").iterdir())
            with Painting.open(folder) as painting:
                records = painting.photos()
                assert acknowledged <= {record.sha256 for record in records}
                assert painting.notices == ()
                assert not any(path.name.startswith(".") for path in (folder / "photos").iterdir())
                # The one that was cut off comes in as if nothing had happened.
                again = painting.import_photo(card / f"photo {first - 1}.jpg")
                assert painting.photo_file(again.id).read_bytes() == photo_bytes(first - 1, 3_000_000)
        with Painting.open(folder) as painting:
            assert painting.verify() == ()
            listed = {record.file for record in painting.photos()}
            assert {path.name for path in (folder / "photos").iterdir()} == listed

    def _kill_while_making(tmp_path: Path, runs: int) -> None:
        chance = random.Random(40)
        reference = write_photo(tmp_path, "jug.jpg", 0, 3_000_000)
        for run in range(runs):
            folder = tmp_path / f"painting {run}"
            # First once it is made, then at known places in the copying, then at any moment.
            pause_at = run if 1 <= run <= 3 else 0
            moment, lines = (0.0, 2) if run <= 3 else (chance.uniform(0, 0.3), 1)
            said = _killed_after(moment, lines, "make", str(folder), str(reference), str(pause_at))
            assert ("made" in said) or run != 0
            if "made" in said:
                painting = Painting.open(folder)
            elif pause_at:
                with pytest.raises(PaintingError, match="not a painting's folder"):
                    Painting.open(folder)
                painting = Painting.create(folder, "Enamel jug", Size(400, 300), reference)
            else:
                painting = _open_or_create(folder, reference)
            with painting:
                assert painting.title == "Enamel jug"
                assert painting.reference is not None
                assert painting.photo_file(painting.reference.photo.id).read_bytes() == reference.read_bytes()
                assert len(list((folder / "photos").iterdir())) == 1
                assert painting.verify() == ()

    def _facts_of_a_sitting(folder: Path, outside: Path, run: int, chance: random.Random) -> list[list[str]]:
        """What a child had saved and said before it was killed, with all it started, at any moment: opening too."""
        process = child("work", str(folder), str(outside), str(run), start_new_session=True)
        assert process.stdout is not None
        if chance.random() < 0.15:
            time.sleep(chance.uniform(0.1, 0.6))
        lines = [] if chance.random() < 0.1 else [process.stdout.readline() for _ in range(chance.randint(1, 25))]
        time.sleep(chance.uniform(0, 0.08))
        os.killpg(process.pid, signal.SIGKILL)
        rest, errors = process.communicate(timeout=60)
        assert process.returncode == -signal.SIGKILL, errors
        said = ("".join(lines) + rest).split("\n")[:-1]
        return [line.split() for line in said if line != "open"]

    def _require_there(painting: Painting, facts: list[list[str]], outside: Path) -> None:
        photos = {record.sha256 for record in painting.photos()}
        for kind, what, which in facts:
            match kind:
                case "plan":
                    assert painting.plan(what.replace("_", " "))["number"] >= int(which)
                case "drawing":
                    assert hashlib.sha256(painting.drawing_version(int(what)).encode()).hexdigest() == which
                case "photo":
                    assert what in photos
                case "check":
                    check = painting.check_result(int(what))
                    assert check is not None
                    assert json.loads(check.result)["number"] >= int(which)
                case "backup":
                    assert check_back_up(outside / what) > 3
                case _:
                    pytest.fail(f"an unknown fact: {kind}")

    def _kill_at_work(tmp_path: Path, runs: int) -> int:
        """How many facts were said, all of them still true."""
        chance, counted, days_kept = random.Random(50), 0, 0
        for begun in range(0, runs, 40):  # a new painting after forty, since all it holds is looked at each time
            folder, outside = make_painting(tmp_path / str(begun)), tmp_path / f"card {begun}"
            outside.mkdir()
            all_facts: list[list[str]] = []
            for run in range(begun, min(begun + 40, runs)):
                facts = _facts_of_a_sitting(folder, outside, run + 1, chance)
                with Painting.open(folder) as painting:
                    _require_there(painting, facts, outside)
                    assert painting.notices == ()
                    assert not [path for path in (folder / "photos").iterdir() if path.name.startswith(".")]
                all_facts += facts
            with Painting.open(folder) as painting:
                _require_there(painting, all_facts, outside)
                assert painting.verify() == ()
                assert all(days.is_itself(copy) for copy in painting.copies())
                days_kept += len(painting.copies())
            counted += len(all_facts)
        assert days_kept > 1
        return counted

    def _open_or_create(folder: Path, reference: Path) -> Painting:
        """Cut off at an unknown moment there is either a painting or none, and then it can be made."""
        try:
            return Painting.open(folder)
        except PaintingError:
            return Painting.create(folder, "Enamel jug", Size(400, 300), reference)

    def test_killed_while_changing(tmp_path: Path) -> None:
        _kill_while_changing(tmp_path, 15)

    def test_killed_while_bringing_in_photographs(tmp_path: Path) -> None:
        _kill_while_bringing_in(tmp_path, 8)

    def test_killed_while_making_a_painting(tmp_path: Path) -> None:
        _kill_while_making(tmp_path, 8)

    def test_killed_at_work(tmp_path: Path) -> None:
        assert _kill_at_work(tmp_path, 8) > 8

    @pytest.mark.slow
    @pytest.mark.timeout(1800)
    def test_killed_at_work_two_hundred_times(tmp_path: Path) -> None:
        counted = _kill_at_work(tmp_path, 200)
        print(f"200 kills: {counted} facts said, none lost")
        assert counted > 1000

    @pytest.mark.slow
    @pytest.mark.timeout(1200)
    def test_killed_a_hundred_times(tmp_path: Path) -> None:
        _kill_while_changing(tmp_path / "changing", 100)
        _kill_while_bringing_in(tmp_path / "bringing in", 60)
        _kill_while_making(tmp_path / "making", 60)
