"""What is done for the page away from the window: pictures of the photos, the two compared, and the files.

Each photo is pictured once and the window crosses them itself, so that another time or a fade needs nothing made anew.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QImage

from app.picture import qimage_from_srgb
from app.work import Progress
from core.progress_film.film import ProgressFilm

if TYPE_CHECKING:
    from core.progress_film.match import Matched

PREVIEW_PX, PAIR_PX = 720, 1200
MOST_PIXELS = 30_000_000
"""Of all pictures of a preview together, 120 MB: with more than some 70 photos each is smaller."""
_MATCHED = 0.8


@dataclass(frozen=True, eq=False)
class Stills:
    """One picture a photo, in the order of the film. ``picture_high``: rows of the painting, above those of the title.

    ``matched`` is None while the photos lie as they were placed and in their own light.
    """

    images: tuple[QImage, ...]
    picture_high: int
    matched: "tuple[Matched, ...] | None" = None

    @property
    def notes(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(note for each in self.matched or () for note in each.notes))


@dataclass(frozen=True, eq=False)
class Pair:
    """The painting at two times, alike in size and light."""

    before: QImage
    after: QImage


def as_placed(film: ProgressFilm, progress: Progress) -> Stills:
    """The photos as they are, to be seen at once."""
    from core.progress_film.match import Matched

    found = tuple(Matched(shot.checked_corners()) for shot in film.in_order)
    images, high = _pictured(film, found, progress, 0.0)
    return Stills(images, high)


def brought_together(film: ProgressFilm, matched: "tuple[Matched, ...] | None", progress: Progress) -> Stills:
    """The photos held still and in one light, as the film has them; ``matched``: when it is known already."""
    from core.progress_film.match import match_all

    found = match_all(film, _told(progress, _MATCHED)) if matched is None else matched
    images, high = _pictured(film, found, progress, 0.0 if matched is not None else _MATCHED)
    return Stills(images, high, found)


def pictured_pair(
    film: ProgressFilm, first: int, second: int, matched: "tuple[Matched, ...]", progress: Progress
) -> Pair:
    """Two photos of the film by their numbers in its order."""
    from core.progress_film.write import before_after

    width = min(PAIR_PX, film.settings.width_px)
    made = before_after(film, first, second, width_px=width, matched=matched, progress=_told(progress))
    return Pair(qimage_from_srgb(made.before), qimage_from_srgb(made.after))


def write(film: ProgressFilm, matched: "tuple[Matched, ...] | None", path: Path, progress: Progress) -> str:
    """The film as a file; a sentence about it."""
    from core.progress_film.write import write_film

    made = write_film(film, path, matched=matched, progress=_told(progress))
    said = f"A film of {len(film.shots)} photos, {made.seconds:.0f} s long, {made.width} × {made.height} pixels."
    narrower = made.width < film.settings.width_px - 1
    return f"{said} A moving picture is no wider." if narrower else said


def write_poster(film: ProgressFilm, matched: "tuple[Matched, ...] | None", path: Path, progress: Progress) -> str:
    """The last photo of the film with the painting's title."""
    from core.progress_film.write import save_poster

    progress(say="Saving the poster")
    save_poster(film, path, matched=matched)
    return f"The poster shows “{film.in_order[-1].called}”, {film.settings.width_px} pixels wide."


def preview_px(film: ProgressFilm) -> int:
    """How wide the pictures of a preview are."""
    fits = math.sqrt(MOST_PIXELS / len(film.shots) * film.size.width_mm / film.size.height_mm)
    return min(PREVIEW_PX, film.settings.width_px, int(fits))


def _pictured(
    film: ProgressFilm, found: "tuple[Matched, ...]", progress: Progress, begun: float
) -> tuple[tuple[QImage, ...], int]:
    from core.progress_film.stills import layout, still

    size, images = layout(film, width_px=preview_px(film)), list[QImage]()
    for number, (shot, each) in enumerate(zip(film.in_order, found, strict=True)):
        progress(begun + (1 - begun) * number / len(found), f"Picturing “{shot.called}”")
        images.append(qimage_from_srgb(still(film, number, shot.read(), each, size)))
    progress(1.0)
    return tuple(images), size.picture_high


def _told(progress: Progress, part: float = 1.0) -> Callable[[float, str], None]:
    """Core's sentences begin small."""
    return lambda share, doing: progress(part * share, doing[:1].upper() + doing[1:])
