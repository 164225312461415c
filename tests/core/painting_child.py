"""What another process does to a painting: ``python -m tests.core.painting_child WHAT FOLDER …``.

Each change is printed once it was acknowledged, so that whoever reads knows what must be there after a kill.
"""

import hashlib
import json
import os
import random
import sys
from collections.abc import Callable
from datetime import date, timedelta
from itertools import count
from pathlib import Path

from core.errors import PaintingError
from core.painting import Painting, back_up
from core.size import Size
from core.store import days, files
from tests.core.painting_support import CORNERS, photo_bytes


def _say(*words: object) -> None:
    print(*words, flush=True)


def change(folder: str, first: str) -> None:
    """Rename the painting to ever higher numbers, among other changes."""
    with Painting.open(folder) as painting:
        photo_id = painting.photos()[0].id
        _say("open")
        for number in count(int(first)):
            with painting.step(f"step {number}"):
                painting.set_title(str(number))
                painting.set_plan("number", {"number": number, "padding": "quince " * (number % 400)})
                painting.set_drawing(f"<svg>{'<path/>' * (number % 50)}<text>{number}</text></svg>")
            _say(number)
            if number % 7 == 0:
                added = painting.add_canvas_photo(photo_id)
                painting.set_corners(added.id, CORNERS)
                painting.undo()
                painting.undo()


def _pause_at(chunk: str) -> Callable[[int, int], None] | None:
    """Progress that stops for good once so many chunks are copied, to be killed just there; none for "0"."""

    def progress(done: int, in_all: int) -> None:
        if done >= min(int(chunk) * files.CHUNK, in_all):
            _say("copying", done)
            sys.stdin.readline()

    return progress if int(chunk) else None


def bring_in(folder: str, outside: str, first: str, pause_at: str) -> None:
    """Bring in ever more photographs."""
    with Painting.open(folder) as painting:
        _say("open")
        for number in count(int(first)):
            path = Path(outside) / f"photo {number}.jpg"
            path.write_bytes(photo_bytes(number, 3_000_000))
            _say("starting", number)
            _say(painting.import_photo(path, progress=_pause_at(pause_at)).sha256)


def work(folder: str, outside: str, run: str) -> None:
    """A sitting at the easel, on a day of its own: save, bring in, check and back up, as chance will have it.

    What is said is a fact: what it is of, and which it is; of the same thing a later one has a higher number.
    """
    days.today = lambda: date(2026, 1, 1) + timedelta(days=int(run))
    chance = random.Random(int(run))
    with Painting.open(folder) as painting:
        _say("open")
        for number in count(1000 * int(run)):
            match chance.choice(("plan", "plan", "drawing", "photo", "check", "check", "backup")):
                case "plan":
                    name = f"plan {number % 20}"
                    painting.set_plan(name, {"number": number, "padding": "quince " * chance.randrange(800)})
                    _say("plan", name.replace(" ", "_"), number)
                case "drawing":
                    svg = f"<svg>{'<path/>' * chance.randrange(400)}<text>{number}</text></svg>"
                    version = painting.set_drawing(svg)
                    _say("drawing", version.id, hashlib.sha256(svg.encode()).hexdigest())
                case "photo":
                    path = Path(outside) / f"photo {number}.jpg"
                    path.write_bytes(photo_bytes(number, chance.randrange(20_000, 2_500_000)))
                    _say("photo", painting.import_photo(path).sha256, number)
                case "check":
                    photo = chance.choice(painting.canvas_photos())
                    painting.photo_file(photo.photo.id).read_bytes()
                    painting.set_check_result(photo.id, json.dumps({"number": number, "x": [0.5] * 3000}))
                    _say("check", photo.id, number)
                case "backup" if chance.random() < 0.3:
                    back_up(painting, Path(outside) / "backup.zip")
                    _say("backup", "backup.zip", number)


def make(folder: str, reference: str, pause_at: str) -> None:
    """Make a painting."""
    _say("starting")
    Painting.create(folder, "Enamel jug", Size(400, 300), reference, progress=_pause_at(pause_at)).close()
    _say("made")
    sys.stdin.readline()


def hold(folder: str) -> None:
    """Keep a painting open until told to end."""
    with Painting.open(folder):
        _say("open")
        sys.stdin.readline()


def as_nobody(folder: str, photo: str) -> None:
    """Open a painting as somebody who may not write in its folder; try to change it."""
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)
    with Painting.open(folder) as painting:
        refused = []
        for attempt in (lambda: painting.set_title("x"), lambda: painting.import_photo(photo), painting.undo):
            try:
                attempt()
            except PaintingError as error:
                refused.append(str(error))
        told = {"read_only": painting.read_only, "title": painting.title, "notices": painting.notices}
        _say(json.dumps(told | {"refused": refused, "ledge": len(painting.canvas_photos())}))


def small_files(folder: str, photo: str, limit: str) -> None:
    """Bring in a photograph, and make changes, where no file may grow past ``limit`` bytes."""
    import resource

    with Painting.open(folder) as painting:
        resource.setrlimit(resource.RLIMIT_FSIZE, (int(limit), int(limit)))
        try:
            painting.import_photo(photo)
        except PaintingError as error:
            _say(error)
        for number in count():
            try:
                painting.set_plan("filler", [number, "linen " * 2000])
            except PaintingError as error:
                _say(error)
                break
            saved = number
        _say(saved)
        _say(json.dumps(painting.plan("filler")[0]))


if __name__ == "__main__":
    {f.__name__: f for f in (change, bring_in, work, make, hold, as_nobody, small_files)}[sys.argv[1]](*sys.argv[2:])
