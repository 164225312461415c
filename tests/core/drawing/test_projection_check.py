"""Measuring a projection on simulated pairs of photographs, where it is known how far every corner is out.

The projector's light is added to the room's on a canvas painted from a real photograph, and photographed by a hand that
moved between the two.
"""

from dataclasses import replace
from functools import cache, lru_cache

import numpy as np
import pytest

from core.canvas.canvas_map import homography, project
from core.drawing.projection import Projection
from core.drawing.projection_check import ProjectionCheck, check_projection
from core.drawing.projection_fit import fit_marks
from core.drawing.projection_marks import mark_pattern, rendered_marks
from core.errors import CanvasError, DrawingError
from core.photo import Photo, load_photo_bytes
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint
from tests.studio.projector import Projector

SIZE = Size(400, 300)
FACE = np.array([[0, 0], [400, 0], [400, 300], [0, 300.0]])
WORST_MM = 0.3
BLACK = np.zeros((1080, 1920), np.uint8)
CORNERS = ((110.0, 90.0), (1165.0, 98.0), (1160.0, 885.0), (120.0, 890.0))


@cache
def painted(name: str) -> Painted:
    reference = references.linear(references.pixels(name, SIZE, width=1200))
    return paint(reference, Displacement(SIZE), brushwork="texture", px_per_mm=3.0)


def throw(seed: int = 1) -> Projection:
    fitted = Projection.fitted(SIZE, 1920, 1080)
    return fitted.moved(fitted.corners_px + np.random.default_rng(seed).uniform(-50, 50, (4, 2)))


