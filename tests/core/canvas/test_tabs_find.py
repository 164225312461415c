"""Tabs found in simulated photos, where their corners are known to the pixel's part."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.canvas.tab_find import find_tabs
from core.canvas.tabs import FoundTab
from core.paint import swatch_card
from core.photo import Photo, srgb_curve
from core.tone import luminance_of_linear
from tests.studio import references
from tests.studio import tabbed as t

SCENE = t.Scene(tabs=t.random_tabs(np.random.default_rng(1)))
VIEW = t.View(width=1280, height=960, fill=0.6, yaw_deg=5.0, pitch_deg=4.0, k1=-0.03, jpeg=None)
MOST_OFF_PX = 0.2


def off_px(found: tuple[FoundTab, ...], view: t.View, scene: t.Scene = SCENE) -> float:
    return max(
        float(np.linalg.norm(tab.corners_px - t.tab_px(scene, view, scene.tabs[tab.corner]), axis=1).max())
        for tab in found
    )


@pytest.fixture(scope="module")
def photo() -> Photo:
    return t.photograph(SCENE, VIEW)


def test_all_four_are_found_to_a_part_of_a_pixel(photo: Photo) -> None:
    found = find_tabs(photo)
    assert [tab.corner for tab in found] == [0, 1, 2, 3]
    assert {(tab.width, tab.height) for tab in found} == {(1280, 960)}
    assert off_px(found, VIEW) < MOST_OFF_PX
    assert all(0.03 < tab.sigma_px < 0.1 for tab in found)


def test_a_photo_its_linear_light_and_its_luminance_say_the_same(photo: Photo) -> None:
    linear = photo.linear()
    for picture in (linear, luminance_of_linear(linear)):
        found = find_tabs(picture)
        assert len(found) == 4
        for one, other in zip(found, find_tabs(photo), strict=True):
            assert np.abs(one.corners_px - other.corners_px).max() < 0.01


def test_sixteen_bits(photo: Photo) -> None:
    curve = np.interp(np.linspace(0, 255, 65536), np.arange(256), photo.curve).astype(np.float32)
    found = find_tabs(Photo(photo.codes.astype(np.uint16) * 257, curve))
    assert off_px(found, VIEW) < MOST_OFF_PX
    assert len(found) == 4


@pytest.mark.parametrize("roll", [90.0, 180.0, -37.0])
def test_any_way_up(roll: float) -> None:
    view = replace(VIEW, roll_deg=roll, fill=0.45)
    found = find_tabs(t.photograph(SCENE, view))
    assert len(found) == 4
    assert off_px(found, view) < MOST_OFF_PX


@pytest.mark.parametrize(
    "changed",
    [
        {"exposure": 0.12, "noise": 0.008},
        {"shake_px": 4.0, "shake_deg": 30.0},
        {"blur_px": 2.5},
        {"fall_off": 4.0},
        {"jpeg": 75},
        {"fill": 0.35},
    ],
    ids=str,
)
def test_poor_photos(changed: dict[str, float]) -> None:
    view = replace(VIEW, **changed)
    found = find_tabs(t.photograph(SCENE, view))
    assert len(found) == 4
    assert off_px(found, view) < 0.8
    assert all(off_px((tab,), view) < 4 * np.hypot(tab.sigma_px, tab.grown_px) for tab in found)


def test_burnt_out_white_is_owned_up_to() -> None:
    """Black squares shrink in it; how much is not known."""
    view = replace(VIEW, exposure=1.5)
    found = find_tabs(t.photograph(SCENE, view))
    assert all(tab.grown_px >= 0.2 for tab in found)
    assert all(tab.grown_px < 0.1 for tab in find_tabs(t.photograph(SCENE, VIEW)))
    for tab in found:
        true = t.tab_px(SCENE, view, SCENE.tabs[tab.corner])
        middle = tab.corners_px.mean(axis=0) - true.mean(axis=0)
        assert np.abs(middle).max() < 0.05


def test_what_is_covered_is_not_found_and_the_rest_is() -> None:
    painter = replace(SCENE, covers=(t.painter_over(330.0),))
    assert [tab.corner for tab in find_tabs(t.photograph(painter, VIEW))] == [0, 3]
    hand = replace(SCENE, covers=(t.hand((200.0, 150.0)),))
    found = find_tabs(t.photograph(hand, VIEW))
    assert {0, 1, 3} <= {tab.corner for tab in found}
    assert off_px(found, VIEW) < MOST_OFF_PX


def test_a_tab_that_lies_about_twice() -> None:
    spare = replace(SCENE, tabs=(*SCENE.tabs, t.Stuck(0, (-150.0, -150.0))))
    assert [tab.corner for tab in find_tabs(t.photograph(spare, VIEW))] == [0, 0, 1, 2, 3]


@pytest.mark.parametrize("name", references.NAMES)
def test_photographs_hold_no_tabs(name: str) -> None:
    pixels = references.pixels(name, t.CANVAS, width=1600)
    assert find_tabs(Photo(pixels, srgb_curve())) == ()


def test_pictures_of_nothing() -> None:
    rng = np.random.default_rng(0)
    assert find_tabs(np.zeros((300, 400, 3), np.float32)) == ()
    assert find_tabs(np.ones((300, 400), np.float32)) == ()
    assert find_tabs(rng.uniform(0, 1, (300, 400, 3)).astype(np.float32)) == ()
    assert find_tabs(np.full((2, 3), 0.5, np.float32)) == ()


def test_the_swatch_card_is_not_taken_for_tabs() -> None:
    picture = np.ones((700, 700), np.float32)
    for corner, (y, x) in enumerate(((60, 60), (60, 400), (400, 400), (400, 60))):
        mark = cv2.resize(
            swatch_card.mark_modules(corner).astype(np.float32), (180, 180), interpolation=cv2.INTER_NEAREST
        )
        picture[y : y + 180, x : x + 180] = 0.05 + 0.9 * mark
    assert find_tabs(picture) == ()
