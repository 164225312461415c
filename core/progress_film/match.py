"""Photos of a painting in progress brought onto one another: where the canvas lies in each, and the light to take out.

From the photo whose light the film is in outward, each is brought to its neighbour, which has most in common with it.

Light, on the paintings of :mod:`core.progress_film.steady`, four kinds of light and a spot of glare: how far the paint
of a photo is from what it would be in the light of the last, on average and at worst, Munsell steps and CIEDE2000. As
taken 0.394, 0.699 and 4.8, 7.6; one gain a channel 0.254, 0.476 and 2.8, 5.6; the field of
:mod:`core.value.light_between` straight to the last photo 0.488, 3.113 and 5.4, 33.0, since after two sittings too
little is left of the first; the same from neighbour to neighbour 0.055, 0.077 and 0.7, 1.0. Of the paint that stayed
till the end as taken 0.388, 0.715 and 4.8, 7.8, this 0.037, 0.054 and 0.5, 0.8. It takes 1.3 s of processor time a
photo. A film of 30 photos of 12 megapixels, 1920 px wide, takes 282 MB of memory in all at most.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, supported_px_per_mm
from core.errors import CanvasError
from core.photo import Photo
from core.progress_film.film import FilmShot, LightOf, ProgressFilm
from core.progress_film.steady import corner_shifts
from core.size import Size
from core.two_photos import unseen
from core.value.glare import find_glare
from core.value.light_between import light_between
from core.value.light_grid import Map

Progress = Callable[[float, str], None]

_PX_PER_MM, _LEAST_PX, _MOST_PIXELS = 2.0, 700, 700_000
_ROUNDS = 3
_GUESSED_STEPS = 0.5
"""From this uncertainty on the light of a photo is a guess, and is told."""
_SOFTER = 0.8


@dataclass(frozen=True, eq=False)
class Matched:
    """``corners_px``: ``(4, 2)`` photo px, as refined; ``moved_mm``: by how much at most, None when it could not be
    told. ``gain``: ``(h, w, 3)`` over the canvas, what linear light is multiplied by, None for 1.
    ``uncertainty_steps``: of the light beside its neighbour's, nine in ten, Munsell steps."""

    corners_px: NDArray[np.float64]
    moved_mm: float | None = 0.0
    gain: Map | None = None
    uncertainty_steps: float = 0.0
    notes: tuple[str, ...] = ()


class Matching:
    """Brings one photo after another to the one before. Holds the last, laid flat coarsely in the film's light."""

    def __init__(self, film: ProgressFilm) -> None:
        self._film = film
        self._before: Callable[[], Flat] | None = None

    def next(self, shot: FilmShot, photo: Photo) -> Matched:
        """Where the canvas lies in the next photo and what its light needs. Raises CanvasError, naming the photo."""
        corners, film = shot.checked_corners(photo), self._film
        try:
            found = Matched(corners, notes=_coarse(shot, photo, film, corners))
            if self._before is None:  # laid flat when the next one comes: a preview shows the first at once
                self._before = lambda: _coarsely(photo, corners, film.size, shot.lens_k1)
                return found
            return self._brought(shot, photo, found, self._before())
        except CanvasError as error:
            raise CanvasError(f"“{shot.called}”: {error}") from None

    def _brought(self, shot: FilmShot, photo: Photo, found: Matched, before: Flat) -> Matched:
        settings = self._film.settings
        if not (settings.steady or settings.even):
            return found
        flat = _coarsely(photo, found.corners_px, self._film.size, shot.lens_k1)
        if settings.steady:
            found, flat = _held(shot, photo, found, flat, before)
        if settings.even:
            found, flat = _evened(shot, found, flat, before)
        self._before = lambda: flat
        return found


def match_all(film: ProgressFilm, progress: Progress = lambda share, doing: None) -> tuple[Matched, ...]:
    """All photos of a film, as ``film.in_order`` has them. One photo is held at a time.

    ``progress(share 0-1, what is being done)`` may raise CancelledError to stop. Raises PhotoError or CanvasError with
    a sentence for a photo that cannot be used.
    """
    shots = film.in_order
    last_first = film.settings.light_of is LightOf.LAST
    matching, found = Matching(film), list[Matched]()
    for number, shot in enumerate(reversed(shots) if last_first else shots):
        progress(number / len(shots), f"laying “{shot.called}” flat")
        found.append(matching.next(shot, shot.read()))
    return tuple(reversed(found) if last_first else found)


def _held(shot: FilmShot, photo: Photo, found: Matched, flat: Flat, before: Flat) -> tuple[Matched, Flat]:
    """The corners moved until what is painted in both lies alike; more than once, since the windows first lie apart."""
    corners, size = found.corners_px, flat.size
    face = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * (size.width_mm, size.height_mm)
    moved = np.zeros((4, 2))
    for done in range(_ROUNDS):
        shifts = corner_shifts(before, flat, leave=not done)
        if shifts is None and not done:
            why = f"“{shot.called}” has too little in common with the photo beside it to be held still by its paint."
            return replace(found, moved_mm=None, notes=(*found.notes, why)), flat
        if shifts is None or not shifts.any():
            break
        canvas = CanvasMap(corners, size, photo.width, photo.height, shot.lens_k1)
        corners, moved = canvas.mm_to_px(face + shifts), moved + shifts
        flat = _coarsely(photo, corners, size, shot.lens_k1)
    return replace(found, corners_px=corners, moved_mm=float(np.linalg.norm(moved, axis=1).max())), flat


def _evened(shot: FilmShot, found: Matched, flat: Flat, before: Flat) -> tuple[Matched, Flat]:
    hidden = find_glare(flat, before).withheld | find_glare(before, flat).withheld | unseen(before, flat)
    light = light_between(before, flat, withheld=hidden)
    notes = found.notes
    if light.uncertainty_steps > _GUESSED_STEPS:
        notes = (
            *notes,
            f"So much was painted next to “{shot.called}” that its light is brought to the others' by guess.",
        )
    lit = replace(flat, linear=light.apply(flat.linear))
    return replace(found, gain=light.gain, uncertainty_steps=light.uncertainty_steps, notes=notes), lit


def _coarsely(photo: Photo, corners: NDArray[np.float64], size: Size, k1: float) -> Flat:
    return lay_flat(photo, corners, size, k1=k1, px_per_mm=coarse_px_per_mm(size))


def coarse_px_per_mm(size: Size) -> float:
    """As fine as brush marks need to be told apart."""
    wanted = max(_PX_PER_MM, _LEAST_PX / max(size.width_mm, size.height_mm))
    return min(wanted, float(np.sqrt(_MOST_PIXELS / (size.width_mm * size.height_mm))))


def _coarse(shot: FilmShot, photo: Photo, film: ProgressFilm, corners: NDArray[np.float64]) -> tuple[str, ...]:
    has = supported_px_per_mm(corners, film.size, shot.lens_k1, photo.width, photo.height)
    if has * film.size.width_mm >= _SOFTER * film.settings.width_px:
        return ()
    return (
        f"“{shot.called}” shows the canvas {round(has * film.size.width_mm)} pixels across; it is softer in a film of "
        f"{film.settings.width_px}.",
    )
