"""The edge question of a check: a softened place of the painting, told with its place, its width and its maps."""

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from core.check import CheckResult, run_check
from core.check_edges import CheckedEdges, drift_at, edges_as_json, edges_of_check, prepared_edges
from core.edge.compare import ReferenceEdges
from core.edge.stretches import Verdict
from core.photo import load_photo_bytes
from tests.core.check_case import CAMERA, DISPLACEMENT, SIZE, cat_case, cat_result
from tests.studio.camera import photograph

SOFT_AT, SOFT_RADIUS, SOFT_MM = (255.0, 118.0), 22.0, 2.5
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
def softened() -> CheckedEdges:
    painted = cat_case().painted
    y, x = (np.mgrid[: painted.linear.shape[0], : painted.linear.shape[1]] + 0.5) / painted.px_per_mm
    inside = np.clip(SOFT_RADIUS - np.hypot(x - SOFT_AT[0], y - SOFT_AT[1]), 0, 1)[..., None].astype(np.float32)
    soft = cv2.GaussianBlur(painted.linear, (0, 0), SOFT_MM * painted.px_per_mm)
    softer = replace(painted, linear=painted.linear + inside * (soft - painted.linear))
    photo = load_photo_bytes(photograph(softer, CAMERA).jpeg(), "canvas.jpg")
    return asked(run_check(replace(cat_case().request, photo=photo)))[0]


def test_a_painting_that_is_right_has_hardly_a_fault() -> None:
    assert len(right().comparison.faults) <= 1
    assert right().comparison.told_share > 0.6
    assert right().certainty.startswith("Edges: ")


def test_a_softened_place_is_found_where_it_is() -> None:
    faults = softened().comparison.faults
    near = [each for each in faults if np.hypot(each.canvas_x_mm - SOFT_AT[0], each.canvas_y_mm - SOFT_AT[1]) < 27]
    assert near
    assert len(faults) - len(near) <= 1
    assert {each.verdict for each in near} == {Verdict.SOFT}


def test_the_maps_lie_on_the_canvas_in_mm() -> None:
    maps = softened().maps()
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


def test_drift_is_read_between_its_cells() -> None:
    places = np.array([[120.0, 150.0], [250.0, 110.0]])
    assert drift_at(cat_result().drift, places) == pytest.approx(DISPLACEMENT.at(places), abs=0.35)
    assert drift_at(cat_result().drift, np.empty((0, 2))).shape == (0, 2)
