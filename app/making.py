"""Paintings made in a worker: a new one from its photograph, and the demo painting."""

import importlib
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from app.work import Progress

if TYPE_CHECKING:
    from app.new_painting import NewPainting


def make_painting(wanted: "NewPainting", progress: Progress) -> None:
    """All or nothing; raises PaintingError with a sentence."""
    from core.painting import Painting

    def copied(done: int, whole: int) -> None:
        progress(done / max(whole, 1), "Copying the photograph in")

    Painting.create(wanted.folder, wanted.title, wanted.size, wanted.photo, crop=wanted.crop, progress=copied).close()


def warm_up(progress: Progress) -> None:
    """Bring in what reading and laying flat need while the start page is looked at."""
    importlib.import_module("core.photo")
    progress()
    importlib.import_module("core.canvas.lay_flat")


def make_demo(folder: Path, progress: Progress) -> None:
    """Raises PaintingError with a sentence, such as when the disk is full."""
    from core.demo import make_demo_painting

    progress(say="Making the demo painting")
    # Made beside its place and moved in whole: one that was broken off half way is never opened.
    part = folder.with_name(f"{folder.name}.part")
    shutil.rmtree(part, ignore_errors=True)
    make_demo_painting(part).close()
    part.rename(folder)
