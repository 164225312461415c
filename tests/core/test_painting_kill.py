"""Killed at any moment, a painting opens again with every change that was acknowledged."""

import random
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
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

    @pytest.mark.slow
    @pytest.mark.timeout(1200)
    def test_killed_a_hundred_times(tmp_path: Path) -> None:
        _kill_while_changing(tmp_path / "changing", 100)
        _kill_while_bringing_in(tmp_path / "bringing in", 60)
        _kill_while_making(tmp_path / "making", 60)
