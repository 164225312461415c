"""The value question of a reference as a whole; its parts are measured in tests/core/value."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from core.demo import DEMO, DEMO_SIZE
from core.drawing.svg_read import read_drawing
from core.errors import CancelledError, PainterError, ValuesError
from core.tone import value_of_linear
from core.value.boundaries import equal_boundaries
from core.value.keying import Keying
from core.value.reach import Reach
from core.values import ValuesRequest, ValuesResult, Way, load_values_request, run_values
from core.values_files import write_values


@pytest.fixture(scope="module")
def request_() -> ValuesRequest:
    return load_values_request(DEMO / "reference.jpg", DEMO_SIZE)


@pytest.fixture(scope="module")
def result(request_: ValuesRequest) -> ValuesResult:
    return run_values(replace(request_, way=Way.BEST, count=4, smallest_mm2=200))


def test_the_demos_darks_and_lights_are_where_they_were_rendered(result: ValuesResult) -> None:
    """The jug's mouth and the shade under the fruit are darkest, the window in the glaze is lightest."""
    light = next(mark for mark in result.marks if mark.kind == "light")
    assert light.value > 9.3
    assert (light.x_mm, light.y_mm) == pytest.approx((154, 112), abs=12)
    dark = next(mark for mark in result.marks if mark.kind == "dark")
    assert dark.value < 1.6
    assert (dark.x_mm, dark.y_mm) == pytest.approx((200, 50), abs=25)


def test_everything_is_about_one_picture(result: ValuesResult) -> None:
    assert result.value.shape == result.steps.index.shape == result.regions.label.shape
    assert len(result.order) == len(result.regions.every)
    assert result.steps.count == 4
    assert result.steps.shares.sum() == pytest.approx(1)
    assert min(region.area_mm2 for region in result.regions.every) >= 199


def test_boundaries_are_set_three_ways(request_: ValuesRequest) -> None:
    moved = run_values(replace(request_, way=Way.MOVED, moved=(2.5, 6.0)))
    assert moved.steps.boundaries.tolist() == [2.5, 6.0]
    equal = run_values(replace(request_, count=3))
    assert equal.steps.boundaries == pytest.approx(equal_boundaries(3))
    with pytest.raises(ValuesError, match="must rise"):
        run_values(replace(request_, way=Way.MOVED, moved=(6.0, 2.5)))
    with pytest.raises(ValuesError, match="from 2 to 10"):
        run_values(replace(request_, count=11))


def test_a_keyed_reference_lies_within_the_paint(request_: ValuesRequest) -> None:
    keyed = run_values(replace(request_, keying=Keying.LIGHTS, reach=Reach(2.5, 9.0)))
    assert keyed.value.min() >= 2.49
    assert keyed.value.max() <= 9.01
    assert keyed.outside.dark_share > 0.01
    assert value_of_linear(keyed.reference.linear).min() < 2.0


def test_it_can_be_stopped(request_: ValuesRequest) -> None:
    def stop(share: float, doing: str) -> None:
        if share >= 0.5:
            raise CancelledError("stopped")

    with pytest.raises(CancelledError):
        run_values(request_, progress=stop)


def test_the_files_are_at_canvas_scale(result: ValuesResult, tmp_path: Path) -> None:
    written = write_values(result, tmp_path / "values")
    names = {path.name for path in written}
    steps = {f"step-{k}.png" for k in range(1, 5)}
    pictures = {"grey.png", "steps.png", "first-marks.png", "order-of-work.png", "underpainting.png"}
    assert names == steps | pictures | {"shapes.svg", "grey-pair.pdf", "first-marks.pdf"}
    with Image.open(tmp_path / "values" / "steps.png") as picture:
        assert picture.width / picture.info["dpi"][0] * 25.4 == pytest.approx(DEMO_SIZE.width_mm, abs=0.5)
        assert len(np.unique(np.asarray(picture))) == 4
    shapes = read_drawing(tmp_path / "values" / "shapes.svg", DEMO_SIZE)
    assert len(shapes.lines) > 10
    assert {line.layer for line in shapes.lines} == {"value step"}


def test_a_place_that_cannot_be_written_is_said(result: ValuesResult, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(PainterError, match="cannot be made"):
        write_values(result, tmp_path / "taken")
