"""When the next sitting can begin, and how other days stand to it."""

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.sitting.drying import TouchDry, foretell
from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.next_sitting import TOUCH_FIRST, DayState, Drying, next_sitting, standing
from core.sitting.painter_drying import Watched, forecasts
from core.sitting.touch_tests import Bounds

FINISHED = datetime(2026, 5, 3, 12, 0, tzinfo=UTC)
STRAIGHT = TouchDry(np.log(np.linspace(2.0, 12.0, 1001)), np.linspace(0, 1, 1001))  # evenly from 2 to 12 days


def days(count: float) -> datetime:
    return FINISHED + timedelta(days=count)


def test_the_range_is_from_ten_to_ninety_per_cent() -> None:
    found = next_sitting([Drying(FINISHED, STRAIGHT)])
    assert found is not None
    for when, wanted in ((found.earliest, 3.0), (found.even, 7.0), (found.latest, 11.0)):
        assert (when - FINISHED).total_seconds() / 86_400 == pytest.approx(wanted, rel=1e-3)
    assert found.told[0] == (
        "The next sitting can begin at some time from 6 to 14 May 2026 (eight cases in ten). "
        "Before that it is too early."
    )
    assert TOUCH_FIRST in found.told


@pytest.mark.parametrize(
    ("after", "state", "told"),
    [(-1, DayState.TOO_EARLY, "under 1 %"), (2.5, DayState.TOO_EARLY, "5 %"), (3.1, DayState.PERHAPS, "11 %"),
     (10.9, DayState.PERHAPS, "89 %"), (11.5, DayState.LIKELY, "95 %"), (20, DayState.LIKELY, "over 99 %")],
)  # fmt: skip
def test_each_day_has_its_state_and_its_share(after: float, state: DayState, told: str) -> None:
    stands = standing([Drying(FINISHED, STRAIGHT)], days(after))
    assert stands.state is state
    assert f"{state} ({told} " in stands.say()


def test_too_early_is_said_with_what_may_come_of_it() -> None:
    assert "may lift, sink in or crack" in standing([Drying(FINISHED, STRAIGHT)], days(1)).say()


def test_the_layer_that_is_latest_decides() -> None:
    earlier, last = Drying(FINISHED, STRAIGHT), Drying(days(1), TouchDry(np.log([0.5, 1.0]), np.array([0.0, 1.0])))
    both, one = next_sitting([earlier, last]), next_sitting([earlier])
    assert both is not None
    assert one is not None
    assert both.ruled_by == 0
    assert both.latest == one.latest
    assert "An earlier layer" in both.told[1]
    assert standing([earlier, last], days(2.5)).share == pytest.approx(0.05, abs=0.01)
    again = next_sitting([last, earlier])
    assert again is not None
    assert again.ruled_by == 1
    assert not any("An earlier layer" in each for each in again.told)


def test_a_layer_found_wet_now_is_too_early_now() -> None:
    expected = foretell(Layer(Medium.STRAIGHT, Thickness.USUAL, ("PY43",)))
    _, (told,) = forecasts([Watched(expected, Bounds(9.0))])
    layer = Drying(FINISHED, told)
    assert standing([layer], days(9)).state is DayState.TOO_EARLY
    found = next_sitting([layer])
    assert found is not None
    assert found.earliest > days(9)


def test_a_layer_found_dry_is_told_as_found() -> None:
    expected = foretell(Layer(Medium.STRAIGHT, Thickness.USUAL, ("PY43",)))
    _, (told,) = forecasts([Watched(expected, Bounds(2.0, 4.0))])
    found = next_sitting([Drying(FINISHED, told)])
    assert found is not None
    assert found.told[0] == "All layers were found touch-dry, by 7 May 2026 at the latest."
    assert standing([Drying(FINISHED, told)], days(4.01)).share == 1.0


def test_on_a_bare_canvas_nothing_hinders() -> None:
    assert next_sitting([]) is None
    assert standing([], FINISHED).state is DayState.LIKELY


def test_the_share_of_a_moment_is_that_of_the_range() -> None:
    layer = Drying(FINISHED, STRAIGHT)
    for share in (0.1, 0.5, 0.9):
        assert math.isclose(layer.share_at(layer.at(share)), share, abs_tol=1e-3)
