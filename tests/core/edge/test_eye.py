"""What the eye sees from a focal point, against published acuity and against the blur it stands for."""

import time

import cv2
import numpy as np
import pytest

from core.edge.brief import EyeSettings, FocalPoint
from core.edge.eye import SIGMA_PER_MAR, as_seen, eye_sigma_mm, mar_arcmin
from core.errors import PainterError

WERTHEIM = {0.0: 1.0, 5.0: 0.33, 10.0: 0.20, 20.0: 0.10}
"""Acuity, of that at the gaze, by eccentricity in degrees along the horizontal: T. Wertheim, Zeitschrift für
Psychologie und Physiologie der Sinnesorgane 7, 1894, 172-187; as reprinted in textbooks (from memory)."""
ANSTIS_SLOPE, ANSTIS_START = 0.046, -0.031
"""Height in degrees of letters just read, by eccentricity in degrees: S. M. Anstis, Vision Research 14, 1974, 589-592
(from memory). A letter is five strokes high."""
AT = FocalPoint(60, 45, 0.5)
SLOW_PICTURE = (300, 400)


def test_acuity_falls_as_it_was_measured() -> None:
    for eccentricity, acuity in WERTHEIM.items():
        assert mar_arcmin(0.0) / mar_arcmin(eccentricity) == pytest.approx(acuity, abs=0.015)


@pytest.mark.parametrize("eccentricity", [5.0, 10.0, 15.0, 20.0])
def test_letters_just_read_have_strokes_of_about_the_smallest_gap(eccentricity: float) -> None:
    stroke = 60 * (ANSTIS_SLOPE * eccentricity + ANSTIS_START) / 5
    assert mar_arcmin(eccentricity) == pytest.approx(stroke, rel=0.3)


def test_acuity_is_halved_at_e2() -> None:
    assert mar_arcmin(np.array([0.0, 2.5])) == pytest.approx([1.0, 2.0])


def test_a_grating_at_the_limit_keeps_a_tenth_of_its_contrast() -> None:
    gap = 8.0
    x = np.arange(1024)
    wave = np.broadcast_to(0.5 + 0.4 * np.sin(np.pi * x / gap), (64, 1024)).astype(np.float32)
    blurred = cv2.GaussianBlur(wave, (0, 0), SIGMA_PER_MAR * gap)[32, 200:800]
    assert np.ptp(blurred) / np.ptp(wave) == pytest.approx(0.1, rel=0.02)


def test_sigma_on_the_canvas() -> None:
    eye = EyeSettings(1000.0)
    assert eye_sigma_mm(0.0, eye) == 0.0
    away = 1000 * np.tan(np.radians(10.0))
    by_hand = 0.6830 * np.sqrt(5.0**2 - 1) * 1000 * np.radians(1 / 60) / np.cos(np.radians(10)) ** 1.5
    assert eye_sigma_mm(away, eye) == pytest.approx(by_hand, rel=1e-3)
    assert eye_sigma_mm(away, EyeSettings(1000.0, 2.0)) == pytest.approx(2 * by_hand, rel=1e-3)
    assert eye_sigma_mm(away, EyeSettings(1000.0, 0.0)) == 0.0
    rising = eye_sigma_mm(np.linspace(0, 500, 100), eye)
    assert (np.diff(rising) > 0).all()
    assert eye_sigma_mm(200.0, EyeSettings(600.0)) != pytest.approx(eye_sigma_mm(200.0, EyeSettings(1200.0)), rel=0.01)


def busy(height: int, width: int, seed: int = 0) -> np.ndarray:
    """Discs of many sizes and fine noise, 0-1."""
    rng = np.random.default_rng(seed)
    light = np.full((height, width, 3), 0.3, np.float32)
    for _ in range(60):
        middle = (int(rng.uniform(0, width)), int(rng.uniform(0, height)))
        cv2.circle(light, middle, int(rng.uniform(4, 60)), rng.uniform(0, 1, 3).tolist(), -1)
    return np.clip(light + rng.normal(0, 0.1, light.shape), 0, 1).astype(np.float32)


