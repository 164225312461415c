"""“Keep this” on simulated frames: noise goes down, edges stay, and nothing that passes is left in it."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from core.colorimetry import encode_srgb
from core.errors import CameraError
from core.frames.aligning import Base
from core.frames.frame import Frame
from core.frames.keeping import Kept, LastFrames, keep_this, sharpness, write_kept
from core.photo import load_photo

WIDTH, HEIGHT = 480, 320
EVEN = np.s_[215:275, 335:415]
EDGE = np.s_[150:230, 90:110]
Light = np.ndarray


@pytest.fixture(scope="module")
def still() -> Light:
    """A scene with an even patch and a steep edge, light ``(H + 80, W + 80, 3)``."""
    rng = np.random.default_rng(5)
    light = cv2.resize(rng.random((28, 40, 3), dtype=np.float32), (WIDTH + 80, HEIGHT + 80)) * 0.7
    light[180:280, 140:200] = 0.08
    light[240:330, 360:470] = 0.4
    return light


def _seen(still: Light, at: tuple[float, float] = (0.0, 0.0), *, blur: float = 0.8, gain: float = 1.0) -> Light:
    matrix = np.array([[1, 0, 40 + at[0]], [0, 1, 40 + at[1]]], np.float64)
    how = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return gain * cv2.GaussianBlur(cv2.warpAffine(still, matrix, (WIDTH, HEIGHT), flags=how), (0, 0), blur)


def _frame(light: Light, number: int, noise: float = 0.02) -> Frame:
    grain = np.random.default_rng(number).standard_normal(light.shape, dtype=np.float32)
    light = light + noise * np.sqrt(np.clip(light, 0, 1) + 0.01) * grain
    return Frame(np.rint(255 * encode_srgb(np.clip(light, 0, 1))).astype(np.uint8), number, 0.0)


def _codes(light: Light) -> np.ndarray:
    return 255 * encode_srgb(np.clip(light, 0, 1))


def _slope(codes: np.ndarray) -> float:
    """The steepest part of the edge, codes a px, over its rows."""
    return float(np.abs(np.diff(codes[EDGE].astype(float).mean(axis=(0, 2)))).max())


@pytest.mark.parametrize("moving", [0.0, 1.5])
def test_noise_goes_down_as_the_root_of_the_count_and_edges_stay(still: Light, moving: float) -> None:
    rng = np.random.default_rng(1)
    places = [tuple(moving * rng.standard_normal(2)) for _ in range(12)]
    places[0] = (0.0, 0.0)
    frames = [_frame(_seen(still, at, blur=0.8 if k == 0 else 0.84), k) for k, at in enumerate(places)]
    kept = keep_this(frames)
    assert kept.frames_used == 12
    off = [codes[EVEN] - _codes(_seen(still))[EVEN] for codes in (frames[0].codes.astype(float), kept.codes)]
    single, mean = (float(each.std()) for each in off)
    assert mean < 1.25 * np.hypot(single / np.sqrt(12), 0.29)
    assert abs(float(off[1].mean())) < 0.3
    # Truth is of the sharpest, the first; the others are 5 in 100 softer.
    assert _slope(kept.codes) > 0.91 * _slope(_codes(_seen(still)))


def test_what_passes_is_not_left_in_it(still: Light) -> None:
    frames = []
    for k in range(10):
        light = _seen(still)
        if 3 <= k < 7:
            cv2.fillConvexPoly(
                light, np.int32([[60 * k, 320], [60 * k + 50, 120], [60 * k + 110, 320]]), (0.3, 0.18, 0.12)
            )
        frames.append(_frame(light, k, 0.01))
    kept = keep_this(frames)
    off = cv2.blur(kept.codes - _codes(_seen(still)), (5, 5))
    assert np.abs(off).max() < 6
    assert kept.frames_used >= 6


def test_a_lamp_that_changes_and_frames_that_are_blurred_are_left_out(still: Light) -> None:
    lights = [_seen(still) for _ in range(6)] + [_seen(still, gain=1.6)] * 2 + [_seen(still, blur=2.5)] * 3
    kept = keep_this([_frame(light, k, 0.01) for k, light in enumerate(lights)])
    assert kept.frames_used == 6
    assert np.abs(cv2.blur(kept.codes - _codes(_seen(still)), (7, 7))).max() < 4
    assert "5 more" in kept.say


def test_exposure_that_wavers_a_little_is_evened_out(still: Light) -> None:
    frames = [_frame(_seen(still, gain=gain), k, 0.01) for k, gain in enumerate((1.0, 1.06, 0.95, 1.03))]
    kept = keep_this(frames)
    assert kept.frames_used == 4
    ratio = kept.codes[EVEN].mean() / 255
    ways = [float(encode_srgb(np.array(0.4 * gain))) for gain in (1.0, 1.06, 0.95, 1.03)]
    assert min(abs(ratio - way) for way in ways) < 0.004  # one of them, not a mixture


def test_frames_of_a_plain_wall_are_averaged_where_they_lie() -> None:
    frames = [_frame(np.full((64, 96, 3), 0.3, np.float32), k) for k in range(9)]
    kept = keep_this(frames)
    assert kept.frames_used == 9
    assert kept.codes.std() < 0.5 * frames[0].codes.std()


def test_a_move_is_told_to_a_small_part_of_a_pixel(still: Light) -> None:
    base, other = (
        _frame(_seen(still, at), k, 0.005).codes[..., 1].copy() for k, at in enumerate([(0, 0), (1.3, -0.7)])
    )
    matrix = Base.of(base).moved(other)
    assert matrix is not None
    seen = matrix @ (WIDTH / 2, HEIGHT / 2, 1.0)
    assert np.abs(seen[:2] / seen[2] - (WIDTH / 2 - 1.3, HEIGHT / 2 + 0.7)).max() < 0.1


def test_sharpness_is_not_taken_in_by_noise(still: Light) -> None:
    told = [
        sharpness(_frame(_seen(still, blur=blur), 1, noise).codes[..., 1].copy())
        for blur, noise in ((0.8, 0.005), (1.0, 0.02), (1.6, 0.03))
    ]
    assert told == sorted(told, reverse=True)


@pytest.mark.parametrize("shape", [(1, 1, 3), (2, 3, 3), (9, 9, 3)])
def test_tiny_frames_are_kept(shape: tuple[int, int, int]) -> None:
    kept = keep_this([Frame(np.full(shape, 90, np.uint8), k, 0.0) for k in range(3)])
    assert (kept.codes == 90).all()


def test_nothing_to_keep_is_told_and_frames_of_another_size_do_not_count() -> None:
    with pytest.raises(CameraError, match="No frame has come yet"):
        keep_this([])
    with pytest.raises(CameraError, match="No frame has come yet"):
        LastFrames().keep()
    small, large = (Frame(np.full((n, n, 3), 50, np.uint8), 0, 0.0) for n in (10, 20))
    assert keep_this([large, small]).codes.shape == (10, 10, 3)


def test_the_last_frames_are_bounded_by_count_and_by_memory() -> None:
    last = LastFrames(4)
    for k in range(9):
        last.add(Frame(np.zeros((4, 4, 3), np.uint8), k, 0.0))
    assert [frame.number for frame in last] == [5, 6, 7, 8]
    assert [frame.number for frame in last[-2:]] == [7, 8]
    assert last.keep().frames_used == 4
    huge = Frame(np.broadcast_to(np.zeros((1, 1, 3), np.uint8), (6000, 5000, 3)), 9, 0.0)
    last.add(huge)  # of another size: begins anew
    last.add(huge)
    last.add(huge)
    assert len(last) == 2
    last.clear()
    assert len(last) == 0


def test_what_is_kept_reads_back_exactly(tmp_path: Path) -> None:
    codes = np.random.default_rng(0).integers(0, 256, (31, 17, 3), dtype=np.uint8)
    write_kept(Kept(codes, 1, ""), tmp_path / "kept.png")
    photo = load_photo(tmp_path / "kept.png")
    assert np.array_equal(photo.codes, codes)
    assert np.array_equal(photo.curve, Frame(codes, 0, 0.0).photo().curve)
