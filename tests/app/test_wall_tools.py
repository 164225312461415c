"""Grid, plumb lines and measures lie where they should in every kind of picture, and can be read on any ground."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from app import look
from app.picture import painted
from app.wall import Mapping, Placed, Sight
from app.wall.measure import ShownMeasure, paint_measures
from app.wall.plumb import paint_pin, paint_plumb
from app.wall.squaring import SquaringGrid, trace_of_segments
from core.drawing.squaring import Kind, Squaring, squaring_grid
from core.size import Size

from .wall_support import FLAT, SIZE, image_codes

WIDE, HIGH = 900, 700
WHOLE = Sight(200, 150, 2.0)
GROUND = 128

# The canvas from the side, in a photo of 3000 × 2000 pixels.
TILTED = Mapping.as_shot(
    np.array([[6.0, 0.9, 300.0], [0.5, 5.4, 200.0], [0.0006, 0.0002, 1.0]]),
    SIZE,
    lens_k1=-0.08,
    photo_size=(3000, 2000),
)
MAPPINGS = pytest.mark.parametrize("mapping", [FLAT, TILTED], ids=["flat", "as shot"])

pytestmark = pytest.mark.usefixtures("qapp")


def placed(mapping: Mapping, sight: Sight = WHOLE) -> Placed:
    return Placed(mapping, sight, QRectF(0, 0, WIDE, HIGH))


def laid(paint, where: Placed, ground: int = GROUND) -> np.ndarray:
    """(HIGH, WIDE) codes of a grey ground that was painted on."""

    def onto(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor(ground, ground, ground))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint(painter, where)

    return image_codes(painted(WIDE, HIGH, 1.0, onto))


def darkest_near(codes: np.ndarray, at: np.ndarray, reach: int = 1) -> int:
    column, row = (int(v) for v in np.floor(at))
    return int(codes[max(row - reach, 0) : row + reach + 1, max(column - reach, 0) : column + reach + 1].min())


def lightest_near(codes: np.ndarray, at: np.ndarray, reach: int = 3) -> int:
    column, row = (int(v) for v in np.floor(at))
    return int(codes[max(row - reach, 0) : row + reach + 1, max(column - reach, 0) : column + reach + 1].max())


@MAPPINGS
@pytest.mark.parametrize("ground", [20, 128, 240])
def test_the_grid_lies_on_its_lines_and_stands_out_from_any_ground(mapping: Mapping, ground: int) -> None:
    grid = squaring_grid(SIZE, Squaring(4, 3))
    where = placed(mapping)
    codes = laid(SquaringGrid(grid).paint, where, ground)
    along = np.array([0.23, 0.41, 0.61, 0.83])[:, None]
    for x, y, u, v in grid.segments:
        for at in where.points(np.array([x, y]) + along * np.array([u - x, v - y])):
            dark, light = darkest_near(codes, at), lightest_near(codes, at)
            assert look.contrast(QColor(dark, dark, dark), QColor(light, light, light)) >= 3.0  # WCAG 2.2, 1.4.11


@MAPPINGS
def test_between_its_lines_the_grid_leaves_the_picture_alone(mapping: Mapping) -> None:
    where = placed(mapping)
    codes = laid(SquaringGrid(squaring_grid(SIZE, Squaring(4, 3))).paint, where)
    middles = [(x, y) for x in (150, 250, 350) for y in (150, 250)]
    for column, row in np.floor(where.points(middles)).astype(int):
        assert (codes[row - 8 : row + 9, column - 8 : column + 9] == GROUND).all()


def test_straight_lines_are_bent_by_the_lens_as_the_canvas_is() -> None:
    """Every point of every piece keeps within a fifth of a photo pixel of where the lens puts the line."""
    trace = trace_of_segments(np.array([[0.0, 0.0, 400.0, 0.0], [130.0, 300.0, 400.0, 10.0]]), TILTED)
    true = [
        TILTED.to_picture(np.array([[0.0, 0.0]]) + np.linspace(0, 1, 20001)[:, None] * np.array([400.0, 0.0])),
        TILTED.to_picture(np.array([[130.0, 300.0]]) + np.linspace(0, 1, 20001)[:, None] * np.array([270.0, -290.0])),
    ]
    for line, course in zip(trace.lines, true, strict=True):
        middles = (line[:, :2] + line[:, 2:]) / 2
        away = np.linalg.norm(middles[:, None] - course[None], axis=2).min(axis=1)
        assert away.max() < 0.2
    straight = np.linspace(true[0][0], true[0][-1], 20001)
    assert np.abs(straight - true[0]).max() > 5  # without the bend it would miss by this much


@pytest.mark.parametrize("sight", [WHOLE, Sight(260, 190, 7.0), Sight(110, 60, 12.0)])
@MAPPINGS
def test_columns_and_rows_are_named_where_the_canvas_comes_into_sight(mapping: Mapping, sight: Sight) -> None:
    """A plate, light with dark letters, inside the part that is seen, in the middle of its column or row."""
    grid = squaring_grid(SIZE, Squaring(4, 3))
    where = placed(mapping, sight)
    lines_only = laid(SquaringGrid(squaring_grid(SIZE, Squaring(0, 0))).paint, where)
    for label in grid.labels:
        wide = np.linspace(0, 1, 400)
        fixed = np.ones(400)
        if label.names_column:
            course = np.column_stack([label.x_mm * fixed, 300 * wide])
        else:
            course = np.column_stack([400 * wide, label.y_mm * fixed])
        x, y = where.points(course).T
        inside = (x > 30) & (x < WIDE - 30) & (y > 30) & (y < HIGH - 30)
        if inside.any():
            at = np.array([x[inside][0], y[inside][0]])
            codes = laid(SquaringGrid(grid).paint, where)
            assert lightest_near(codes, at, 20) > 210
            assert (codes != lines_only).any()


@pytest.mark.parametrize("size", [SIZE, Size(5000, 4000)])
@pytest.mark.parametrize("zoom", [40.0, 160.0, 1280.0])
def test_lines_stay_where_they_are_however_close_one_comes(size: Size, zoom: float) -> None:
    """Up to 32 screen pixels for each of 40 picture pixels in a millimetre, on the largest canvas."""
    grid = squaring_grid(size, Squaring(4, 4, diagonals=True))
    for x_mm, y_mm in ((size.width_mm / 4, size.height_mm * 0.3), (size.width_mm * 0.9, size.height_mm * 0.9)):
        where = placed(FLAT, Sight(x_mm, y_mm, zoom))
        codes = laid(SquaringGrid(grid).paint, where)
        assert darkest_near(codes, np.array([WIDE / 2, HIGH / 2])) <= 100
        assert (codes == GROUND).mean() > 0.9


def test_lines_of_the_whole_are_heavier_than_those_of_cells() -> None:
    where = placed(FLAT)
    codes = laid(SquaringGrid(squaring_grid(SIZE, Squaring(5, 5, halves=True))).paint, where)

    def dark(x_mm: float) -> int:
        column, row = int(where.point(x_mm, 47).x()), int(where.point(x_mm, 47).y())
        return int((codes[row, column - 6 : column + 7] < 60).sum())

    assert dark(200) > dark(80) > 0


@MAPPINGS
def test_plumb_and_level_lines_run_through_their_point_to_the_edges(mapping: Mapping) -> None:
    where = placed(mapping)
    codes = laid(lambda painter, here: paint_plumb(painter, here, (130, 210), SIZE), where)
    for x, y in [(130, 2), (130, 150), (130, 298), (2, 210), (260, 210), (398, 210)]:
        assert darkest_near(codes, where.points([x, y])[0]) <= 80
    for x, y in [(150, 190), (110, 230)]:
        assert darkest_near(codes, where.points([x, y])[0], 5) == GROUND


def test_off_the_canvas_there_are_no_lines() -> None:
    where = placed(FLAT)
    assert (laid(lambda painter, here: paint_plumb(painter, here, (-5, 210), SIZE), where) == GROUND).all()


@pytest.mark.parametrize("at", [(20, 20), (395, 295), (200, 150)])
def test_the_figures_of_a_pin_stay_in_sight(at: tuple[float, float]) -> None:
    where = placed(FLAT)

    def plain(painter: QPainter, here: Placed) -> None:
        paint_pin(painter, here, at, SIZE, "", held=False)

    def told(painter: QPainter, here: Placed) -> None:
        paint_pin(painter, here, at, SIZE, "→ 12.04  ↓ 4.58 cm", held=False)

    rows, columns = np.nonzero(laid(told, where) != laid(plain, where))
    assert columns.max() - columns.min() > 100
    assert (columns.min() > 0, columns.max() < WIDE - 1, rows.max() < HIGH - 1) == (True, True, True)


@MAPPINGS
def test_a_measure_runs_from_end_to_end_with_ticks_across(mapping: Mapping) -> None:
    where = placed(mapping)
    shown = ShownMeasure((60, 80), (320, 220))
    codes = laid(lambda painter, here: paint_measures(painter, here, [shown]), where)
    ends = where.points([shown.start, shown.end])
    for share in (0.1, 0.35, 0.5, 0.9):
        assert darkest_near(codes, where.points([60 + 260 * share, 80 + 140 * share])[0]) <= 80
    across = np.array([-(ends[1] - ends[0])[1], (ends[1] - ends[0])[0]])
    across /= np.linalg.norm(across)
    for end in ends:
        assert darkest_near(codes, end + 6 * across) <= 80
        assert darkest_near(codes, end - 6 * across) <= 80


def test_the_figures_of_a_measure_lie_beside_it_not_on_it() -> None:
    where = placed(FLAT)
    for end in ((320.0, 80.0), (60.0, 250.0), (300.0, 250.0), (300.0, 10.0)):
        bare = ShownMeasure((60.0, 80.0), end)
        told = ShownMeasure((60.0, 80.0), end, "1", "25.98 cm")
        before, after = (laid(lambda p, h, s=s: paint_measures(p, h, [s]), where) for s in (bare, told))
        line = before < 60
        assert (after[line] == before[line]).mean() > 0.98
        assert (after != before).sum() > 1000


def test_a_measure_out_of_sight_shows_nothing() -> None:
    where = placed(FLAT, Sight(380, 280, 20.0))
    shown = ShownMeasure((10, 10), (60, 20), "1", "5.10 cm")
    assert (laid(lambda painter, here: paint_measures(painter, here, [shown]), where) == GROUND).all()


def test_an_end_caught_by_a_landmark_is_ringed() -> None:
    where = placed(FLAT)
    bare, caught = ShownMeasure((60, 80), (320, 80)), ShownMeasure((60, 80), (320, 80), caught=((320, 80),))
    before, after = (laid(lambda p, h, s=s: paint_measures(p, h, [s]), where) for s in (bare, caught))
    rows, columns = np.nonzero(before != after)
    centre = where.point(320, 80)
    reach = np.hypot(columns + 0.5 - centre.x(), rows + 0.5 - centre.y())
    assert reach.min() > 5
    assert reach.max() < look.px(20)


def test_every_kind_of_line_is_drawn() -> None:
    from app.wall.squaring import _WIDTHS

    assert {kind for _, kinds in _WIDTHS for kind in kinds} == set(Kind)


def test_figures_that_find_no_room_leave_their_number_only() -> None:
    """Three measures on top of each other: two sets of figures, one on each side, and not one over another."""
    where = placed(FLAT)
    told = [ShownMeasure((100, 150), (300, 150), str(n), "20.00 cm · 1.42 heads", chosen=n == 3) for n in (1, 2, 3)]
    bare = [replace(each, words="") for each in told]
    before, all_three = (laid(lambda p, h, s=s: paint_measures(p, h, s), where) for s in (bare, told))
    chosen_only = laid(lambda p, h: paint_measures(p, h, [*bare[:2], told[2]]), where)
    plate = chosen_only != before
    assert plate.sum() > 1000
    assert (all_three[plate] == chosen_only[plate]).all()
    others = (all_three != before) & ~plate
    assert others.sum() > 1000
    rows = np.nonzero(others)[0]
    assert rows.min() > np.nonzero(plate)[0].max()  # below the line, as the chosen ones are above it
