"""A blank photographed from another angle, or in another light, is noticed and said."""

from dataclasses import replace

import numpy as np
import pytest

from core.blank import NOT_SEEN, OTHER_PLACE, blank_flat
from core.value.light import LightCorrection, correct_light
from tests.core.value.lit_scene import CAMERA, PX_PER_MM, SIZE, Scene, scene

ASIDE = ((360.0, 250.0), (850.0, 215.0), (858.0, 600.0), (352.0, 655.0))


@pytest.fixture(scope="module")
def shot() -> Scene:
    return scene()


def shape_error(shot: Scene, light: LightCorrection) -> float:
    """Mean error of the shape of the light in steps (2 for a natural logarithm), the level taken out."""
    log = -np.log(light.gain.astype(np.float64))
    log = log.reshape(30, log.shape[0] // 30, 40, -1, 3).mean(axis=(1, 3))
    error = (log - shot.true_log)[..., 1]
    return float(2 * np.abs(error - np.median(error)).mean())


def test_from_the_same_place_nothing_is_said(shot: Scene) -> None:
    flat, notes = blank_flat(scene(bare=0.88).photo, shot.photo, shot.fix, SIZE, PX_PER_MM)
    assert notes == ()
    light = correct_light(shot.canvas, shot.reference, blank=flat)
    assert light.notes == ()
    assert shape_error(shot, light) < 0.06


def test_from_another_angle_it_is_laid_flat_by_its_own_outline(shot: Scene) -> None:
    aside = scene(bare=0.88, camera=replace(CAMERA, corners=ASIDE))
    flat, notes = blank_flat(aside.photo, shot.photo, shot.fix, SIZE, PX_PER_MM)
    assert notes[0] == OTHER_PLACE
    light = correct_light(shot.canvas, shot.reference, blank=flat)
    assert light.source == "blank"
    assert shape_error(shot, light) < 0.1


def test_an_outline_that_cannot_be_made_out_is_said(shot: Scene) -> None:
    """A blank so close that only its middle is in the photo, its edges out of sight."""
    close = replace(shot.photo, codes=np.full_like(shot.photo.codes, 190))
    flat, notes = blank_flat(close, shot.photo, shot.fix, SIZE, PX_PER_MM)
    assert notes == (NOT_SEEN,)
    assert flat.linear.shape == shot.canvas.linear.shape


def test_in_another_light_it_is_told_and_made_up_for(shot: Scene) -> None:
    other = scene(bare=0.88, seed=5)
    light = correct_light(shot.canvas, shot.reference, blank=other.canvas)
    assert light.source == "fit"
    assert any("not photographed in the same light" in note for note in light.notes)
    assert not light.level_known
    assert shape_error(shot, light) < 0.12
