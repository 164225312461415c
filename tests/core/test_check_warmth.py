"""The temperature question of a check: a passage painted too warm, told with its place; a grey reference, told."""

from dataclasses import replace
from functools import cache
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.check import CheckRequest, CheckResult
from core.check_files import as_json, as_maps
from core.check_pictures import check_pictures
from core.check_warmth import warmth_of_check
from core.photo import load_photo_bytes
from core.tone import luminance_of_linear
from tests.core.check_case import CAMERA, SIZE, cat_case, cat_result, checked, small_request
from tests.core.temperature.cases import WarmthFault, with_faults
from tests.studio import references
from tests.studio.camera import photograph

FAULT = WarmthFault(250, 150, 34, 28, 12.0)


@cache
def too_warm() -> CheckResult:
    """The cat again, with one passage 12 of T too warm."""
    painted = cat_case().painted
    warmer = replace(painted, linear=with_faults(painted.linear, (FAULT,), SIZE))
    photo = load_photo_bytes(photograph(warmer, CAMERA).jpeg(), "canvas.jpg")
    return checked(replace(cat_case().request, photo=photo))


def test_a_passage_that_is_too_warm_is_on_the_list_with_its_place() -> None:
    (found,) = [each for each in too_warm().mend if each.question == "temperature"]
    assert np.hypot(found.x_mm - FAULT.x_mm, found.y_mm - FAULT.y_mm) < 12
    assert "too warm by 1" in found.say
    assert any(line.startswith("Temperature: each passage") for line in too_warm().certainty)


def test_a_painting_that_is_right_has_none() -> None:
    assert [each for each in cat_result().mend if each.question == "temperature"] == []
    assert as_json(cat_result())["temperature"]["areas"] == []


def test_the_files_hold_the_passage_and_its_map() -> None:
    (area,) = as_json(too_warm())["temperature"]["areas"]
    assert area["warmer_by"] == pytest.approx(FAULT.amount, abs=3)
    assert area["area_cm2"] == pytest.approx(FAULT.area_cm2, rel=0.3)
    difference = as_maps(too_warm())["warmth_difference"]
    y, x = np.mgrid[: difference.shape[0], : difference.shape[1]]
    away = np.hypot((x - FAULT.x_mm) / FAULT.radius_x_mm, (y - FAULT.y_mm) / FAULT.radius_y_mm)
    assert np.nanmedian(difference[away < 0.6]) == pytest.approx(FAULT.amount, abs=2.5)
    assert abs(np.nanmedian(difference[away > 1.5])) < 1


def test_the_picture_numbers_it_as_the_list_does() -> None:
    pixels = check_pictures(too_warm())["temperature"]
    scale = too_warm().canvas.px_per_mm
    row, column = round(FAULT.y_mm * scale), round((FAULT.x_mm - 0.6 * FAULT.radius_x_mm) * scale)
    red, _, blue = (int(code) for code in pixels[row, column])
    assert red > blue + 40  # ochre
    at_the_rim = pixels[row, : round(scale)].astype(int)
    assert (np.ptp(at_the_rim, axis=1) == 0).all()  # what stands behind the canvas is not judged


def test_families_are_told_for_both() -> None:
    told = as_json(cat_result())["temperature"]
    for name in ("reference", "canvas"):
        assert set(told[name]) == {"light", "shadow"}
    assert told["canvas"]["light"] == pytest.approx(told["reference"]["light"], abs=3)


def test_a_grey_reference_is_said_and_hinders_nothing() -> None:
    held = BytesIO()
    Image.fromarray(references.pixels("chelsea", small_request().size, width=800)).convert("L").save(held, "PNG")
    grey: CheckRequest = replace(small_request(), reference=load_photo_bytes(held.getvalue(), "grey.png"))
    result = checked(grey)
    assert result.warmth is None
    assert result.warmth_refused.startswith("This reference has no colour")
    assert any("This reference has no colour" in line for line in result.certainty)
    assert "temperature" not in as_json(result)
    assert "warmth_difference" not in as_maps(result)
    assert "temperature" not in check_pictures(result)


def test_a_canvas_without_colour_is_said_and_nothing_is_made_up() -> None:
    """A grey underpainting or a photo in black and white, its light taken out by a fit that leaves it a tint."""
    result = cat_result()
    grey = luminance_of_linear(result.canvas_lit)[..., None]
    tint = np.float32([1.06, 1.0, 0.9]) ** np.linspace(0, 1, grey.shape[1], dtype=np.float32)[None, :, None]
    told, notes = warmth_of_check(
        result.reference,
        result.reference,
        replace(result.canvas, linear=grey * tint),
        withheld=result.withheld,
        balance_known=False,
    )
    assert told is None
    assert notes[0].startswith("The canvas photo has hardly any of the reference’s colours")
