"""What is asked of an edge plan: kept as plain data, and refused in words when it cannot be."""

import json
import math
from typing import Any

import pytest

from core.edge.brief import Brushed, EdgeBrief, EyeSettings, FocalPoint, usual_radius_mm
from core.edge.kinds import EdgeBounds, EdgeKind
from core.errors import PainterError
from core.size import Size

SIZE = Size(400, 300)
FULL = EdgeBrief(
    SIZE,
    (FocalPoint(120.5, 80, 40), FocalPoint(300, 0, 12.25)),
    (Brushed(((10, 10), (40, 12.5)), 8, EdgeKind.LOST), Brushed(((5, 5),), 3, EdgeKind.HARD)),
    0.15,
    EyeSettings(1500, 2.5),
    EdgeBounds(0.4, 1.0, 3.0),
)


@pytest.mark.parametrize("brief", [FULL, EdgeBrief(SIZE), EdgeBrief(SIZE, wanted_hard=0.0)])
def test_what_is_written_is_read_back(brief: EdgeBrief) -> None:
    assert EdgeBrief.from_json(json.loads(json.dumps(brief.to_json(), allow_nan=False))) == brief


def test_the_usual_bounds_are_those_of_the_canvas() -> None:
    assert EdgeBrief(Size(800, 600)).kind_bounds == EdgeBounds(1.0, 3.0, 8.0)
    assert FULL.kind_bounds == EdgeBounds(0.4, 1.0, 3.0)


def test_the_usual_radius_grows_with_the_canvas() -> None:
    assert usual_radius_mm(SIZE) == pytest.approx(50.0)
    assert usual_radius_mm(Size(800, 600)) == pytest.approx(100.0)


@pytest.mark.parametrize("at", [(-1.0, 10.0), (401.0, 10.0), (10.0, -0.5), (10.0, 300.5)])
def test_a_focal_point_off_the_canvas_is_refused(at: tuple[float, float]) -> None:
    with pytest.raises(PainterError, match=r"lies off the canvas, which is 400 × 300 mm"):
        EdgeBrief(SIZE, (FocalPoint(*at, 10.0),))


@pytest.mark.parametrize("radius", [0.0, -3.0, math.inf, math.nan])
def test_a_radius_that_holds_nothing_is_refused(radius: float) -> None:
    with pytest.raises(PainterError, match="Give a radius above 0 mm"):
        FocalPoint(10, 10, radius)


def test_a_radius_that_no_canvas_has_is_refused() -> None:
    assert FocalPoint(10, 10, 10_000).radius_mm == 10_000
    with pytest.raises(PainterError, match=r"reaches beyond any canvas\. Give one of 100 m or less"):
        FocalPoint(10, 10, 1e300)


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_places_that_are_not_known_are_refused(number: float) -> None:
    with pytest.raises(PainterError, match="focal point is not known"):
        FocalPoint(number, 10, 5)
    with pytest.raises(PainterError, match="stroke over the edges is not known"):
        Brushed(((1.0, number),), 4, EdgeKind.SOFT)


@pytest.mark.parametrize("width", [0.0, -1.0, math.nan, math.inf])
def test_a_brush_without_width_is_refused(width: float) -> None:
    with pytest.raises(PainterError, match="Give a width above 0 mm"):
        Brushed(((1.0, 1.0),), width, EdgeKind.SOFT)


def test_a_stroke_of_no_points_is_refused() -> None:
    with pytest.raises(PainterError, match="at least one point"):
        Brushed((), 4, EdgeKind.SOFT)


@pytest.mark.parametrize("distance", [0.0, 99.0, 20_001.0, math.nan])
def test_no_distance_to_look_from_is_refused(distance: float) -> None:
    with pytest.raises(PainterError, match="no distance to look at a canvas from"):
        EyeSettings(distance)


@pytest.mark.parametrize("strength", [-0.1, 3.1, math.nan])
def test_a_strength_beyond_reason_is_refused(strength: float) -> None:
    with pytest.raises(PainterError, match="from 0 to 3 times as strong"):
        EyeSettings(1000, strength)


@pytest.mark.parametrize("share", [-0.01, 1.01, math.nan])
def test_a_share_outside_the_whole_is_refused(share: float) -> None:
    with pytest.raises(PainterError, match="between 0 and 100 %"):
        EdgeBrief(SIZE, wanted_hard=share)


@pytest.mark.parametrize(
    "change",
    [
        {"size_mm": None},
        {"size_mm": [400]},
        {"size_mm": "400x300"},
        {"foci": {"x": 1}},
        {"foci": [[1, 2]]},
        {"foci": [[1, 2, "wide"]]},
        {"foci": [[1, 2, True]]},
        {"foci": [[1, 10**400, 5]]},
        {"brushed": [[1, 2]]},
        {"brushed": [{"points_mm": [[1, 2]], "width_mm": 3, "kind": "crisp"}]},
        {"brushed": [{"points_mm": [[1, 2]], "width_mm": None, "kind": "hard"}]},
        {"brushed": [{"width_mm": 3, "kind": "hard"}]},
        {"brushed": [{"points_mm": [[1, 2]], "width_mm": 3, "kind": ["hard"]}]},
        {"wanted_hard": "a few"},
        {"eye": 1000},
        {"eye": {"viewing_mm": 1000}},
        {"bounds_mm": [0.5, 1.5]},
    ],
)
def test_plain_data_that_is_wrong_is_refused_in_words(change: dict[str, Any]) -> None:
    with pytest.raises(PainterError, match=r"cannot be read: .+ Set its focal points again"):
        EdgeBrief.from_json({**FULL.to_json(), **change})


@pytest.mark.parametrize("data", [None, [], "plan", 3])
def test_what_is_no_plan_at_all_is_refused(data: Any) -> None:
    with pytest.raises(PainterError, match="not a set of named entries"):
        EdgeBrief.from_json(data)


def test_wrong_numbers_in_plain_data_are_told_as_elsewhere() -> None:
    with pytest.raises(PainterError, match="radius above 0"):
        EdgeBrief.from_json({**FULL.to_json(), "foci": [[1, 2, 0]]})
    with pytest.raises(PainterError, match="three widths in mm"):
        EdgeBrief.from_json({**FULL.to_json(), "bounds_mm": [1, 1, 2]})
