"""The whole check on known truth: a simulated painting of scikit-image's cat, seen by a simulated phone."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from core.blank import OTHER_PLACE
from core.check import CheckRequest, working_px_per_mm
from core.check_files import as_maps
from core.check_light import light_of
from core.check_pictures import value_picture
from core.errors import CancelledError, PainterError
from core.millimetre_maps import on_millimetres, value_on_millimetres
from core.photo import load_photo_bytes
from core.size import Size
from core.value.contour_lines import contour_lines
from core.value.keying import Keying
from core.value.light import LightCorrection
from core.value.reach import Reach
from tests.core.check_case import CAMERA, DISPLACEMENT, FAULT, SIZE, cat_case, cat_result, checked, small_request
from tests.studio.camera import photograph_blank, stand_before

MEDIAN_MM, P95_MM, SHARE_TOLD = 0.4, 1.2, 0.7
VALUE_ERROR_STEPS = 0.25


def test_drift_meets_its_bars() -> None:
    result, truth = cat_result(), DISPLACEMENT.at(cat_case().landmarks)
    told = np.array([mark.confidence >= 0.5 for mark in result.drift.landmarks])
    found = np.array([(mark.dx_mm, mark.dy_mm) for mark in result.drift.landmarks])
    errors = np.linalg.norm(found - truth, axis=1)[told]
    assert told.mean() >= SHARE_TOLD
    assert np.median(errors) <= MEDIAN_MM
    assert np.percentile(errors, 95) <= P95_MM


def test_the_whole_drawing_is_told_apart_from_the_local_part() -> None:
    whole = cat_result().drift.whole
    assert whole.shift_mm == pytest.approx(DISPLACEMENT.shift_mm, abs=0.6)
    assert whole.turn_deg == pytest.approx(0.0, abs=0.2)


def test_values_with_a_blank_meet_their_bar() -> None:
    """Mean absolute error of the canvas's values against the paint itself, absolute level included."""
    value = as_maps(cat_result())["value_canvas"]
    truth = cat_case().painted.true_value()
    assert cat_result().light.source == "blank"
    assert np.nanmean(np.abs(value - truth)) <= VALUE_ERROR_STEPS


def test_a_blank_photographed_from_another_place_is_laid_flat_by_its_own_outline() -> None:
    case = cat_case()
    other = stand_before(np.random.default_rng(8), SIZE.aspect, width=2000, height=1500, fill=0.7)
    shot = photograph_blank(case.painted, replace(CAMERA, corners=other))
    result = checked(replace(case.request, blank=load_photo_bytes(shot.jpeg(), "blank.jpg")))
    error = np.abs(as_maps(result)["value_canvas"] - case.painted.true_value())
    assert OTHER_PLACE in result.notes
    assert OTHER_PLACE not in cat_result().notes
    assert np.nanmean(error) <= VALUE_ERROR_STEPS


def test_the_dark_passage_is_found_and_nothing_much_else() -> None:
    areas = cat_result().values.areas
    hits = [a for a in areas if np.hypot(a.x_mm - FAULT.x_mm, a.y_mm - FAULT.y_mm) < 15]
    assert len(hits) == 1
    assert hits[0].steps == pytest.approx(FAULT.steps, abs=0.35)
    assert hits[0].area_cm2 == pytest.approx(FAULT.area_cm2, rel=0.35)
    assert len(areas) - 1 <= 1


def test_the_list_to_mend_is_sorted_and_names_both_questions() -> None:
    mend = cat_result().mend
    assert [finding.weight for finding in mend] == sorted((finding.weight for finding in mend), reverse=True)
    assert {finding.question for finding in mend} == {"drawing", "value"}
    assert any("too dark" in finding.say for finding in mend)


def test_the_answers_say_how_sure_they_are() -> None:
    said = " ".join(cat_result().certainty)
    assert "mm" in said
    assert "±" in said
    assert "Withheld" in said


