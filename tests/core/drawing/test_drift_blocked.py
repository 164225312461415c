"""Drift of paintings that are only blocked in: broad strokes of one colour each, whose edges wobble by the brush."""

import json
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from assets.make_demo import sittings
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, reference_flat
from core.demo import DEMO, DEMO_SIZE
from core.drawing.drawing import Landmark
from core.drawing.drift import Drift, measure_drift
from core.drawing.drift_confidence import tolerance_mm
from core.drawing.svg_read import read_drawing
from core.photo import load_photo
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.painter import ValueFault, paint

SIZE = Size(400, 300)
PX_PER_MM = 2.5
BRUSHES_MM = (6.0, 3.0)
MEDIAN_MM, P95_MM, SHARE_TOLD = 0.3, 1.0, 0.75
FAULTS = (ValueFault(120, 100, 35, 30, -1.2), ValueFault(280, 200, 40, 25, 1.0))
NAMES = ("coffee", "astronaut")


@cache
def _reference(name: str) -> Flat:
    return Flat(references.linear(references.pixels(name, SIZE, width=1000)), PX_PER_MM, SIZE)


@cache
def _blocked_in(name: str) -> tuple[Flat, Displacement]:
    """The canvas in uneven light, and the truth about it."""
    moved = random_displacement(SIZE, np.random.default_rng(len(name)), largest_mm=4.0)
    painted = paint(_reference(name).linear, moved, faults=FAULTS, brushes_mm=BRUSHES_MM, px_per_mm=PX_PER_MM, seed=9)
    fall = np.exp(np.linspace(0.35, -0.35, painted.linear.shape[1]))[None, :, None]
    return Flat((painted.linear * fall).astype(np.float32), PX_PER_MM, SIZE), moved


def _marks(points: NDArray[np.float64]) -> tuple[Landmark, ...]:
    return tuple(Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(points))


def _features(name: str) -> NDArray[np.float64]:
    return references.landmarks(references.pixels(name, SIZE, width=1200), SIZE)


@cache
def _measured(name: str) -> Drift:
    canvas, _ = _blocked_in(name)
    return measure_drift(_reference(name), canvas, landmarks=_marks(_features(name)))


def _errors(drift: Drift, moved: Displacement) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Error in mm and confidence at each landmark."""
    places = np.array([(mark.x_mm, mark.y_mm) for mark in drift.landmarks])
    found = np.array([(mark.dx_mm, mark.dy_mm) for mark in drift.landmarks])
    return np.linalg.norm(found - moved.at(places), axis=1), np.array([mark.confidence for mark in drift.landmarks])


def _meets_the_bars(error: NDArray[np.float64], confidence: NDArray[np.float64]) -> None:
    told = confidence >= 0.5
    assert told.mean() >= SHARE_TOLD
    assert np.median(error) <= MEDIAN_MM
    assert np.percentile(error, 95) <= P95_MM
    assert (error[told] <= tolerance_mm(SIZE)).mean() >= confidence[told].mean()


@pytest.mark.parametrize("name", NAMES)
def test_landmarks_meet_their_bars(name: str) -> None:
    _meets_the_bars(*_errors(_measured(name), _blocked_in(name)[1]))


def test_the_first_sitting_of_the_demo_painting_meets_them() -> None:
    """Photographed by hand in uneven light, with strokes of 2-7 mm; the truth is what its painter was given."""
    told = json.loads((DEMO / "truth.json").read_text())["photos"][0]
    photo = load_photo(DEMO / told["photo"])
    canvas = lay_flat(photo, told["corners_px"], DEMO_SIZE, k1=told["lens_k1"], px_per_mm=PX_PER_MM)
    reference, _ = reference_flat(load_photo(DEMO / "reference.jpg"), DEMO_SIZE, PX_PER_MM)
    drawing = read_drawing(DEMO / "drawing.svg", DEMO_SIZE)
    drift = measure_drift(reference, canvas, landmarks=drawing.landmarks)
    _meets_the_bars(*_errors(drift, sittings()[0].displacement))


def test_it_is_told_with_less_certainty_than_finished_work() -> None:
    """The same picture with its fine strokes too: the wobble of broad ones must show in the sigma that is stated."""
    _, moved = _blocked_in("coffee")
    finished = paint(_reference("coffee").linear, moved, faults=FAULTS, px_per_mm=PX_PER_MM, seed=9).linear
    fine = measure_drift(
        _reference("coffee"), Flat(finished, PX_PER_MM, SIZE), landmarks=_marks(_features("coffee"))
    ).landmarks
    broad = _measured("coffee").landmarks
    assert np.median([mark.sigma_mm for mark in broad]) > 2 * np.median([mark.sigma_mm for mark in fine])


def test_bare_ground_beside_it_is_not_told() -> None:
    canvas, moved = _blocked_in("astronaut")
    part = canvas.linear.copy()
    grain = np.random.default_rng(1).normal(1, 0.05, (*part.shape[:2], 1))
    part[:, :375] = (grain * np.array([0.42, 0.33, 0.22]))[:, :375]
    places = np.stack(np.meshgrid(np.linspace(15, 385, 12), np.linspace(15, 285, 9)), axis=-1).reshape(-1, 2)
    drift = measure_drift(_reference("astronaut"), Flat(part, PX_PER_MM, SIZE), landmarks=_marks(places))
    error, confidence = _errors(drift, moved)
    painted_x = places[:, 0] + moved.at(places)[:, 0]
    assert (confidence[painted_x < 140] < 0.5).all()
    told = (confidence >= 0.5) & (painted_x > 160)
    assert told.sum() >= 20
    assert (error[told] <= tolerance_mm(SIZE)).mean() >= confidence[told].mean()


def test_another_picture_blocked_in_is_not_told() -> None:
    canvas, _ = _blocked_in("coffee")
    drift = measure_drift(_reference("astronaut"), canvas, landmarks=_marks(_features("astronaut")))
    assert all(mark.confidence < 0.5 for mark in drift.landmarks)
    assert np.isnan(drift.field_dx_mm).all()
