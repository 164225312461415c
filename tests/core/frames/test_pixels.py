"""Pictures of every form a library may give become sRGB codes, red first, exactly."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from core.errors import CameraError
from core.frames.pixels import red_first


@settings(max_examples=30)
@given(hnp.arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9), st.just(3))))
def test_red_and_blue_change_places_exactly(picture: np.ndarray) -> None:
    codes = red_first(picture)
    assert np.array_equal(codes, picture[..., ::-1])
    assert codes.flags.c_contiguous
    assert not codes.flags.writeable


def test_every_code_of_every_channel_survives() -> None:
    picture = np.stack(np.meshgrid(np.arange(256), np.arange(256), indexing="ij"), -1).astype(np.uint8)
    picture = np.concatenate([picture, picture[..., :1] ^ 0x5A], axis=-1)
    assert np.array_equal(red_first(picture), picture[..., ::-1])


@pytest.mark.parametrize("shape", [(5, 4), (5, 4, 1)])
def test_grey_is_put_into_all_three(shape: tuple[int, ...]) -> None:
    picture = np.arange(20, dtype=np.uint8).reshape(shape)
    assert np.array_equal(red_first(picture), np.repeat(picture.reshape(5, 4, 1), 3, axis=2))


def test_sixteen_bits_become_eight_by_their_whole_range() -> None:
    picture = (np.arange(256, dtype=np.uint16) * 257).reshape(16, 16)
    assert np.array_equal(red_first(picture)[..., 0].ravel(), np.arange(256))


def test_alpha_is_left_out() -> None:
    picture = np.array([[[1, 2, 3, 4]]], np.uint8)
    assert red_first(picture).tolist() == [[[3, 2, 1]]]


def test_raw_camera_pixels_are_worked_out_as_bt601_says() -> None:
    """Grey and a red, of ITU-R BT.601: 8-bit Y 81, Cb 90, Cr 240 is red 254 or 255, 0, 0 (from memory)."""
    grey = np.array([[[126, 128], [126, 128]]], np.uint8)
    assert np.ptp(red_first(grey)) <= 1
    red = np.array([[[81, 90], [81, 240]]], np.uint8)
    assert np.abs(red_first(red).astype(int) - (255, 0, 0)).max() <= 2


@pytest.mark.parametrize(
    "bad",
    [None, np.zeros((0, 4, 3), np.uint8), np.zeros((2, 3, 2), np.uint8), np.zeros((2, 2, 5), np.uint8),
     np.zeros((2, 2, 3), np.float32), np.zeros(7, np.uint8)],
)  # fmt: skip
def test_anything_else_is_told_in_a_sentence(bad: np.ndarray | None) -> None:
    with pytest.raises(CameraError, match=r"\.$"):
        red_first(bad)
