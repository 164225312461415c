"""Drift on known truth: scikit-image's photographs painted with a known displacement by the simulated painter."""

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from skimage.feature import canny
from skimage.filters import gaussian
from skimage.morphology import dilation

from core.canvas.flat import Flat
from core.drawing.drawing import Landmark
from core.drawing.drift import Drift, measure_drift, warp_reference
from core.drawing.drift_confidence import tolerance_mm
from core.errors import CancelledError, DrawingError
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.displacement_shapes import Radial, Truth
from tests.studio.painter import ValueFault, paint

SIZE = Size(400, 300)
PX_PER_MM = 3.0
MEDIAN_MM, P95_MM, SHARE_TOLD = 0.25, 0.9, 0.8
IN_PLACE = Displacement(SIZE)
FAULTS = (ValueFault(110, 90, 35, 30, -1.5), ValueFault(290, 210, 40, 25, 1.2))
EARTH = np.array([1.45, 0.93, 0.42], dtype=np.float32)


def _marks(points: NDArray[np.float64]) -> tuple[Landmark, ...]:
    return tuple(Landmark(f"p{i}", float(x), float(y)) for i, (x, y) in enumerate(points))


@cache
def _features(name: str) -> NDArray[np.float64]:
    return references.landmarks(references.pixels(name, SIZE, width=1200), SIZE)


def _grid() -> NDArray[np.float64]:
    """Places everywhere, on flat passages too."""
    return np.stack(np.meshgrid(np.linspace(20, 380, 10), np.linspace(20, 280, 8)), axis=-1).reshape(-1, 2)


def _in_poor_light(linear: NDArray[np.float32]) -> NDArray[np.float32]:
    """2:1 from left to right, and a warm cast."""
    fall = np.exp(np.linspace(np.log(1.4), -np.log(1.4), linear.shape[1]))[None, :, None]
    return (linear * fall * np.array([1.12, 1.0, 0.88])).astype(np.float32)


@cache
def _pair(name: str, brushwork: str, moved: Truth) -> tuple[Flat, Flat]:
    linear = references.linear(references.pixels(name, SIZE, width=1200))
    painted = paint(linear, moved, faults=FAULTS, brushwork=brushwork, px_per_mm=PX_PER_MM)
    return Flat(linear, PX_PER_MM, SIZE), Flat(_in_poor_light(painted.linear), PX_PER_MM, SIZE)


@cache
def _measured(name: str, brushwork: str, moved: Truth) -> Drift:
    """With the landmarks a painter would mark first, then the grid."""
    return measure_drift(*_pair(name, brushwork, moved), landmarks=_marks(np.concatenate([_features(name), _grid()])))


