"""How the questions count in the list to mend."""

import math
from dataclasses import replace

import pytest

from core.errors import PainterError
from core.mend import to_mend
from core.mend_weights import USUAL_WEIGHTS, MendWeights
from tests.core.test_mend_values import FAULT, SIZE, compared, mark, still


def questions(weights: MendWeights) -> list[tuple[str, float]]:
    comparison = compared(FAULT)
    found = to_mend(still(mark("handle", 300, 60, dx=2.0)), comparison.passages, SIZE, weights=weights)
    return [(finding.question, finding.weight) for finding in found]


def test_drawing_comes_before_value_and_value_before_edge_and_temperature() -> None:
    usual = USUAL_WEIGHTS
    assert usual.drawing > usual.value > max(usual.edge, usual.temperature)


def test_what_counts_more_comes_first_in_proportion() -> None:
    (first, drawing), (second, value) = questions(MendWeights(drawing=4.0, value=1.0))
    assert (first, second) == ("drawing", "value")
    (first, more), (second, less) = questions(MendWeights(drawing=1.0, value=4.0))
    assert (first, second) == ("value", "drawing")
    assert (more, less) == (pytest.approx(4 * value), pytest.approx(drawing / 4))


@pytest.mark.parametrize("weight", [0.0, -1.0, 17.0, math.nan, math.inf])
def test_a_weight_that_is_none_is_refused(weight: float) -> None:
    with pytest.raises(PainterError, match="How much edge counts"):
        replace(USUAL_WEIGHTS, edge=weight)


def test_weights_are_kept_as_plain_data() -> None:
    weights = MendWeights(drawing=1.0, value=8.0)
    assert MendWeights.from_json(weights.to_json()) == weights
    assert MendWeights.from_json({"value": 8.0}) == replace(USUAL_WEIGHTS, value=8.0)


@pytest.mark.parametrize("kept", [None, [], {"value": "much"}, {"value": 0}, {"value": None}])
def test_weights_that_cannot_be_read_are_the_usual_ones(kept: object) -> None:
    assert MendWeights.from_json(kept) == USUAL_WEIGHTS
