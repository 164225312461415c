import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from core.colorimetry import luminance_of_value, munsell_value
from core.value.squint import squint
from tests.studio import references


@pytest.mark.parametrize("sigma_px", [1.0, 4.0, 11.9, 30.0])
def test_blur_is_a_gaussian_in_linear_light(sigma_px: float) -> None:
    """scipy.ndimage.gaussian_filter is the outside standard; wide blurs go by way of a reduced picture."""
    linear = references.linear(np.ascontiguousarray(references.skimage.data.coffee()))
    mine = squint(linear, sigma_px / 4, 4.0)
    exact = gaussian_filter(linear, (sigma_px, sigma_px, 0), mode="reflect", truncate=5)
    assert np.abs(mine - exact).max() < 0.012
    assert np.abs(mine - exact).mean() < 0.001


def test_values_are_blurred_as_light() -> None:
    value = np.random.default_rng(5).uniform(0, 10, (60, 80)).astype(np.float32)
    mine = squint(value, 2.0, 1.0)
    exact = munsell_value(gaussian_filter(luminance_of_value(value), 2.0, mode="reflect"))
    assert mine == pytest.approx(exact, abs=0.02)
    assert mine.dtype == np.float32


def test_nothing_changes_without_blur_or_without_contrast() -> None:
    flat = np.full((30, 40), 6.2, np.float32)
    assert squint(flat, 5.0, 2.0) == pytest.approx(flat, abs=2e-3)
    picture = np.random.default_rng(1).uniform(0, 1, (9, 8, 3)).astype(np.float32)
    assert (squint(picture, 0.0, 2.0) == picture).all()


def test_bad_input_is_refused() -> None:
    with pytest.raises(ValueError, match="0 mm or more"):
        squint(np.ones((3, 3)), -1.0, 1.0)
    with pytest.raises(ValueError, match="linear light"):
        squint(np.ones((3, 3, 4)), 1.0, 1.0)
