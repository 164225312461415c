"""Pictures made of mixtures of a palette, with passages of known place that no mixture of it is."""

import numpy as np
import pytest

from core.colorimetry import luminance_of_value, rgb_from_xyz, xyz_from_lab
from core.paint.palette_map import LIMIT, LONGEST_PX, Lacking, palette_map, unreached
from core.paint.palette_mixes import Slab
from core.paint.palette_reach import PaletteReach, reach_of
from core.paint.tubes import tubes

EARTHS = ("titanium white", "yellow ochre", "Venetian red", "ivory black")


def reach() -> PaletteReach:
    return reach_of([tubes()[name] for name in EARTHS])


def mixed(seed: int, height: int = 160, width: int = 200) -> np.ndarray:
    """Dabs of 10 px, each a random mixture of the earths."""
    shares = 10.0 ** np.random.default_rng(seed).uniform(-2.5, 0, (height // 10, width // 10, 4))
    shares[..., 0] += 0.2
    light = rgb_from_xyz(xyz_from_lab(Slab(reach().tubes).lab(shares)))
    return np.repeat(np.repeat(light, 10, axis=0), 10, axis=1).astype(np.float32)


def of_lab(*colour: float) -> np.ndarray:
    return rgb_from_xyz(xyz_from_lab(colour))


def test_a_picture_of_mixtures_is_reached() -> None:
    for seed in range(4):
        found = palette_map(reach(), mixed(seed), px_per_mm=1)
        assert found.share == 0
        assert found.passages == ()
        assert found.difference.max() < 1.6
        assert found.say() == "This palette reaches the whole reference."


@pytest.mark.parametrize(
    ("colour", "lacks"),
    [
        ((45.0, 10.0, -35.0), ("too cool", "too strong")),
        ((50.0, -40.0, 30.0), ("too strong",)),
        ((55.0, 60.0, 55.0), ("too strong",)),
        ((4.0, 0.0, 0.0), ("too dark",)),
        ((100.0, 0.0, 0.0), ("too light",)),
    ],
)
def test_a_passage_beyond_is_found_in_its_place_with_what_it_lacks(
    colour: tuple[float, float, float], lacks: tuple[str, ...]
) -> None:
    picture = mixed(7)
    picture[40:100, 60:140] = of_lab(*colour)
    found = palette_map(reach(), picture, px_per_mm=1)
    (passage,) = found.passages
    assert passage.number == 1
    assert passage.area_cm2 == pytest.approx(48, rel=0.02)
    assert (passage.x_mm, passage.y_mm) == pytest.approx((100, 70), abs=1)
    assert passage.lacking.wanted == pytest.approx(colour, abs=0.05)
    assert passage.difference == pytest.approx(float(reach().nearest(colour)[0][0]), abs=0.8)
    assert found.share == pytest.approx(4800 / 32000, abs=0.01)
    assert found.say() == "15 % of the reference lies beyond this palette."
    said = passage.say()
    assert said.startswith("48 cm² too ")
    assert all(word in said for word in lacks)
    assert passage.away_mm(100, 70) < 0 < passage.away_mm(10, 10)


def test_how_far_too_dark_is_told_in_value_steps() -> None:
    """Value 0.5, ASTM D1535; ivory black, the darkest of the four, has the value that mixing tells."""
    black = float(Slab([tubes()["ivory black"]]).value([[1.0]])[0])
    picture = mixed(8)
    picture[40:100, 60:140] = luminance_of_value(0.5)
    (passage,) = palette_map(reach(), picture, px_per_mm=1).passages
    assert passage.lacking.miss.faults[0].kind == "value"
    assert passage.lacking.miss.faults[0].amount == pytest.approx(0.5 - black, abs=0.15)


def test_a_large_reference_is_averaged_down_and_measured_in_mm() -> None:
    picture = mixed(9, 800, 1000)
    picture[200:500, 300:700] = of_lab(45.0, 10.0, -35.0)
    found = palette_map(reach(), picture, px_per_mm=5)
    assert max(found.difference.shape) == LONGEST_PX
    assert found.px_per_mm == pytest.approx(2)
    (passage,) = found.passages
    assert passage.area_cm2 == pytest.approx(48, rel=0.02)
    assert (passage.x_mm, passage.y_mm) == pytest.approx((100, 70), abs=1)


def test_light_that_is_not_known_stays_so() -> None:
    picture = mixed(10)
    picture[:20] = np.nan
    told = unreached(reach(), picture)
    assert told.shape == (160, 200)
    assert np.isnan(told[:20]).all()
    assert told[20:].max() < 1.6
    nothing = palette_map(reach(), np.full((20, 20, 3), np.nan), px_per_mm=1)
    assert (nothing.share, nothing.passages) == (0.0, ())
    assert "could be read" in nothing.say()
    assert "reaches the whole" not in nothing.say()


def test_a_picture_beyond_reach_all_over_is_one_passage() -> None:
    found = palette_map(reach(), np.broadcast_to(of_lab(45.0, 10.0, -35.0), (60, 80, 3)), px_per_mm=1)
    assert found.share == 1.0
    (passage,) = found.passages
    assert passage.area_cm2 == pytest.approx(48)
    assert (passage.x_mm, passage.y_mm) == pytest.approx((40, 30), abs=1)
    assert passage.difference == pytest.approx(float(reach().nearest((45.0, 10.0, -35.0))[0][0]), abs=0.5)


def test_every_pixel_is_that_of_its_own_colour() -> None:
    """Each on its own; near colours are looked up together, which is off by half a CIEDE2000 at most."""
    picture = np.random.default_rng(11).random((40, 50, 3)).astype(np.float32)
    told = unreached(reach(), picture)
    for row, column in ((0, 0), (10, 20), (39, 49), (25, 3)):
        from core.colorimetry import lab

        alone = float(reach().nearest(lab(picture[row, column]))[0][0])
        assert told[row, column] == pytest.approx(alone, abs=1.0)


def test_small_passages_and_a_wider_limit_are_the_painters_to_choose() -> None:
    picture = mixed(12)
    picture[40:60, 60:80] = of_lab(45.0, 10.0, -35.0)
    assert len(palette_map(reach(), picture, px_per_mm=1).passages) == 1
    assert palette_map(reach(), picture, px_per_mm=1, smallest_cm2=6).passages == ()
    assert palette_map(reach(), picture, px_per_mm=1, limit=60).share == 0
    assert LIMIT == 2.0


def test_the_hue_of_what_is_wanted() -> None:
    assert Lacking((50.0, 0.0, -20.0), (50.0, 0.0, 0.0)).hue_deg == pytest.approx(270)


@pytest.mark.parametrize("shape", [(10, 10), (10, 10, 4)])
def test_other_shapes_are_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="expected linear light"):
        unreached(reach(), np.zeros(shape, np.float32))
    with pytest.raises(ValueError, match="expected linear light"):
        palette_map(reach(), np.zeros(shape, np.float32), px_per_mm=1)
