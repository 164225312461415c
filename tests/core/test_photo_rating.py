"""Sharpness, glare and exposure of canvas photos, on photos of known truth."""

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage import data

from core.colorimetry import decode_srgb, encode_srgb
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.photo_rating import REAL, PhotoRating, Wanted, rate_photo, rating_from_text
from core.rating_edges import read_across
from core.rating_glare import glare_of_photo
from core.rating_places import where_words
from core.rating_sharpness import SHAKEN_RATIO, blur_of, sharpness
from core.size import Size
from tests.core.glare_case import HERE, SIZE, painted, shot
from tests.measure.photo_blur import shaken
from tests.studio import references
from tests.studio.camera import Camera, Shot, photograph, photograph_blank

CORNERS = np.asarray(HERE)
PLAIN = Camera(HERE, width=1200, height=900, exposure=0.7, blur_px=0.7)


@cache
def taken(blur_px: float = 0.7, setting: str = "wall", shake: tuple[float, float] | None = None) -> Photo:
    made = photograph(painted(), replace(PLAIN, blur_px=blur_px, setting=setting))
    return load_photo_bytes((made if shake is None else shaken(made, *shake)).jpeg(), "canvas.jpg")


def real_photo(name: str, blur_px: float = 0.0, shake: tuple[float, float] | None = None) -> Photo:
    """A photograph that scikit-image carries, blurred by a known amount."""
    whole = getattr(data, name)()[..., :3]
    rows, columns = (slice(max(0, each // 2 - 350), each // 2 + 350) for each in whole.shape[:2])
    linear = decode_srgb(np.arange(256) / 255).astype(np.float32)[whole[rows, columns]]
    if blur_px:
        linear = cv2.GaussianBlur(linear, (0, 0), blur_px)
    made = Shot(np.rint(255 * encode_srgb(linear)).astype(np.uint8), PLAIN)
    return load_photo_bytes((made if shake is None else shaken(made, *shake)).jpeg(), f"{name}.jpg")


@pytest.mark.parametrize("corners", [None, CORNERS], ids=["before the corners", "with corners"])
def test_a_sharp_photo_is_told_sharp(corners: np.ndarray | None) -> None:
    found = sharpness(taken(), corners, None if corners is None else SIZE)
    assert found is not None
    assert found.kind == "sharp"


@pytest.mark.parametrize("corners", [None, CORNERS], ids=["before the corners", "with corners"])
@pytest.mark.parametrize("blur_px", [5.0])
def test_a_blurred_photo_is_out_of_focus_by_its_true_blur(blur_px: float, corners: np.ndarray | None) -> None:
    found = sharpness(taken(blur_px), corners, None if corners is None else SIZE)
    assert found is not None
    assert found.kind == "out of focus"
    assert found.blur_px == pytest.approx(blur_px, rel=0.25)
    if corners is not None:
        density = np.linalg.norm(CORNERS[1] - CORNERS[0]) / SIZE.width_mm
        assert found.blur_mm == pytest.approx(found.blur_px / density, rel=0.05)


@pytest.mark.parametrize("angle", [0, 40, 90, 130])
def test_a_shaken_photo_tells_its_direction(angle: float) -> None:
    found = sharpness(real_photo("astronaut", 0.5, (12.0, angle)))
    assert found is not None
    assert found.blur_px > SHAKEN_RATIO * found.least_px
    off = abs(found.angle_deg - angle) % 180
    assert min(off, 180 - off) < 16  # the words tell sideways, up and down and aslant apart by 25


@pytest.mark.parametrize("corners", [None, CORNERS], ids=["before the corners", "with corners"])
def test_a_shaken_canvas_photo_tells_direction_and_length(corners: np.ndarray | None) -> None:
    found = sharpness(taken(shake=(10.0, 90.0)), corners, None if corners is None else SIZE)
    assert found is not None
    assert found.kind == "shaken"
    assert found.angle_deg == pytest.approx(90.0, abs=12)
    assert found.shake_px == pytest.approx(10.0, rel=0.35)


@pytest.mark.parametrize("name", ["astronaut", "coffee"])
def test_blur_all_ways_is_not_called_shaken(name: str) -> None:
    found = sharpness(real_photo(name, 3.0))
    assert found is not None
    assert found.kind == "out of focus"
    assert found.blur_px == pytest.approx(3.0, rel=0.35)


@pytest.mark.parametrize("corners", [None, CORNERS], ids=["before the corners", "with corners"])
def test_a_soft_painting_is_no_blurred_photo(corners: np.ndarray | None) -> None:
    soft = painted()
    soft = replace(soft, linear=cv2.GaussianBlur(soft.linear, (0, 0), 3.0 * soft.px_per_mm))
    photo = load_photo_bytes(photograph(soft, PLAIN).jpeg(), "soft.jpg")
    found = sharpness(photo, corners, None if corners is None else SIZE)
    assert found is None or found.kind == "sharp"


def test_what_has_no_edges_is_not_told() -> None:
    plain = Photo(np.full((900, 1200, 3), 128, np.uint8), srgb_curve())
    assert sharpness(plain) is None
    assert len(read_across(plain).light) == 0


@given(st.floats(0.6, 6), st.floats(1.0, 4), st.floats(0, 179))
@settings(max_examples=30, deadline=None)
def test_the_ellipse_of_a_blur_is_found_again(least: float, ratio: float, angle: float) -> None:
    across = np.tile(np.arange(8) * np.pi / 8, 6)
    turned = across - np.radians(angle)
    sigma = least * np.sqrt((ratio * np.cos(turned)) ** 2 + np.sin(turned) ** 2)
    found = blur_of(sigma, across)
    assert found is not None
    assert found[:2] == pytest.approx((ratio * least, least), rel=1e-3, abs=0.02)
    if ratio > 1.1:
        off = abs(np.degrees(found[2]) - angle) % 180
        assert min(off, 180 - off) < 1


def test_edges_of_few_directions_tell_nothing() -> None:
    assert blur_of(np.full(100, 3.0), np.zeros(100)) is None


@pytest.mark.parametrize("corners", [None, CORNERS], ids=["before the corners", "with corners"])
@pytest.mark.parametrize(("spot", "where"), [((160.0, 35.0, 9.0), "upper right"), ((45.0, 115.0, 9.0), "lower left")])
def test_glare_is_found_and_its_place_said(spot: tuple[float, ...], where: str, corners: np.ndarray | None) -> None:
    found, _ = glare_of_photo(shot((spot,)), corners)  # type: ignore[arg-type]
    assert where in found.where
    lit = np.pi * (1.4 * spot[2]) ** 2 / (SIZE.width_mm * SIZE.height_mm)
    assert lit / 2.5 < found.share < lit * 2.5


def test_where_there_is_no_glare_none_is_told() -> None:
    for corners in (None, CORNERS):
        assert glare_of_photo(taken(), corners)[0].where == ""


@pytest.mark.parametrize(("setting", "exposure"), [("light", 0.8), ("frames", 1.1)])
def test_a_white_canvas_a_white_wall_and_a_window_are_no_glare(setting: str, exposure: float) -> None:
    camera = replace(PLAIN, setting=setting, exposure=exposure, seed=3)
    photo = load_photo_bytes(photograph_blank(painted(), camera).jpeg(), "blank.jpg")
    for corners in (None, CORNERS):
        assert glare_of_photo(photo, corners)[0].where == ""


def test_the_reference_tells_glare_that_is_not_burnt_out() -> None:
    """The lamp only veils the paint here: 0.95 of what the camera can tell, on a painting that is dark there."""
    dim = load_photo_bytes(photograph(painted(), replace(PLAIN, exposure=0.58, glare=((60, 50, 9),))).jpeg(), "dim.jpg")
    assert glare_of_photo(dim, CORNERS)[0].where == ""
    reference = Photo(references.pixels("chelsea", SIZE, width=800), srgb_curve())
    rating = rate_photo(dim, corners_px=HERE, size=SIZE, reference=Wanted(reference))
    assert rating.glare.by == "reference"
    assert "left" in rating.glare.where
    assert rating.word == "glare"


def test_the_worst_fault_comes_first_with_its_advice() -> None:
    camera = replace(PLAIN, blur_px=5.0, glare=((160.0, 35.0, 14.0),))
    rating = rate_photo(load_photo_bytes(photograph(painted(), camera).jpeg(), "bad.jpg"), corners_px=HERE, size=SIZE)
    assert [fault.word for fault in rating.faults] == ["glare", "blurred"]
    assert [fault.weight for fault in rating.faults] == sorted((f.weight for f in rating.faults), reverse=True)
    assert rating.told_at_once.startswith("Glare upper right, on ")
    assert "turn the lamp or move it to the side." in rating.told_at_once
    assert "tap on the canvas to focus" in rating.advice
    assert "polarising filter" in rating.advice


def test_a_good_photo_has_nothing_said_of_it() -> None:
    rating = rate_photo(taken(), corners_px=HERE, size=SIZE)
    assert (rating.faults, rating.word, rating.advice, rating.told_at_once) == ((), "", "", "")


def test_burnt_out_and_black_are_told() -> None:
    bright = load_photo_bytes(photograph(painted(), replace(PLAIN, exposure=2.5)).jpeg(), "bright.jpg")
    assert "burnt out" in [fault.word for fault in rate_photo(bright, corners_px=HERE, size=SIZE).faults]
    dark = load_photo_bytes(photograph(painted(), replace(PLAIN, exposure=0.001, noise=0.0)).jpeg(), "dark.jpg")
    told = rate_photo(dark, corners_px=HERE, size=SIZE)
    assert "too dark" in [fault.word for fault in told.faults]
    assert told.faults[0].weight >= REAL


def test_a_blank_need_not_be_sharp() -> None:
    blurred = taken(5.0)
    assert rate_photo(blurred, corners_px=HERE, size=SIZE, is_blank=True).faults == ()
    assert rate_photo(blurred, corners_px=HERE, size=SIZE).faults != ()


@pytest.mark.parametrize("corners", [None, HERE])
def test_a_rating_is_the_same_after_being_written_down(corners: tuple[tuple[float, float], ...] | None) -> None:
    rating = rate_photo(shot(((160.0, 35.0, 9.0),)), corners_px=corners, size=SIZE)
    again = rating_from_text(rating.text())
    assert again == rating
    assert isinstance(again, PhotoRating)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"schema": 2}', '{"schema": 1, "faults": 3}', "nonsense"])
def test_what_is_no_rating_is_none(text: str) -> None:
    assert rating_from_text(text) is None


@pytest.mark.parametrize("bits", [16])
def test_photos_of_16_bits_are_rated_alike(bits: int) -> None:
    photo = taken(4.0)
    curve = np.repeat(photo.curve, 256)
    deep = Photo((photo.codes.astype(np.uint16) << (bits - 8)) + 128, curve)
    assert rate_photo(deep).word == rate_photo(photo).word == "blurred"


def test_a_tiny_photo_does_no_harm() -> None:
    tiny = Photo(np.random.default_rng(0).integers(0, 256, (12, 9, 3), dtype=np.uint8), srgb_curve())
    assert rate_photo(tiny).sharpness is None


@pytest.mark.parametrize(
    ("box", "share", "words"),
    [
        ((0.8, 0.1, 0.9, 0.2), 0.01, "upper right"),
        ((0.0, 0.4, 0.1, 0.6), 0.01, "left edge"),
        ((0.1, 0.05, 0.9, 0.2), 0.1, "across the top"),
        ((0.02, 0.1, 0.2, 0.95), 0.1, "down the left side"),
        ((0.45, 0.45, 0.55, 0.55), 0.01, "in the middle"),
        ((0.4, 0.0, 0.6, 0.1), 0.01, "top edge"),
        ((0.1, 0.1, 0.9, 0.9), 0.05, "in several places"),
        ((0.0, 0.0, 1.0, 1.0), 0.6, "over most of it"),
    ],
)
def test_places_in_words(box: tuple[float, ...], share: float, words: str) -> None:
    assert where_words(np.array(box), share) == words


def test_the_place_is_the_canvas_s_not_the_photo_s() -> None:
    """The canvas fills only the right part of the photo: its left edge is the photo's middle."""
    small = Camera(((620, 250), (1120, 250), (1120, 625), (620, 625)), width=1200, height=900, exposure=0.7)
    photo = load_photo_bytes(photograph(painted(), replace(small, glare=((25.0, 30.0, 12.0),))).jpeg(), "right.jpg")
    assert glare_of_photo(photo, np.asarray(small.corners))[0].where == "upper left"


def test_a_larger_canvas_forgives_more_blur() -> None:
    """Edges are hard up to a width in proportion to the canvas: so is what a photo may be blurred by."""
    photo = taken(5.0)
    small, large = (sharpness(photo, CORNERS, Size(200 * k, 150 * k)) for k in (1, 4))
    assert small is not None
    assert large is not None
    assert small.blur_mm == pytest.approx(large.blur_mm / 4, rel=0.05)  # type: ignore[operator]
    assert small.kind == large.kind == "out of focus"
