"""The drawing in the list to mend where it has no landmarks: the whole said once, and what is off beside it."""

import numpy as np

from core.drawing.drift import Drift, PointsDrift
from core.drawing.drift_whole import WholeDrift
from core.mend import to_mend
from core.size import Size

SIZE = Size(400, 300)


def drifted(shift_mm: tuple[float, float], bump_mm: float) -> Drift:
    """Everything out of place by a shift that was told for the whole, and one form by more, to the right."""
    y, x = np.indices((300, 400)) + 0.5
    bump = bump_mm * np.exp(-((x - 100) ** 2 + (y - 80) ** 2) / (2 * 20.0**2))
    dx, dy = (shift_mm[0] + bump).astype(np.float32), np.full((300, 400), shift_mm[1], np.float32)
    none = np.zeros((0, 2))
    points = PointsDrift(none, none, np.zeros(0), none, np.zeros(0), np.zeros(0))
    return Drift(SIZE, (), points, WholeDrift(SIZE, shift_mm), dx, dy, np.ones_like(dx), dx * 0, dx * 0)


def test_the_whole_is_said_once_and_a_form_beside_it() -> None:
    said = [finding.say for finding in to_mend(drifted((1.4, 0.0), 3.0), (), SIZE)]
    assert sorted(said) == [
        "The form at the upper left is painted 3.0 mm too far right beside the whole.",
        "The whole drawing sits 1.4 mm too far right.",
    ]


def test_where_the_whole_is_in_place_a_form_is_said_as_it_is() -> None:
    (said,) = [finding.say for finding in to_mend(drifted((0.0, 0.0), 3.0), (), SIZE)]
    assert said == "The form at the upper left is painted 3.0 mm too far right."
