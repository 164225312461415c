"""The landmark table: places, distances and differences, and what is withheld."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.drawing import Landmark
from core.drawing.landmark_table import Row, Strayed, as_cells, as_csv, as_text, figure, landmark_rows

# Corners of a 3-4-5 triangle.
MARKS = (Landmark("left eye", 40, 50), Landmark("right eye", 70, 50), Landmark("chin", 70, 90))
STRAYED = (
    Strayed("left eye", 40, 50, 0.0, 0.0, 0.9),
    Strayed("right eye", 70, 50, 3.0, 4.0, 0.9),
    Strayed("chin", 70, 90, 1.0, 1.0, 0.3),
)


def test_distances_run_from_one_to_the_next() -> None:
    rows = landmark_rows(MARKS)
    assert [(row.other, row.distance_mm) for row in rows] == [("", None), ("left eye", 30.0), ("right eye", 40.0)]


def test_distances_to_a_base() -> None:
    rows = landmark_rows(MARKS, base=0)
    assert [(row.other, row.distance_mm) for row in rows] == [("", None), ("left eye", 30.0), ("left eye", 50.0)]
    with pytest.raises(IndexError):
        landmark_rows(MARKS, base=3)


def test_the_painting_is_the_drawing_and_its_drift() -> None:
    left, right, _ = landmark_rows(MARKS, strayed=STRAYED)
    assert (left.painted, left.off) == ((40, 50), (0, 0))
    assert (right.painted, right.off) == ((73, 54), (3, 4))
    assert right.painted_distance_mm == pytest.approx((33**2 + 4**2) ** 0.5)
    assert right.distance_off_mm == pytest.approx((33**2 + 4**2) ** 0.5 - 30)


def test_what_is_not_sure_enough_is_withheld_with_its_distances() -> None:
    chin = landmark_rows(MARKS, strayed=STRAYED)[2]
    assert (chin.painted, chin.off, chin.painted_distance_mm, chin.distance_off_mm) == (None, None, None, None)
    assert chin.distance_mm == 40


@pytest.mark.parametrize(
    "strayed",
    [
        Strayed("left eye", 40, 50, None, None, 0.9),
        Strayed("left eye", 41, 50, 1.0, 1.0, 0.9),  # it has been moved since the check
        Strayed("other eye", 40, 50, 1.0, 1.0, 0.9),
    ],
)
def test_what_was_not_measured_here_is_withheld(strayed: Strayed) -> None:
    assert landmark_rows(MARKS, strayed=[strayed])[0].painted is None


def test_two_landmarks_of_one_name_are_told_apart_by_place() -> None:
    marks = (Landmark("eye", 10, 10), Landmark("eye", 60, 10))
    rows = landmark_rows(marks, strayed=[Strayed("eye", 60, 10, 1.0, 0.0, 0.9), Strayed("eye", 10, 10, 2.0, 0.0, 0.9)])
    assert [row.off for row in rows] == [(2, 0), (1, 0)]


@given(st.floats(-20, 20), st.floats(-20, 20))
def test_a_drawing_that_is_only_shifted_keeps_its_distances(dx: float, dy: float) -> None:
    strayed = [Strayed(m.name, m.x_mm, m.y_mm, dx, dy, 0.8) for m in MARKS]
    for row in landmark_rows(MARKS, strayed=strayed):
        assert row.off == pytest.approx((dx, dy), abs=1e-9)
        assert row.distance_off_mm is None or row.distance_off_mm == pytest.approx(0, abs=1e-9)


def test_figures() -> None:
    assert [figure(84.26), figure(84.26, "cm"), figure(25.4, "in")] == ["84.3", "8.43", "1.00"]
    assert [figure(2, signed=True), figure(-2, signed=True), figure(-0.01, signed=True)] == ["+2.0", "−2.0", "0.0"]
    assert figure(None) == "–"


def test_the_table_as_text_and_as_csv_has_the_same_cells() -> None:
    marks = (Landmark('the "big", jug', 1, 2), Landmark("rim\tleft\nedge", 3, 4))
    rows = landmark_rows(marks, strayed=[Strayed(marks[0].name, 1, 2, -1.0, 0.5, 0.9)])
    cells = as_cells(rows)
    assert list(csv.reader(io.StringIO(as_csv(rows), newline=""))) == cells
    lines = as_text(rows).splitlines()
    assert len(lines) == 3
    assert lines[1].split("\t") == cells[1]
    assert lines[2].split("\t")[0] == "rim left edge"
    assert cells[1][:7] == ['the "big", jug', "1.0", "2.0", "0.0", "2.5", "-1.0", "0.5"]
    assert cells[2][3:7] == ["", "", "", ""]


def test_the_headings_name_the_unit() -> None:
    heads = as_cells((), "in")[0]
    assert heads[:3] == ["landmark", "from left (in)", "from top (in)"]
    assert "distance to" in heads


def test_no_landmarks_no_rows() -> None:
    assert landmark_rows(()) == ()
    assert as_text(()).count("\n") == 1


def test_a_row_of_the_base_itself_has_no_distance() -> None:
    assert landmark_rows(MARKS, base=1)[1] == Row("right eye", (70, 50), None, "", None, None)
