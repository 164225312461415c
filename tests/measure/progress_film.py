"""How still a progress film holds the canvas, and how even its light is: the figures of core.progress_film.

    python -m tests.measure.progress_film [SEEDS [FIRST]]

Paintings from the toned ground to the end in five stages of which all is known, a fifth to nearly half of the canvas
painted at each, one form put right by 3 mm in between; each stage photographed by hand at 3 megapixels as a JPEG in
another kind of light, its corners given 1.5 px out (0.4 mm), one spot of glare in each.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import pairwise
from time import process_time
from unittest.mock import patch

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import locate_canvas
from core.colorimetry import delta_e_2000, lab
from core.errors import CanvasError
from core.photo import Photo, load_photo_bytes
from core.progress_film import match, steady
from core.progress_film.film import FilmSettings, FilmShot, LightOf, ProgressFilm
from core.progress_film.match import Matched, match_all
from core.size import Size
from core.tone import value_of_linear
from tests.measure.two_photos import by_gain
from tests.studio.progress import Stage, Taken, stages, taken

SIZE = Size(400, 300)
Floats = NDArray[np.float64]
_GRID = grid_mm(SIZE, 9)
_FACE = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 300.0], [0.0, 300.0]])


@dataclass(frozen=True)
class Case:
    """Stages of one painting and the photos of them."""

    stages: tuple[Stage, ...]
    takes: tuple[Taken, ...]
    film: ProgressFilm

    @property
    def photos(self) -> tuple[Photo, ...]:
        return tuple(shot.read() for shot in self.film.shots)


def case(seed: int, *, light_of: LightOf = LightOf.LAST) -> Case:
    made = stages(seed, SIZE)
    takes = tuple(taken(stage, 10 * seed + number) for number, stage in enumerate(made))
    shots = tuple(
        FilmShot(load_photo_bytes(each.shot.jpeg(), "photo.jpg"), each.given, name=f"Sitting {number + 1}")
        for number, each in enumerate(takes)
    )
    return Case(made, takes, ProgressFilm(SIZE, shots, FilmSettings(light_of=light_of)))


# --- holding still ---


def as_given(first: Flat, photo: Flat, *, leave: bool = True) -> Floats:
    return np.zeros((4, 2))


def by_homography(first: Flat, photo: Flat, *, leave: bool = True) -> Floats | None:
    """The same windows, and the homography that most of them agree with."""
    at, shifts, _ = steady._windows(steady.fine_detail(first), steady.fine_detail(photo), first.px_per_mm)
    if len(at) < 8:
        return None
    matrix, _ = cv2.findHomography(at.reshape(-1, 1, 2), (at + shifts).reshape(-1, 1, 2), cv2.RANSAC, 0.2)
    if matrix is None:
        return None
    return np.asarray(cv2.perspectiveTransform(_FACE[None], matrix)[0] - _FACE)


def by_correlation(first: Flat, photo: Flat, *, leave: bool = True) -> Floats | None:
    """The affinity of the greatest correlation of the whole (Evangelidis and Psarakis 2008, as OpenCV has it)."""
    one, other = steady.fine_detail(first), steady.fine_detail(photo)
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-5)
    try:
        _, matrix = cv2.findTransformECC(one, other, np.eye(2, 3, dtype=np.float32), cv2.MOTION_AFFINE, stop, None, 5)
    except cv2.error:
        return None
    px = first.px_per_mm
    there = (_FACE * px - 0.5) @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray((there + 0.5) / px - _FACE)


def found_anew(made: Case) -> list[Matched] | None:
    """Every canvas by its own edges, as the program finds it."""
    try:
        return [Matched(locate_canvas(photo, SIZE).corners_px) for photo in made.photos]
    except CanvasError:
        return None


def placed_at(film: ProgressFilm, found: list[Matched]) -> ProgressFilm:
    shots = zip(film.shots, found, strict=True)
    return replace(film, shots=tuple(replace(shot, corners=each.corners_px) for shot, each in shots))


def true_mm(made: Case, number: int, corners: Floats) -> Floats:
    """Where on the canvas the places of a grid really are, when a photo is laid flat by ``corners``."""
    photo, k = made.takes[number].shot.pixels, 0.0
    there = CanvasMap(corners, SIZE, photo.shape[1], photo.shape[0], k).mm_to_px(_GRID)
    return CanvasMap(np.asarray(made.takes[number].true), SIZE, photo.shape[1], photo.shape[0], k).px_to_mm(there)


def apart(made: Case, found: list[Matched]) -> tuple[list[float], list[float]]:
    """RMS mm over the canvas by which neighbours lie apart, and by which each lies from the last."""
    at = [true_mm(made, number, each.corners_px) for number, each in enumerate(found)]
    return [_rms(*pair) for pair in pairwise(at)], [_rms(each, at[-1]) for each in at[:-1]]


def _rms(one: Floats, other: Floats) -> float:
    return float(np.sqrt(((one - other) ** 2).sum(axis=-1).mean()))


# --- even light ---


@contextmanager
def way_of_light(name: str) -> Iterator[None]:
    """``match_all`` with another way of evening the light."""
    if name == "none":
        with patch.object(match, "_evened", lambda shot, found, flat, before: (found, flat)):
            yield
    elif name == "one gain, chain":
        with patch.object(match, "light_between", by_gain):
            yield
    elif name == "fields, straight to the last":
        held: list[Flat] = []

        def straight(shot: FilmShot, found: Matched, flat: Flat, before: Flat, of: Callable = match._evened) -> tuple:
            held.append(before)
            return of(shot, found, flat, held[0])

        with patch.object(match, "_evened", straight):
            yield
    else:
        yield


def light_errors(made: Case, found: list[Matched]) -> list[dict[str, float]]:
    """For each photo but the last: how far its paint is from what it would be in the last photo's light, on average."""
    truth = [_millimetres(each.painted.linear) for each in made.stages]
    flats = [_laid(made, number) for number in range(len(found))]
    light = _soft(flats[-1], made, len(found) - 1) / _soft(truth[-1], made, len(found) - 1)
    rows = []
    for number in range(len(found) - 1):
        flat = flats[number]
        gain = found[number].gain
        lit = flat if gain is None else flat * cv2.resize(gain, flat.shape[1::-1])
        ideal = truth[number] * light
        seen = _clear(made, number) & _clear(made, len(found) - 1)
        since = np.zeros(seen.shape, bool)
        for stage in made.stages[number + 1 :]:
            since |= cv2.resize(stage.touched.astype(np.uint8), seen.shape[::-1]) > 0
        one, other = cv2.GaussianBlur(lit, (0, 0), 2.0), cv2.GaussianBlur(ideal, (0, 0), 2.0)
        steps = np.abs(value_of_linear(one.astype(np.float32)) - value_of_linear(other.astype(np.float32)))
        colour = delta_e_2000(lab(one[::3, ::3]), lab(other[::3, ::3]))
        same, thin = seen & ~since, seen[::3, ::3]
        rows.append({
            "steps": float(steps[seen].mean()), "colour": float(colour[thin].mean()),
            "same_steps": float(steps[same].mean()) if same.any() else np.nan,
            "same_colour": float(colour[same[::3, ::3]].mean()) if same[::3, ::3].any() else np.nan,
        })  # fmt: skip
    return rows