@pytest.mark.parametrize("eye", [EyeSettings(400, 0.6), EyeSettings(400, 1.0), EyeSettings(900, 3.0)])
@pytest.mark.parametrize("foci", [(AT,), (AT, FocalPoint(100, 20, 8))])
def test_each_place_is_blurred_as_far_as_its_own_distance_asks(eye: EyeSettings, foci: tuple[FocalPoint, ...]) -> None:
    px_per_mm = 8.0
    light = busy(719, 957)
    seen = as_seen(light, foci, eye, px_per_mm=px_per_mm)
    rng = np.random.default_rng(1)
    places = [(0, 0), (255, 256), (256, 511), (512, 30), (3, 700)]
    places += [(int(rng.integers(680)), int(rng.integers(920))) for _ in range(35)]
    errors = []
    for row, column in places:
        x, y = (column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm
        away = min(max(np.hypot(x - at.x_mm, y - at.y_mm) - at.radius_mm, 0.0) for at in foci)
        sigma = float(eye_sigma_mm(away, eye)) * px_per_mm
        if sigma == 0.0 or sigma >= 0.5:  # a narrower Gaussian is none on a grid of pixels
            blurred = cv2.GaussianBlur(light, (0, 0), sigma, borderType=cv2.BORDER_REFLECT) if sigma else light
            errors.append(seen[row, column] - blurred[row, column])
    assert len(errors) > 20
    assert np.abs(errors).max() < 0.02
    assert np.sqrt(np.mean(np.square(errors))) < 0.004


def test_tiles_leave_no_seams() -> None:
    x = np.linspace(0, 1, 1100, dtype=np.float32)
    ramp = np.ascontiguousarray(np.broadcast_to(x, (700, 1100)))
    seen = as_seen(ramp, (AT,), EyeSettings(400, 3.0), px_per_mm=8.0)
    inner = slice(150, 550), slice(150, 950)
    assert np.abs(seen - ramp)[inner].max() < 2e-4
    assert np.abs(np.diff(seen, n=2, axis=1))[inner].max() < 2e-4


def test_light_is_kept_and_nothing_is_made_of_an_even_ground() -> None:
    even = np.full((*SLOW_PICTURE, 3), 0.4, np.float32)
    seen = as_seen(even, (AT,), EyeSettings(300, 3.0), px_per_mm=3.0)
    np.testing.assert_allclose(seen, even, rtol=0, atol=2e-5, equal_nan=False)


def test_within_the_radius_and_at_no_strength_nothing_is_blurred() -> None:
    light = busy(*SLOW_PICTURE)
    sharp = as_seen(light, (AT,), EyeSettings(1000, 0.0), px_per_mm=3.0)
    np.testing.assert_allclose(sharp, light, rtol=0, atol=1e-5, equal_nan=False)
    assert sharp is not light
    seen = as_seen(light, (FocalPoint(60, 45, 20),), EyeSettings(300, 3.0), px_per_mm=3.0)
    y, x = np.mgrid[:300, :400] / 3.0
    away = np.hypot(x - 60, y - 45)
    assert np.abs(seen - light)[away < 16].max() < 1e-4
    assert np.abs(seen - light)[away > 40].mean() > 0.02


def test_a_grey_picture_is_seen_as_a_coloured_one() -> None:
    light = busy(*SLOW_PICTURE)
    eye, foci = EyeSettings(500, 1.5), (AT,)
    grey = as_seen(np.ascontiguousarray(light[..., 1]), foci, eye, px_per_mm=3.0)
    assert grey.dtype == np.float32
    np.testing.assert_allclose(
        grey, as_seen(light, foci, eye, px_per_mm=3.0)[..., 1], rtol=0, atol=1e-5, equal_nan=False
    )


@pytest.mark.parametrize("shape", [(1, 1, 3), (1, 300), (37, 5, 3), (257, 513)])
def test_pictures_of_any_size(shape: tuple[int, ...]) -> None:
    light = np.random.default_rng(0).random(shape, dtype=np.float32)
    seen = as_seen(light, (FocalPoint(0, 0, 0.1),), EyeSettings(200, 3.0), px_per_mm=2.0)
    assert seen.shape == shape
    assert np.isfinite(seen).all()


def test_what_cannot_be_seen_is_refused() -> None:
    light = np.zeros((10, 10), np.float32)
    with pytest.raises(PainterError, match="Set a focal point first"):
        as_seen(light, (), EyeSettings(), px_per_mm=1.0)
    with pytest.raises(ValueError, match="more than 0 px/mm"):
        as_seen(light, (AT,), EyeSettings(), px_per_mm=0.0)
    with pytest.raises(ValueError, match="shape"):
        as_seen(np.zeros(10, np.float32), (AT,), EyeSettings(), px_per_mm=1.0)


def test_a_picture_of_the_screens_size_takes_no_time() -> None:
    light = np.random.default_rng(0).random((1060, 1414, 3), dtype=np.float32)
    taken = []
    for _ in range(3):
        start = time.process_time()
        as_seen(light, (FocalPoint(120, 100, 20), FocalPoint(300, 200, 20)), EyeSettings(), px_per_mm=1414 / 400)
        taken.append(time.process_time() - start)
    assert min(taken) < 0.4
