import time

import numpy as np
import pytest

from core.colorimetry import decode_srgb, lab, warmth_of_lab
from core.errors import PainterError
from core.temperature.monochrome import colour_spread, require_colour
from core.temperature.warmth import WarmthWords, lab_map, roots_map, warm_cool_2004, warmth
from tests.core.temperature import scenes
from tests.published import warmth as published


@pytest.mark.parametrize(("at", "score"), published.OU_2004.items())
def test_the_published_scale(at: tuple[float, float], score: float) -> None:
    chroma, hue = at[0], np.radians(at[1])
    assert warm_cool_2004([50.0, chroma * np.cos(hue), chroma * np.sin(hue)]) == pytest.approx(score, abs=5e-5)


@pytest.mark.parametrize(("code", "told"), published.OU_2004_SRGB.items())
def test_the_published_scale_at_the_corners_of_srgb(code: tuple[float, ...], told: tuple[float, ...]) -> None:
    colour = lab(decode_srgb(code))
    assert np.hypot(*colour[1:]) == pytest.approx(told[0], abs=0.05)
    assert np.degrees(np.arctan2(colour[2], colour[1])) % 360 == pytest.approx(told[1], abs=0.02)
    assert warm_cool_2004(colour) == pytest.approx(told[2], abs=1e-3)


def test_worked_colours() -> None:
    for colour, (t, score) in published.WARMTH_OF_LAB.items():
        assert warmth_of_lab(colour) == pytest.approx(t, abs=5e-5)
        assert warm_cool_2004(colour) == pytest.approx(score, abs=5e-5)


def test_differences_agree_in_sign_with_the_scale() -> None:
    """99.65 % of random pairs: the scale bends with chroma, T does not."""
    rng = np.random.default_rng(1)
    one, other = (np.stack([np.full(20_000, 50.0), *rng.uniform(-60, 60, (2, 20_000))], axis=-1) for _ in range(2))
    same = np.sign(warmth_of_lab(one) - warmth_of_lab(other)) == np.sign(warm_cool_2004(one) - warm_cool_2004(other))
    assert same.mean() > 0.995


def test_maps_are_the_exact_formula() -> None:
    rng = np.random.default_rng(2)
    linear = (rng.random((90, 120, 3)) ** 2.2 * 1.4).astype(np.float32)
    linear[:30] *= 0.004  # the straight piece of CIELAB next to black
    exact = lab(linear)
    assert np.abs(warmth(linear) - warmth_of_lab(exact)).max() < 1e-3
    assert np.abs(lab_map(linear) - exact).max() < 1e-3
    told = roots_map(linear)
    assert np.abs(500 * (told[..., 0] - told[..., 1]) - exact[..., 1]).max() < 1e-3
    assert warmth(linear).dtype == np.float32


def test_greys_are_neutral_and_unknown_stays_unknown() -> None:
    grey = np.repeat(np.linspace(0, 1.2, 64, dtype=np.float32)[None, :, None], 3, axis=2)
    assert np.abs(warmth(grey)).max() < 1e-3
    grey[0, 5] = np.nan
    assert np.isnan(warmth(grey)[0, 5])
    assert np.isfinite(warmth(grey)[0, 6:]).all()
    with pytest.raises(ValueError, match="linear light"):
        warmth(grey[0])


def test_twelve_megapixels_are_quick() -> None:
    """0.08 s of one processor; the bound is what is asked of it."""
    linear = np.random.default_rng(3).random((3000, 4000, 3), dtype=np.float32)
    best = np.inf
    for _ in range(3):
        start = time.process_time()
        warmth(linear)
        best = min(best, time.process_time() - start)
    assert best < 0.5


@pytest.mark.parametrize(
    ("difference", "word"),
    [
        (0.0, "the same"), (1.9, "the same"), (-1.9, "the same"), (2.0, "a touch warmer"), (-4.9, "a touch cooler"),
        (5.0, "warmer"), (-9.9, "cooler"), (10.0, "much warmer"), (-30.0, "much cooler"),
    ],
)  # fmt: skip
def test_words(difference: float, word: str) -> None:
    assert WarmthWords().word(difference) == word


def test_the_limits_of_words_are_the_painters() -> None:
    assert WarmthWords(1, 3, 6).word(7) == "much warmer"
    for wrong in ((0, 5, 10), (5, 2, 10), (2, 5, 5), (2, 5, float("inf"))):
        with pytest.raises(ValueError, match="limits"):
            WarmthWords(*wrong)


def test_pictures_without_colour_are_refused() -> None:
    for picture in scenes.photographs().values():
        require_colour(picture)
        grey = np.repeat(picture.mean(axis=2, keepdims=True), 3, axis=2)
        sepia = grey * np.float32([1.1, 0.95, 0.7])
        for plain in (grey, sepia, scenes.through_jpeg(grey), scenes.through_jpeg(sepia)):
            with pytest.raises(PainterError, match="has no colour"):
                require_colour(plain)
        assert colour_spread(np.full_like(picture, np.nan)) == 0


def test_the_wing_stands_alone_and_starts_light() -> None:
    """Neither another wing nor a heavy library is loaded with it."""
    import subprocess
    import sys

    names = ("compare", "families", "neutral", "picture", "pins")
    code = f"import sys, {', '.join(f'core.temperature.{name}' for name in names)}; print('\\n'.join(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not {"scipy", "colour", "PySide6", "core.value", "core.drawing", "core.edge"} & set(loaded)
    assert "core.temperature.compare" in loaded
