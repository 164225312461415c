"""Landmarks placed by hand: the hand's number wins, the field near it agrees, and far away nothing changes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.by_hand import (
    HAND_LEAST_MM,
    HAND_PX,
    MANY,
    Hand,
    corrected,
    corrected_landmarks,
    hand_sigma_mm,
    reach_mm,
    whole_with_hands,
)
from core.drawing.drift import CONFIDENT, Drift, LandmarkDrift, PointsDrift
from core.drawing.drift_confidence import confidence, sigma_of, tolerance_mm
from core.drawing.drift_whole import WholeDrift
from core.size import Size

SIZE = Size(200, 150)
WHOLE = WholeDrift(SIZE, (1.0, -0.5), 0.5, 1.01, 0.1, 0.05, 0.001)
PLACES = {"left eye": (60.0, 50.0), "right eye": (100.0, 52.0), "chin": (80.0, 110.0), "rim": (185.0, 20.0)}


def mark(name: str, dx: float, dy: float, sure: float) -> LandmarkDrift:
    x, y = PLACES[name]
    shared = WHOLE.at(np.array([x, y]))
    sigma = sigma_of(sure, tolerance_mm(SIZE))
    return LandmarkDrift(name, x, y, dx, dy, sure, sigma, dx - float(shared[0]), dy - float(shared[1]))


def drift() -> Drift:
    """A field that curves, known on its left side only, with landmarks that lie in it; the chin is not told."""
    x, y = np.meshgrid(np.arange(200) + 0.5, np.arange(150) + 0.5)
    dx = (1 + 0.01 * x + np.sin(y / 40)).astype(np.float32)
    dy = (-0.5 + 0.005 * y).astype(np.float32)
    sure = np.where(x < 120, 0.9, 0.2).astype(np.float32)
    marks = tuple(
        mark(name, float(dx[int(at[1]), int(at[0])]), float(dy[int(at[1]), int(at[0])]), 0.3 if name == "chin" else 0.9)
        for name, at in PLACES.items()
    )
    along = np.column_stack([np.linspace(20, 190, 60), np.full(60, 108.0)])
    points = PointsDrift(
        points_mm=along,
        drift_mm=np.ones((60, 2)),
        confidence=np.full(60, 0.4),
        firm_direction=np.tile([0.0, 1.0], (60, 1)),
        firm_drift_mm=np.ones(60),
        firm_confidence=np.full(60, 0.6),
    )
    hidden = sure < CONFIDENT
    return Drift(
        size=SIZE,
        landmarks=marks,
        points=points,
        whole=WHOLE,
        field_dx_mm=np.where(hidden, np.float32(np.nan), dx),
        field_dy_mm=np.where(hidden, np.float32(np.nan), dy),
        field_confidence=sure,
        filled_dx_mm=dx,
        filled_dy_mm=dy,
    )


def hand_at(name: str, dx: float, dy: float) -> Hand:
    return Hand(PLACES[name][0] + dx, PLACES[name][1] + dy, 0.3)


def by_name(found: Drift) -> dict[str, LandmarkDrift]:
    return {each.name: each for each in found.landmarks}


drifts = st.tuples(st.floats(-12, 12), st.floats(-12, 12))
hands = st.dictionaries(st.sampled_from(sorted(PLACES)), drifts, min_size=1).map(
    lambda found: {name: hand_at(name, *by) for name, by in found.items()}
)


@given(hands=hands)
def test_the_hand_always_wins_and_others_keep_what_was_measured(hands: dict[str, Hand]) -> None:
    before, after = by_name(drift()), by_name(corrected(drift(), hands))
    assert list(after) == list(before)
    for name, found in after.items():
        if name in hands:
            hand = hands[name]
            assert (found.x_mm + found.dx_mm, found.y_mm + found.dy_mm) == pytest.approx((hand.x_mm, hand.y_mm))
            assert (found.confidence, found.sigma_mm, found.by_hand) == (1.0, hand.sigma_mm, True)
        else:
            was = before[name]
            assert (found.dx_mm, found.dy_mm, found.confidence, found.by_hand) == (
                was.dx_mm, was.dy_mm, was.confidence, False,
            )  # fmt: skip


@given(hands=hands)
def test_the_field_passes_through_every_hand_and_never_overshoots(hands: dict[str, Hand]) -> None:
    before, after = drift(), corrected(drift(), hands)
    largest = 0.0
    for name, hand in hands.items():
        column, row = int(PLACES[name][0]), int(PLACES[name][1])  # the cell just right of and below the place
        here = np.array([after.field_dx_mm[row, column], after.field_dy_mm[row, column]])
        wanted = np.array([hand.x_mm - PLACES[name][0], hand.y_mm - PLACES[name][1]])
        was = np.array([before.filled_dx_mm[row, column], before.filled_dy_mm[row, column]])
        largest = max(largest, float(np.hypot(*(wanted - was))))
        assert np.abs(here - wanted).max() < 0.05 + 0.02 * np.abs(wanted - was).max()
    bend = np.hypot(after.filled_dx_mm - before.filled_dx_mm, after.filled_dy_mm - before.filled_dy_mm)
    assert bend.max() <= largest * 1.02 + 0.05


@given(hands=hands)
def test_far_away_nothing_changes_at_all(hands: dict[str, Hand]) -> None:
    before, after = drift(), corrected(drift(), hands)
    x, y = np.meshgrid(np.arange(200) + 0.5, np.arange(150) + 0.5)
    away = np.min([np.hypot(x - PLACES[name][0], y - PLACES[name][1]) for name in hands], axis=0)
    far = away >= reach_mm(SIZE)
    assert far.any()
    for field in ("filled_dx_mm", "filled_dy_mm", "field_dx_mm", "field_dy_mm", "field_confidence"):
        np.testing.assert_array_equal(getattr(after, field)[far], getattr(before, field)[far])
    points = before.points.points_mm
    out = np.min([np.hypot(*(points - PLACES[name]).T) for name in hands], axis=0) >= reach_mm(SIZE)
    np.testing.assert_array_equal(after.points.drift_mm[out], before.points.drift_mm[out])
    np.testing.assert_array_equal(after.points.firm_drift_mm[out], before.points.firm_drift_mm[out])


def test_without_a_hand_it_is_the_very_same_drift() -> None:
    measured = drift()
    assert corrected(measured, {}) is measured
    assert corrected(measured, {"somewhere else": Hand(1.0, 1.0, 0.2)}) is measured


def test_what_was_measured_is_left_as_it_was() -> None:
    measured, copy = drift(), drift()
    corrected(measured, {"chin": hand_at("chin", 5.0, 5.0)})
    np.testing.assert_array_equal(measured.filled_dx_mm, copy.filled_dx_mm)
    np.testing.assert_array_equal(measured.points.drift_mm, copy.points.drift_mm)


def test_lines_near_the_hand_agree_with_it_and_go_over_smoothly() -> None:
    after = corrected(drift(), {"chin": hand_at("chin", 4.0, 3.0)})
    along = after.points.points_mm[:, 0]
    nearest = int(np.abs(along - PLACES["chin"][0]).argmin())
    bent = after.points.drift_mm - 1.0
    assert after.points.confidence[nearest] > 0.9
    assert np.hypot(*bent[nearest]) == pytest.approx(np.hypot(*bent.T).max())
    assert after.points.firm_drift_mm[nearest] - 1.0 == pytest.approx(bent[nearest, 1])
    assert np.abs(np.diff(bent, axis=0)).max() < 1.0  # places are 2.9 mm apart, and the reach is 20 mm


def test_a_neighbour_that_was_told_holds_the_field_where_it_is() -> None:
    before, after = drift(), corrected(drift(), {"left eye": hand_at("left eye", 8.0, 0.0)})
    column, row = int(PLACES["right eye"][0]), int(PLACES["right eye"][1])
    assert after.filled_dx_mm[row, column] == pytest.approx(before.filled_dx_mm[row, column], abs=0.02)


def test_an_untold_place_is_told_once_the_hand_was_there() -> None:
    measured = drift()
    blind = replace(
        measured,
        field_confidence=np.zeros_like(measured.field_confidence),
        field_dx_mm=np.full_like(measured.field_dx_mm, np.nan),
    )
    after = corrected(blind, {"chin": hand_at("chin", 2.0, 2.0)})
    assert np.isfinite(after.field_dx_mm[110, 80])
    assert np.isnan(after.field_dx_mm[20, 180])


def test_two_hands_close_to_each_other_do_not_throw_the_field_about() -> None:
    """Interpolation by radial functions overshoots here many times over."""
    twins = tuple(
        replace(mark("chin", 1.0, 0.0, 0.2), name=name, x_mm=80.0 + by) for name, by in (("a", 0.0), ("b", 1.0))
    )
    after = corrected(replace(drift(), landmarks=twins), {"a": Hand(85, 110, 0.2), "b": Hand(76, 110, 0.2)})
    assert np.abs(after.filled_dx_mm).max() < 8.0


def test_few_hands_leave_the_whole_drawing_s_part_as_measured() -> None:
    marks = drift().landmarks
    three = {name: hand_at(name, 5.0, 5.0) for name in ("left eye", "chin", "rim")}
    assert len(three) < MANY
    found, whole = corrected_landmarks(marks, WHOLE, three)
    assert whole is WHOLE
    shared = WHOLE.at(np.array(PLACES["chin"]))
    chin = next(each for each in found if each.name == "chin")
    assert (chin.local_dx_mm, chin.local_dy_mm) == pytest.approx((5 - shared[0], 5 - shared[1]))


def test_many_hands_tell_the_whole_drawing_s_part_anew_and_a_slip_among_them_does_not() -> None:
    truth = WholeDrift(SIZE, (-2.0, 1.5), -0.8, 0.985)
    corners = {f"p{i}": (x, y) for i, (x, y) in enumerate([(20, 20), (180, 25), (175, 130), (30, 125), (100, 75)])}
    marks = [LandmarkDrift(name, x, y, 0, 0, 0.1, 1.5, 0, 0) for name, (x, y) in corners.items()]
    placed = {}
    for name, at in corners.items():
        moved = np.array(at) + truth.at(np.array(at))
        placed[name] = Hand(float(moved[0]), float(moved[1]), 0.2)
    found, whole = corrected_landmarks(marks, WHOLE, placed)
    assert whole.shift_mm == pytest.approx(truth.shift_mm, abs=1e-3)
    assert whole.turn_deg == pytest.approx(truth.turn_deg, abs=1e-3)
    assert whole.scale == pytest.approx(truth.scale, abs=1e-5)
    assert max(np.hypot(each.local_dx_mm, each.local_dy_mm) for each in found) < 1e-3
    slipped = placed | {"p4": Hand(placed["p4"].x_mm + 12, placed["p4"].y_mm, 0.2)}
    robust = corrected_landmarks(marks, WHOLE, slipped)[1]
    assert robust.shift_mm == pytest.approx(truth.shift_mm, abs=0.3)


def test_many_hands_in_one_corner_do_not_turn_the_whole_drawing() -> None:
    near = [(80.0, 60.0), (84.0, 60.0), (80.0, 64.0), (84.0, 64.0)]
    marks = [
        LandmarkDrift(str(i), x, y, 2.0 * (i % 2), 0, 1.0, 0.2, 0, 0, by_hand=True) for i, (x, y) in enumerate(near)
    ]
    assert whole_with_hands(marks, WHOLE) is WHOLE


def test_a_hand_is_as_good_as_two_pixels_of_the_photo_but_never_too_good() -> None:
    assert hand_sigma_mm(5.0) == pytest.approx(HAND_PX / 5.0)
    assert hand_sigma_mm(1000.0) == HAND_LEAST_MM


@given(sigma=st.floats(0.16, 3.0))
def test_sigma_comes_back_from_a_confidence(sigma: float) -> None:
    tolerance = tolerance_mm(SIZE)
    sure = float(confidence(np.array(sigma), tolerance))
    assert sigma_of(sure, tolerance) == pytest.approx(sigma, rel=1e-6)
    assert sigma_of(0.0, tolerance) == float("inf")
