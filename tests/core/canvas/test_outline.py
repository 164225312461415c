"""What the outline is chosen by: the inner of two near edges, the reference's way up, and an honest confidence."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from core.canvas.certainty import Signs, certainty
from core.canvas.locate import locate_canvas
from core.canvas.outline import find_outline
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint

SIZE = Size(400, 300)
WIDTH, HEIGHT = 2000, 1500
PLAIN = Signs(
    score=2.2, lead=0.4, ahead=1.0, weakest_side=1.0, weakest_corner=1.0, misfit=0.0, share=0.4, spread=0.1, moved=0.2,
    likeness=0.0, cropped=0,
)  # fmt: skip


@cache
def _painting() -> Painted:
    linear = references.linear(references.pixels("chelsea", SIZE, width=1200))
    return paint(linear, Displacement(SIZE), brushwork="texture", px_per_mm=3.0)


@cache
def _bare() -> Painted:
    """A primed canvas with a little weave."""
    grain = np.random.default_rng(3).normal(1, 0.02, (900, 1200, 1))
    ground = np.float32([0.86, 0.85, 0.82]) * grain
    return replace(_painting(), linear=ground.astype(np.float32), px_per_mm=3.0)


def _shot(painted: Painted, seed: int) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    corners = stand_before(np.random.default_rng(seed), SIZE.aspect, width=WIDTH, height=HEIGHT, fill=0.8)
    camera = Camera(corners, width=WIDTH, height=HEIGHT, exposure=0.8, light_ratio=1.5, setting="wall", seed=seed)
    return photograph(painted, camera).pixels, np.array(corners)


def _with_ledge(pixels: NDArray[np.uint8], corners: NDArray[np.float64], gap_px: float) -> NDArray[np.uint8]:
    """A brown ledge as wide as the photo, its edge parallel to the canvas's foot and a few pixels under it."""
    left, right = corners[3], corners[2]
    along = (right - left) / np.hypot(*(right - left))
    down = np.array([-along[1], along[0]])
    far = 3 * max(WIDTH, HEIGHT)
    start = (left + right) / 2 + gap_px * down
    fine = 4
    ledge = [start - far * along, start + far * along, start + far * along + 90 * down, start - far * along + 90 * down]
    mask = Image.new("L", (WIDTH * fine, HEIGHT * fine))
    ImageDraw.Draw(mask).polygon([tuple((point + 0.5) * fine) for point in ledge], fill=255)
    cover = np.asarray(mask.resize((WIDTH, HEIGHT), Image.Resampling.BOX), dtype=np.float32)[..., None] / 255
    return np.rint(pixels * (1 - cover) + np.float32([98, 74, 46]) * cover).astype(np.uint8)


@pytest.mark.parametrize("gap_px", [3.2, 4.0])
def test_a_ledge_a_few_pixels_under_the_canvas_is_not_its_foot(gap_px: float) -> None:
    pixels, truth = _shot(_painting(), 1)
    photo = Photo(_with_ledge(pixels, truth, gap_px), srgb_curve())
    outline = find_outline(photo, size=SIZE)
    assert np.linalg.norm(outline.corners_px - truth, axis=1).max() < 1.0
    feet, heads = outline.uncertainty_px[2:], outline.uncertainty_px[:2]
    assert feet.min() > 0.5  # that it was a choice is said
    assert heads.max() < feet.min()


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (2, 3))])
def test_a_bare_canvas_is_not_taken_to_be_turned(seed: int) -> None:
    """Nothing on it is like the reference, whichever way up."""
    reference = references.linear(references.pixels("chelsea", SIZE, width=1200))
    pixels, truth = _shot(_bare(), seed)
    outline = find_outline(Photo(pixels, srgb_curve()), size=SIZE, reference=reference)
    assert outline.turned == 0
    assert np.linalg.norm(outline.corners_px - truth, axis=1).max() < 5.0


def test_a_painting_photographed_upside_down_is_told_from_the_reference() -> None:
    pixels, truth = _shot(_painting(), 2)
    over = Photo(np.ascontiguousarray(pixels[::-1, ::-1]), srgb_curve())
    reference = references.linear(references.pixels("chelsea", SIZE, width=1200))
    fix = locate_canvas(over, SIZE, reference=reference)
    assert np.linalg.norm(np.array([WIDTH - 1, HEIGHT - 1]) - truth - fix.corners_px, axis=1).max() < 1.5
    assert any("turned" in note for note in fix.notes)


@pytest.mark.parametrize("seed", [4, pytest.param(5, marks=pytest.mark.slow)])
def test_the_stated_uncertainty_covers_the_error(seed: int) -> None:
    """Over the canvas, as it is stated: RMS, mm; twice of it in all of these."""
    pixels, truth = _shot(_painting(), seed)
    fix = locate_canvas(Photo(pixels, srgb_curve()), SIZE)
    rms = np.sqrt((np.linalg.norm(fix.corners_px - truth, axis=1) ** 2).mean()) / fix.px_per_mm
    assert rms <= 2 * fix.uncertainty_mm


def test_confidence_of_plain_and_of_poor_outlines() -> None:
    assert certainty(PLAIN) > 0.97
    assert certainty(replace(PLAIN, lead=0.0, ahead=0.1, weakest_side=0.3, spread=0.8)) < 0.3


unit = st.floats(0, 1)


@given(
    st.builds(
        Signs, score=st.floats(-1, 3), lead=unit, ahead=unit, weakest_side=unit, weakest_corner=unit,
        misfit=st.floats(0, 100), share=unit, spread=st.floats(0, 5), moved=st.floats(0, 5), likeness=st.floats(-1, 1),
        cropped=st.integers(0, 4),
    ),
    unit,
)  # fmt: skip
def test_confidence_is_a_chance_and_no_good_sign_lowers_it(signs: Signs, more: float) -> None:
    before = certainty(signs)
    assert 0 <= before <= 1
    for better in (
        replace(signs, lead=signs.lead + more),
        replace(signs, weakest_side=min(signs.weakest_side + more, 1)),
        replace(signs, misfit=signs.misfit * (1 - more)),
        replace(signs, spread=signs.spread * (1 - more)),
        replace(signs, likeness=min(signs.likeness + more, 1)),
    ):
        assert certainty(better) >= before
