"""How the questions count in the list to mend."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.stretches import Stretch, Verdict
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


def edge(number: int, weight: float) -> Stretch:
    """An edge of its own place, far from the others."""
    at = 25.0 * number + 10
    path = np.array([[at, 50.0], [at, 65.0]])
    kind, bounds = EdgeKind.HARD, EdgeBounds()
    return Stretch(at, 57, at, 57, 15, 0.3, 2.4, 0.3, kind, False, Verdict.SOFT, 3.0, weight, bounds, path)


def test_where_most_edges_are_off_that_comes_first_and_only_the_heaviest_beside_it() -> None:
    faults = [edge(number, 2.0 - 0.1 * number) for number in range(12)]
    alone = to_mend(still(), (), SIZE, edges=faults)
    assert [each.passage for each in alone] == list(range(1, 13))
    whole = to_mend(still(), (), SIZE, edges=faults, edges_whole="Most edges are too soft.")
    assert whole[0].say == "Most edges are too soft."
    assert [each.passage for each in whole] == [None, 1, 2, 3, 4, 5]


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
