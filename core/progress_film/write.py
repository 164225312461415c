"""A progress film written to a file, its poster, and the painting before and after as two pictures that lie alike."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import PainterError
from core.progress_film.animated import save_animated
from core.progress_film.film import LightOf, Order, ProgressFilm, frames_in_all, timeline
from core.progress_film.frames import moments
from core.progress_film.match import Matched, Progress, match_all
from core.progress_film.stills import layout, painting, still
from core.progress_film.video import kind_of, video_file
from core.save import save_jpeg, save_png

Pixels = NDArray[np.uint8]

ANIMATED = ".webp"
ANIMATED_PX, ANIMATED_RATE = 720, 12
"""An animated picture is no wider and has no more frames a second than these."""
_MATCHED = 0.35
_TOLD_EACH = 6


@dataclass(frozen=True)
class Written:
    """The film on disk. ``width``, ``height``: px; ``seconds``: how long it runs; ``notes``: whole sentences."""

    path: Path
    frames: int
    width: int
    height: int
    seconds: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class BeforeAfter:
    """The painting at two times: sRGB codes ``(h, w, 3)`` of one shape, lying alike and in the light of the later."""

    before: Pixels
    after: Pixels
    px_per_mm: float
    notes: tuple[str, ...] = ()


def write_film(
    film: ProgressFilm,
    path: Path,
    *,
    matched: tuple[Matched, ...] | None = None,
    progress: Progress = lambda share, doing: None,
) -> Written:
    """Write ``path``: a film (.webm, .mp4) or an animated picture (.webp). An older file stays until this is whole.

    ``matched``: from :func:`core.progress_film.match.match_all`, None to find it. ``progress(share 0-1, what is being
    done)`` may raise CancelledError to stop: nothing is left behind. Raises a PainterError sentence for what cannot be
    read or written.
    """
    film = film.for_film()
    animated = path.suffix.lower() == ANIMATED
    if not animated:
        kind_of(path)
    if matched is None:
        matched = match_all(film, lambda share, doing: progress(_MATCHED * share, doing))
    begun = _MATCHED

    def told(share: float, doing: str) -> None:
        progress(begun + (1 - begun) * share, f"writing {doing}")

    written = (_as_picture if animated else _as_video)(film, path, matched, told)
    progress(1.0, "done")
    return written


def save_poster(
    film: ProgressFilm, path: Path, *, matched: tuple[Matched, ...] | None = None, width_px: int | None = None
) -> None:
    """The last photo with the film's title beneath, as a JPEG or PNG by the ending of ``path``.

    Raises PhotoError, CanvasError or PainterError with a sentence.
    """
    suffix = path.suffix.lower()
    if suffix not in (".jpg", ".jpeg", ".png"):
        raise PainterError("A poster is saved as a JPEG or PNG. End its name in .jpg or .png.")
    shots = film.in_order
    title = film.title or shots[-1].title
    size = layout(film, width_px=width_px, titled=bool(title))
    photo = shots[-1].read()
    last = Matched(shots[-1].checked_corners(photo)) if matched is None else matched[-1]
    picture = still(film, len(shots) - 1, photo, last, size, title=title)
    (save_png if suffix == ".png" else save_jpeg)(path, picture)


def before_after(
    film: ProgressFilm,
    first: int = 0,
    second: int = -1,
    *,
    width_px: int = 1600,
    matched: tuple[Matched, ...] | None = None,
    progress: Progress = lambda share, doing: None,
) -> BeforeAfter:
    """Two photos of a film by their numbers in order, laid flat to one size, in one light, without titles.

    Without ``matched`` the earlier is brought to the later straight; with it by way of those between.
    """
    shots = film.in_order
    chosen = (shots[first], shots[second])
    pair = replace(film, shots=chosen, settings=replace(film.settings, order=Order.GIVEN, light_of=LightOf.LAST))
    if matched is None:
        found = match_all(pair, lambda share, doing: progress(share / 2, doing))
    else:
        found = (matched[first], matched[second])
    size = layout(film, width_px=width_px, titled=False)
    pictures = []
    for number, (shot, each) in enumerate(zip(chosen, found, strict=True)):
        progress(0.5 + number / 4, f"laying “{shot.called}” flat")
        pictures.append(painting(film, shot, shot.read(), each, size))
    progress(1.0, "done")
    notes = tuple(dict.fromkeys(note for each in found for note in each.notes))
    return BeforeAfter(pictures[0], pictures[1], size.width / film.size.width_mm, notes)


def _as_video(film: ProgressFilm, path: Path, matched: tuple[Matched, ...], progress: Progress) -> Written:
    size, rate = layout(film), film.settings.rate
    in_all = frames_in_all(len(film.shots), film.settings)
    with video_file(path, rate, (size.width, size.height)) as file:
        for picture, moment in moments(film, matched, size, lambda share, doing: progress(file.count / in_all, doing)):
            for done in range(0, moment.frames, _TOLD_EACH):
                file.add(picture, min(_TOLD_EACH, moment.frames - done))
                progress(file.count / in_all, f"frame {file.count} of {in_all}")
    return Written(path, in_all, size.width, size.height, in_all / rate, _notes(matched))


def _as_picture(film: ProgressFilm, path: Path, matched: tuple[Matched, ...], progress: Progress) -> Written:
    settings = film.settings
    rate = min(settings.rate, ANIMATED_RATE)
    film = replace(film, settings=replace(settings, rate=rate, width_px=min(settings.width_px, ANIMATED_PX)))
    size, seen = layout(film), timeline(len(film.shots), film.settings)
    # What stands still is one frame that lasts, however long.
    durations = [round(1000 * moment.frames / rate) for moment in seen]

    def pictures() -> Iterator[Pixels]:
        for done, (picture, _) in enumerate(moments(film, matched, size)):
            progress(done / len(seen), f"frame {done + 1} of {len(seen)}")
            yield picture

    save_animated(path, pictures(), durations, (size.width, size.height))
    return Written(path, len(seen), size.width, size.height, sum(durations) / 1000, _notes(matched))


def _notes(matched: tuple[Matched, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(note for each in matched for note in each.notes))
