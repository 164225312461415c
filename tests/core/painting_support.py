"""A small painting to try things on, and everything about a painting as plain data, to compare."""

import atexit
import random
import shutil
import subprocess
import sys
from dataclasses import asdict
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from core.painting import Painting
from core.size import Size

ROOT = Path(__file__).resolve().parents[2]
CORNERS = ((10.5, 20.25), (4010.0, 30.0), (4000.0, 3020.0), (15.0, 3010.0))


def photo_bytes(seed: int, length: int = 20_000) -> bytes:
    """Bytes that no other seed has."""
    return random.Random(seed).randbytes(length)


def write_photo(folder: Path, name: str, seed: int, length: int = 20_000) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_bytes(photo_bytes(seed, length))
    return path


def make_painting(root: Path) -> Path:
    """A closed painting with something of everything in it; its folder. Made once and copied, which is quicker."""
    place = root / "Enamel jug"
    shutil.copytree(Path(_made_once().name) / "Enamel jug", place)
    return place


@cache
def _made_once() -> "TemporaryDirectory[str]":
    root = TemporaryDirectory()
    make_painting_at(Path(root.name) / "Enamel jug", Path(root.name) / "card")
    atexit.register(root.cleanup)
    return root


def make_painting_at(place: Path, root: Path) -> None:
    """Make a painting with something of everything in it, from photographs in ``root``."""
    with Painting.create(
        place, "Enamel jug", Size(400, 300), write_photo(root, "jug.jpg", 0), crop=CORNERS
    ) as painting:
        for number in (1, 2):
            photo = painting.import_photo(write_photo(root, f"sitting {number}.jpg", number))
            canvas_photo = painting.add_canvas_photo(photo.id, sitting=number)
            painting.set_corners(canvas_photo.id, CORNERS, found_by="outline", lens_k1=-0.05)
            painting.set_check_result(canvas_photo.id, '{"schema": 1}')
            painting.place_landmark_by_hand(canvas_photo.id, "spout", 812.5, 430, photo_width=4032, photo_height=3024)
        painting.set_drawing("<svg><path d='M 0 0'/></svg>", note="from the tracing")
        painting.set_plan("focal points", [[200, 120]])
        painting.set_setting("squint", 3.5)
        painting.set_title("Enamel jug and quinces")


def state(painting: Painting) -> dict[str, Any]:
    """Everything that undo and redo answer for."""
    return {
        "record": asdict(painting.record),
        "reference": painting.reference,
        "ledge": painting.canvas_photos(with_removed=True),
        "drawing": painting.drawing_svg,
        "plans": painting._documents("plan"),
        "by hand": [painting.landmarks_by_hand(photo.id) for photo in painting.canvas_photos(with_removed=True)],
    }


def everything(painting: Painting) -> dict[str, Any]:
    """All there is to see of a painting."""
    checks = [painting.check_result(photo.id) for photo in painting.canvas_photos()]
    steps = (painting.can_undo, painting.can_redo)
    kept = {"photos": painting.photos(), "checks": checks, "versions": painting.drawing_versions(), "steps": steps}
    return state(painting) | kept | {"settings": painting.settings()}


def child(*arguments: str, **options: Any) -> "subprocess.Popen[str]":
    """Another process working on a painting; see painting_child.py."""
    command = [sys.executable, "-m", "tests.core.painting_child", *arguments]
    return subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **options
    )


def child_says(*arguments: str) -> str:
    """What a child prints, once it has ended well."""
    process = child(*arguments)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 0, err
    return out
