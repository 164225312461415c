"""What a progress film is made of: canvas photos in order, how long each stands, what is drawn and written over it."""

import math
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.canvas.corners import checked_corners
from core.errors import CanvasError, PainterError
from core.photo import Photo, load_photo
from core.size import Size

Corners = tuple[tuple[float, float], ...]
Colour = tuple[int, int, int]

MOST_FRAMES = 30_000
_FEWEST_PX, _MOST_PX = 64, 3840
_RATES, _STANDS, _FADES, _HOLDS = (1, 60), (0.04, 60.0), (0.0, 20.0), (0.0, 120.0)


class Order(StrEnum):
    """Which photo comes first. ``SITTINGS``: by the number of the sitting, as given within one."""

    GIVEN = "as given"
    SITTINGS = "by sitting"
    BACKWARDS = "backwards"


class Over(StrEnum):
    """Over which photos the drawing lies."""

    ALL = "all photos"
    FIRST = "the first photo"
    LAST = "the last photo"


class LightOf(StrEnum):
    """The photo whose light all others are brought to."""

    LAST = "the last photo"
    FIRST = "the first photo"


@dataclass(frozen=True)
class FilmShot:
    """A canvas photo, its file or what was read of it, and where the canvas lies in it.

    ``corners``: ``(4, 2)`` photo px, top left, top right, bottom right, bottom left; None when they were not placed.
    ``title``: written under the picture; ``name``: what sentences call the photo, else its file's name.
    """

    photo: Path | Photo
    corners: Corners | None
    lens_k1: float = 0.0
    title: str = ""
    sitting: int = 0
    name: str = ""

    @property
    def called(self) -> str:
        return self.name or (self.photo.name if isinstance(self.photo, Path) else self.photo.source.name) or "A photo"

    def read(self) -> Photo:
        """The photo itself; raises PhotoError with a sentence."""
        return load_photo(self.photo) if isinstance(self.photo, Path) else self.photo

    def checked_corners(self, photo: Photo | None = None) -> NDArray[np.float64]:
        """``(4, 2)`` float64. Raises CanvasError, which names the photo."""
        if self.corners is None:
            raise CanvasError(
                f"“{self.called}” has no canvas corners yet. Place its four corners, or leave it out of the film."
            )
        try:
            within = () if photo is None else (photo.width, photo.height)
            return checked_corners(self.corners, *within)
        except CanvasError as error:
            raise CanvasError(f"“{self.called}”: {error}") from None


@dataclass(frozen=True, eq=False)
class Overlay:
    """Lines over the picture: each ``(n, 2)`` mm on the canvas face. ``width_px``: of a film 1000 px wide."""

    lines_mm: tuple[NDArray[np.float64], ...]
    colour: Colour = (210, 40, 40)
    width_px: float = 1.6
    opacity: float = 0.85
    over: Over = Over.ALL


@dataclass(frozen=True)
class FilmSettings:
    """How a film runs.

    ``rate``: frames a second. ``stand_s``: how long each photo stands still, seconds; ``fade_s``: how long two take to
    cross, 0 for a step; ``hold_s``: how much longer the last stands. ``width_px``: of the picture, made even.
    ``steady``: whether the canvas is held still by what is painted; ``even``: whether the light is brought to that of
    ``light_of``.
    """

    rate: int = 24
    stand_s: float = 1.5
    fade_s: float = 0.75
    hold_s: float = 2.0
    width_px: int = 1280
    order: Order = Order.GIVEN
    light_of: LightOf = LightOf.LAST
    steady: bool = True
    even: bool = True
    titles: bool = True

    def __post_init__(self) -> None:
        for name, value, (low, high), unit in (
            ("Frames a second", self.rate, _RATES, ""),
            ("The time a photo stands", self.stand_s, _STANDS, " s"),
            ("The cross-fade", self.fade_s, _FADES, " s"),
            ("The hold on the last photo", self.hold_s, _HOLDS, " s"),
            ("The width", self.width_px, (_FEWEST_PX, _MOST_PX), " px"),
        ):
            if not (math.isfinite(value) and low <= value <= high):
                raise PainterError(f"{name} goes from {low:g} to {high:g}{unit}; {value:g} was asked for.")

    def to_json(self) -> dict[str, Any]:
        return {each.name: getattr(self, each.name) for each in fields(self)}


