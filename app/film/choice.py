"""How the film of a painting is wanted: kept with the painting."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from core.drawing.drawing import Drawing
from core.progress_film.film import FilmSettings, Over, Overlay, settings_from_json

SETTING = "progress film"


class Kind(StrEnum):
    """The kinds of file a film is saved as, by their endings."""

    WEBM = ".webm"
    MP4 = ".mp4"
    WEBP = ".webp"


@dataclass(frozen=True)
class Choice:
    """``over``: over which photos the drawing lies, None for none. ``kind``: the file that is offered first."""

    film: FilmSettings = field(default_factory=FilmSettings)
    over: Over | None = None
    kind: Kind = Kind.WEBM

    def overlay(self, drawing: Drawing | None) -> Overlay | None:
        """The lines as core wants them; None where none are wanted, or there are none."""
        if self.over is None or drawing is None or not drawing.lines:
            return None
        return Overlay(tuple(drawing.polylines()), over=self.over)

    def to_json(self) -> dict[str, Any]:
        over = None if self.over is None else str(self.over)
        return {"film": self.film.to_json(), "over": over, "kind": str(self.kind)}


def choice_from_json(kept: Any) -> tuple[Choice, tuple[str, ...]]:
    """What was kept, and a sentence when a part of the film's settings could not be read; such a part is as usual."""
    given = kept if isinstance(kept, dict) else {}
    film, notes = settings_from_json(given.get("film"))
    over, kind = given.get("over"), given.get("kind")
    return (
        Choice(
            film,
            Over(over) if over in list(Over) else None,
            Kind(kind) if kind in list(Kind) else Kind.WEBM,
        ),
        notes,
    )
