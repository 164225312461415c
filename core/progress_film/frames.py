"""The frames of a progress film, one after another: two pictures at most are held.

Two photos cross in sRGB codes: halfway between Munsell value 2 and 8 that is value 5.1. In linear light, the other way
tried, it is 6.1, and what grows lighter seems to come too early.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.progress_film.film import LightOf, Moment, ProgressFilm, timeline
from core.progress_film.match import Matched, Matching, Progress
from core.progress_film.stills import Layout, layout, still

Pixels = NDArray[np.uint8]

PREVIEW_PX = 480


def moments(
    film: ProgressFilm, matched: tuple[Matched, ...], size: Layout, progress: Progress = lambda share, doing: None
) -> Iterator[tuple[Pixels, Moment]]:
    """Pictures ``(size.height, size.width, 3)`` sRGB and how long each is seen, photo by photo as they are read.

    ``progress(share 0-1, what is being done)`` is told before each photo and may raise CancelledError.
    """
    shots = film.in_order

    def at(number: int) -> Pixels:
        progress(number / len(shots), f"“{shots[number].called}”")
        return still(film, number, shots[number].read(), matched[number], size)

    return _played(timeline(len(shots), film.settings), at, size.picture_high)


def preview(
    film: ProgressFilm, *, matched: tuple[Matched, ...] | None = None, width_px: int = PREVIEW_PX
) -> Iterator[tuple[Pixels, Moment]]:
    """The film at a small size, from its first photo on without a wait: pictures and how long each is seen.

    Without ``matched`` photos are brought to one another as they come, so that the whole lies in the light of the first
    photo, and holds still as the film will.
    """
    film = film.for_film()
    shots, size = film.in_order, layout(film, width_px=width_px)
    matching = Matching(replace(film, settings=replace(film.settings, light_of=LightOf.FIRST)))

    def at(number: int) -> Pixels:
        photo = shots[number].read()
        found = matching.next(shots[number], photo) if matched is None else matched[number]
        return still(film, number, photo, found, size)

    return _played(timeline(len(shots), film.settings), at, size.picture_high)


def _played(
    seen: tuple[Moment, ...], at: Callable[[int], Pixels], picture_high: int
) -> Iterator[tuple[Pixels, Moment]]:
    held: dict[int, Pixels] = {}
    for moment in seen:
        wanted = (moment.photo, moment.photo + 1) if moment.share else (moment.photo,)
        held = {number: held[number] if number in held else at(number) for number in wanted}
        yield faded(held[moment.photo], held[wanted[-1]], moment.share, picture_high), moment


def faded(first: Pixels, second: Pixels, share: float, picture_high: int) -> Pixels:
    """Between two pictures of one size, ``share`` (0-1) of the second. Below ``picture_high`` rows, where the titles
    stand, the nearer of the two: titles that cross can be read in neither."""
    if share == 0:
        return first
    answer = (first if share < 0.5 else second).copy()
    answer[:picture_high] = cv2.addWeighted(first[:picture_high], 1 - share, second[:picture_high], share, 0.0)
    return answer
