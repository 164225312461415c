"""Which canvas photos take part in the film, what each is called in it, and which are left out."""

from dataclasses import dataclass
from datetime import date

from app.ledge.sittings import day_words
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord
from core.progress_film.film import FilmShot
from core.store.ledge import moment

TOO_FEW = (
    "A film of the progress needs two canvas photos with their corners placed; {} of this painting’s {} so. "
    "Add photos of the canvas (O), place their corners (P), and come back."
)


@dataclass(frozen=True)
class Cast:
    """``shots`` in the order of the ledge; ``notes``: whole sentences about those that are left out."""

    shots: tuple[FilmShot, ...]
    notes: tuple[str, ...]

    @property
    def trouble(self) -> str:
        """A sentence where there are too few photos for a film, else empty."""
        count = len(self.shots)
        if count >= 2:
            return ""
        said = TOO_FEW.format("one" if count else "none", "is" if count else "are")
        return " ".join((said, *self.notes))


def cast_of(studio: Studio) -> Cast:
    """Photos that lie flat, are no blanks, and whose files are there."""
    shots, notes = list[FilmShot](), list[str]()
    unplaced, blanks = list[str](), list[str]()
    for photo in studio.canvas_photos:
        if photo.is_blank:
            blanks.append(photo.name)
        elif photo.corners is None:
            unplaced.append(photo.name)
        else:
            try:
                shots.append(_shot(studio, photo))
            except PainterError as trouble:
                notes.append(f"“{photo.name}” is left out. {trouble}")
    if unplaced:
        notes.append(f"{_named(unplaced)} left out: the corners are not placed.")
    if blanks:
        notes.append(f"{_named(blanks)} left out: only the blank canvas is seen.")
    return Cast(tuple(shots), tuple(notes))


def _shot(studio: Studio, photo: CanvasPhotoRecord) -> FilmShot:
    file = studio.painting.photo_file(photo.photo.id)
    title = f"Sitting {photo.sitting} · {day_words(moment(photo).date(), date.today())}"
    return FilmShot(file, photo.corners, photo.lens_k1, title=title, sitting=photo.sitting, name=photo.name)


def _named(names: list[str]) -> str:
    quoted = [f"“{name}”" for name in names]
    if len(quoted) == 1:
        return f"{quoted[0]} is"
    return f"{', '.join(quoted[:-1])} and {quoted[-1]} are"
