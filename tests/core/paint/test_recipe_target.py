import numpy as np
import pytest

from core.colorimetry import decode_srgb, delta_e_2000, lab
from core.errors import PaintError
from core.paint.target import Target, value_of
from tests.published.libraries import colour, skimage
from tests.published.paints import USGS_LAB


def test_a_hex_code_is_what_other_libraries_make_of_it() -> None:
    target = Target.of_hex("#c9b79c")
    codes = np.array([0xC9, 0xB7, 0x9C]) / 255.0
    assert target.lab == pytest.approx(skimage.color.rgb2lab(codes[None, None])[0, 0], abs=0.02)
    xyz = colour.sRGB_to_XYZ(codes)
    assert target.value == pytest.approx(float(colour.munsell_value(100 * xyz[1], method="ASTM D1535")), abs=0.01)
    assert target.hex == "#c9b79c"
    assert target.linear_rgb == pytest.approx(decode_srgb(codes), abs=1e-9)


@pytest.mark.parametrize("code", ["#C9B79C", "c9b79c", "  #c9b79c "])
def test_a_code_may_be_written_in_several_ways(code: str) -> None:
    assert Target.of_hex(code) == Target.of_hex("#c9b79c")


def test_a_short_code() -> None:
    assert Target.of_hex("#fa0") == Target.of_hex("#ffaa00")


@pytest.mark.parametrize("code", ["", "#", "#12345", "#1234567", "ochre", "#gggggg", "12 34 56", "#c9b79c\n#"])
def test_what_is_no_code_is_said(code: str) -> None:
    with pytest.raises(PaintError, match="no colour code"):
        Target.of_hex(code)


def test_white_black_and_the_rim_of_srgb() -> None:
    assert Target.of_hex("#ffffff").lab == pytest.approx((100, 0, 0), abs=1e-6)
    assert Target.of_hex("#000000").lab == pytest.approx((0, 0, 0), abs=1e-9)
    assert Target.of_hex("#000000").value == pytest.approx(0)
    for code in ("#ff0000", "#00ff00", "#0000ff", "#ffff00"):
        assert Target.of_lab(Target.of_hex(code).lab).hex == code


def test_outside_srgb_is_said_or_allowed() -> None:
    """Cadmium yellow of a published table lies outside."""
    strong = USGS_LAB["cadmium yellow medium"]
    with pytest.raises(PaintError, match="outside sRGB"):
        Target.of_lab(strong)
    told = Target.of_lab(strong, within_srgb=False)
    assert told.lab == strong
    with pytest.raises(PaintError, match="outside sRGB"):
        Target.of_linear(told.linear_rgb)
    assert Target.of_linear(told.linear_rgb, within_srgb=False).lab == pytest.approx(strong)
    with pytest.raises(PaintError, match="outside sRGB"):
        Target.of_linear((0.2, 1.2, 0.2))


@pytest.mark.parametrize("told", [(float("nan"), 0, 0), (50, float("inf"), 0), (50, 0)])
def test_what_is_no_colour_is_said(told: tuple) -> None:
    with pytest.raises(PaintError, match="Give all three"):
        Target.of_lab(told)
    with pytest.raises(PaintError, match="Give all three"):
        Target.of_linear(told)


@pytest.mark.parametrize("light", [-1.0, 101.0])
def test_lightness_off_its_range_is_said(light: float) -> None:
    with pytest.raises(PaintError, match=r"from 0 \(black\) to 100"):
        Target.of_lab((light, 0, 0), within_srgb=False)


def test_warmth_is_along_its_axis() -> None:
    """cos 50 degrees is 0.6427876."""
    assert Target.of_lab((50, 10, 0)).warmth == pytest.approx(6.427876, abs=1e-6)


def test_value_and_chroma() -> None:
    """Munsell N5 is L* 51.0 (ASTM D1535)."""
    assert float(value_of((51.0, 0, 0))) == pytest.approx(5.0, abs=0.001)
    assert Target.of_lab((50, 3, 4)).chroma == pytest.approx(5)
    light = np.array([0.4, 0.3, 0.2])
    assert delta_e_2000(Target.of_linear(light).lab, lab(light)) == pytest.approx(0, abs=1e-9)
