"""The edge question of a check: a softened place of the painting, told with its place, its width and its maps."""

import re
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from core.check import CheckResult
from core.check_edges import LOST_MM, CheckedEdges, drift_at, edges_as_json, edges_of_check, prepared_edges
from core.check_files import as_json, as_maps
from core.check_pictures import check_pictures
from core.edge.brief import EdgeBrief, FocalPoint
from core.edge.compare import ReferenceEdges
from core.edge.kinds import EdgeKind
from core.edge.stretches import Verdict
from core.photo import load_photo_bytes
from tests.core.check_case import CAMERA, DISPLACEMENT, SIZE, cat_case, cat_result, checked
from tests.studio.camera import photograph

SOFT_AT, SOFT_RADIUS, SOFT_MM = (298.0, 134.0), 26.0, 2.5
"""The cat's left eye, where the painting is softened."""


@cache
def reference() -> ReferenceEdges:
    return prepared_edges(cat_result().reference)


def asked(result: CheckResult, **more) -> tuple[CheckedEdges, tuple[str, ...]]:
    lit = replace(result.canvas, linear=result.canvas_lit)
    return edges_of_check(
        result.reference,
        lit,
        drift=result.drift,
        withheld=result.withheld,
        photo=result.request.photo,
        fix=result.fix,
        prepared=reference(),
        **more,
    )


@cache
def right() -> CheckedEdges:
    return asked(cat_result())[0]


@cache
def softened() -> CheckResult:
    painted = cat_case().painted
    y, x = (np.mgrid[: painted.linear.shape[0], : painted.linear.shape[1]] + 0.5) / painted.px_per_mm
    inside = np.clip(SOFT_RADIUS - np.hypot(x - SOFT_AT[0], y - SOFT_AT[1]), 0, 1)[..., None].astype(np.float32)
    soft = cv2.GaussianBlur(painted.linear, (0, 0), SOFT_MM * painted.px_per_mm)
    softer = replace(painted, linear=painted.linear + inside * (soft - painted.linear))
    photo = load_photo_bytes(photograph(softer, CAMERA).jpeg(), "canvas.jpg")
    return checked(replace(cat_case().request, photo=photo))


def softened_edges() -> CheckedEdges:
    found = softened().edges
    assert found is not None
    return found


def test_a_painting_that_is_right_has_hardly_a_fault() -> None:
    assert len(right().comparison.faults) <= 1
    assert right().comparison.told_share > 0.6
    assert right().certainty.startswith("Edges: ")


def test_what_is_told_of_a_bare_canvas_and_of_a_soft_photo() -> None:
    told = right().comparison
    bare = replace(told, canvas_mm=np.where(np.isnan(told.canvas_mm), np.nan, np.inf))
    assert replace(right(), comparison=bare).certainty.endswith("could be judged; no step is left of any.")
    soft = replace(told, uncertainty_mm=1.4 * told.canvas_mm)
    assert "their widths can hardly be told" in replace(right(), comparison=soft).certainty
    none = replace(told, canvas_mm=np.full_like(told.canvas_mm, np.nan), told_share=0.0)
    assert replace(right(), comparison=none).certainty == "Edges: none could be judged."


def test_a_softened_place_is_found_where_it_is() -> None:
    faults = softened_edges().comparison.faults
    near = [each for each in faults if np.hypot(each.canvas_x_mm - SOFT_AT[0], each.canvas_y_mm - SOFT_AT[1]) < 27]
    assert near
    assert len(faults) - len(near) <= 1
    assert {each.verdict for each in near} == {Verdict.SOFT}


def test_the_maps_lie_on_the_canvas_in_mm() -> None:
    maps = softened_edges().maps()
    for picture in maps.values():
        assert picture.shape == (SIZE.height_mm, SIZE.width_mm)
        assert picture.dtype == np.float32
    wanted, seen = maps["edge_reference_mm"], maps["edge_canvas_mm"]
    assert np.isfinite(wanted).sum() > np.isfinite(seen).sum() > 500
    y, x = np.mgrid[: seen.shape[0], : seen.shape[1]]
    inside = np.hypot(x - SOFT_AT[0], y - SOFT_AT[1]) < SOFT_RADIUS - 5
    away = np.hypot(x - SOFT_AT[0], y - SOFT_AT[1]) > SOFT_RADIUS + 15
    assert np.nanmedian(seen[inside]) > 1.5 + np.nanmedian(wanted[inside])
    assert np.nanmedian(seen[away]) == pytest.approx(np.nanmedian(wanted[away]), rel=0.25)


