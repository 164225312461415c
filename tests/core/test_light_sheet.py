"""light.png: the bars, swatches and greys on it agree with the numbers they stand for."""

import numpy as np
import pytest

from core.colorimetry import decode_srgb, munsell_value
from core.light_sheet import FIELD_HIGH, FIELD_LONG, LightSheet, field_size, light_sheet, neutral_grey, stops_shown
from core.size import Size
from core.value.light import LightCorrection
from core.value.light_pictures import light_pictures

SIZE = Size(400, 300)
CERTAINTY = "Light: taken out by a fit to the reference; values are good to ± 0.2 step."


def light(stops: float, *, fall: float = 0.0, tint: tuple[float, float, float] = (1.0, 1.0, 1.0)) -> LightCorrection:
    """Light of this exposure that falls off from left to right by ``fall``, natural logarithm."""
    log = np.full((30, 40, 3), stops * np.log(2.0)) + np.log(tint)
    log += np.linspace(-0.5, 0.5, 40)[None, :, None] * fall
    gain = np.exp(-log).astype(np.float32)
    return LightCorrection(gain, "blank", 0.1, np.full(gain.shape[:2], 0.1, np.float32), "", (), True)


def part(sheet: LightSheet, box: tuple[int, int, int, int]) -> np.ndarray:
    left, top, right, bottom = box
    return sheet.pixels[top:bottom, left:right]


@pytest.mark.parametrize("stops", [-0.7, -2.25, 0.6, -6.4])
def test_the_exposure_bar_runs_from_0_to_the_exposure(stops: float) -> None:
    sheet = light_sheet(light(stops), SIZE)
    assert sheet.stops == stops_shown(stops)
    axis = part(sheet, sheet.exposure)
    dark = np.flatnonzero((axis < 60).all(axis=(0, 2)))
    per_stop = axis.shape[1] / (sheet.stops[1] - sheet.stops[0])
    ends = sheet.stops[0] + np.array([dark[0], dark[-1] + 1]) / per_stop
    assert ends == pytest.approx(sorted((0.0, stops)), abs=1.5 / per_stop)
    assert len(dark) == dark[-1] - dark[0] + 1


def test_full_exposure_has_no_bar() -> None:
    sheet = light_sheet(light(0.0), SIZE)
    assert not (part(sheet, sheet.exposure) < 60).all(axis=(0, 2)).any()


def test_the_swatches_are_a_light_grey_in_this_light_and_in_none() -> None:
    correction = light(-0.5, tint=(1.2, 1.0, 0.75))
    sheet = light_sheet(correction, SIZE)
    seen, neutral = part(sheet, sheet.seen), part(sheet, sheet.neutral)
    assert (seen == light_pictures(correction, (40, 30)).balance).all()
    assert (neutral == np.array(neutral_grey())).all()
    assert munsell_value(decode_srgb(neutral_grey()[0] / 255)) == pytest.approx(8.0, abs=0.03)
    assert seen.shape == neutral.shape
    assert sheet.seen[2] == sheet.neutral[0]
    lightness = [decode_srgb(each[0, 0] / 255) @ np.array([0.2126, 0.7152, 0.0722]) for each in (seen, neutral)]
    assert lightness[0] == pytest.approx(lightness[1], abs=0.01)


def test_the_field_on_it_has_the_shape_of_the_canvas_and_the_greys_of_its_steps() -> None:
    correction = light(-0.5, fall=np.log(2.0))
    sheet = light_sheet(correction, SIZE)
    field = part(sheet, sheet.field)
    assert field.shape[1] / field.shape[0] == pytest.approx(SIZE.aspect, abs=0.01)
    steps = light_pictures(correction, field.shape[1::-1]).field_steps
    shown = munsell_value(decode_srgb(np.median(field[..., 0], axis=0) / 255))
    off = shown - steps[100]
    plain = np.abs(off - np.median(off)) < 0.05  # all but the lines
    assert plain.mean() > 0.9
    assert np.ptp(shown[plain]) > 1.4
    scale = part(sheet, sheet.scale)
    assert scale.shape[1] == field.shape[1]
    for end in (0, -1):
        assert int(scale[5, end, 0]) == pytest.approx(int(np.median(field[:, end, 0])), abs=2)


@pytest.mark.parametrize("size", [SIZE, Size(150, 500), Size(900, 200)])
def test_nothing_runs_off_it(size: Size) -> None:
    sheet = light_sheet(light(-0.7, fall=0.9, tint=(1.2, 1.0, 0.75)), size, photo="canvas.jpg", certainty=CERTAINTY)
    wide, high = field_size(size)
    assert wide <= FIELD_LONG
    assert high <= FIELD_HIGH
    ground = sheet.pixels[0, 0]
    rim = 30
    for strip in (sheet.pixels[:rim], sheet.pixels[-rim:], sheet.pixels[:, :rim], sheet.pixels[:, -rim:]):
        assert (strip == ground).all()
    boxes = (sheet.field, sheet.scale, sheet.seen, sheet.neutral, sheet.exposure)
    for number, one in enumerate(boxes):
        for other in boxes[:number]:
            apart = one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]
            assert apart
