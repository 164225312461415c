"""Cards and bare ground that the painter points at in the photo, on the canvas and beside it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from core.canvas.canvas_map import CanvasMap
from core.colorimetry import luminance_of_value
from core.errors import ValuesError
from core.value.light import LightCorrection, correct_light
from core.value.light_anchor import LightAnchor, anchored, light_at
from core.value.light_card import brushed_ground, photo_card, photo_ground, reflectance_of
from tests.core.value.lit_scene import CAMERA, SIZE, Scene, scene
from tests.studio.lamps import Lying, card

GREY, WHITE = float(luminance_of_value(5.0)), float(luminance_of_value(9.0))
TINTED_GROUND = np.float32([0.62, 0.45, 0.30])
BESIDE, ON, SMALL, BROWN, GROUND = (-40.0, 75.0), (150.0, 40.0), (-12.0, 20.0), (225.0, 110.0), (60.0, 110.0)


def _ground() -> Lying:
    weave = 1 + 0.03 * np.random.default_rng(5).standard_normal((90, 90, 1))
    return Lying(GROUND[0] - 15, GROUND[1] - 15, 30, 30, (TINTED_GROUND * weave).astype(np.float32))


@pytest.fixture(scope="module")
def shot() -> Scene:
    lying = (
        card(BESIDE[0] - 15, BESIDE[1] - 15, 30, GREY, 12),
        card(ON[0] - 10, ON[1] - 10, 20, WHITE, -8),
        card(SMALL[0] - 1.2, SMALL[1] - 1.2, 2.4, 0.9),
        Lying(BROWN[0] - 10, BROWN[1] - 10, 20, 20, np.full((4, 4, 3), (0.42, 0.2, 0.08), np.float32)),
        _ground(),
    )
    return scene(lying)


@pytest.fixture(scope="module")
def fitted(shot: Scene) -> LightCorrection:
    return correct_light(shot.canvas, shot.reference)


def measured(shot: Scene, at: tuple[float, float], value: float, light: LightCorrection | None = None) -> LightAnchor:
    return photo_card(shot.photo, shot.fix, SIZE, *shot.to_px(*at), value, light=light)


def level_error(shot: Scene, light: LightCorrection) -> np.ndarray:
    """Found less true logarithm of the light, its mean over the canvas in each channel."""
    return np.asarray((-np.log(light.gain.astype(np.float64)) - shot.true_log).reshape(-1, 3).mean(axis=0))


def test_a_card_on_the_canvas_is_outlined_and_measured(shot: Scene, fitted: LightCorrection) -> None:
    found = measured(shot, ON, 9.0, fitted)
    assert (found.x_mm, found.y_mm) == pytest.approx(ON, abs=0.3)
    assert np.ptp(found.outline_mm, axis=0) == pytest.approx([21.6, 21.6], abs=1.5)  # 22.6 less its soft rim
    row, column = int(ON[1] / 5), int(ON[0] / 5)
    assert found.log_light == pytest.approx(shot.true_log[row, column], abs=0.025)
    assert 0.015 < found.sigma < 0.03


@pytest.mark.parametrize(("at", "value"), [(BESIDE, 5.0), (ON, 9.0)])
def test_a_card_gives_level_and_white_balance(
    shot: Scene, fitted: LightCorrection, at: tuple[float, float], value: float
) -> None:
    """All that the paint sends back taken down by 30 %: a fit cannot tell, a card can."""
    light = correct_light(shot.canvas, shot.reference, anchors=(measured(shot, at, value, fitted),))
    assert light.source == "card"
    assert light.level_known
    assert level_error(shot, light) == pytest.approx(np.zeros(3), abs=0.05)
    too_light = replace(shot.reference, linear=shot.reference.linear / np.float32(0.7))
    by_fit = correct_light(shot.canvas, too_light)
    by_card = correct_light(shot.canvas, too_light, anchors=(measured(shot, at, value),))
    assert level_error(shot, by_fit)[1] == pytest.approx(np.log(0.7), abs=0.05)
    assert level_error(shot, by_card)[1] == pytest.approx(0.0, abs=0.05)
    assert "grey card" in by_card.level_note


def test_the_uncertainty_grows_with_distance_and_slope() -> None:
    y, x = np.mgrid[0:30, 0:40] / 40
    even, steep = (np.repeat((k * x**1.5 + 0.1 * k * y)[..., None], 3, axis=2) for k in (0.01, 0.8))
    near, far = light_at(even, SIZE, 210, 75).sigma, light_at(even, SIZE, 280, 75).sigma
    assert light_at(even, SIZE, 100, 75).sigma == 0.0
    assert 0 < near < far
    assert light_at(steep, SIZE, 280, 75).sigma > far


def test_beyond_the_canvas_the_light_goes_on_as_it_does_near_the_edge() -> None:
    x = (np.arange(40) + 0.5) * 5
    slope = np.repeat(np.tile(0.003 * x, (30, 1))[..., None], 3, axis=2)
    assert light_at(slope, SIZE, 240, 75).log == pytest.approx(0.72, abs=0.01)
    assert light_at(slope, SIZE, 102.5, 77.5).log == pytest.approx(0.3075, abs=1e-3)


def test_bare_ground_of_a_tone_gives_the_level_only(shot: Scene, fitted: LightCorrection) -> None:
    y = 100 * float(TINTED_GROUND @ [0.2126, 0.7152, 0.0722])
    at = shot.to_px(*GROUND)
    found = photo_ground(shot.photo, shot.fix, SIZE, *at, y, scale="luminance", neutral=False, light=fitted)
    assert found.kind == "ground"
    assert np.isinf(found.colour_sigma)
    assert np.ptp(found.outline_mm, axis=0) == pytest.approx([30, 30], abs=3)
    light = correct_light(shot.canvas, shot.reference, anchors=(found,))
    assert level_error(shot, light) == pytest.approx(np.zeros(3), abs=0.07)


def test_brushed_ground_is_measured_inside_its_outline(shot: Scene, fitted: LightCorrection) -> None:
    y = 100 * float(TINTED_GROUND @ [0.2126, 0.7152, 0.0722])
    inside = np.array([[-12, -9], [10, -12], [12, 8], [-2, 12]]) + GROUND
    brushed = brushed_ground(shot.photo, shot.fix, SIZE, inside, y, scale="luminance", neutral=False, light=fitted)
    clicked = photo_ground(
        shot.photo, shot.fix, SIZE, *shot.to_px(*GROUND), y, scale="luminance", neutral=False, light=fitted
    )
    assert brushed.log_light == pytest.approx(clicked.log_light, abs=0.02)
    assert brushed.outline_mm == pytest.approx(inside, abs=1e-6)
    over_paint = np.array([[-40, -40], [40, -40], [40, 30], [-40, 30]]) + GROUND
    with pytest.raises(ValuesError, match="not even"):
        brushed_ground(shot.photo, shot.fix, SIZE, over_paint, 8.0)
    with pytest.raises(ValuesError, match="too small"):
        brushed_ground(shot.photo, shot.fix, SIZE, inside[:2], 8.0)


def test_the_three_scales_agree() -> None:
    """Munsell value 5 is L* 51.004 and Y 19.27184 (ASTM D1535-08e1 and CIE 15, see tests/published)."""
    assert reflectance_of(5.0) == pytest.approx(0.1927184, abs=1e-6)
    assert reflectance_of(51.004, "lightness") == pytest.approx(0.1927184, abs=1e-5)
    assert reflectance_of(19.27184, "luminance") == pytest.approx(0.1927184, abs=1e-7)
    for number in (0.5, 11.0, float("nan")):
        with pytest.raises(ValuesError, match="printed on the card"):
            reflectance_of(number)


def refusal(call: Callable[[], object]) -> str:
    with pytest.raises(ValuesError) as caught:
        call()
    said = str(caught.value)
    assert said.endswith(".")
    assert len(said.split(". ")) >= 2 or "," in said, "says what to do"
    return said


def test_what_is_no_card_is_refused_with_a_sentence(shot: Scene, fitted: LightCorrection) -> None:
    assert "too small" in refusal(lambda: measured(shot, SMALL, 9.0))
    assert "neutral" in refusal(lambda: measured(shot, BROWN, 5.0))
    assert "darker than the light" in refusal(lambda: measured(shot, BESIDE, 8.0, fitted))  # in truth a 5
    assert "lighter than the light" in refusal(lambda: measured(shot, ON, 5.0, fitted))  # in truth a 9
    assert "outside the photo" in refusal(
        lambda: photo_card(shot.photo, shot.fix, SIZE, shot.photo.width + 5.0, 10.0, 5.0)
    )


def test_a_burnt_out_card_is_refused() -> None:
    bright = scene((card(-55, 60, 30, 0.9),), camera=replace(CAMERA, exposure=1.8))
    assert "burnt out" in refusal(lambda: measured(bright, (-40, 75), 9.5))


def test_a_card_in_shadow_is_refused_and_half_in_shadow_is_not_taken_whole() -> None:
    """A shadow that takes half the light from a white card: as a card of its value it cannot lie in this light."""
    half = np.full((40, 40, 3), WHITE, np.float32)
    half[:, :20] *= 0.45
    shaded = scene((card(-55, 10, 30, 0.45 * WHITE), Lying(-55, 90, 30, 30, half)))
    light = correct_light(shaded.canvas, shaded.reference)
    assert "shadow" in refusal(lambda: measured(shaded, (-40, 25), 9.0, light))
    assert "shadow" in refusal(lambda: measured(shaded, (-48, 105), 9.0, light))
    lit = measured(shaded, (-33, 105), 9.0, light)
    assert np.ptp(lit.outline_mm, axis=0)[0] < 18


def test_places_that_contradict_each_other_are_told(shot: Scene, fitted: LightCorrection) -> None:
    right, wrong = measured(shot, BESIDE, 5.0), measured(shot, ON, 8.0)
    light = correct_light(shot.canvas, shot.reference, anchors=(right, wrong))
    assert any("disagree" in note for note in light.notes)
    alone = correct_light(shot.canvas, shot.reference, anchors=(right,))
    assert light.uncertainty_steps > 1.5 * alone.uncertainty_steps


def test_two_that_agree_are_surer_than_one(shot: Scene) -> None:
    log = -np.log(correct_light(shot.canvas, shot.reference).gain.astype(np.float64))
    both = (measured(shot, BESIDE, 5.0), measured(shot, ON, 9.0))
    one, two = anchored(log, SIZE, both[:1]), anchored(log, SIZE, both)
    assert two.notes == ()
    assert two.sigma < one.sigma


def test_a_card_sets_the_level_of_a_blank(shot: Scene, fitted: LightCorrection) -> None:
    blank = scene(bare=0.85).canvas
    light = correct_light(shot.canvas, shot.reference, blank=blank, anchors=(measured(shot, BESIDE, 5.0, fitted),))
    assert light.source == "blank"
    assert "grey card" in light.level_note
    coarse = light.gain[::2, ::2] if light.gain.shape[0] == 60 else light.gain
    error = -np.log(coarse.astype(np.float64)) - shot.true_log
    assert np.abs(error[..., 1]).mean() < 0.05


def test_the_canvas_map_reaches_beyond_the_canvas(shot: Scene) -> None:
    place = CanvasMap(shot.fix.corners_px, SIZE, 1200, 900)
    assert place.px_to_mm(shot.to_px(*BESIDE)) == pytest.approx(BESIDE, abs=1e-6)
