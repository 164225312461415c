"""Where a sheet lies on the canvas, against what a ruler says."""

import numpy as np
import pytest

from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.scan_place import corners_on, is_outside, laid_on, placing
from core.size import Size

CANVAS, A6 = Size(400.0, 300.0), Size(148.0, 105.0)
SQUARE = np.array([[10.0, 10.0], [90.0, 10.0], [90.0, 90.0], [10.0, 90.0]])


def test_a_sheet_lies_in_the_middle_in_its_own_size() -> None:
    assert corners_on(CANVAS, A6) == pytest.approx(np.array([[126, 97.5], [274, 97.5], [274, 202.5], [126, 202.5]]))
    assert corners_on(CANVAS, CANVAS) == pytest.approx(np.array([[0, 0], [400, 0], [400, 300], [0, 300]]))


def test_a_sheet_that_fills_the_canvas_keeps_its_shape() -> None:
    corners = corners_on(CANVAS, A6, filling=True)
    (width, height) = corners[2] - corners[0]
    assert (width, width / height) == pytest.approx((400.0, 148 / 105))
    assert corners.mean(axis=0) == pytest.approx([200.0, 150.0])
    upright = corners_on(CANVAS, A6.turned, filling=True)
    assert upright[2] - upright[0] == pytest.approx([300 * 105 / 148, 300])


def test_a_shift_goes_right_and_down() -> None:
    assert corners_on(CANVAS, A6, shift_mm=(12.0, -7.5)) - corners_on(CANVAS, A6) == pytest.approx(
        np.tile([12.0, -7.5], (4, 1))
    )


def test_lines_and_landmarks_go_with_the_sheet() -> None:
    drawing = Drawing(
        A6, (Line.through(SQUARE, closed=True, layer="inner form"),), (Landmark("eye", 10.0, 20.0),), ("n",)
    )
    on_canvas = laid_on(drawing, CANVAS, placing(A6, CANVAS, corners_on(CANVAS, A6, shift_mm=(1.0, 2.0))))
    assert (on_canvas.size, on_canvas.notes) == (CANVAS, ("n",))
    assert on_canvas.bounds == pytest.approx((137.0, 109.5, 217.0, 189.5), abs=1e-3)
    (line,), (mark,) = on_canvas.lines, on_canvas.landmarks
    assert (line.closed, line.layer) == (True, "inner form")
    assert (mark.name, mark.x_mm, mark.y_mm) == ("eye", pytest.approx(137.0), pytest.approx(119.5))


def test_the_middle_is_what_no_corners_mean() -> None:
    assert placing(A6, CANVAS, None) == pytest.approx(placing(A6, CANVAS, corners_on(CANVAS, A6)))


@pytest.mark.parametrize(("shift", "outside"), [((0.0, 0.0), False), ((0.0, 110.0), False), ((0.0, 112.6), True)])
def test_what_lies_outside_the_canvas(shift: tuple[float, float], outside: bool) -> None:
    drawing = Drawing(A6, (Line.through(SQUARE, closed=True),))
    assert is_outside(laid_on(drawing, CANVAS, placing(A6, CANVAS, corners_on(CANVAS, A6, shift_mm=shift)))) is outside
    assert not is_outside(Drawing(CANVAS))
