"""Drawings on sheets that are known exactly, photographed and scanned, against what was drawn."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from core.drawing.drawing import Line
from core.drawing.scan import scan_drawing, scan_flatbed
from core.size import Size
from tests.core.drawing.drawn_sheets import (
    INKS,
    Stroke,
    as_photo,
    drawn,
    hand_shadow,
    moved,
    paper,
    random_strokes,
    recovery,
    reflections,
    square_photo,
    squared,
    weave,
)  # fmt: skip
from tests.studio.painter import Painted

Array = NDArray[np.float64]

A6 = Size(148.0, 105.0)
FOUND, FALSE, LONGER = 0.95, 0.05, 1.03


def strokes(seed: int, shade: str = "pencil") -> list[Stroke]:
    return [replace(each, shade=shade) for each in random_strokes(np.random.default_rng(seed), A6, count=6)]


def sheet_with(lines: list[Stroke], seed: int = 0, *, texture: float = 0.02) -> Painted:
    rng = np.random.default_rng(seed)
    return drawn(lines, paper(A6, rng, texture=texture), A6, rng)


def circle(radius: float, at: tuple[float, float] = (74.0, 52.0)) -> Array:
    angle = np.linspace(0, 2 * np.pi, 200)
    return np.asarray(at) + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def square(side: float, at: tuple[float, float] = (74.0, 52.0)) -> Array:
    return np.asarray(at) + side / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]], dtype=float)


def assert_recovered(painted: Painted, lines: list[Stroke], seed: int = 1) -> tuple[str, ...]:
    photo, corners = as_photo(painted, seed, width=1600, height=1200)
    scan = scan_drawing(photo, A6, corners_px=corners)
    got = recovery(scan.drawing, lines)
    assert got.found >= FOUND
    assert got.false <= FALSE
    assert got.longer <= LONGER
    return scan.notes


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("shade", ["black", "hard pencil"])
def test_photographed_drawings(seed: int, shade: str) -> None:
    lines = strokes(seed, shade)
    assert assert_recovered(sheet_with(lines, seed), lines, seed) == ()


@pytest.mark.parametrize("shade", ["red", "blue"])
def test_coloured_pencil(shade: str) -> None:
    lines = strokes(3, shade)
    assert_recovered(sheet_with(lines), lines)


def test_yellow_pencil_that_luminance_hardly_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(INKS, "yellow", (0.80, 0.65, 0.08))
    lines = [Stroke(circle(35), 0.8, "yellow"), Stroke(square(30), 0.8, "yellow")]
    assert_recovered(sheet_with(lines), lines)


def test_rough_paper_and_grainy_pencil() -> None:
    lines, rng = strokes(1), np.random.default_rng(4)
    assert_recovered(drawn(lines, paper(A6, rng, texture=0.05), A6, rng, grain=0.5), lines)


@pytest.mark.parametrize("soft_mm", [8.0, 3.0])
def test_a_hand_or_phone_throws_its_shadow(soft_mm: float) -> None:
    lines = strokes(1)
    assert_recovered(hand_shadow(sheet_with(lines), soft_mm), lines)


def test_acetate_over_canvas_with_reflections() -> None:
    lines, rng = strokes(1, "black"), np.random.default_rng(0)
    painted = drawn(lines, weave(paper(A6, rng), A6), A6, rng)
    assert_recovered(reflections(painted), lines)


@pytest.mark.parametrize(("both", "kind"), [(True, "squared, 5.0 mm"), (False, "ruled, 8.0 mm")])
def test_the_paper_s_ruling_is_left_out_and_told(both: bool, kind: str) -> None:
    lines, rng = strokes(1), np.random.default_rng(0)
    sheet = squared(paper(A6, rng), A6, 5.0 if both else 8.0, both=both, turn_deg=0.0 if both else 0.4)
    notes = assert_recovered(drawn(lines, sheet, A6, rng), lines)
    assert any(kind in note for note in notes)


def test_a_plain_sheet_with_hatching_is_not_ruled() -> None:
    hatch = [Stroke(np.array([[40.0, y], [90.0, y]]), 0.4, "pencil") for y in np.arange(20.0, 90.0, 4.0)]
    scan = scan_flatbed(square_photo(sheet_with(hatch)), A6)
    assert scan.notes == ()
    assert recovery(scan.drawing, hatch).found >= FOUND


@pytest.mark.parametrize("width", [0.3, 0.6, 1.2])
def test_a_square_keeps_its_corners_and_is_closed(width: float) -> None:
    scan = scan_flatbed(square_photo(sheet_with([Stroke(square(50), width)])), A6)
    (line,) = scan.drawing.lines
    assert line.closed
    corners = [np.linalg.norm(line.points[::3] - corner, axis=1).min() for corner in square(50)]
    assert max(corners) <= 0.15
    assert len(line.points) <= 3 * 8 + 1


@pytest.mark.parametrize("radius", [2.0, 5.0, 35.0])
def test_circles_stay_round(radius: float) -> None:
    scan = scan_flatbed(square_photo(sheet_with([Stroke(circle(radius), 0.5)])), A6)
    (line,) = scan.drawing.lines
    assert line.closed
    away = np.linalg.norm(line.polyline(0.01) - [74.0, 52.0], axis=1)
    assert np.abs(away - radius).max() <= 0.15


def test_a_thick_line_is_one_line() -> None:
    lines = [Stroke(np.array([[20.0, 20.0], [130.0, 80.0]]), 2.0)]
    scan = scan_flatbed(square_photo(sheet_with(lines)), A6)
    assert len(scan.drawing.lines) == 1
    assert recovery(scan.drawing, lines).longer == pytest.approx(1.0, abs=0.02)
    assert scan.widths_mm == pytest.approx([2.0], abs=0.25)


def test_lines_go_on_across_a_crossing() -> None:
    cross = [Stroke(np.array([[20.0, 20.0], [130.0, 80.0]]), 0.5), Stroke(np.array([[30.0, 90.0], [120.0, 10.0]]), 0.5)]
    assert len(scan_flatbed(square_photo(sheet_with(cross)), A6).drawing.lines) == 2


def test_a_broken_stroke_is_joined_and_dashes_are_not() -> None:
    def pieces(gap: float) -> list[Stroke]:
        return [Stroke(np.array([[x, 40.0 + 0.2 * x], [x + 20.0, 44.0 + 0.2 * x]]), 0.4, "pencil")
                for x in np.arange(15.0, 110.0, 20.0 + gap)]  # fmt: skip

    def count(gap: float) -> int:
        return len(scan_flatbed(square_photo(sheet_with(pieces(gap))), A6).drawing.lines)

    assert count(0.9) == 1  # round ends take 0.4 of it
    assert count(3.0) == len(pieces(3.0))


def test_two_weights_are_two_layers_and_one_is_one() -> None:
    thick = [Stroke(circle(40), 1.2), Stroke(square(48), 1.2)]
    thin = [Stroke(circle(20), 0.4), Stroke(circle(12), 0.4)]

    def layers(lines: list[Stroke]) -> dict[str, int]:
        found: tuple[Line, ...] = scan_flatbed(square_photo(sheet_with(lines)), A6).drawing.lines
        return {name: sum(line.layer == name for line in found) for name in {line.layer for line in found}}

    assert layers(thick + thin) == {"contour": 2, "inner form": 2}
    uneven = [replace(each, width_mm=w) for each, w in zip(thick + thin, (0.8, 0.7, 0.6, 0.5), strict=True)]
    assert set(layers(uneven)) == {"contour"}


def test_specks_are_left_out_and_counted() -> None:
    rng = np.random.default_rng(2)
    dots = [Stroke(np.array([[x, y], [x + 0.2, y]]), 0.6) for x, y in rng.uniform(10, 95, (40, 2))]
    lines = [Stroke(np.array([[110.0, 20.0], [130.0, 90.0]]), 0.6)]
    scan = scan_flatbed(square_photo(sheet_with(lines + dots)), A6)
    assert len(scan.drawing.lines) == 1
    assert any("specks" in note for note in scan.notes)


def test_a_sheet_placed_on_a_larger_canvas() -> None:
    canvas, lines = Size(500.0, 400.0), strokes(1)
    photo = square_photo(sheet_with(lines))
    corners = np.array([[150.0, 130.0], [310.0, 140.0], [305.0, 250.0], [145.0, 245.0]])
    scan = scan_flatbed(photo, canvas, sheet=A6, sheet_corners_mm=corners)
    assert scan.drawing.size == canvas
    assert recovery(scan.drawing, moved(lines, A6, corners)).found >= FOUND
    middle = scan_flatbed(photo, canvas, sheet=A6)
    in_middle = [replace(each, points=each.points + np.array([176.0, 147.5])) for each in lines]
    assert recovery(middle.drawing, in_middle).found >= FOUND


def test_a_sheet_larger_than_the_canvas_is_told() -> None:
    scan = scan_flatbed(square_photo(sheet_with([Stroke(square(90), 0.5)])), Size(80.0, 80.0), sheet=A6)
    assert "Part of the drawing lies outside the canvas." in scan.notes


def test_corners_placed_a_little_outside_the_sheet() -> None:
    lines = strokes(1)
    photo, corners = as_photo(sheet_with(lines), 1, width=1600, height=1200)
    outward = corners + 8.0 * np.sign(corners - corners.mean(axis=0))  # about 1 mm
    got = recovery(scan_drawing(photo, A6, corners_px=outward).drawing, lines, within_mm=1.5)
    assert got.found >= FOUND
    assert got.false <= FALSE


def test_what_is_given_for_the_preview() -> None:
    scan = scan_flatbed(square_photo(sheet_with([Stroke(square(50), 1.0)])), A6)
    assert scan.ink.shape == scan.sheet.linear.shape[:2]
    assert scan.ink.dtype == np.bool_
    assert scan.ink_share == pytest.approx(200.0 / (148.0 * 105.0), rel=0.25)
    assert len(scan.widths_mm) == len(scan.drawing.lines)
    assert scan.drawing.notes == scan.notes