def test_the_list_has_every_stretch() -> None:
    told = edges_as_json(right())
    assert len(told) == len(right().comparison.stretches) > 20
    for each in told:
        assert set(each) == {"x_mm", "y_mm", "reference_mm", "canvas_mm", "planned"}
        assert each["planned"] in ("hard", "firm", "soft", "lost")


def test_it_is_told_in_the_list_with_its_place_and_width() -> None:
    lines = [each for each in softened().mend if each.question == "edge"]
    assert lines
    assert np.hypot(lines[0].x_mm - SOFT_AT[0], lines[0].y_mm - SOFT_AT[1]) < SOFT_RADIUS + 5
    assert re.search(r"of edge too soft: (\d\.\d ± \d\.\d mm|lost)", lines[0].say)
    faults = softened_edges().comparison.faults
    assert 0.5 * faults[0].weight < lines[0].weight < 0.5 * sum(each.weight for each in faults)
    assert len(lines) < len(faults)  # those close together are one line
    assert re.search(r"more beside it (is|are) too soft as well", lines[0].say)
    assert [each for each in softened().certainty if each.startswith("Edges: ")]


def test_it_is_in_the_files_and_numbered_on_its_picture() -> None:
    told = as_json(softened())["edge"]["edges"]
    near = [each for each in told if np.hypot(each["x_mm"] - SOFT_AT[0], each["y_mm"] - SOFT_AT[1]) < SOFT_RADIUS]
    assert max(each["canvas_mm"] - each["reference_mm"] for each in near) > 1.5
    assert max(each["canvas_mm"] for each in told) <= LOST_MM
    assert {"edge_reference_mm", "edge_canvas_mm"} <= set(as_maps(softened()))
    pixels = check_pictures(softened())["edge"]
    assert pixels.shape == softened().canvas.linear.shape
    x, y = (round(each * softened().canvas.px_per_mm) for each in SOFT_AT)
    around = round(SOFT_RADIUS * softened().canvas.px_per_mm)
    there = pixels[y - around : y + around, x - around : x + around].reshape(-1, 3).astype(int)
    assert (np.abs(there - (245, 184, 36)).max(axis=1) < 8).sum() > 200  # the dots of what is too soft


def test_a_plan_asks_for_softer_edges_away_from_its_focal_point() -> None:
    brief = EdgeBrief(SIZE, (FocalPoint(60.0, 220.0, 25.0),))
    by_plan = asked(cat_result(), brief=brief)[0].comparison
    far = [each for each in by_plan.stretches if np.hypot(each.x_mm - 60, each.y_mm - 220) > 150]
    assert all(each.by_plan for each in by_plan.stretches)
    assert {each.planned for each in far} & {EdgeKind.SOFT, EdgeKind.LOST}
    hard = [each for each in by_plan.faults if each.verdict is Verdict.HARD]
    assert len(hard) > 3  # the painting has them as the photograph does
    assert not [each for each in hard if np.hypot(each.x_mm - 60, each.y_mm - 220) < 20]


@pytest.mark.slow
def test_a_photo_out_of_focus_is_said() -> None:
    photo = load_photo_bytes(photograph(cat_case().painted, replace(CAMERA, blur_px=7.0)).jpeg(), "canvas.jpg")
    result = checked(replace(cat_case().request, photo=photo))
    assert [each for each in result.certainty if "out of focus" in each and "Photograph it again" in each]


def test_drift_is_read_between_its_cells() -> None:
    places = np.array([[120.0, 150.0], [250.0, 110.0]])
    assert drift_at(cat_result().drift, places) == pytest.approx(DISPLACEMENT.at(places), abs=0.35)
    assert drift_at(cat_result().drift, np.empty((0, 2))).shape == (0, 2)
