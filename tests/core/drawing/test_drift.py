"""Drift on known truth: scikit-image's photographs painted with a known displacement by the simulated painter."""

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing.drawing import Landmark
from core.drawing.drift import Drift, measure_drift, warp_reference
from core.errors import CancelledError, DrawingError
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.painter import ValueFault, paint

SIZE = Size(400, 300)
MEDIAN_MM, P95_MM, SHARE_TOLD = 0.4, 1.2, 0.7
FAULTS = (ValueFault(110, 90, 35, 30, -1.5), ValueFault(290, 210, 40, 25, 1.2))


def _marks(points: NDArray[np.float64]) -> tuple[Landmark, ...]:
    return tuple(Landmark(f"p{i}", float(x), float(y)) for i, (x, y) in enumerate(points))


def _in_poor_light(linear: NDArray[np.float32]) -> NDArray[np.float32]:
    """2:1 from left to right, and a warm cast."""
    fall = np.exp(np.linspace(np.log(1.4), -np.log(1.4), linear.shape[1]))[None, :, None]
    return (linear * fall * np.array([1.12, 1.0, 0.88])).astype(np.float32)


@cache
def _pair(name: str, brushwork: str, moved: Displacement) -> tuple[Flat, Flat]:
    encoded = references.pixels(name, SIZE, width=1600)
    linear = references.linear(encoded)
    painted = paint(linear, moved, faults=FAULTS, brushwork=brushwork, px_per_mm=4.0)
    return Flat(linear, 4.0, SIZE), Flat(_in_poor_light(painted.linear), 4.0, SIZE)


@cache
def _measured(name: str, brushwork: str, moved: Displacement) -> Drift:
    points = references.landmarks(references.pixels(name, SIZE, width=1600), SIZE)
    return measure_drift(*_pair(name, brushwork, moved), landmarks=_marks(points))


def _errors(drift: Drift, moved: Displacement) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    places = np.array([(mark.x_mm, mark.y_mm) for mark in drift.landmarks])
    found = np.array([(mark.dx_mm, mark.dy_mm) for mark in drift.landmarks])
    told = np.array([mark.confidence >= 0.5 for mark in drift.landmarks])
    return np.linalg.norm(found - moved.at(places), axis=1), told


@pytest.mark.parametrize(
    ("name", "brushwork", "largest_mm"),
    [
        ("chelsea", "texture", 5.0),
        ("chelsea", "strokes", 4.0),
        ("astronaut", "texture", 3.0),
        ("coffee", "strokes", 5.0),
    ],
)
def test_landmarks_meet_their_bars(name: str, brushwork: str, largest_mm: float) -> None:
    moved = random_displacement(SIZE, np.random.default_rng(len(name)), largest_mm=largest_mm)
    error, told = _errors(_measured(name, brushwork, moved), moved)
    assert told.mean() >= SHARE_TOLD
    assert np.median(error[told]) <= MEDIAN_MM
    assert np.percentile(error[told], 95) <= P95_MM


def test_a_painting_in_place_has_no_drift() -> None:
    error, told = _errors(_measured("chelsea", "texture", Displacement(SIZE)), Displacement(SIZE))
    assert np.median(error[told]) <= 0.15


def test_shift_turn_and_scale_are_told_apart_from_one_stray_form() -> None:
    moved = Displacement(SIZE, (1.8, -1.2), 0.4, 1.006, ((250.0, 140.0, 4.0, 1.0, 25.0),))
    whole = _measured("chelsea", "texture", moved).whole
    assert whole.shift_mm == pytest.approx((1.8, -1.2), abs=0.3)
    assert whole.turn_deg == pytest.approx(0.4, abs=0.1)
    assert whole.scale == pytest.approx(1.006, abs=0.002)


def test_flat_places_get_low_confidence_rather_than_a_number() -> None:
    """A grey panel with one square on it, which is painted 3 mm to the right: nothing can be told far from it."""
    plain = np.full((1200, 1600, 3), 0.3, np.float32)
    reference, canvas = plain.copy(), plain.copy()
    reference[480:720, 480:720] = 0.05
    canvas[480:720, 492:732] = 0.05
    marks = _marks(np.array([[350.0, 250.0], [350.0, 40.0], [120.0, 120.0], [180.0, 180.0]]))
    drift = measure_drift(Flat(reference, 4.0, SIZE), Flat(canvas, 4.0, SIZE), landmarks=marks)
    far, corner = drift.landmarks[:2], drift.landmarks[2:]
    assert all(mark.confidence < 0.5 for mark in far)
    assert all(mark.confidence >= 0.5 for mark in corner)
    assert all(mark.dx_mm == pytest.approx(3.0, abs=0.4) for mark in corner)
    assert np.isnan(drift.field_dx_mm[250, 350])


def test_what_is_withheld_is_not_believed() -> None:
    moved = Displacement(SIZE, (2.0, 0.0))
    reference, canvas = _pair("chelsea", "texture", moved)
    withheld = np.ones(canvas.linear.shape[:2], bool)
    drift = measure_drift(reference, canvas, landmarks=_marks(np.array([[200.0, 150.0]])), withheld=withheld)
    assert drift.landmarks[0].confidence < 0.5


def test_the_fields_lie_on_the_millimetre_grid_and_agree_with_the_landmarks() -> None:
    moved = random_displacement(SIZE, np.random.default_rng(7), largest_mm=5.0)
    drift = _measured("chelsea", "texture", moved)
    assert drift.field_dx_mm.shape == drift.field_dy_mm.shape == (300, 400)
    for mark in drift.landmarks:
        row, column = int(mark.y_mm), int(mark.x_mm)
        assert drift.filled_dx_mm[row, column] == pytest.approx(mark.dx_mm, abs=0.15)


def test_the_reference_is_moved_to_where_the_painting_has_it() -> None:
    moved = random_displacement(SIZE, np.random.default_rng(7), largest_mm=5.0)
    reference, _ = _pair("chelsea", "texture", moved)
    meant = paint(reference.linear, moved, brushwork="none", px_per_mm=4.0).linear
    followed = warp_reference(reference, _measured("chelsea", "texture", moved))
    assert np.abs(followed - meant).mean() < 0.35 * np.abs(reference.linear - meant).mean()


def test_two_canvases_are_refused_and_a_stop_is_heard() -> None:
    reference, canvas = _pair("chelsea", "texture", Displacement(SIZE))
    with pytest.raises(DrawingError, match="same size"):
        measure_drift(Flat(reference.linear, 4.0, Size(300, 400)), canvas)

    def stop(share: float, doing: str) -> None:
        raise CancelledError("stopped")

    with pytest.raises(CancelledError):
        measure_drift(reference, canvas, progress=stop)
