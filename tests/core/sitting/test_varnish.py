"""The varnish window against the handbooks, and days in words."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sitting.dates import days_between, months_later
from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.varnish import FINAL, LIMIT, TOUCH_DRY, VarnishState, varnish_window

LEAN = Layer(Medium.STRAIGHT, Thickness.USUAL, ("PW6", "PY43"))
LAYERS = st.lists(
    st.builds(Layer, st.sampled_from(Medium), st.sampled_from(Thickness), st.sampled_from([(), ("PV19",), ("PW1",)])),
    max_size=4,
)


def test_usual_layers_wait_six_to_twelve_months() -> None:
    # Not under 6 months: Parkhurst 1898; 6 to 12: Mayer 1991, Gottsegen 2006
    window = varnish_window(date(2026, 5, 3), [LEAN])
    assert (window.earliest, window.latest) == (date(2026, 11, 3), date(2027, 5, 3))
    assert "6 to 12 months after the last stroke" in window.told[0]
    assert {TOUCH_DRY, FINAL, LIMIT} <= set(window.told)


@pytest.mark.parametrize(
    ("layer", "months", "why"),
    [
        (Layer(Medium.STRAIGHT, Thickness.THICK), 6, "a thick layer"),
        (Layer(Medium.MORE_OIL, Thickness.THIN), 3, "more oil"),
        (Layer(Medium.STRAIGHT, Thickness.THIN, ("PR83",)), 3, "slow pigments"),
        (Layer(Medium.MORE_OIL, Thickness.THICK, ("PR83",)), 6, "a thick layer, more oil and slow pigments"),
    ],
)
def test_thick_and_slow_layers_wait_longer_and_say_why(layer: Layer, months: int, why: str) -> None:
    window = varnish_window(date(2026, 1, 31), [LEAN, layer])
    assert window.later_by == months
    assert window.earliest == months_later(date(2026, 1, 31), 6 + months)
    assert window.told[1] == f"That is {months} months later than usual, for {why}."


@given(st.dates(date(1900, 1, 1), date(2100, 1, 1)), LAYERS, LAYERS)
@settings(max_examples=25, deadline=None)
def test_never_under_six_months_and_more_layers_never_sooner(day: date, some: list[Layer], more: list[Layer]) -> None:
    window, wider = varnish_window(day, some), varnish_window(day, [*some, *more])
    assert (window.earliest - day).days >= 181 - 1  # the shortest half year, end of August to end of February
    assert wider.earliest >= window.earliest
    assert window.earliest < window.latest


def test_each_day_has_its_state() -> None:
    window = varnish_window(date(2026, 5, 3), [LEAN])
    states = [window.state(each) for each in (date(2026, 11, 2), date(2026, 11, 3), date(2027, 5, 2), date(2027, 5, 3))]
    assert states == [VarnishState.TOO_EARLY, VarnishState.PERHAPS, VarnishState.PERHAPS, VarnishState.READY]


@pytest.mark.parametrize(
    ("when", "months", "later"),
    [(date(2026, 8, 31), 6, date(2027, 2, 28)), (date(2027, 8, 31), 6, date(2028, 2, 29)),
     (date(2026, 12, 1), 1, date(2027, 1, 1)), (date(2026, 6, 30), 12, date(2027, 6, 30))],
)  # fmt: skip
def test_months_end_where_they_have_no_such_day(when: date, months: int, later: date) -> None:
    assert months_later(when, months) == later


def test_days_are_told_in_words() -> None:
    assert days_between(date(2026, 5, 3), date(2026, 5, 3)) == "3 May 2026"
    assert days_between(date(2026, 5, 3), date(2026, 5, 9)) == "3 to 9 May 2026"
    assert days_between(date(2025, 12, 28), date(2026, 1, 3)) == "28 December 2025 to 3 January 2026"