def test_an_unwanted_check_can_be_stopped() -> None:
    def stop(share: float, doing: str) -> None:
        if share >= 0.4:
            raise CancelledError("stopped")

    with pytest.raises(CancelledError):
        checked(cat_case().request, progress=stop)


def test_corners_that_are_no_canvas_get_a_sentence() -> None:
    crossed = cat_case().corners[[0, 2, 1, 3]]
    with pytest.raises(PainterError, match=r"corner"):
        checked(replace(cat_case().request, corners_px=crossed))


def test_the_millimetre_grid_averages_and_keeps_what_is_withheld() -> None:
    picture = np.arange(40 * 60, dtype=np.float32).reshape(40, 60)
    picture[:, :3] = np.nan
    grid = on_millimetres(picture, Size(30, 20))
    assert grid.shape == (20, 30)
    assert np.isnan(grid[:, 0]).all()
    assert grid[3, 7] == pytest.approx(picture[6:8, 14:16].mean())


def test_large_canvases_are_compared_at_a_resolution_that_fits() -> None:
    assert working_px_per_mm(SIZE, 8.0) == 4.0
    assert working_px_per_mm(SIZE, 2.5) == 2.5
    assert working_px_per_mm(Size(1500, 1000), 3.0) == pytest.approx(1.633, abs=0.01)


def test_light_is_averaged_before_it_becomes_value() -> None:
    """Black and white half and half: Y = 0.5 reads V = 7.54 (ASTM D1535), not the mean of 0 and 10."""
    board = np.zeros((40, 40, 3), np.float32)
    board[::2] = 1.0
    withheld = np.zeros((40, 40), bool)
    withheld[:20] = True
    value = value_on_millimetres(board, Size(20, 20), withheld=withheld)
    assert np.isnan(value[:10]).all()
    assert value[10:] == pytest.approx(7.5377, abs=0.002)


def test_a_keyed_reference_is_what_everything_is_judged_against() -> None:
    """The cat followed the photograph; a reference keyed into a short reach is then off, and the words say which."""
    reach = Reach(3.0, 7.0)
    result = checked(replace(cat_case().request, keying=Keying.EVENLY, reach=reach))
    known = result.value_reference[np.isfinite(result.value_reference)]
    assert (known.min(), known.max()) == pytest.approx((reach.darkest, reach.lightest), abs=0.02)
    assert "Values: judged against the keyed reference (compress evenly, within 3.0 to 7.0)." in result.certainty
    assert any("against the keyed reference" in finding.say for finding in result.mend)
    assert np.nanmin(as_maps(result)["value_reference"]) > 2.9
    assert "keyed" not in " ".join(cat_result().certainty)
    assert not CheckRequest(cat_case().request.reference, cat_case().request.photo, SIZE, keying=Keying.NONE).keyed


def test_the_value_picture_has_its_contour_lines() -> None:
    """Round the dark passage the line of one whole step, dashed and light."""
    result = cat_result()
    near = [
        line.points_mm
        for line in contour_lines(result.values)
        if line.level == -1.0 and np.hypot(*(line.points_mm.mean(axis=0) - (FAULT.x_mm, FAULT.y_mm))) < 15
    ]
    column, row = np.rint(max(near, key=len) * result.canvas.px_per_mm - 0.5).astype(int).T
    light = (value_picture(result)[row, column] > 200).all(axis=1).mean()
    assert 0.35 < light < 0.8


def test_contrast_that_the_light_left_over_is_said_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def with_contrast(*arguments: Any, **options: Any) -> tuple[LightCorrection, tuple[str, ...]]:
        light, notes = light_of(*arguments, **options)
        return replace(light, contrast_left=0.1), notes

    assert not any("contrast" in line for line in cat_result().certainty)
    monkeypatch.setattr("core.check.light_of", with_contrast)
    told = [line for line in checked(small_request()).certainty if "contrast" in line]
    assert len(told) == 1
    assert "tone curve" in told[0]
