"""The painting on disk: a folder with the original photographs and one SQLite file for everything else.

    photos/                  every photograph brought in, byte for byte, never overwritten
    bin/                     photographs thrown away; emptied only in the file manager
    painting.sqlite          title, size, reference, ledge, landmarks by hand, drawing, plans, view, checks, undo
    painting.backup.sqlite   the last good copy of it
    days/                    copies of it by day, the last seven and four weeks before them
    painting.sha256          checksums of those two, written at a clean closing
    painting.lock            who has the painting open

Every change is on the disk when the call that made it returns. Everything that cannot be done is a PaintingError with
a sentence that says what to do, and leaves the painting as it was.
"""

import hashlib
import json
import os
from pathlib import Path
from typing import Any, Self

from core.errors import PaintingError
from core.size import Size
from core.store import days, drawings
from core.store.back_up import BackUp, back_up
from core.store.database import DATABASE
from core.store.days import DayCopy
from core.store.faults import DAMAGED, DamagedError, told
from core.store.files import Progress
from core.store.lock import AlreadyOpenError
from core.store.making import in_the_making
from core.store.observer import Change, Signal
from core.store.opening import Opened, open_copy, open_folder
from core.store.photos import StagedPhoto
from core.store.ratings import Ratings
from core.store.records import (
    FEWEST_STEPS,
    MOST_STEPS,
    CanvasPhotoRecord,
    CheckRecord,
    Corners,
    DrawingRecord,
    FoundBy,
    LandmarkByHand,
    PaintingRecord,
    PhotoRecord,
    RatingRecord,
    ReferenceRecord,
    check_from,
    corners_text,
    drawing_from,
    now,
    painting_from,
    plain_text,
    reference_from,
)
from core.store.rescue import DEFAULT_STEPS, write_new
from core.store.restoring import Restored, check_back_up, restore

__all__ = [
    "KNOWN_GREYS",
    "AlreadyOpenError",
    "BackUp",
    "CanvasPhotoRecord",
    "Change",
    "CheckRecord",
    "Corners",
    "DayCopy",
    "DrawingRecord",
    "FoundBy",
    "LandmarkByHand",
    "Painting",
    "PaintingRecord",
    "PhotoRecord",
    "RatingRecord",
    "ReferenceRecord",
    "Restored",
    "Signal",
    "StagedPhoto",
    "back_up",
    "check_back_up",
    "restore",
]

KNOWN_GREYS = "known greys"
"""The plan that holds the greys and the colour chart the painter pointed at, a list for each canvas photo by its id.
They were view state once, a setting of the same name, which counts as long as there is no such plan."""


