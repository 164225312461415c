"""What the simulated painter does is what it says: the truth that other tests go by."""

from dataclasses import replace

import numpy as np
import pytest

from core.colorimetry import encode_srgb
from core.size import Size
from tests.studio.camera import encoded_srgb
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.displacement_shapes import Radial
from tests.studio.faults import random_ellipses
from tests.studio.painter import grid_mm

SIZE = Size(200, 150)
BUMPS = random_displacement(SIZE, np.random.default_rng(3), largest_mm=4.0, bumps=12)
TRUTHS = {
    "in place": Displacement(SIZE),
    "bumps": BUMPS,
    "whole and bumps": replace(BUMPS, shift_mm=(2.0, -1.0), turn_deg=0.7, scale=1.01),
    "an eye": Displacement(SIZE, bumps=((90.0, 60.0, 1.2, -0.8, 7.0),)),
    "a head": Radial(SIZE, (100.0, 75.0), 40.0, 3.0),
}


@pytest.mark.parametrize("name", TRUTHS)
def test_a_painted_place_lies_where_the_displacement_puts_it(name: str) -> None:
    truth = TRUTHS[name]
    painted = np.stack(grid_mm(SIZE, 2.0), axis=-1)
    should = truth.inverse_over(painted[0, :, 0], painted[:, 0, 1])
    np.testing.assert_allclose(should + truth.at(should), painted, rtol=0, atol=1e-7, equal_nan=False)
    if name != "in place":
        assert np.abs(should - painted).max() > 1


def test_a_photo_is_encoded_as_the_standard_says() -> None:
    light = np.linspace(0, 1, 100_001, dtype=np.float32)[:, None]
    np.testing.assert_allclose(encoded_srgb(light), encode_srgb(light), rtol=0, atol=1e-6, equal_nan=False)


def test_faults_do_not_touch_and_cover_what_is_asked() -> None:
    shares = []
    for seed in range(40):
        made = random_ellipses(
            np.random.default_rng(seed), (400.0, 300.0), share=0.1, smallest_mm2=900, margin=0.05, amounts=(0.7, 2.0)
        )
        shares.append(sum(np.pi * rx * ry for _, _, rx, ry, _, _ in made) / (400 * 300))
        assert all(0.7 <= abs(amount) <= 2.0 and 2 <= soft <= 6 for *_, amount, soft in made)
        assert all(20 <= x <= 380 and 15 <= y <= 285 for x, y, *_ in made)
        for k, one in enumerate(made):
            for other in made[:k]:
                gap = np.hypot(one[0] - other[0], one[1] - other[1]) - max(one[2:4]) - max(other[2:4])
                assert gap > 12
    assert 0.08 < np.mean(shares) <= 0.1
