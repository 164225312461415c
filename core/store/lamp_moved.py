"""Which canvas photos of an open painting show it in the same state, the lamp moved."""

from collections.abc import Sequence

from core.errors import PaintingError
from core.store.by_hand import LandmarksByHand
from core.store.records import CanvasPhotoRecord

LAMP_MOVED = "photos with the lamp moved"
"""The plan that holds them: a list of canvas photos for each canvas photo, by its id."""


class LampMovedPhotos(LandmarksByHand):
    """Every change here is a step that can be undone."""

    def lamp_moved(self, canvas_photo_id: int) -> tuple[CanvasPhotoRecord, ...]:
        """The photos chosen to take the glare out of this one: those that are on the ledge with their corners placed,
        in its order."""
        chosen = self._lamp_moved().get(canvas_photo_id, frozenset())
        return tuple(photo for photo in self.lamp_could_be_moved(canvas_photo_id) if photo.id in chosen)

    def lamp_could_be_moved(self, canvas_photo_id: int) -> tuple[CanvasPhotoRecord, ...]:
        """The photos that can be chosen for this one: no blanks, their corners placed; in the order of the ledge."""
        return tuple(
            photo
            for photo in self.canvas_photos()
            if photo.id != canvas_photo_id and photo.corners is not None and not photo.is_blank
        )

    def set_lamp_moved(self, canvas_photo_id: int, chosen: Sequence[int]) -> None:
        """Choose the photos of the same state of the painting with the lamp moved; none takes the choice back."""
        photo = self.canvas_photo(canvas_photo_id)
        for other in map(self.canvas_photo, chosen):
            if other.id == photo.id or other.is_blank:
                raise PaintingError("Glare is taken out by another photo of the painted canvas. Choose one of those.")
        kept = self._lamp_moved() | {photo.id: frozenset(chosen)}
        plan = {str(photo_id): sorted(others) for photo_id, others in kept.items() if others}
        if plan != self.plan(LAMP_MOVED, {}):
            self.set_plan(LAMP_MOVED, plan, label="chose photos with the lamp moved")

    def _lamp_moved(self) -> dict[int, frozenset[int]]:
        """What was chosen; what cannot be read is left out."""
        kept, found = self.plan(LAMP_MOVED), {}
        for photo, others in (kept if isinstance(kept, dict) else {}).items():
            try:
                found[int(photo)] = frozenset(int(other) for other in others)
            except (TypeError, ValueError):
                continue
        return found
