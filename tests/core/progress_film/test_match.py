"""A painting in progress of which all is known: the canvas is held still, and its light is made one."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.colorimetry import delta_e_2000, lab
from core.errors import CancelledError
from core.photo import load_photo_bytes
from core.progress_film import steady
from core.progress_film.film import FilmSettings, FilmShot, LightOf, ProgressFilm
from core.progress_film.match import Matched, match_all
from core.progress_film.steady import corner_shifts
from core.progress_film.write import before_after
from core.size import Size
from core.tone import value_of_linear
from tests.studio.progress import Taken, stages, taken

SIZE = Size(200, 150)
Case = tuple[ProgressFilm, tuple[Taken, ...], NDArray[np.bool_]]


@pytest.fixture(scope="module")
def case() -> Case:
    """Two stages; what was painted between them, ``(300, 400)``."""
    made = stages(3, SIZE, 3, px_per_mm=4.0)[1:]
    takes = tuple(taken(stage, 40 + n, width=1000, kind=("window", "lamp")[n]) for n, stage in enumerate(made))
    shots = tuple(
        FilmShot(load_photo_bytes(each.shot.jpeg(), "photo.jpg"), each.given, name=f"Sitting {n + 1}")
        for n, each in enumerate(takes)
    )
    touched = cv2.resize(made[1].touched.astype(np.uint8), (400, 300)) > 0
    return ProgressFilm(SIZE, shots, FilmSettings(width_px=400)), takes, touched


@pytest.fixture(scope="module")
def matched(case: Case) -> tuple[Matched, ...]:
    return match_all(case[0])


def apart_mm(takes: tuple[Taken, ...], corners: tuple[NDArray[np.float64], ...]) -> float:
    """RMS over the canvas, of the places that two photos show as one."""
    at = []
    for take, placed in zip(takes, corners, strict=True):
        high, wide = take.shot.pixels.shape[:2]
        there = CanvasMap(placed, SIZE, wide, high).mm_to_px(grid_mm(SIZE))
        at.append(CanvasMap(np.asarray(take.true), SIZE, wide, high).px_to_mm(there))
    return float(np.sqrt(((at[0] - at[1]) ** 2).sum(axis=-1).mean()))


def test_the_canvas_is_held_still(case: Case, matched: tuple[Matched, ...]) -> None:
    film, takes, _ = case
    placed = tuple(shot.checked_corners() for shot in film.shots)
    assert apart_mm(takes, placed) > 0.25
    assert apart_mm(takes, tuple(each.corners_px for each in matched)) < 0.08
    np.testing.assert_array_equal(matched[1].corners_px, placed[1])  # the last is as it is
    assert 0.1 < (matched[0].moved_mm or 0) < 2


def test_the_light_is_made_one(case: Case, matched: tuple[Matched, ...]) -> None:
    """Where nothing was painted the two photos of a pair are the same picture."""
    film, takes, touched = case
    pair = before_after(film, matched=matched, width_px=400)
    same = ~cv2.dilate(touched.astype(np.uint8), np.ones((9, 9))).astype(bool)
    same[:10], same[-10:], same[:, :10], same[:, -10:] = False, False, False, False
    y, x = (np.mgrid[0:300, 0:400] + 0.5) / 2
    for take in takes:
        for gx, gy, radius in take.shot.camera.glare:
            same &= np.hypot(x - gx, y - gy) > 3 * radius
    before, after = (_smooth(_linear(each)) for each in (pair.before, pair.after))
    shots = zip(film.shots, takes, strict=True)
    raw = [_smooth(lay_flat(shot.read(), take.true, SIZE, px_per_mm=2.0).linear) for shot, take in shots]
    assert _apart(*raw, same)[0] > 0.3
    assert matched[1].gain is None  # it is in the light of the last
    steps, colour = _apart(before, after, same)
    assert steps < 0.06
    assert colour < 0.9


def test_either_end_can_be_what_the_others_are_brought_to(case: Case) -> None:
    film = replace(case[0], settings=replace(case[0].settings, light_of=LightOf.FIRST, even=False))
    found = match_all(film)
    np.testing.assert_array_equal(found[0].corners_px, film.shots[0].checked_corners())
    assert (found[0].moved_mm, found[0].gain, found[1].gain) == (0.0, None, None)
    assert (found[1].moved_mm or 0.0) > 0.1


def test_it_can_be_stopped(case: Case) -> None:
    def stop(share: float, doing: str) -> None:
        raise CancelledError(doing)

    with pytest.raises(CancelledError, match="laying “Sitting 2” flat"):
        match_all(case[0], stop)


def test_forms_that_were_moved_are_not_followed() -> None:
    """A third of the canvas lies 1.5 mm off because it was painted there; the rest is 0.4 mm off by its corners."""
    rng = np.random.default_rng(5)
    first = cv2.GaussianBlur(rng.uniform(0.1, 0.6, (300, 400, 3)).astype(np.float32), (0, 0), 1.2)
    one, moved = _shifted(first, 0.8), _shifted(first, -3.0)
    moved[:, 130:] = one[:, 130:]
    found = corner_shifts(Flat(first, 2.0, SIZE), Flat(moved, 2.0, SIZE))
    assert found is not None
    assert np.abs(found - (0.4, 0.0)).max() < 0.1


def test_corners_that_are_right_are_left_alone(case: Case) -> None:
    """Half of the paint is new, and what is left tells the corners less well than they were placed."""
    film, takes, _ = case
    right = tuple(replace(shot, corners=take.true) for shot, take in zip(film.shots, takes, strict=True))
    found = match_all(replace(film, shots=right, settings=replace(film.settings, even=False)))
    assert found[0].moved_mm == 0.0
    np.testing.assert_array_equal(found[0].corners_px, np.asarray(takes[0].true))


@pytest.mark.parametrize("size", [Size(200, 150), Size(150, 400)])
def test_wrong_corners_shift_the_whole_as_a_homography(size: Size) -> None:
    face = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * (size.width_mm, size.height_mm)
    shifts = np.array([[0.7, -0.4], [-0.5, 0.6], [0.3, 0.8], [-0.6, -0.2]])
    matrix = cv2.getPerspectiveTransform(face.astype(np.float32), (face + shifts).astype(np.float32))
    grid = grid_mm(size)
    truth = cv2.perspectiveTransform(grid[None], matrix)[0] - grid
    near = steady._shifts(steady._between(grid, size), shifts.reshape(1, 8))[0]
    assert np.abs(near - truth).max() < 0.01


def test_with_nothing_in_common_it_stays_as_placed() -> None:
    rng = np.random.default_rng(6)
    one, other = (cv2.GaussianBlur(rng.uniform(0, 1, (300, 400, 3)).astype(np.float32), (0, 0), 1.2) for _ in "12")
    assert corner_shifts(Flat(one, 2.0, SIZE), Flat(other, 2.0, SIZE)) is None
    with pytest.raises(ValueError, match="differ in shape"):
        corner_shifts(Flat(one, 2.0, SIZE), Flat(other[:200], 2.0, SIZE))


def _shifted(picture: NDArray[np.float32], by_px: float) -> NDArray[np.float32]:
    move = np.float32([[1, 0, by_px], [0, 1, 0]])
    return np.asarray(cv2.warpAffine(picture, move, (400, 300), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT))


def _linear(codes: NDArray[np.uint8]) -> NDArray[np.float32]:
    from core.colorimetry import decode_srgb

    return np.asarray(decode_srgb(codes / 255.0), dtype=np.float32)


def _smooth(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), 4.0))


def _apart(one: NDArray[np.float32], other: NDArray[np.float32], where: NDArray[np.bool_]) -> tuple[float, float]:
    """Mean value steps and CIEDE2000."""
    steps = np.abs(value_of_linear(one) - value_of_linear(other))[where].mean()
    return float(steps), float(delta_e_2000(lab(one[where][::7]), lab(other[where][::7])).mean())
