import numpy as np
import pytest

from core import colorimetry
from core.value.helmholtz_kohlrausch import ADAPTING_CD_M2, lighter_by, looks_lighter
from tests.published.libraries import colour, skimage
from tests.studio import references

WHITE_UV = (0.19783001, 0.46831999)


def test_as_colour_science_has_it() -> None:
    """Nayatani 1997, object colours, VAC, on random colours: L* times its factor, turned back into value."""
    linear = np.random.default_rng(4).uniform(0.02, 1, (40, 50, 3)).astype(np.float32)
    xyz = colorimetry.xyz(linear)
    uv = colour.Luv_to_uv(colour.XYZ_to_Luv(xyz, [0.3127, 0.3290]), [0.3127, 0.3290])
    white = colour.xy_to_Luv_uv([0.3127, 0.3290])
    factor = colour.HelmholtzKohlrausch_effect_object_Nayatani1997(uv, white, ADAPTING_CD_M2, method="VAC")
    alike = colorimetry.luminance_of_lightness(factor * colorimetry.lightness(xyz[..., 1]))
    expected = colorimetry.munsell_value(alike) - colorimetry.munsell_value(xyz[..., 1])
    assert lighter_by(linear) == pytest.approx(expected, abs=0.01)


def test_the_published_example() -> None:
    """colour-science's worked example: u' v' (0.40351010, 0.54933946) against D65 at 63.66 cd/m²: VAC 1.260466."""
    y = 0.2
    u, v = 0.40351010, 0.54933946
    x, z = y * 9 * u / (4 * v), y * (12 - 3 * u - 20 * v) / (4 * v)
    linear = colorimetry.rgb_from_xyz(np.array([[[x, y, z]]])).astype(np.float32)
    lighter = colorimetry.luminance_of_lightness(1.260466 * colorimetry.lightness(y))
    expected = colorimetry.munsell_value(lighter) - colorimetry.munsell_value(y)
    assert lighter_by(linear)[0, 0] == pytest.approx(expected, abs=0.02)


def test_greys_look_as_they_are() -> None:
    greys = np.repeat(np.linspace(0, 1, 50, dtype=np.float32)[None, :, None], 3, axis=2)
    assert lighter_by(greys) == pytest.approx(0, abs=0.02)
    found = looks_lighter(np.repeat(greys, 20, axis=0), px_per_mm=1)
    assert (found.places, found.share, found.note) == ((), 0.0, "")


def test_a_saturated_passage_is_named_with_its_place() -> None:
    linear = np.full((100, 150, 3), 0.2, np.float32)
    linear[20:60, 30:80] = (0.5, 0.02, 0.02)
    found = looks_lighter(linear, px_per_mm=1)
    (place,) = found.places
    assert (place.x_mm, place.y_mm) == pytest.approx((55, 40), abs=16)
    assert place.area_cm2 == pytest.approx(20)
    assert place.steps > 0.5
    assert "lighter than it measures" in found.note


def test_a_photograph_in_strong_colour_has_more_of_it() -> None:
    cat, astronaut = (
        looks_lighter(references.linear(np.ascontiguousarray(getattr(skimage.data, name)()[::2, ::2, :3])), px_per_mm=1)
        for name in ("chelsea", "astronaut")
    )
    assert cat.share < 0.06  # fur
    assert 0.06 < astronaut.share < 0.6  # an orange suit, a red flag
