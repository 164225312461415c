"""The light of a check by greys that are pointed at, and what is said where one cannot be used."""

import numpy as np
import pytest

from core.check_light import NO_CHART, KnownGrey, light_of
from core.colorimetry import luminance_of_value
from core.value.light import LightCorrection
from tests.core.value.lit_scene import Scene, scene
from tests.studio.lamps import card

BESIDE, ON, BARE_OF_CARDS = (-40.0, 75.0), (150.0, 40.0), (60.0, 75.0)


@pytest.fixture(scope="module")
def shot() -> Scene:
    grey, white = (float(luminance_of_value(value)) for value in (5.0, 9.0))
    return scene((card(BESIDE[0] - 15, BESIDE[1] - 15, 30, grey, 12), card(ON[0] - 10, ON[1] - 10, 20, white, -8)))


def lit(shot: Scene, *greys: KnownGrey, chart: bool = False) -> tuple[LightCorrection, tuple[str, ...]]:
    hidden = np.zeros(shot.canvas.linear.shape[:2], bool)
    return light_of(
        shot.photo, shot.fix, shot.canvas, shot.reference, blank=None, withheld=hidden, greys=greys, chart=chart
    )


def level_error(shot: Scene, light: LightCorrection) -> float:
    """Found less true logarithm of the light, the mean over the canvas, in the channel that is farthest off."""
    off = -np.log(light.gain.astype(np.float64)).reshape(-1, 3).mean(axis=0) - shot.true_log.reshape(-1, 3).mean(axis=0)
    return float(np.abs(off).max())


def test_greys_give_the_level_of_the_light(shot: Scene) -> None:
    greys = (KnownGrey(*shot.to_px(*BESIDE), 5.0), KnownGrey(*shot.to_px(*ON), 9.0))
    light, notes = lit(shot, *greys)
    assert notes == ()
    assert light.source == "card"
    assert light.level_known
    assert level_error(shot, light) < 0.05


def test_without_greys_the_level_is_the_references(shot: Scene) -> None:
    light, notes = lit(shot)
    assert (light.source, light.level_known, notes) == ("fit", False, ())


def test_a_grey_that_cannot_be_used_is_said_and_hinders_nothing(shot: Scene) -> None:
    wrong = KnownGrey(*shot.to_px(*ON), 2.0)  # white, said to be nearly black
    right = KnownGrey(*shot.to_px(*BESIDE), 5.0)
    light, notes = lit(shot, wrong, right)
    assert len(notes) == 1
    assert notes[0].endswith("It was not used.")
    assert "lighter than the light on the canvas allows" in notes[0]
    assert light.source == "card"
    assert level_error(shot, light) < 0.07


def test_a_place_that_is_no_card_leaves_the_light_as_it_was(shot: Scene) -> None:
    plain, _ = lit(shot)
    light, notes = lit(shot, KnownGrey(*shot.to_px(*BARE_OF_CARDS), 5.0), KnownGrey(-50.0, 20.0, 5.0))
    assert len(notes) == 2
    assert (light.gain == plain.gain).all()


def test_a_chart_that_is_not_there_is_said(shot: Scene) -> None:
    light, notes = lit(shot, chart=True)
    assert notes == (NO_CHART,)
    assert light.source == "fit"