def out_by(largest_mm: float, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    angle, length = rng.uniform(0, 2 * np.pi, 4), largest_mm * rng.uniform(0.5, 1, 4)
    return np.stack([length * np.cos(angle), length * np.sin(angle)], axis=1)


@lru_cache(maxsize=1)
def shots(projector: Projector, name: str, *, seed: int = 0, moved_px: float = 12.0) -> tuple[list[Photo], list]:
    """The two photographs, and the canvas's corners in each."""
    rng = np.random.default_rng(seed)
    near = tuple(tuple(point) for point in np.array(CORNERS) + rng.normal(0, moved_px, 2) + rng.normal(0, 3, (4, 2)))
    cameras = [
        Camera(corners, width=1280, height=960, k1=-0.02, seed=2 * seed + index)
        for index, corners in enumerate((CORNERS, near))
    ]
    codes = (BLACK, rendered_marks(projector.projection))
    photos = [
        load_photo_bytes(projector.shoot(sent, painted(name), camera).jpeg(), "shot.jpg")
        for sent, camera in zip(codes, cameras, strict=True)
    ]
    return photos, [np.array(camera.corners) for camera in cameras]


def measure(projector: Projector, name: str, **options) -> ProjectionCheck:
    photos, corners = shots(projector, name, **options)
    return check_projection(*photos, projector.projection, dark_corners_px=corners[0], lit_corners_px=corners[1])


def answer(check: ProjectionCheck) -> np.ndarray:
    return np.array([[corner.dx_mm, corner.dy_mm] for corner in check.corners])


@pytest.mark.parametrize(
    ("out_mm", "ambient", "name"),
    [
        (1.0, 0.05, "chelsea"),
        (3.0, 0.1, "coffee"),
        pytest.param(6.0, 0.2, "astronaut", marks=pytest.mark.slow),
        (10.0, 0.35, "rocket"),
        (15.0, 0.5, "chelsea"),
        pytest.param(15.0, 0.05, "astronaut", marks=pytest.mark.slow),
    ],
)
def test_every_corner_is_told_to_a_third_of_a_millimetre(out_mm: float, ambient: float, name: str) -> None:
    seed = round(out_mm) + round(100 * ambient)
    projector = Projector(throw(seed), out_by(out_mm, seed), ambient=ambient)
    check = measure(projector, name, seed=seed)
    off = answer(check) - projector.out_mm
    assert np.abs(off).max() <= WORST_MM
    sigmas = np.array([corner.uncertainty_mm for corner in check.corners])
    assert (np.linalg.norm(off, axis=1) < 5 * sigmas).all()
    assert sigmas.max() < WORST_MM


def test_the_nudges_put_the_corners_on_the_canvas() -> None:
    projector = Projector(throw(4), out_by(9.0, 4), ambient=0.2)
    check = measure(projector, "chelsea")
    falls = homography(FACE + projector.out_mm, SIZE)  # mm meant to mm fallen, whatever the corners
    mended = project(falls, projector.projection.px_to_mm(check.mended.corners_px))
    assert np.abs(mended - FACE).max() <= WORST_MM
    moved = check.mended.corners_px - projector.projection.corners_px
    assert np.array([corner.nudge_px for corner in check.corners]) == pytest.approx(moved)


def test_the_outline_of_each_photo_is_found_when_no_corners_are_given() -> None:
    projector = Projector(throw(6), out_by(5.0, 6), ambient=0.3)
    photos, _ = shots(projector, "chelsea")
    check = check_projection(*photos, projector.projection)
    assert np.abs(answer(check) - projector.out_mm).max() <= 2 * WORST_MM


def test_words_say_which_way_each_corner_falls() -> None:
    out = np.array([[3.0, -2.0], [0.0, 0.0], [-4.0, 0.0], [0.0, 5.0]])
    says = [corner.say for corner in measure(Projector(throw(2), out), "chelsea").corners]
    assert says[0].startswith("Top left: 3.0 mm too far right and 2.0 mm too high (±\u00a0")
    assert says[1].startswith("Top right: in place (±\u00a0")
    assert says[2].startswith("Bottom right: 4.0 mm too far left (±\u00a0") or "4.1 mm too far left" in says[2]
    assert "too low" in says[3]


def test_a_longer_exposure_of_the_black_photo_changes_nothing() -> None:
    """A phone opens up in the dark: each photograph is exposed for itself."""
    projector = Projector(throw(8), out_by(4.0, 8), ambient=0.05)
    photos, _ = shots(projector, "chelsea")
    # The second has light squares twenty times as bright as the room, so the two exposures differ manyfold.
    light = [float(np.median(photo.linear())) for photo in photos]
    assert light[0] > 3 * light[1]
    assert np.abs(answer(measure(projector, "chelsea")) - projector.out_mm).max() <= WORST_MM


def test_a_mark_that_falls_beside_the_canvas_is_named_and_the_others_measured() -> None:
    out = np.zeros((4, 2))
    out[0] = (-10.0, -70.0)
    check = measure(Projector(throw(3), out), "chelsea")
    assert [note for note in check.notes if note.startswith("The top left mark does not fall on the canvas")]
    assert np.isnan(check.marks_mm[0]).all() or check.marks_mm[0][1] < 5
    assert np.abs(answer(check) - out).max() < 1.0


def test_too_bright_a_room_is_said() -> None:
    with pytest.raises(DrawingError, match="room may be too bright"):
        measure(Projector(throw(), out_by(3.0, 1), ambient=500.0), "chelsea")


def test_two_photos_of_black_show_no_marks() -> None:
    projector = Projector(throw(), out_by(3.0, 1))
    photos, corners = shots(projector, "chelsea")
    with pytest.raises(DrawingError, match="cannot be seen in the second photo"):
        check_projection(
            photos[0], photos[0], projector.projection, dark_corners_px=corners[0], lit_corners_px=corners[0]
        )


def test_photos_of_two_canvases_are_told_apart() -> None:
    projector = Projector(throw(), out_by(3.0, 1))
    (dark, _), corners = shots(projector, "coffee")
    (_, lit), _ = shots(projector, "chelsea")
    with pytest.raises(DrawingError, match="same canvas"):
        check_projection(dark, lit, projector.projection, dark_corners_px=corners[0], lit_corners_px=corners[1])


def test_an_empty_canvas_is_measured_too() -> None:
    """Nothing on it tells one canvas from another, and nothing needs to."""
    white = np.full_like(painted("chelsea").linear, 0.8)
    projector = Projector(throw(5), out_by(6.0, 5), ambient=0.2)
    blank = replace(painted("chelsea"), linear=white, meant=white)
    camera = Camera(CORNERS, width=1280, height=960)
    photos = [
        load_photo_bytes(projector.shoot(sent, blank, camera).jpeg(), "shot.jpg")
        for sent in (BLACK, rendered_marks(projector.projection))
    ]
    check = check_projection(
        *photos, projector.projection, dark_corners_px=np.array(CORNERS), lit_corners_px=np.array(CORNERS)
    )
    assert np.abs(answer(check) - projector.out_mm).max() <= WORST_MM


def test_a_photo_without_a_canvas_says_which_it_is() -> None:
    grey = Photo(np.full((600, 800, 3), 90, np.uint8), np.linspace(0, 1, 256, dtype=np.float32))
    with pytest.raises(CanvasError, match=r"^In the photo with the projector black: "):
        check_projection(grey, grey, throw())


def test_one_wrong_mark_does_not_pull_the_fit() -> None:
    meant = mark_pattern(SIZE).points
    truth = homography(FACE + out_by(8.0, 2), SIZE)
    fallen = project(truth, meant)
    fallen[4] += (3.0, -2.0)
    fit = fit_marks(meant, fallen, np.full(9, 0.05))
    assert fit is not None
    assert np.abs(project(fit.matrix, FACE) - project(truth, FACE)).max() < 0.25
    assert fit.weights[4] < 0.2


def test_the_fit_is_exact_and_its_uncertainty_follows_the_noise() -> None:
    rng = np.random.default_rng(0)
    meant, truth = mark_pattern(SIZE).points, homography(FACE + out_by(8.0, 2), SIZE)
    exact = fit_marks(meant, project(truth, meant), np.full(9, 0.1))
    assert exact is not None
    assert np.abs(project(exact.matrix, FACE) - project(truth, FACE)).max() < 1e-4
    off = []
    for _ in range(60):
        fit = fit_marks(meant, project(truth, meant) + rng.normal(0, 0.1, (9, 2)), np.full(9, 0.1))
        assert fit is not None
        off.append((project(fit.matrix, FACE) - project(truth, FACE)) / fit.sigma_at(FACE)[:, None])
    assert 0.6 < float(np.sqrt(np.mean(np.square(off)))) < 1.3


def test_marks_in_one_line_fit_nothing() -> None:
    line = np.stack([np.linspace(0, 100, 4), np.linspace(0, 50, 4)], axis=1)
    assert fit_marks(line, line, np.full(4, 0.1)) is None
