import numpy as np
from scipy.spatial import cKDTree

from core.drawing.svg_read import drawing_from_svg
from core.drawing.svg_write import drawing_to_svg
from core.plan_drawing import LAYER, plan_drawing
from core.size import Size
from core.tone import value_of_linear
from core.value.boundaries import Histogram, best_boundaries
from core.value.steps import Steps, steps_between
from tests.studio import references

CANVAS = Size(400, 300)


def steps_of(value: np.ndarray, boundaries: np.ndarray, smallest_mm2: float = 30.0) -> Steps:
    return steps_between(value, boundaries, px_per_mm=value.shape[1] / CANVAS.width_mm, smallest_mm2=smallest_mm2)


def test_shapes_are_drawn_where_their_edges_are_in_mm() -> None:
    y, x = (np.indices((600, 800)) + 0.5) / 2
    value = np.where(np.hypot(x - 140, y - 120) < 60, 2.0, 6.0) + np.where(x > 300, 2.0, 0.0)
    drawing = plan_drawing(steps_of(value, np.array([4.0, 7.0])), CANVAS)
    ring, edge = sorted(drawing.lines, key=lambda line: -line.closed)
    assert {line.layer for line in drawing.lines} == {LAYER}
    around = ring.polyline(0.02)
    assert ring.closed
    assert np.abs(np.hypot(*(around - [140, 120]).T) - 60).max() < 0.35
    assert np.abs(edge.polyline(0.02)[:, 0] - 300).max() < 0.3


def test_a_photograph_becomes_a_drawing_that_survives_its_file() -> None:
    value = value_of_linear(references.linear(references.pixels("coffee", CANVAS, width=800)))
    steps = steps_of(value, best_boundaries(Histogram.of(value), 4))
    drawing = plan_drawing(steps, CANVAS)
    again = drawing_from_svg(drawing_to_svg(drawing), CANVAS)
    assert len(again.lines) == len(drawing.lines) > 20
    assert {line.layer for line in again.lines} == {LAYER}
    row, column = np.nonzero(steps.index[:, 1:] != steps.index[:, :-1])
    sides = np.stack([column + 1.0, row + 0.5], axis=1) / 2
    away, _ = cKDTree(drawing.sampled(0.3).points).query(sides)
    assert (away < 0.8).mean() > 0.99


def test_one_step_gives_an_empty_drawing() -> None:
    drawing = plan_drawing(steps_of(np.full((300, 400), 5.0), np.array([4.0])), CANVAS)
    assert drawing.lines == ()