def settings_from_json(kept: Any) -> tuple[FilmSettings, tuple[str, ...]]:
    """Settings as :meth:`FilmSettings.to_json` kept them. What cannot be read, or is not known yet, becomes the usual;
    a sentence says so."""
    usual = FilmSettings()
    given = kept if isinstance(kept, dict) else {}
    read: dict[str, Any] = {}
    lost = kept is not None and not isinstance(kept, dict)
    for each in fields(FilmSettings):
        if each.name not in given:
            continue
        try:
            value = _like(getattr(usual, each.name), given[each.name])
            FilmSettings(**{each.name: value})
            read[each.name] = value
        except (PainterError, ValueError, TypeError, OverflowError):
            lost = True
    notes = ("Some settings of the film could not be read; they are as usual again.",) if lost else ()
    return FilmSettings(**read), notes


def _like(usual: Any, given: Any) -> Any:
    """``given`` as the kind of thing that ``usual`` is; raises ValueError or TypeError when it is another."""
    if isinstance(usual, StrEnum):
        return type(usual)(given)
    if isinstance(given, bool) is not isinstance(usual, bool) or not isinstance(given, int | float):
        raise TypeError(given)
    if isinstance(usual, int) and not isinstance(usual, bool) and float(given) != int(given):
        raise ValueError(given)
    return type(usual)(given)


@dataclass(frozen=True, eq=False)
class ProgressFilm:
    """Photos of one canvas of ``size``, and how they become a film. ``title``: for the poster."""

    size: Size
    shots: tuple[FilmShot, ...]
    settings: FilmSettings = field(default_factory=FilmSettings)
    overlay: Overlay | None = None
    title: str = ""

    def __post_init__(self) -> None:
        if not self.shots:
            raise PainterError("A film needs photos. Choose at least two canvas photos with their corners placed.")
        for shot in self.shots:
            shot.checked_corners()

    @property
    def in_order(self) -> tuple[FilmShot, ...]:
        if self.settings.order is Order.SITTINGS:
            return tuple(sorted(self.shots, key=lambda shot: shot.sitting))
        return self.shots[::-1] if self.settings.order is Order.BACKWARDS else self.shots

    def for_film(self) -> "ProgressFilm":
        """Itself, when it can become a film; raises PainterError with a sentence for a single photo or too many."""
        if len(self.shots) < 2:
            raise PainterError("One photo makes no film. Choose at least two, or save a poster of this one.")
        if (frames := frames_in_all(len(self.shots), self.settings)) > MOST_FRAMES:
            raise PainterError(
                f"The film would have {frames} frames; {MOST_FRAMES} can be written. Choose fewer photos, shorter "
                "times or fewer frames a second."
            )
        return self


@dataclass(frozen=True)
class Moment:
    """``frames`` alike: photo number ``photo``, gone over to the next by ``share`` (0-1)."""

    photo: int
    share: float
    frames: int


def timeline(count: int, settings: FilmSettings) -> tuple[Moment, ...]:
    """What is seen after what, for ``count`` photos."""
    rate = settings.rate
    stand, fade = max(1, round(settings.stand_s * rate)), round(settings.fade_s * rate)
    seen: list[Moment] = []
    for photo in range(count - 1):
        seen.append(Moment(photo, 0.0, stand))
        seen += [Moment(photo, (step + 1) / (fade + 1), 1) for step in range(fade)]
    return (*seen, Moment(count - 1, 0.0, stand + round(settings.hold_s * rate)))


def frames_in_all(count: int, settings: FilmSettings) -> int:
    """How many frames a film of ``count`` photos has."""
    return sum(moment.frames for moment in timeline(count, settings))