class Painting(Ratings):
    """One painting, open. Use it from the thread that opened it, and close it, or use it in a ``with`` block."""

    @classmethod
    def create(
        cls,
        folder: str | os.PathLike[str],
        title: str,
        size: Size,
        reference_file: str | os.PathLike[str],
        *,
        crop: Any = None,
        steps: int = DEFAULT_STEPS,
        progress: Progress | None = None,
    ) -> Self:
        """Make a painting in a new or empty folder, and open it; when it cannot be made, nothing is left behind.

        ``crop``: as in ``set_reference``. ``steps``: value steps, 2 to 10. ``progress`` as in ``import_photo``.
        """
        place = Path(folder).absolute()
        values = (_steps(steps), corners_text(crop))
        with in_the_making(place) as making:
            write_new(making / DATABASE, title, size, values[0])
            with cls(making, open_folder(making)) as painting:
                photo = painting.import_photo(reference_file, progress=progress)
                # Not a step: a painting without its reference is nothing to go back to.
                painting._write("reference", "INSERT INTO reference VALUES (1, ?, ?)", photo.id, values[1])
        return cls.open(place)

    @classmethod
    def open(cls, folder: str | os.PathLike[str], *, look_only: bool = False) -> Self:
        """Open a painting, to work in it or only to look; see ``notices`` for what came of it.

        A folder that cannot be written to opens only to look. Raises AlreadyOpenError when another window has it open
        to work in, and PaintingError when it is no painting or comes from a newer version of the program.
        """
        place = Path(folder).absolute()
        return cls._on(place, open_folder(place, look_only=look_only))

    @classmethod
    def open_copy(cls, folder: str | os.PathLike[str], copy: DayCopy) -> Self:
        """Open one of ``copies`` only to look: the painting as it was, with the photographs of its folder."""
        place = Path(folder).absolute()
        return cls._on(place, open_copy(place, copy.file))

    @classmethod
    def _on(cls, place: Path, opened: Opened) -> Self:
        try:
            return cls(place, opened)
        except BaseException:
            opened.close()
            raise

    def copies(self) -> tuple[DayCopy, ...]:
        """The copies of the painting's file kept by day, the newest first; see ``core.store.days``."""
        with told("the copies could not be read"):
            return days.copies(self.folder)

    @property
    def record(self) -> PaintingRecord:
        return painting_from(self._painting_row())

    @property
    def title(self) -> str:
        return self.record.title

    @property
    def size(self) -> Size:
        return self.record.size

    @property
    def steps(self) -> int:
        return self.record.steps

    def set_title(self, title: str) -> None:
        self._change_painting("renamed the painting", {"title": plain_text(title)})

    def set_size(self, size: Size) -> None:
        """Set the canvas's size; corners and drawing stay as they are."""
        self._change_painting("changed the canvas size", {"width_mm": size.width_mm, "height_mm": size.height_mm})

    def set_steps(self, steps: int) -> None:
        """Set how many value steps the painting is seen in, 2 to 10."""
        self._change_painting("changed the value steps", {"steps": _steps(steps)})

    @property
    def reference(self) -> ReferenceRecord | None:
        """The photograph painted from; None only after the painting had to be rebuilt from its photos."""
        row = self._row("SELECT * FROM reference")
        return None if row is None else reference_from(row, self.photo(row["photo_id"]))

    def set_reference(self, photo_id: int, *, crop: Any = None) -> None:
        """Paint from another photograph.

        ``crop``: (4, 2) corners of the part used, px of the upright photo, top left first and clockwise; None for all.
        """
        values = {"photo_id": self.photo(photo_id).id, "crop": corners_text(crop)}
        with self.step("changed the reference"):
            if self._history.row("reference", 1) is None:
                self._history.add("reference", {"id": 1, **values})
            else:
                self._history.put("reference", 1, values)

    def set_reference_crop(self, crop: Any) -> None:
        """Crop the reference; ``crop`` as in ``set_reference``."""
        if self.reference is None:
            raise PaintingError("There is no reference to crop yet. Choose it first.")
        with self.step("cropped the reference"):
            self._history.put("reference", 1, {"crop": corners_text(crop)})

    @property
    def drawing_svg(self) -> str | None:
        """The drawing as SVG in mm, or None when there is none yet."""
        drawing_id = self._painting_row()["drawing_id"]
        return None if drawing_id is None else self.drawing_version(drawing_id)

    def set_drawing(self, svg: str, *, note: str = "", label: str = "changed the drawing") -> DrawingRecord:
        """Save the drawing as a new version, unless it is the text already there; every earlier version stays."""
        text, current = plain_text(svg), self._painting_row()["drawing_id"]
        if current is not None and text == self.drawing_version(current):
            return self._drawing(current)
        with self.step(label):
            drawing_id = drawings.add(self._connection, text, current, plain_text(note))
            self._history.put("painting", 1, {"drawing_id": drawing_id})
        return self._drawing(drawing_id)

    def drawing_versions(self) -> tuple[DrawingRecord, ...]:
        """All versions ever saved, oldest first, those that were undone too."""
        return tuple(drawing_from(row) for row in self._rows("SELECT id, made_at, note FROM drawing ORDER BY id"))

    def drawing_version(self, drawing_id: int) -> str:
        """The SVG of one version."""
        self._drawing(drawing_id)
        with told("the drawing could not be read"):
            return drawings.read(self._connection, drawing_id)

    def use_drawing(self, drawing_id: int) -> None:
        """Go back to an earlier version of the drawing."""
        self._drawing(drawing_id)
        self._change_painting("went back to an earlier drawing", {"drawing_id": drawing_id})

    def check_result(self, canvas_photo_id: int) -> CheckRecord | None:
        """The last check of a canvas photo, or None."""
        row = self._row("SELECT * FROM check_result WHERE canvas_photo_id = ?", canvas_photo_id)
        return None if row is None else check_from(row, is_current=row["inputs"] == self._check_inputs(canvas_photo_id))

    def set_check_result(self, canvas_photo_id: int, result: str) -> None:
        """Keep the last check of a canvas photo. ``result``: its JSON text. Never undone; replaced by the next."""
        try:
            json.loads(result)
        except ValueError as error:
            raise PaintingError("The check's result is not JSON, so it was not kept.") from error
        values = (canvas_photo_id, plain_text(result), self._check_inputs(canvas_photo_id), now())
        self._write("check_result", "INSERT OR REPLACE INTO check_result VALUES (?, ?, ?, ?)", *values)

    def _check_inputs(self, canvas_photo_id: int) -> str:
        """A fingerprint of everything a check is made from."""
        painting, reference = self._painting_row(), self.reference
        photos = [
            self.canvas_photo(canvas_photo_id),
            self.blank_for(canvas_photo_id),
            *self.lamp_moved(canvas_photo_id),
        ]
        inputs: list[Any] = [
            [painting["width_mm"], painting["height_mm"], painting["drawing_id"]],
            None if reference is None else [reference.photo.sha256, reference.crop],
            [None if photo is None else [photo.photo.sha256, photo.corners, photo.lens_k1] for photo in photos],
        ]
        pointed, before = self._pointed_at(canvas_photo_id)
        if pointed != before:  # those of before were never counted, and a check made with them still holds
            inputs.append(pointed)
        return hashlib.sha256(json.dumps(inputs).encode()).hexdigest()

    def _pointed_at(self, canvas_photo_id: int) -> tuple[list[Any], list[Any]]:
        """What of known value was pointed at in a canvas photo, and what an earlier version left as its setting."""
        kept = [self.setting(KNOWN_GREYS), self.plan(KNOWN_GREYS)]
        before, pointed = ((each if isinstance(each, dict) else {}).get(str(canvas_photo_id), []) for each in kept)
        return before if kept[1] is None else pointed, before

    def _change_painting(self, label: str, values: dict[str, Any]) -> None:
        with self.step(label):
            self._history.put("painting", 1, values)

    def _painting_row(self) -> Any:
        row = self._row("SELECT * FROM painting")
        if row is None:
            raise DamagedError(DAMAGED)
        return row

    def _drawing(self, drawing_id: int) -> DrawingRecord:
        row = self._row("SELECT id, made_at, note FROM drawing WHERE id = ?", drawing_id)
        if row is None:
            raise PaintingError("This version of the drawing is not there. Choose another.")
        return drawing_from(row)


def _steps(steps: int) -> int:
    if not FEWEST_STEPS <= steps <= MOST_STEPS:
        raise PaintingError(f"Choose between {FEWEST_STEPS} and {MOST_STEPS} value steps.")
    return int(steps)
