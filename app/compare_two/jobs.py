"""What changed between two photos, found in a worker: plain requests and answers."""

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from app.picture import Picture
from app.prints import Print, Source, read_photo
from app.wall.areas import NumberedArea
from app.wall.mapping import Mapping
from app.work import Progress

if TYPE_CHECKING:
    from core.photo import Photo
    from core.two_photos import Changed

_PICTURE_PX = 1200  # of the shorter side
_EVERY_STEPS = 0.5
_READING = 0.25


@dataclass(frozen=True, eq=False)
class Asked:
    """Two canvas photos with their corners, earlier first, and the reference, None where there is none. The photos
    themselves where they are at hand."""

    earlier: Source
    later: Source
    reference: Source | None
    held: "tuple[Photo | None, Photo | None, Photo | None]" = (None, None, None)


@dataclass(frozen=True)
class AreaFound:
    """One passage that changed, as a line of the list; mm."""

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    say: str


@dataclass(frozen=True, eq=False)
class Found:
    """``difference``: later minus earlier as a picture. ``outlines``: of the areas. ``notes``: whole sentences."""

    difference: Print
    areas: tuple[AreaFound, ...]
    outlines: tuple[NumberedArea, ...]
    notes: tuple[str, ...]


def find_changes(asked: Asked, progress: Progress) -> Found:
    """Raises PainterError with a sentence."""
    from core.two_photos import CanvasShot, what_changed

    photos = []
    for number, (source, held) in enumerate(
        zip((asked.earlier, asked.later, asked.reference), asked.held, strict=True)
    ):
        progress(_READING * number / 3, "Reading the photographs")
        photos.append(held or (None if source is None else read_photo(source.file)))
    earlier, later, reference = photos
    assert earlier is not None
    assert later is not None
    assert asked.earlier.corners is not None
    assert asked.later.corners is not None
    changed = what_changed(
        CanvasShot(earlier, asked.earlier.corners, asked.earlier.lens_k1),
        CanvasShot(later, asked.later.corners, asked.later.lens_k1),
        asked.earlier.size,
        reference=reference,
        crop=None if asked.reference is None else asked.reference.corners,
        progress=partial(_further, progress),
    )
    return _shown(changed)


def _further(progress: Progress, share: float, say: str) -> None:
    progress(_READING + (1 - _READING) * share, say)


def _shown(changed: "Changed") -> Found:
    size = changed.size
    areas = tuple(
        AreaFound(each.number, each.x_mm, each.y_mm, each.area_cm2, changed.say(each)) for each in changed.areas
    )
    outlines = tuple(NumberedArea(str(each.number), (each.outline_mm,)) for each in changed.areas)
    return Found(_picture(changed, size.width_mm), areas, outlines, changed.notes)


def _picture(changed: "Changed", width_mm: float) -> Print:
    """In flat bands, with lines at every half step, as the difference from the reference is shown."""
    import numpy as np

    from core.value.contour_lines import field_contours
    from core.value.contour_picture import with_contours
    from core.value.picture import difference_picture

    found = changed.difference
    times = max(1, round(_PICTURE_PX / min(found.shape)))
    wide = np.repeat(np.repeat(found, times, axis=0), times, axis=1)
    px_per_mm = wide.shape[1] / width_mm
    lines = field_contours(found, px_per_mm=px_per_mm / times, every=_EVERY_STEPS)
    return Print(
        Picture.from_srgb(with_contours(difference_picture(wide), lines, px_per_mm=px_per_mm)), Mapping.flat(px_per_mm)
    )
