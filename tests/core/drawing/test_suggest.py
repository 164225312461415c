"""Suggested lines against scenes whose contours are known."""

from functools import cache

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from assets.make_demo import FOLDER
from core.canvas.flat import Flat
from core.drawing.drawing import Drawing, Line
from core.drawing.suggest import Suggestion, suggest_lines
from core.drawing.suggest_brush import within_brush
from core.errors import CancelledError
from core.photo import Photo, load_photo, srgb_curve
from core.size import Size
from tests.studio import references
from tests.studio.demo_forms import drawn, left_out
from tests.studio.known_contours import SIZE, scene

Array = NDArray[np.float64]
NEAR_MM = 1.0
ENOUGH = 0.8
USUAL = 0.5  # the amount that is offered first


def places(lines: list[Line]) -> Array:
    return Drawing(SIZE, tuple(lines)).sampled(0.5).points


def share_near(points: Array, others: Array) -> float:
    return float((cKDTree(others).query(points)[0] <= NEAR_MM).mean())


@cache
def every_line_of_demo() -> Array:
    return np.concatenate([*drawn().values(), left_out()])


@cache
def of_demo() -> Suggestion:
    return suggest_lines(load_photo(FOLDER / "reference.jpg"), size=SIZE)


@cache
def of_scene(seed: int) -> tuple[Suggestion, Array]:
    known = scene(seed, px_per_mm=3.0)
    return suggest_lines(Flat(known.linear, 3.0, SIZE)), known.contours


@cache
def of_photograph(name: str) -> Suggestion:
    return suggest_lines(Flat(references.linear(references.pixels(name, SIZE)), 1.0, SIZE))


def test_contours_of_the_demo_are_found() -> None:
    assert share_near(drawn()["contour"], places(of_demo().at(USUAL))) >= ENOUGH


def test_what_is_suggested_of_the_demo_is_there() -> None:
    assert share_near(places(of_demo().at(USUAL)), every_line_of_demo()) >= ENOUGH


def test_the_strongest_lines_of_the_demo_are_there() -> None:
    assert share_near(places(of_demo().at(0.25)), every_line_of_demo()) >= 0.9


@pytest.mark.parametrize("seed", [1])
def test_known_contours_are_found(seed: int) -> None:
    suggestion, contours = of_scene(seed)
    assert share_near(contours, places(suggestion.at(USUAL))) >= 0.95


@pytest.mark.parametrize("seed", [1])
def test_texture_noise_and_soft_shadows_are_not_drawn(seed: int) -> None:
    suggestion, contours = of_scene(seed)
    assert share_near(places(suggestion.at(USUAL)), contours) >= 0.95


@pytest.mark.parametrize("seed", [1])
def test_lines_lie_on_the_contour(seed: int) -> None:
    suggestion, contours = of_scene(seed)
    away = cKDTree(contours).query(places(suggestion.at(0.25)))[0]
    assert np.median(away) < 0.3  # of points every 0.5 mm, which are 0.13 mm away along the line already


def discs(radii: list[float], *, px_per_mm: float = 3.0) -> tuple[NDArray[np.float32], Array]:
    """Dark discs of known radius on a light ground, soft by 0.3 mm, and their centres."""
    picture = np.full((round(300 * px_per_mm), round(400 * px_per_mm), 3), 0.5, np.float32)
    centres = np.array([[60 + 70 * k, 80 + 30 * (k % 3)] for k in range(len(radii))], dtype=np.float64)
    for centre, radius in zip(centres, radii, strict=True):
        at = [round(float(v) * 16) for v in centre * px_per_mm - 0.5]
        cv2.circle(picture, at, round(radius * px_per_mm * 16), (0.1, 0.12, 0.2), -1, cv2.LINE_AA, 4)
    return cv2.GaussianBlur(picture, (0, 0), 0.3 * px_per_mm), centres


def test_circles_come_out_closed_and_true() -> None:
    radii = [30.0, 20.0, 12.0, 6.0, 3.0]
    picture, centres = discs(radii)
    lines = suggest_lines(Flat(picture, 3.0, SIZE)).at(USUAL)
    assert [line.closed for line in lines] == [True] * len(radii)
    points = places(lines)
    away, nearest = cKDTree(centres).query(points)
    assert np.abs(away - np.array(radii)[nearest]).max() < 0.35


@pytest.mark.parametrize("name", ["chelsea", "coffee"])
def test_no_line_is_shorter_than_the_speckle_limit(name: str) -> None:
    suggestion = of_photograph(name)
    assert len(suggestion.lines) > 100
    assert min(each.line.length_mm for each in suggestion.lines) >= suggestion.shortest_mm


@settings(max_examples=50, deadline=None)
@given(st.floats(0, 1), st.floats(0, 1))
def test_more_keeps_what_less_has(one: float, other: float) -> None:
    less, more = (of_photograph("coffee").at(amount) for amount in sorted([one, other]))
    assert less == more[: len(less)]


def test_amounts_go_from_few_to_many() -> None:
    counts = [len(of_photograph("coffee").at(amount)) for amount in (0.0, 0.25, 0.5, 0.75, 1.0)]
    assert counts == sorted(set(counts))
    assert counts[-1] == len(of_photograph("coffee").lines)


@pytest.mark.parametrize("amount", [-0.1, 1.1, np.nan])
def test_an_amount_outside_is_refused(amount: float) -> None:
    with pytest.raises(ValueError, match="amount"):
        of_demo().at(amount)


