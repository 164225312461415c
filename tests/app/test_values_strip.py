"""The value strip along a measure, on a check whose maps are known."""

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.measures import End, Measure
from app.values.strip_chart import value_reach
from app.values.strip_fold import StripFold
from core.value.strip import value_strip
from tests.app.test_questions import checked, easel  # noqa: F401
from tests.app.window_case import Easel


def draw(on: Easel, start: tuple[float, float], end: tuple[float, float]) -> StripFold:
    measuring = on.desk.proportion.measuring
    measuring._change(measuring.measures.with_measure(Measure(1, End(start), End(end))))
    fold = on.desk.side.value.strip
    fold.open()
    return fold


def test_the_two_values_along_a_line_are_told(checked: Easel) -> None:  # noqa: F811
    """The passage from 40 to 80 mm across is 1.5 steps too dark; of the line's 100 mm, 60 are right."""
    fold = draw(checked, (20.0, 100.0), (120.0, 100.0))
    assert fold.says.text().startswith("Farthest apart at ")
    at = float(fold.says.text().removeprefix("Farthest apart at ").split(" mm")[0])
    assert 20 <= at <= 60
    assert "1.5 ± 0.3 steps too dark" in fold.says.text()
    assert fold.says.text().endswith("60 % of the line is within half a step.")
    assert fold.chart.strip is not None
    assert fold.chart.strip.distance_mm[-1] == pytest.approx(100)


def test_a_line_where_all_is_right_says_so(checked: Easel) -> None:  # noqa: F811
    assert "The same all along" in draw(checked, (100.0, 20.0), (180.0, 60.0)).says.text()


def test_a_line_that_cannot_be_judged_says_so(checked: Easel) -> None:  # noqa: F811
    assert "Nothing along this line" in draw(checked, (2.0, 20.0), (2.0, 100.0)).says.text()


def test_it_says_what_it_waits_for(checked: Easel, qtbot: QtBot) -> None:  # noqa: F811
    fold = checked.desk.side.value.strip
    fold.open()
    assert "Measure from point to point" in fold.says.text()
    assert fold.chart.isHidden()
    checked.desk.studio.checked = None
    fold.refresh()
    assert "A check of the canvas photo comes first" in fold.says.text()


def test_the_chart_is_no_steeper_than_it_should_be() -> None:
    even = np.full((10, 40), 5.1, np.float32)
    assert value_reach(value_strip(even, even, [(1, 5), (30, 5)], 1.0)) == (4, 7)
    assert value_reach(value_strip(even - 5, even + 4.5, [(1, 5), (30, 5)], 1.0)) == (0, 10)