def _errors(drift: Drift, moved: Truth) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Error in mm and confidence at each landmark."""
    places = np.array([(mark.x_mm, mark.y_mm) for mark in drift.landmarks])
    found = np.array([(mark.dx_mm, mark.dy_mm) for mark in drift.landmarks])
    return np.linalg.norm(found - moved.at(places), axis=1), np.array([mark.confidence for mark in drift.landmarks])


def _random(seed: int, largest_mm: float) -> Displacement:
    return random_displacement(SIZE, np.random.default_rng(seed), largest_mm=largest_mm)


CASES: list[tuple[str, str, Truth]] = [
    ("chelsea", "strokes", _random(1, 4.0)),
    ("astronaut", "texture", _random(2, 3.0)),
    ("coffee", "texture", _random(3, 6.0)),
    ("rocket", "texture", Radial(SIZE, (210.0, 140.0), 80.0, 3.0)),
]


@pytest.mark.parametrize(
    ("name", "brushwork", "moved"), [*CASES[:1], pytest.param(*CASES[1], marks=pytest.mark.slow), *CASES[2:]]
)
def test_landmarks_meet_their_bars(name: str, brushwork: str, moved: Truth) -> None:
    error, confidence = _errors(_measured(name, brushwork, moved), moved)
    marked = np.arange(len(error)) < len(_features(name))
    told = confidence >= 0.5
    assert told[marked].mean() >= SHARE_TOLD
    assert np.median(error[marked & told]) <= MEDIAN_MM
    assert np.percentile(error[marked & told], 95) <= P95_MM
    assert np.percentile(error[told], 95) <= P95_MM


def test_confidence_keeps_its_word() -> None:
    """Of all places told with a confidence, at least that share is right to within the tolerance."""
    every = [_errors(_measured(*case), case[2]) for case in CASES]
    error, confidence = (np.concatenate(column) for column in zip(*every, strict=True))
    right = error <= tolerance_mm(SIZE)
    for low, high in ((0.5, 0.8), (0.8, 0.95), (0.95, 1.01)):
        told = (confidence >= low) & (confidence < high)
        assert told.sum() >= 5
        assert right[told].mean() >= confidence[told].mean()


def test_a_painting_in_place_has_no_drift() -> None:
    error, confidence = _errors(_measured("chelsea", "texture", IN_PLACE), IN_PLACE)
    assert np.median(error[confidence >= 0.5]) <= 0.15


def test_a_form_painted_out_of_place_is_found_at_its_own_size() -> None:
    """An eye about 30 mm across that sits 3.5 mm off, all about it in place, is not smoothed away."""
    eye = _features("chelsea")[1]
    moved = Displacement(SIZE, bumps=((float(eye[0]), float(eye[1]), 2.8, -2.1, 14.0),))
    drift = _measured("chelsea", "texture", moved)
    mark = drift.landmarks[1]
    assert (mark.dx_mm, mark.dy_mm) == pytest.approx((2.8, -2.1), abs=0.5)
    assert mark.confidence >= 0.5
    assert (mark.local_dx_mm, mark.local_dy_mm) == pytest.approx((2.8, -2.1), abs=0.5)
    assert np.hypot(*drift.whole.shift_mm) <= 0.1


def test_shift_turn_and_scale_are_told_apart_from_one_stray_form() -> None:
    moved = Displacement(SIZE, (1.8, -1.2), 0.4, 1.006, ((250.0, 140.0, 4.0, 1.0, 25.0),))
    whole = _measured("chelsea", "texture", moved).whole
    assert whole.shift_mm == pytest.approx((1.8, -1.2), abs=0.3)
    assert whole.turn_deg == pytest.approx(0.4, abs=0.1)
    assert whole.scale == pytest.approx(1.006, abs=0.002)
    assert whole.shift_sigma_mm <= 0.3


def test_a_painting_far_off_as_a_whole_is_found() -> None:
    """12 mm and 2 degrees: 19 mm at a corner, well beyond the search."""
    moved = Displacement(SIZE, (10.0, -7.0), 2.0, 1.01)
    drift = _measured("coffee", "texture", moved)
    error, confidence = _errors(drift, moved)
    assert drift.whole.turn_deg == pytest.approx(2.0, abs=0.1)
    assert np.percentile(error[confidence >= 0.5], 95) <= P95_MM
    assert (confidence >= 0.5).mean() >= 0.7


def test_an_earth_underpainting_is_read_by_its_values() -> None:
    moved = _random(5, 4.0)
    linear = references.linear(references.pixels("coffee", SIZE, width=1200))
    painted = paint(linear, moved, brushwork="texture", px_per_mm=PX_PER_MM).linear
    grey = painted @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    canvas = Flat((grey[..., None] * EARTH).astype(np.float32), PX_PER_MM, SIZE)
    drift = measure_drift(Flat(linear, PX_PER_MM, SIZE), canvas, landmarks=_marks(_features("coffee")))
    error, confidence = _errors(drift, moved)
    assert (confidence >= 0.5).mean() >= 0.6
    assert np.percentile(error[confidence >= 0.5], 95) <= P95_MM


def test_bare_ground_is_not_told_and_the_rest_is() -> None:
    moved = _random(6, 4.0)
    reference, canvas = _pair("chelsea", "texture", moved)
    part = canvas.linear.copy()
    ground = np.random.default_rng(1).normal(1, 0.05, (*part.shape[:2], 1)) * np.array([0.42, 0.33, 0.22])
    part[:, 800:] = ground[:, 800:]
    drift = measure_drift(reference, Flat(part, PX_PER_MM, SIZE), landmarks=_marks(_grid()))
    error, confidence = _errors(drift, moved)
    painted_x = _grid()[:, 0] + moved.at(_grid())[:, 0]
    assert (confidence[painted_x > 275] < 0.5).all()
    told = (confidence >= 0.5) & (painted_x < 260)
    assert told[painted_x < 260].mean() >= 0.7
    assert np.percentile(error[told], 95) <= P95_MM


def test_a_line_drawing_on_a_toned_ground_is_followed_by_its_outlines() -> None:
    """Before any paint: lines alone (by scikit-image's Canny) where the displaced picture has its edges."""
    moved = _random(4, 4.0)
    linear = references.linear(references.pixels("astronaut", SIZE, width=1200))
    light = np.cbrt(paint(linear, moved, brushwork="none", px_per_mm=PX_PER_MM).linear.mean(axis=2))
    lines = gaussian(dilation(canny(light, sigma=3, low_threshold=0.02, high_threshold=0.05)).astype(float), 1)
    grain = np.random.default_rng(1).normal(1, 0.03, lines.shape)
    ground = ((1 - 0.8 * lines) * grain)[..., None] * np.array([0.45, 0.38, 0.29])
    canvas = Flat(ground.astype(np.float32), PX_PER_MM, SIZE)
    drift = measure_drift(Flat(linear, PX_PER_MM, SIZE), canvas, landmarks=_marks(_features("astronaut")))
    error, confidence = _errors(drift, moved)
    told = confidence >= 0.5
    assert told.mean() >= 0.2
    assert np.percentile(error[told], 95) <= 1.2
    assert np.median(error) <= 0.6


def test_another_picture_is_not_told() -> None:
    reference, _ = _pair("chelsea", "texture", IN_PLACE)
    canvas, _ = _pair("coffee", "texture", IN_PLACE)
    drift = measure_drift(reference, canvas, landmarks=_marks(_features("chelsea")))
    assert all(mark.confidence < 0.5 for mark in drift.landmarks)
    assert drift.whole.shift_mm == (0.0, 0.0)
    assert np.isnan(drift.field_dx_mm).all()


def test_what_is_withheld_is_not_believed() -> None:
    reference, canvas = _pair("chelsea", "texture", IN_PLACE)
    withheld = np.zeros(canvas.linear.shape[:2], bool)
    withheld[:, :600] = True
    marks = _marks(np.array([[100.0, 150.0], [300.0, 150.0]]))
    hidden, shown = measure_drift(reference, canvas, landmarks=marks, withheld=withheld).landmarks
    assert hidden.confidence < 0.5 <= shown.confidence
    unseen = Flat(canvas.linear, PX_PER_MM, SIZE, seen=~withheld)
    assert measure_drift(reference, unseen, landmarks=marks).landmarks[0].confidence < 0.5


def test_the_fields_lie_on_the_millimetre_grid_and_agree_with_the_landmarks() -> None:
    drift = _measured(*CASES[0])
    for field in (drift.field_dx_mm, drift.field_dy_mm, drift.field_confidence, drift.filled_dx_mm, drift.filled_dy_mm):
        assert field.shape == (300, 400)
        assert field.dtype == np.float32
    assert (np.isnan(drift.field_dx_mm) == (drift.field_confidence < 0.5)).all()
    for mark in drift.landmarks:
        row, column = int(mark.y_mm), int(mark.x_mm)
        assert drift.filled_dx_mm[row, column] == pytest.approx(mark.dx_mm, abs=0.15)
        assert drift.filled_dy_mm[row, column] == pytest.approx(mark.dy_mm, abs=0.15)


def test_the_reference_is_moved_to_where_the_painting_has_it() -> None:
    name, brushwork, moved = CASES[2]
    reference, _ = _pair(name, brushwork, moved)
    meant = paint(reference.linear, moved, brushwork="none", px_per_mm=PX_PER_MM).linear
    followed = warp_reference(reference, _measured(name, brushwork, moved))
    assert np.abs(followed - meant).mean() < 0.25 * np.abs(reference.linear - meant).mean()
    grey = warp_reference(reference.linear[..., 1].copy(), _measured(name, brushwork, moved))
    np.testing.assert_allclose(grey, followed[..., 1], rtol=0, atol=1e-5, equal_nan=False)


def test_a_landmark_off_the_canvas_is_not_told() -> None:
    reference, canvas = _pair("chelsea", "texture", IN_PLACE)
    mark = measure_drift(reference, canvas, landmarks=[Landmark("off", 420.0, 100.0)]).landmarks[0]
    assert mark.confidence == 0.0


def test_two_canvases_are_refused_and_a_stop_is_heard() -> None:
    reference, canvas = _pair("chelsea", "texture", IN_PLACE)
    with pytest.raises(DrawingError, match="same size"):
        measure_drift(Flat(reference.linear, PX_PER_MM, Size(300, 400)), canvas)

    def stop(share: float, doing: str) -> None:
        raise CancelledError("stopped")

    with pytest.raises(CancelledError):
        measure_drift(reference, canvas, progress=stop)