@pytest.mark.parametrize("level", [0.0, 0.2, 1.0])
def test_an_even_picture_gives_no_lines(level: float) -> None:
    assert suggest_lines(Flat(np.full((300, 400, 3), level, np.float32), 1.0, SIZE)).lines == ()


def test_a_smooth_slope_and_noise_give_no_lines_at_first() -> None:
    slope = np.linspace(0.1, 0.7, 1200, dtype=np.float32)[None, :, None] * np.ones((900, 1, 3), np.float32)
    noise = np.random.default_rng(0).normal(0, 0.01, slope.shape).astype(np.float32)
    assert suggest_lines(Flat(np.clip(slope + noise, 0, 1), 3.0, SIZE)).at(USUAL) == []


def test_texture_gives_way_to_contours() -> None:
    """The cat's fur is many lines, its eyes are few: the eyes come first."""
    first = places(of_photograph("chelsea").at(0.25))
    eyes = np.array([[144.0, 104.0], [292.0, 132.0]])  # their centres on the canvas, set by hand
    assert np.mean(cKDTree(eyes).query(first)[0] < 50.0) > 0.9


def test_exposure_hardly_changes_the_lines() -> None:
    known = scene(0, px_per_mm=2.0)
    darker = suggest_lines(Flat(0.4 * known.linear, 2.0, SIZE)).at(USUAL)
    assert share_near(known.contours, places(darker)) >= 0.95


def test_lines_scale_with_the_canvas() -> None:
    picture, _ = discs([30.0, 12.0])
    small = suggest_lines(Flat(picture, 3.0, SIZE))
    large = suggest_lines(Flat(picture, 1.0, Size(1200, 900)))
    assert len(small.lines) == len(large.lines)
    assert np.isclose(large.lines[0].line.length_mm, 3 * small.lines[0].line.length_mm, rtol=0.002)


def test_a_photo_and_its_flat_give_the_same_lines() -> None:
    encoded = references.pixels("coffee", SIZE)
    from_photo = suggest_lines(Photo(encoded, srgb_curve()), size=SIZE)
    assert share_near(places(of_photograph("coffee").at(USUAL)), places(from_photo.at(USUAL))) > 0.98


def test_what_the_photo_does_not_reach_is_not_outlined() -> None:
    picture, _ = discs([30.0])
    picture[:, 900:] = 0.0
    seen = np.ones(picture.shape[:2], bool)
    seen[:, 900:] = False
    (line,) = suggest_lines(Flat(picture, 3.0, SIZE, seen)).at(1.0)
    assert line.closed


def test_soft_changes_of_light_alone_are_guessed_to_be_shadow_edges() -> None:
    """The demo's cast shadows and painted edges, by the length that lies on the one or the other alone."""
    truth = {layer: cKDTree(points) for layer, points in drawn().items()}
    shadow_of_paint = shadow_of_shadow = paint = shadow = 0
    for line in of_demo().at(USUAL):
        points = places([line])
        on = {layer: tree.query(points)[0] <= NEAR_MM for layer, tree in truth.items()}
        on_paint = (on["contour"] | on["inner form"]) & ~on["shadow edge"]
        on_shadow = on["shadow edge"] & ~on["contour"] & ~on["inner form"]
        paint, shadow = paint + on_paint.sum(), shadow + on_shadow.sum()
        if line.layer == "shadow edge":
            shadow_of_paint, shadow_of_shadow = shadow_of_paint + on_paint.sum(), shadow_of_shadow + on_shadow.sum()
    assert shadow_of_paint < 0.05 * paint
    assert shadow_of_shadow > 0.6 * shadow


def test_work_can_be_stopped() -> None:
    told: list[float] = []

    def stop(share: float, doing: str) -> None:
        told.append(share)
        if share > 0.5:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        suggest_lines(Flat(discs([30.0])[0], 3.0, SIZE), progress=stop)
    assert told == sorted(told)


def test_a_photo_needs_a_size() -> None:
    with pytest.raises(ValueError, match="size"):
        suggest_lines(Photo(np.zeros((30, 40, 3), np.uint8), srgb_curve()))


ROW = [Line.through(np.array([[20.0 * k, 50.0], [20.0 * k + 15, 50.0]])) for k in range(5)]


@pytest.mark.parametrize(
    ("path", "radius", "touched"),
    [
        ([[27.0, 54.0]], 5.0, [1]),
        ([[27.0, 56.0]], 5.0, []),
        ([[17.5, 50.0]], 3.0, [0, 1]),
        ([[0.0, 20.0], [115.0, 80.0]], 1.0, []),
        ([[0.0, 20.0], [90.0, 80.0]], 1.0, [2]),
        ([[10.0, 40.0], [10.0, 60.0], [70.0, 60.0], [70.0, 40.0]], 2.0, [0, 3]),
    ],
)
def test_a_brush_touches_the_lines_it_goes_over(path: list[list[float]], radius: float, touched: list[int]) -> None:
    assert within_brush(ROW, path, radius).tolist() == touched


@pytest.mark.parametrize(("path", "radius"), [([], 1.0), ([[0.0, np.nan]], 1.0), ([[0.0, 0.0]], 0.0)])
def test_what_is_no_brush_is_refused(path: list[list[float]], radius: float) -> None:
    with pytest.raises(ValueError, match="brush"):
        within_brush(ROW, path, radius)