def _laid(made: Case, number: int) -> NDArray[np.float32]:
    return lay_flat(made.photos[number], made.takes[number].true, SIZE, px_per_mm=1.0).linear


def _millimetres(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(picture, (400, 300), interpolation=cv2.INTER_AREA))


def _clear(made: Case, number: int) -> NDArray[np.bool_]:
    y, x = np.mgrid[0:300, 0:400] + 0.5
    clear = (x > 4) & (y > 4) & (x < 396) & (y < 296)
    for gx, gy, radius in made.takes[number].shot.camera.glare:
        clear &= np.hypot(x - gx, y - gy) > 3 * radius
    return np.asarray(clear)


def _soft(picture: NDArray[np.float32], made: Case, number: int) -> NDArray[np.float32]:
    """Smoothed over 10 mm without what lies under glare."""
    weight = _clear(made, number).astype(np.float32)
    blurred = cv2.GaussianBlur(picture * weight[..., None], (0, 0), 10.0)
    return np.asarray(blurred / np.maximum(cv2.GaussianBlur(weight, (0, 0), 10.0), 1e-3)[..., None])


def main(seeds: range) -> None:
    cases = [case(seed) for seed in seeds]
    print("Held still: RMS mm between neighbours, at worst; from the last photo, at worst")
    for way, shifts in {
        "as given": as_given, "a homography": by_homography, "correlation of the whole": by_correlation,
        "corners by windows": steady.corner_shifts,
    }.items():  # fmt: skip
        begun = process_time()
        with patch.object(match, "corner_shifts", shifts), way_of_light("none"):
            found = [list(match_all(each.film)) for each in cases]
        _told(way, [apart(made, each) for made, each in zip(cases, found, strict=True)], process_time() - begun)
    anew = [(made, each) for made in cases if (each := found_anew(made)) is not None]
    _told(f"the canvas's edges ({len(anew)} of {len(cases)} found)", [apart(*each) for each in anew], 0.0)
    begun = process_time()
    with way_of_light("none"):
        both = [(made, list(match_all(placed_at(made.film, each)))) for made, each in anew]
    _told("the canvas's edges, then corners by windows", [apart(*each) for each in both], process_time() - begun)
    print("Even light: mean error, steps and CIEDE2000, of all that is seen; where nothing was painted till the end")
    for way in ("none", "one gain, chain", "fields, straight to the last", "fields, chain"):
        begun = process_time()
        found = []
        for each in cases:
            with way_of_light(way):
                found.append(list(match_all(each.film)))
        spent = process_time() - begun
        rows = [row for made, each in zip(cases, found, strict=True) for row in light_errors(made, each)]
        _told_light(way, rows, spent / len(cases) / 5)


def _told_light(way: str, rows: list[dict[str, float]], seconds: float) -> None:
    told = []
    for key in ("steps", "colour", "same_steps", "same_colour"):
        all_of = np.array([row[key] for row in rows])
        told.append(f"{np.nanmean(all_of):.3f}, at worst {np.nanmax(all_of):.3f}")
    print(f"{way}: {'; '.join(told[:2])}; the same paint {'; '.join(told[2:])}; {seconds:.2f} s a photo")
    by_photo = np.array([row["steps"] for row in rows]).reshape(-1, 4).mean(axis=0)
    print(f"   steps by photo, first to last but one: {np.round(by_photo, 3)}", flush=True)


def _told(way: str, rows: list[tuple[list[float], list[float]]], spent: float) -> None:
    near, far = (np.concatenate([row[k] for row in rows]) for k in (0, 1))
    print(
        f"{way}: {near.mean():.3f}, {near.max():.3f}; {far.mean():.3f}, {far.max():.3f}; "
        f"{spent / max(1, len(rows)) / 5:.2f} s a photo",
        flush=True,
    )


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:3]]
    count, begin = (*given, *(3, 0)[len(given) :])
    main(range(begin, begin + count))
