"""Photos of the painting in the same state with the lamp moved, as a check takes them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from core.painting import Corners, Painting

if TYPE_CHECKING:
    from core.check_glare import LampMoved


@dataclass(frozen=True)
class MovedPhoto:
    """``corners``: photo pixels of the upright photo. ``name``: what it is called on the ledge."""

    file: Path
    corners: Corners
    name: str = field(compare=False)


def moved_photos(painting: Painting, canvas_photo: int) -> tuple[MovedPhoto, ...]:
    """Those chosen for a canvas photo. Raises PaintingError when the file of one is missing."""
    return tuple(
        MovedPhoto(painting.photo_file(each.photo.id), each.corners, each.name)
        for each in painting.lamp_moved(canvas_photo)
        if each.corners is not None
    )


def read_photos(photos: Sequence[MovedPhoto]) -> "tuple[LampMoved, ...]":
    """The same read whole. Raises PhotoError with a sentence for one that cannot be."""
    from core.check_glare import LampMoved
    from core.photo import load_photo

    return tuple(
        LampMoved(load_photo(each.file), np.asarray(each.corners, dtype=np.float64), each.name) for each in photos
    )
