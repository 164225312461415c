"""The level of the light by corner tabs, on simulated photos of a painting that is lighter than its reference."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix
from core.check_light import light_of
from core.photo import Photo
from core.tab_light import PAPER_LOG, PRINTED_LOG, tab_anchors
from core.tone import value_of_linear
from core.value.light import LightCorrection, correct_light
from tests.studio import references
from tests.studio.tabbed import Scene, Stuck, View, corners_px, photograph

SCENE = Scene()
VIEW = View(width=2400, height=1800, yaw_deg=4.0, exposure=0.75, fall_off=1.4, seed=4)
DARKER = 0.6
"""The reference's light over the painting's: the painter is 0.9 step too light on the whole."""
PX_PER_MM = 3.0


@cache
def _photo(exposure: float = 0.75) -> Photo:
    return photograph(SCENE, replace(VIEW, exposure=exposure))


def _fix(scene: Scene = SCENE) -> CanvasFix:
    return CanvasFix(corners_px(scene, VIEW), "tabs", 0.0, 4.0, 0.02, 0.99)


@cache
def _painted() -> Flat:
    """What was painted, as it is: grey, and as light as in the simulator."""
    encoded = references.pixels(SCENE.picture, SCENE.size, width=1200)
    grey = references.linear(encoded) @ np.float32([0.2126, 0.7152, 0.0722])
    return Flat(np.repeat(grey[..., None], 3, axis=2), PX_PER_MM, SCENE.size)


def _canvas(photo: Photo) -> Flat:
    return lay_flat(photo, corners_px(SCENE, VIEW), SCENE.size, px_per_mm=PX_PER_MM)


def _level_off(photo: Photo, light: LightCorrection) -> float:
    """Median error of the values in steps."""
    canvas = _canvas(photo).linear
    error = value_of_linear(light.apply(canvas)) - value_of_linear(_painted().linear)
    return float(np.median(error[canvas.max(axis=2) < 0.9]))


def _light(photo: Photo) -> LightCorrection:
    canvas, reference = _canvas(photo), replace(_painted(), linear=_painted().linear * np.float32(DARKER))
    hidden = np.zeros(canvas.linear.shape[:2], bool)
    return light_of(photo, _fix(), canvas, reference, blank=None, withheld=hidden)[0]


def test_their_white_tells_the_level() -> None:
    light = _light(_photo())
    assert light.source == "card"
    assert light.level_known
    assert "corner tabs" in light.level_note
    assert abs(_level_off(_photo(), light)) < 0.15


def test_without_them_the_level_would_be_the_references() -> None:
    photo = _photo()
    canvas, reference = _canvas(photo), replace(_painted(), linear=_painted().linear * np.float32(DARKER))
    assert _level_off(photo, correct_light(canvas, reference)) < -0.5


def test_where_white_is_burnt_out_a_grey_tells_it_less_surely() -> None:
    photo = _photo(1.5)
    fitted = correct_light(_canvas(photo), _painted())
    surer, _ = tab_anchors(_photo(), _fix(), SCENE.size, light=correct_light(_canvas(_photo()), _painted()))
    anchors, _ = tab_anchors(photo, _fix(), SCENE.size, light=fitted)
    assert len(anchors) == len(surer) == 4
    assert surer[0].sigma == pytest.approx(2 * PAPER_LOG)
    assert max(anchor.sigma for anchor in anchors) == pytest.approx(2 * PRINTED_LOG)


def test_a_tab_in_shadow_is_left_out_and_told() -> None:
    photo = _photo()
    light = correct_light(_canvas(photo), _painted())
    dark = np.array(photo.codes)
    low = np.floor(corners_px(SCENE, VIEW)[0] - 300).astype(int)
    part = np.s_[max(low[1], 0) : low[1] + 298, max(low[0], 0) : low[0] + 298]
    dark[part] = dark[part] // 2
    anchors, notes = tab_anchors(replace(photo, codes=dark), _fix(), SCENE.size, light=light)
    assert len(anchors) == 3
    assert "top left tab lies in other light" in notes[0]


def test_no_tabs_no_anchors() -> None:
    bare = Scene(tabs=tuple(Stuck(corner, shown=False) for corner in range(4)))
    photo = photograph(bare, VIEW)
    assert tab_anchors(photo, _fix(), SCENE.size, light=correct_light(_canvas(_photo()), _painted())) == ((), ())
