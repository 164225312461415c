"""The squaring grid: where its lines lie, what they are, and what its cells are called."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.squaring import MOST_CELLS, Kind, Squaring, column_name, squaring_grid
from core.errors import DrawingError
from core.size import Size

CANVAS = Size(400, 300)
COUNTS = st.integers(0, 20)
SIZES = st.builds(Size, st.floats(50, 3000), st.floats(50, 3000))
SQUARINGS = st.builds(
    Squaring,
    COUNTS,
    COUNTS,
    st.none() | st.floats(40, 400),
    st.booleans(),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)


def uprights(segments: np.ndarray) -> list[float]:
    return sorted(x for x, _, other, _ in segments.tolist() if x == other)


def levels(segments: np.ndarray) -> list[float]:
    return sorted(y for _, y, _, other in segments.tolist() if y == other)


def test_four_by_three_cells_of_100_mm() -> None:
    grid = squaring_grid(CANVAS, Squaring(4, 3))
    assert uprights(grid.of(Kind.CELL)) == [100, 200, 300]
    assert levels(grid.of(Kind.CELL)) == [100, 200]
    assert len(grid.of(Kind.BORDER)) == 4
    assert grid.cell_mm == (100, 100)
    assert grid.left_over_mm == (0, 0)


def test_cells_are_named_at_their_middles_along_the_edges() -> None:
    labels = squaring_grid(CANVAS, Squaring(4, 3)).labels
    across = [(label.text, label.x_mm, label.y_mm) for label in labels if label.names_column]
    down = [(label.text, label.x_mm, label.y_mm) for label in labels if not label.names_column]
    assert across == [("A", 50, 0), ("B", 150, 0), ("C", 250, 0), ("D", 350, 0)]
    assert down == [("1", 0, 50), ("2", 0, 150), ("3", 0, 250)]


def test_square_cells_leave_the_rest_at_the_right_and_at_the_bottom() -> None:
    grid = squaring_grid(CANVAS, Squaring(cell_mm=70))
    assert uprights(grid.of(Kind.CELL)) == [70, 140, 210, 280, 350]
    assert levels(grid.of(Kind.CELL)) == [70, 140, 210, 280]
    assert grid.left_over_mm == pytest.approx((50, 20))
    assert [label.text for label in grid.labels if label.names_column][-1] == "F"


def test_square_cells_of_an_inch_come_out_even_on_a_stretcher_in_inches() -> None:
    grid = squaring_grid(Size(16 * 25.4, 20 * 25.4), Squaring(cell_mm=25.4))
    assert grid.left_over_mm == (0, 0)
    assert len(grid.of(Kind.CELL)) == 15 + 19


def test_thirds_halves_and_diagonals() -> None:
    grid = squaring_grid(CANVAS, Squaring(0, 0, halves=True, thirds=True, diagonals=True))
    assert uprights(grid.of(Kind.THIRD)) == pytest.approx([400 / 3, 800 / 3])
    assert levels(grid.of(Kind.THIRD)) == pytest.approx([100, 200])
    assert (uprights(grid.of(Kind.HALF)), levels(grid.of(Kind.HALF))) == ([200], [150])
    assert grid.of(Kind.DIAGONAL).tolist() == [[0, 0, 400, 300], [0, 300, 400, 0]]
    assert not grid.labels
    assert grid.cell_mm is None


def test_lines_that_fall_together_are_one() -> None:
    grid = squaring_grid(CANVAS, Squaring(6, 4, halves=True, thirds=True))
    assert uprights(grid.segments) == pytest.approx([0, 400 / 6, 800 / 6, 200, 1600 / 6, 2000 / 6, 400])
    assert uprights(grid.of(Kind.HALF)) == [200]
    assert uprights(grid.of(Kind.CELL)) == pytest.approx([400 / 6, 2000 / 6])


def test_every_cell_has_two_diagonals() -> None:
    found = squaring_grid(CANVAS, Squaring(2, 1, cell_diagonals=True)).of(Kind.CELL_DIAGONAL).tolist()
    assert sorted(found) == [[0, 0, 200, 300], [0, 300, 200, 0], [200, 0, 400, 300], [200, 300, 400, 0]]


def test_diagonals_that_go_straight_on_are_one_line() -> None:
    found = squaring_grid(CANVAS, Squaring(2, 2, cell_diagonals=True)).of(Kind.CELL_DIAGONAL).tolist()
    whole = [[0, 0, 400, 300], [0, 300, 400, 0]]
    small = [[200, 0, 400, 150], [0, 150, 200, 300], [200, 300, 400, 150], [0, 150, 200, 0]]
    assert sorted(found) == sorted(whole + small)


@given(SIZES, st.integers(1, 9), st.integers(1, 9), st.none() | st.floats(40, 400))
def test_the_diagonals_run_through_the_middle_of_every_cell(
    size: Size, columns: int, rows: int, cell_mm: float | None
) -> None:
    grid = squaring_grid(size, Squaring(columns, rows, cell_mm, cell_diagonals=True))
    lines = grid.of(Kind.CELL_DIAGONAL)
    starts, ways = lines[:, :2], lines[:, 2:] - lines[:, :2]
    lengths = np.linalg.norm(ways, axis=1)
    across = [label.x_mm for label in grid.labels if label.names_column] or [size.width_mm / 2]
    down = [label.y_mm for label in grid.labels if not label.names_column] or [size.height_mm / 2]
    for x in across:
        for y in down:
            to = np.array([x, y]) - starts
            away = np.abs(ways[:, 0] * to[:, 1] - ways[:, 1] * to[:, 0]) / lengths
            along = (to * ways).sum(axis=1) / lengths**2
            assert np.count_nonzero((away < 1e-4) & (along > 0) & (along < 1)) == 2


def test_a_single_cell_s_diagonals_are_the_canvas_s_own() -> None:
    grid = squaring_grid(CANVAS, Squaring(1, 1, diagonals=True, cell_diagonals=True))
    assert len(grid.of(Kind.DIAGONAL, Kind.CELL_DIAGONAL)) == 2


@given(SIZES, SQUARINGS)
def test_every_line_keeps_to_the_canvas(size: Size, wanted: Squaring) -> None:
    segments = squaring_grid(size, wanted).segments.reshape(-1, 2)
    assert segments.min() >= 0
    assert segments[:, 0].max() == size.width_mm
    assert segments[:, 1].max() == size.height_mm


@given(SIZES, SQUARINGS)
def test_no_line_is_there_twice(size: Size, wanted: Squaring) -> None:
    segments = np.round(squaring_grid(size, wanted).segments, 5).tolist()
    assert len({tuple(each) for each in segments}) == len(segments)


@given(SIZES, SQUARINGS)
def test_there_is_a_label_for_every_column_and_row(size: Size, wanted: Squaring) -> None:
    grid = squaring_grid(size, wanted)
    if not grid.labels:
        return
    columns = [label.x_mm for label in grid.labels if label.names_column]
    rows = [label.y_mm for label in grid.labels if not label.names_column]
    if wanted.cell_mm is None:
        assert (len(columns), len(rows)) == (max(wanted.columns, 1), max(wanted.rows, 1))
    assert columns == sorted(set(columns))
    assert rows == sorted(set(rows))
    assert all(0 < x < size.width_mm for x in columns)
    assert all(0 < y < size.height_mm for y in rows)


@given(SIZES, st.floats(30, 300))
def test_square_cells_are_square_and_the_rest_is_less(size: Size, cell_mm: float) -> None:
    grid = squaring_grid(size, Squaring(cell_mm=cell_mm))
    cuts = np.array(sorted({*uprights(grid.segments)}))
    assert np.allclose(np.diff(cuts)[:-1], cell_mm, atol=1e-5)
    assert 0 < np.diff(cuts)[-1] <= cell_mm + 1e-5
    assert 0 <= max(grid.left_over_mm) < cell_mm


def test_columns_go_on_after_z() -> None:
    """As the columns of a spreadsheet do."""
    names = [column_name(i) for i in (0, 25, 26, 27, 51, 52, 701, 702)]
    assert names == ["A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]
    with pytest.raises(ValueError, match="from 0"):
        column_name(-1)


@pytest.mark.parametrize(
    "wanted",
    [Squaring(MOST_CELLS + 1, 2), Squaring(2, -1), Squaring(cell_mm=2.0), Squaring(cell_mm=0.0), Squaring(cell_mm=-5)],
)
def test_a_grid_of_no_use_is_refused_in_a_sentence(wanted: Squaring) -> None:
    with pytest.raises(DrawingError, match="cells"):
        squaring_grid(CANVAS, wanted)


def test_the_segments_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        squaring_grid(CANVAS, Squaring()).segments[0, 0] = 5


@given(st.builds(Size, st.floats(20, 5000), st.floats(20, 5000)), st.integers(-5, 500), st.none() | st.floats(0.1, 900))
def test_a_grid_held_to_its_canvas_can_always_be_drawn(size: Size, count: int, cell_mm: float | None) -> None:
    grid = squaring_grid(size, Squaring(count, count, cell_mm).held_to(size))
    assert len(grid.labels) <= 2 * MOST_CELLS
