"""Landmarks placed by hand on the canvas photos of an open painting."""

from core.errors import PaintingError
from core.store.ledge import Ledge
from core.store.records import LandmarkByHand, finite, landmark_by_hand_from, now, plain_text


class LandmarksByHand(Ledge):
    """Every change here is a step that can be undone."""

    def landmarks_by_hand(self, canvas_photo_id: int) -> tuple[LandmarkByHand, ...]:
        """What was placed on one canvas photo, by name."""
        rows = self._rows("SELECT * FROM landmark_by_hand WHERE canvas_photo_id = ? ORDER BY name", canvas_photo_id)
        return tuple(landmark_by_hand_from(row) for row in rows)

    def place_landmark_by_hand(
        self, canvas_photo_id: int, name: str, x_px: float, y_px: float, *, photo_width: int, photo_height: int
    ) -> None:
        """Say where a landmark lies on a canvas photo, px of the upright photo, which is of this width and height."""
        photo, name = self.canvas_photo(canvas_photo_id), plain_text(name)
        values = {
            "x_px": finite(x_px, "The landmark's place"),
            "y_px": finite(y_px, "The landmark's place"),
            "photo_width": int(photo_width),
            "photo_height": int(photo_height),
        }
        if min(values["photo_width"], values["photo_height"]) < 1:
            raise PaintingError("The photo has no pixels. Bring it in again.")
        key = self._hand_key(photo.id, name)
        with self.step(f"placed “{name}” by hand"):
            if key is None:
                whole = {"canvas_photo_id": photo.id, "name": name, "placed_at": now(), **values}
                self._history.add("landmark_by_hand", whole)
            else:
                self._history.put("landmark_by_hand", key, values)

    def remove_landmark_by_hand(self, canvas_photo_id: int, name: str) -> None:
        """Take the hand's place away; what was measured counts again."""
        key = self._hand_key(canvas_photo_id, plain_text(name))
        if key is None:
            raise PaintingError(f"“{name}” was not placed by hand on this photo.")
        with self.step(f"took the hand's place of “{name}” away"):
            self._history.remove("landmark_by_hand", key)

    def _hand_key(self, canvas_photo_id: int, name: str) -> int | None:
        query = "SELECT id FROM landmark_by_hand WHERE canvas_photo_id = ? AND name = ?"
        row = self._row(query, canvas_photo_id, name)
        return None if row is None else int(row["id"])
