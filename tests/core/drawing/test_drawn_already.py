"""Lines that are there already, and lines that are not."""

import numpy as np

from core.drawing.drawing import Drawing, Line
from core.drawing.drawn_already import drawn_already
from core.size import Size

CANVAS = Size(400, 300)


def level(y: float, left: float = 50.0, right: float = 150.0) -> Line:
    return Line.through(np.array([[left, y], [right, y]]))


def test_a_line_that_runs_along_a_drawn_one_is_there_already():
    there = Drawing(CANVAS, (level(100.0),))
    asked = [level(100.4), level(104.0), level(100.0, 60.0, 140.0), level(100.0, 50.0, 300.0), level(100.0, -20.0, 5.0)]
    assert drawn_already(asked, there).tolist() == [True, False, True, False, False]


def test_a_line_that_only_crosses_is_not():
    across = Line.through(np.array([[100.0, 50.0], [100.0, 150.0]]))
    assert drawn_already([across], Drawing(CANVAS, (level(100.0),))).tolist() == [False]


def test_nothing_drawn_and_nothing_asked():
    assert drawn_already([level(1.0)], Drawing(CANVAS)).tolist() == [False]
    assert drawn_already([], Drawing(CANVAS, (level(1.0),))).tolist() == []
