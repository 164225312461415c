"""Values in the list to mend: passages named by place and landmark, and the whole said once."""

from dataclasses import replace

import numpy as np
import pytest

from core.drawing.drift import Drift, LandmarkDrift, PointsDrift
from core.drawing.drift_whole import WholeDrift
from core.mend import passage_place, to_mend
from core.size import Size
from core.value.compare import ValueComparison, compare_values
from core.value.passages import Passage
from tests.studio.painter import ValueFault, fault_map

SIZE = Size(400, 300)
FAULT = ValueFault(80, 240, 30, 27, -1.2)


def still(*landmarks: LandmarkDrift) -> Drift:
    zero, none = np.zeros((300, 400), np.float32), np.zeros((0, 2))
    points = PointsDrift(none, none, np.zeros(0), none, np.zeros(0), np.zeros(0))
    return Drift(SIZE, landmarks, points, WholeDrift(SIZE), zero, zero, zero + 1, zero, zero)


def mark(name: str, x: float, y: float, dx: float = 0.0, confidence: float = 0.9) -> LandmarkDrift:
    return LandmarkDrift(name, x, y, dx, 0.0, confidence, 0.1, 0.0, 0.0)


def compared(*faults: ValueFault, whole: float = 0.0) -> ValueComparison:
    x = np.linspace(2.5, 7.5, 800)[None, :]
    reference = (x + 0.5 * np.sin(np.linspace(0, 9, 600))[:, None]).astype(np.float32)
    canvas = (reference + whole + fault_map(faults, SIZE, 2.0)).astype(np.float32)
    return compare_values(reference, canvas, px_per_mm=2.0, uncertainty_steps=0.1)


def said(comparison: ValueComparison, *landmarks: LandmarkDrift) -> list[str]:
    found = to_mend(still(*landmarks), comparison.passages, SIZE, relations=comparison.relations)
    return [finding.say for finding in found if finding.question == "value"]


def test_a_passage_is_said_with_place_area_steps_and_how_surely() -> None:
    assert said(compared(FAULT)) == ["Lower left, 25 ± 1 cm²: 1.2 ± 0.2 steps too dark."]


def test_the_nearest_landmark_names_it() -> None:
    marks = (mark("rim", 300, 50), mark("handle", 118, 240), mark("foot", 80, 290))
    assert said(compared(FAULT), *marks) == ["Lower left, beside “handle”, 25 ± 1 cm²: 1.2 ± 0.2 steps too dark."]
    assert said(compared(FAULT), *marks, mark("spout", 80, 235))[0].startswith("Lower left, at “spout”, 25")
    assert said(compared(FAULT), marks[0])[0].startswith("Lower left, 25")


def only(comparison: ValueComparison) -> Passage:
    (passage,) = comparison.passages
    return passage


def test_landmarks_are_taken_where_they_are_painted() -> None:
    passage = only(compared(FAULT))
    assert passage_place(passage, (mark("handle", 160, 240, dx=-45.0),), SIZE) == "lower left, beside “handle”"
    unsure = mark("handle", 160, 240, dx=-45.0, confidence=0.2)
    assert passage_place(passage, (unsure,), SIZE) == "lower left"
    unknown = replace(mark("handle", 118, 240), dx_mm=float("nan"), dy_mm=float("nan"), confidence=0.0)
    assert passage_place(passage, (unknown,), SIZE) == "lower left, beside “handle”"


def test_the_whole_is_said_once_and_first() -> None:
    alone = said(compared(whole=-0.6))
    assert alone == ["The relations are right; the whole is 0.6 step too dark."]
    first, second = said(compared(FAULT, whole=-0.6))
    assert first == "The whole is 0.6 step too dark. One passage is off beside that."
    assert second == "Lower left, 25 ± 1 cm²: 1.8 ± 0.2 steps too dark, 1.2 steps too dark beside the whole."
    assert said(compared()) == []


@pytest.mark.parametrize(
    ("surround", "words"),
    [
        (0.0, "steps too dark."),
        (-0.8, "steps too dark; what lies round it is off by as much, so it is right in its relations."),
        (0.6, "steps too dark, 1.8 steps too dark against what lies round it."),
        (float("nan"), "steps too dark."),
    ],
)
def test_the_surround_is_told_where_it_is_off(surround: float, words: str) -> None:
    comparison = compared(FAULT)
    passage = replace(only(comparison), steps=-1.2, surround_steps=surround)
    (say,) = said(replace(comparison, passages=(passage,)))
    assert say.endswith(words)


def test_a_passage_that_may_as_well_be_right_is_not_listed() -> None:
    (passage,) = compared(FAULT).passages
    unsure = replace(passage, steps_uncertainty=abs(passage.steps) + 0.1)
    assert len(to_mend(still(), (passage,), SIZE)) == 1
    assert to_mend(still(), (unsure,), SIZE) == ()
