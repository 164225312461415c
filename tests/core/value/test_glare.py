from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.canvas.flat import Flat
from core.size import Size
from core.value.glare import find_glare
from tests.core.value.cases import Case
from tests.measure.value import glare_score


@pytest.mark.parametrize("name", ["photographed", "near_lamp"])
def test_glare_is_found_and_little_else(name: str, request: pytest.FixtureRequest) -> None:
    """26 cases at 12 megapixels: recall 1.00 of places lightened by over 0.3 step, precision 0.86 (rim counted)."""
    case: Case = request.getfixturevalue(name)
    glare = find_glare(case.canvas, case.reference)
    recall, precision = glare_score(case, glare)
    assert recall > 0.97
    assert precision > 0.7
    assert glare.share == pytest.approx(glare.withheld.mean(), abs=2e-3)


def test_no_glare_is_found_where_there_is_none(right: Case) -> None:
    glare = find_glare(right.canvas, right.reference)
    assert glare.share < 5e-4
    assert not glare.withheld.any() or glare.withheld.mean() < 5e-4


def scene(*, white_at: float = 0.93) -> tuple[np.ndarray, np.ndarray]:
    """A jug of mid grey with a white highlight, before linen: reference and the same in paint, 200 x 150 mm."""
    y, x = np.mgrid[0:300, 0:400] / 2.0
    picture = np.full((300, 400, 3), 0.35, np.float32)
    picture[np.hypot(x - 100, y - 80) < 45] = (0.16, 0.15, 0.14)
    picture[np.hypot(x - 85, y - 60) < 6] = white_at
    picture = cv2.GaussianBlur(picture, (0, 0), 1.0)
    light = (1.15 - 0.5 * x / 200)[..., None].astype(np.float32)
    return picture, light


def flats(picture: np.ndarray, photo: np.ndarray) -> tuple[Flat, Flat]:
    size = Size(200, 150)
    return Flat(np.clip(photo, 0, 1).astype(np.float32), 2.0, size), Flat(picture, 2.0, size)


def test_a_highlight_in_white_paint_is_kept() -> None:
    picture, light = scene()
    canvas, reference = flats(picture, picture * light * 0.9)
    assert not find_glare(canvas, reference).withheld.any()


def test_a_highlight_out_of_place_is_kept() -> None:
    picture, light = scene()
    canvas, reference = flats(picture, np.roll(picture, (4, 5), (0, 1)) * light * 0.9)
    assert not find_glare(canvas, reference).withheld.any()


def test_a_clipped_highlight_is_kept_where_the_reference_is_white() -> None:
    """The photo is a little over-exposed, so that white paint reaches the end of the camera's range."""
    picture, light = scene(white_at=0.95)
    canvas, reference = flats(picture, picture * light * 1.15)
    assert canvas.linear.max() == 1.0
    assert not find_glare(canvas, reference).withheld.any()


def test_a_passage_two_steps_too_light_is_kept() -> None:
    picture, light = scene()
    painted = picture.copy()
    painted[160:260, 20:160] = 0.68
    canvas, reference = flats(picture, painted * light * 0.9)
    assert not find_glare(canvas, reference).withheld.any()


def test_glare_on_the_dark_jug_is_withheld_with_its_skirt() -> None:
    picture, light = scene()
    y, x = np.mgrid[0:300, 0:400] / 2.0
    far = np.hypot(x - 115, y - 95)
    spot = 1.6 * np.exp(-((far / 6) ** 2) / 2)
    canvas, reference = flats(picture, (picture * light + spot[..., None]) * 0.9)
    glare = find_glare(canvas, reference)
    assert glare.withheld[spot > 0.05].all()  # a third of a step on paint this dark
    assert not glare.withheld[far > 30].any()
    assert 0.01 < glare.share < 0.05
    # Coloured light of another lamp is glare too.
    tinted = (picture * light + spot[..., None] * np.array([1.0, 0.85, 0.6])) * 0.9
    assert find_glare(*flats(picture, tinted)).withheld[spot > 0.1].all()


def test_over_exposed_places_are_withheld_but_are_no_glare() -> None:
    picture, light = scene()
    bright = np.full_like(picture, 0.8)
    bright[:, :200] = picture[:, :200]
    canvas, reference = flats(bright, bright * light * 2.2)
    glare = find_glare(canvas, reference)
    assert glare.burnt_out > 0.2
    assert glare.share < 0.02


def test_the_photos_own_clipping_is_heeded(near_lamp: Case) -> None:
    clipped = near_lamp.canvas.linear.max(axis=2) >= 0.99
    own = find_glare(near_lamp.canvas, near_lamp.reference, clipped=clipped)
    assert glare_score(near_lamp, own)[0] > 0.97


def test_unlike_shapes_are_refused(right: Case) -> None:
    with pytest.raises(ValueError, match="differ in shape"):
        find_glare(right.canvas, replace(right.reference, linear=right.reference.linear[:-2]))
