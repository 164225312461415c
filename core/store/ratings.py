"""What the canvas photos of an open painting are good for, as they were rated last."""

import hashlib
import json
from typing import Any

from core.errors import PaintingError
from core.store.lamp_moved import LampMovedPhotos
from core.store.records import RatingRecord, plain_text, rating_from


class Ratings(LampMovedPhotos):
    """Ratings are kept by photograph and never undone: the photo's own bytes decide them."""

    def photo_rating(self, canvas_photo_id: int, *, version: int) -> RatingRecord | None:
        """The last rating of a canvas photo's photograph, or None; ``version``: of the ratings wanted."""
        photo_id = self.canvas_photo(canvas_photo_id).photo.id
        row = self._row("SELECT * FROM photo_rating WHERE photo_id = ?", photo_id)
        if row is None:
            return None
        current = row["version"] == version and row["inputs"] == self.rating_inputs(canvas_photo_id)
        return rating_from(row, is_current=current)

    def set_photo_rating(self, canvas_photo_id: int, rating: str, *, inputs: str, version: int) -> None:
        """Keep a rating. ``rating``: its JSON text; ``inputs``: ``rating_inputs`` as they were when it was begun. Never
        undone; replaced by the next."""
        try:
            json.loads(rating)
        except ValueError as error:
            raise PaintingError("The photo's rating is not JSON, so it was not kept.") from error
        values = (self.canvas_photo(canvas_photo_id).photo.id, plain_text(rating), inputs, int(version))
        self._write("photo_rating", "INSERT OR REPLACE INTO photo_rating VALUES (?, ?, ?, ?)", *values)

    def rating_inputs(self, canvas_photo_id: int) -> str:
        """A fingerprint of everything a rating is made from: the photo's bytes, and its corners and lens; with them the
        size and the reference count too."""
        photo = self.canvas_photo(canvas_photo_id)
        inputs: list[Any] = [photo.photo.sha256, photo.is_blank]
        if photo.corners is not None:
            size = self._row("SELECT width_mm, height_mm FROM painting")
            wanted = self._row("SELECT sha256, crop FROM reference JOIN photo ON photo.id = reference.photo_id")
            inputs += [photo.corners, photo.lens_k1, *(None if each is None else list(each) for each in (size, wanted))]
        return hashlib.sha256(json.dumps(inputs).encode()).hexdigest()
