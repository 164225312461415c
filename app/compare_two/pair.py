"""Two canvas photos that are compared: which is the earlier, what each is called, and what hangs for it."""

from dataclasses import dataclass
from datetime import date

from app.hangings import Material, acetate_of, plan_of
from app.ledge.sittings import day_words
from app.prints import PrintKey, Source
from app.studio import Studio
from app.view import Look
from app.wall.hanging import Overlay
from core.errors import PainterError
from core.painting import CanvasPhotoRecord
from core.store.ledge import moment


@dataclass(frozen=True)
class Seen:
    """How the two are looked at."""

    look: Look = Look.COLOUR
    squint: bool = False
    acetate: bool = False


@dataclass(frozen=True)
class Side:
    """One of the two; ``source`` None when its file is missing, ``trouble`` says so."""

    photo: CanvasPhotoRecord
    source: Source | None
    trouble: str = ""

    @property
    def can_lie_flat(self) -> bool:
        return self.source is not None and self.source.can_lie_flat

    @property
    def title(self) -> str:
        """Such as ``IMG_12.jpg · 12 Nov``."""
        return f"{self.photo.name} · {day_words(moment(self.photo).date(), date.today())}"


def in_order(studio: Studio, one: int, other: int) -> tuple[Side, Side]:
    """The earlier of two canvas photos first: by sitting, and in the order of the ledge. Raises PainterError when one
    is not on the ledge any more."""
    photos = [studio.painting.canvas_photo(each) for each in (one, other)]
    place = {photo.id: number for number, photo in enumerate(studio.canvas_photos)}
    first, second = sorted(photos, key=lambda photo: place.get(photo.id, len(place)))
    return _side(studio, first), _side(studio, second)


def _side(studio: Studio, photo: CanvasPhotoRecord) -> Side:
    try:
        file = studio.painting.photo_file(photo.photo.id)
    except PainterError as trouble:
        return Side(photo, None, str(trouble))
    size = studio.painting.size
    return Side(photo, Source(file, photo.photo.id, size, photo.corners, photo.lens_k1))


def print_key(side: Side, seen: Seen, material: Material) -> PrintKey | None:
    """The print of one side; grey stands in until the value plan is known."""
    source = side.source
    if source is None:
        return None
    squint_mm = material.view.squint_mm if seen.squint else 0.0
    plan = plan_of(material) if seen.look is Look.STEPS else None
    look = Look.GREY if seen.look is Look.STEPS and plan is None else seen.look
    return PrintKey(source, source.can_lie_flat, look, squint_mm=squint_mm, plan=plan)


def acetate_over(side: Side, seen: Seen, material: Material) -> tuple[Overlay, ...]:
    """The line drawing, where it is wanted and there is one."""
    if not seen.acetate or material.ink is None or not side.can_lie_flat:
        return ()
    return (acetate_of(material.ink, material.view),)
