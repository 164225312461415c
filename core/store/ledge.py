"""The ledge: the canvas photos of an open painting, by sitting."""

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from core.errors import PaintingError
from core.store.bin import BinnedPhoto, PhotoBin, require_unused
from core.store.records import CanvasPhotoRecord, FoundBy, canvas_photo_from, corners_text, finite, now, plain_text

MOST_SITTINGS = 9999

_IN_ORDER = "ORDER BY sitting, position, id"


class Ledge(PhotoBin):
    """An open painting's canvas photos. Every change here is a step that can be undone."""

    def canvas_photos(self, *, with_removed: bool = False) -> tuple[CanvasPhotoRecord, ...]:
        """The canvas photos by sitting, in their order within it."""
        where = "" if with_removed else "WHERE removed = 0"
        return tuple(self._canvas_photo(row) for row in self._rows(f"SELECT * FROM canvas_photo {where} {_IN_ORDER}"))

    def canvas_photo(self, canvas_photo_id: int) -> CanvasPhotoRecord:
        row = self._row("SELECT * FROM canvas_photo WHERE id = ?", canvas_photo_id)
        if row is None:
            raise PaintingError("This canvas photo is not on the ledge any more. Choose another.")
        return self._canvas_photo(row)

    @property
    def latest_sitting(self) -> int:
        """The highest sitting number with a photo on the ledge; 0 when the ledge is empty."""
        row = self._row("SELECT coalesce(max(sitting), 0) AS latest FROM canvas_photo WHERE removed = 0")
        return 0 if row is None else int(row["latest"])

    def add_canvas_photo(
        self,
        photo_id: int,
        *,
        sitting: int | None = None,
        name: str = "",
        taken_at: datetime | None = None,
        note: str = "",
        is_blank: bool = False,
    ) -> CanvasPhotoRecord:
        """Put a photograph on the ledge, by its time in its sitting (the latest one when not said), without corners
        yet; last there when the others do not lie in the order of their times.

        ``taken_at``: local time where it was taken, without a zone, when its file tells it.
        """
        photo = self.photo(photo_id)
        values = {
            "photo_id": photo.id,
            "sitting": _sitting(sitting if sitting is not None else max(1, self.latest_sitting)),
            "position": self._last_position() + 1,
            "name": plain_text(name) or photo.name,
            "is_blank": int(is_blank),
            "taken_at": None if taken_at is None else taken_at.isoformat(),
            "added_at": now(),
            "note": plain_text(note),
        }
        with self.step("added a blank" if is_blank else "added a canvas photo"):
            key = int(self._history.add("canvas_photo", values))
            self._leave_bin(photo.id)
            self._lay_by_time(key)
        return self.canvas_photo(key)

    def set_corners(
        self, canvas_photo_id: int, corners: Any, *, found_by: FoundBy = "given", lens_k1: float | None = None
    ) -> None:
        """Place the canvas's corners, or take them off with None.

        ``corners``: (4, 2), px of the upright photo, top left, top right, bottom right, bottom left. ``lens_k1``:
        one-term radial lens coefficient; None keeps the one there is.
        """
        values: dict[str, Any] = {
            "corners": corners_text(corners),
            "found_by": None if corners is None else found_by,
        }
        if lens_k1 is not None:
            values["lens_k1"] = finite(lens_k1, "The lens correction")
        self._change_photo(canvas_photo_id, "removed the corners" if corners is None else "placed the corners", values)

    def rename_canvas_photo(self, canvas_photo_id: int, name: str) -> None:
        self._change_photo(canvas_photo_id, "renamed a canvas photo", {"name": plain_text(name)})

    def set_note(self, canvas_photo_id: int, note: str) -> None:
        self._change_photo(canvas_photo_id, "changed a note", {"note": plain_text(note)})

    def set_sitting(self, canvas_photo_id: int, sitting: int) -> None:
        """Move a photo to another sitting, by its time in it, as ``add_canvas_photo`` does."""
        values = {"sitting": _sitting(sitting), "position": self._last_position() + 1}
        if self.canvas_photo(canvas_photo_id).sitting != sitting:
            with self.step("moved to another sitting"):
                self._history.put("canvas_photo", canvas_photo_id, values)
                self._lay_by_time(canvas_photo_id)

    def set_is_blank(self, canvas_photo_id: int, is_blank: bool) -> None:
        """Say whether this is a photo of the empty or evenly covered canvas, to measure the light by."""
        label = "made a photo a blank" if is_blank else "made a blank an ordinary photo"
        self._change_photo(canvas_photo_id, label, {"is_blank": int(is_blank)})

    def use_blank(self, canvas_photo_id: int, blank_id: int | None) -> None:
        """Choose the blank taken in the same light as a photo; None leaves it to ``blank_for``."""
        if blank_id is not None and not self.canvas_photo(blank_id).is_blank:
            raise PaintingError("The photo chosen is not a blank. Mark it as one first.")
        self._change_photo(canvas_photo_id, "chose a blank", {"blank_id": blank_id})

    def blank_for(self, canvas_photo_id: int) -> CanvasPhotoRecord | None:
        """The blank that tells this photo's light: the one chosen, else the last of the same sitting, else None.

        Another sitting's light is another light, so such a blank is used only when the painter chooses it.
        """
        photo = self.canvas_photo(canvas_photo_id)
        blanks = {blank.id: blank for blank in self.canvas_photos() if blank.is_blank and blank.id != photo.id}
        if photo.blank_id in blanks:
            return blanks[photo.blank_id]
        return next((blank for blank in reversed(blanks.values()) if blank.sitting == photo.sitting), None)

    def reorder(self, canvas_photo_ids: Sequence[int]) -> None:
        """Put the photos in this order; each stays in its sitting, and those not named come after."""
        named = list(canvas_photo_ids)
        there = [photo.id for photo in self.canvas_photos(with_removed=True)]
        if len(set(named)) != len(named) or not set(named) <= set(there):
            raise PaintingError("The new order names a photo twice, or one that is not on the ledge.")
        order = named + [photo_id for photo_id in there if photo_id not in set(named)]
        with self.step("reordered the ledge"):
            for position, photo_id in enumerate(order, 1):
                self._history.put("canvas_photo", photo_id, {"position": position})

    def remove_canvas_photo(self, canvas_photo_id: int) -> None:
        """Take a photo off the ledge; it is only marked, and its file stays."""
        self._change_photo(canvas_photo_id, "removed a canvas photo", {"removed": 1})

    def restore_canvas_photo(self, canvas_photo_id: int) -> None:
        """Put a photo that was removed or thrown away back on the ledge; its file comes out of the bin."""
        photo = self.canvas_photo(canvas_photo_id)
        with self.step("put a canvas photo back"):
            self._history.put("canvas_photo", photo.id, {"removed": 0})
            self._leave_bin(photo.photo.id)

    def throw_away(self, canvas_photo_id: int) -> None:
        """Take a photo off the ledge and move its file into the bin, from where undoing brings it back.

        Raises PaintingError, and changes nothing, when something else uses the photograph or its file cannot be moved.
        """
        photo = self.canvas_photo(canvas_photo_id)
        require_unused(photo.name, self._other_use(photo))
        try:
            with self.step(f"moved “{photo.name}” to the bin"):
                self._history.put("canvas_photo", photo.id, {"removed": 1})
                self._enter_bin(photo.photo.id, photo.id)
        except PaintingError:
            self._settle()  # the file goes back to where the records have it
            raise

    def put_back(self, binned: BinnedPhoto) -> CanvasPhotoRecord:
        """Put a photo of ``bin_contents`` back on the ledge, where it was."""
        if binned.canvas_photo is not None:
            self.restore_canvas_photo(binned.canvas_photo)
            return self.canvas_photo(binned.canvas_photo)
        with self.step("put a canvas photo back"):
            return self.add_canvas_photo(self._list_again(binned))

    def _other_use(self, photo: CanvasPhotoRecord) -> str:
        """What else the photograph is, in words; empty when it is only this canvas photo."""
        if self._row("SELECT 1 FROM reference WHERE photo_id = ?", photo.photo.id) is not None:
            return "the reference"
        others = (each for each in self.canvas_photos() if each.photo.id == photo.photo.id and each.id != photo.id)
        return next((f"“{other.name}” of sitting {other.sitting}" for other in others), "")

    def _lay_by_time(self, canvas_photo_id: int) -> None:
        """Within a step: put a photo, last now, before those taken later, unless they were put in another order.

        Only what cameras tell counts: a photo whose file tells no time keeps its place.
        """
        photo = self.canvas_photo(canvas_photo_id)
        mates = [each for each in self.canvas_photos() if each.sitting == photo.sitting and each.id != photo.id]
        times = [moment(each) for each in mates if each.taken_at is not None]
        if photo.taken_at is None or times != sorted(times) or not times or times[-1] <= moment(photo):
            return
        later = (k for k, each in enumerate(mates) if each.taken_at is not None and moment(each) > moment(photo))
        at = next(later)
        order = [*mates[:at], photo, *mates[at:]]
        for place, each in zip(sorted(each.position for each in order), order, strict=True):
            self._history.put("canvas_photo", each.id, {"position": place})

    def _change_photo(self, canvas_photo_id: int, label: str, values: dict[str, Any]) -> None:
        self.canvas_photo(canvas_photo_id)
        with self.step(label):
            self._history.put("canvas_photo", canvas_photo_id, values)

    def _last_position(self) -> int:
        row = self._row("SELECT coalesce(max(position), 0) AS last FROM canvas_photo")
        return 0 if row is None else int(row["last"])

    def _canvas_photo(self, row: sqlite3.Row) -> CanvasPhotoRecord:
        return canvas_photo_from(row, self.photo(row["photo_id"]))


def moment(photo: CanvasPhotoRecord) -> datetime:
    """When a photo was taken, or else brought in: local time, without a zone."""
    told = photo.taken_at or photo.added_at
    return told if told.tzinfo is None else told.astimezone().replace(tzinfo=None)


def _sitting(number: int) -> int:
    if not 1 <= number <= MOST_SITTINGS:
        raise PaintingError(f"Sittings are counted from 1 to {MOST_SITTINGS}.")
    return int(number)
