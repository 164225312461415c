"""Writing a drawing: read back the same, true to scale, and never half a file."""

import os
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import whole_file
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.svg_names import LONGEST_NAME
from core.drawing.svg_read import drawing_from_svg, read_drawing
from core.drawing.svg_write import drawing_to_svg, encoded_id, write_drawing
from core.errors import DrawingError
from core.size import Size
from tests.core.drawing.curves import chains

CANVAS = Size(300, 300)
SVG = "{http://www.w3.org/2000/svg}"

names = st.text(max_size=30).map(lambda text: " ".join(text.split()))


def readable(name: str) -> str:
    """A name without what XML 1.0, section 2.2, allows in no document."""
    kept = (c for c in name if c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c > "\uffff")
    return " ".join("".join(kept).split())[:LONGEST_NAME]


def apart(line: Line) -> bool:
    """Every curve goes somewhere: one of no length at the end of a closed line is its closing side, not drawing."""
    lengths = np.abs(np.diff(line.points, axis=0)).sum(axis=1).reshape(-1, 3).sum(axis=1)
    return float(lengths.min()) > 0.1


@st.composite
def lines(draw: st.DrawFn) -> Line:
    layer = draw(st.sampled_from(["contour", "inner form", "shadow edge", "linen", "Folds & hems"]))
    return Line(draw(chains(4)), closed=draw(st.booleans()), name=draw(names), layer=layer)


@given(
    st.lists(lines().filter(apart), max_size=5),
    st.lists(st.tuples(st.floats(0, 300), st.floats(0, 300)), max_size=5),
)
@settings(max_examples=150, deadline=None)
def test_a_drawing_comes_back_as_it_was(some_lines, places):
    landmarks = tuple(Landmark(f"p{number}", x, y) for number, (x, y) in enumerate(places))
    drawing = Drawing(CANVAS, tuple(some_lines), landmarks)
    again = drawing_from_svg(drawing_to_svg(drawing), CANVAS)
    assert again.size == CANVAS
    assert len(again.lines) == len(drawing.lines)
    for before, after in zip(drawing.lines, again.lines, strict=True):
        assert after.closed == before.closed
        assert after.layer == before.layer
        assert after.name == readable(before.name)
        assert after.points.shape == before.points.shape
        assert np.abs(after.points - before.points).max() < 1e-3
    for before, after in zip(drawing.landmarks, again.landmarks, strict=True):
        assert after.name == before.name
        assert max(abs(after.x_mm - before.x_mm), abs(after.y_mm - before.y_mm)) < 1e-3


@given(st.lists(names.filter(readable), min_size=1, max_size=6, unique_by=readable))
@settings(max_examples=80, deadline=None)
def test_landmarks_keep_any_name(given_names):
    landmarks = tuple(Landmark(name, 10, 20) for name in given_names)
    again = drawing_from_svg(drawing_to_svg(Drawing(CANVAS, (), landmarks)), CANVAS)
    assert [mark.name for mark in again.landmarks] == [readable(name) for name in given_names]
    assert again.notes == ()


@pytest.mark.parametrize("name", ["url(jug)", "javascript:", "@import (", "onload", "&amp;", "]]>", "-->", '"', "#p0"])
def test_names_that_look_unsafe_are_only_names(name):
    drawing = Drawing(CANVAS, (Line.through(np.array([(1, 1), (9, 9)]), name=name),), (Landmark(name, 10, 20),))
    assert drawing_from_svg(drawing_to_svg(drawing), CANVAS) == drawing


def test_the_file_is_true_to_scale_and_plain():
    drawing = Drawing(
        Size(406.4, 508),
        (Line.through(np.array([(1, 2), (3.00004, 4), (5, 2)]), closed=True, name="rim", layer="inner form"),),
        (Landmark("spout tip", 12.5, 7), Landmark("spout tip?", 3, 7)),
    )
    root = ElementTree.fromstring(drawing_to_svg(drawing))
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("406.4mm", "508mm", "0 0 406.4 508")
    (path,) = root.iter(f"{SVG}path")
    assert path.get("d") == "M1 2 L3 4 L5 2 Z"
    circle, other = root.iter(f"{SVG}circle")
    assert circle.get("class") == "landmark"
    assert (circle.get("id"), circle.get("cx"), circle.get("cy")) == ("spout_x20_tip", "12.5", "7")
    assert circle.get("data-name") == circle.find(f"{SVG}title").text == "spout tip"
    assert other.get("id") == "spout_x20_tip_x3F_"
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_an_empty_drawing_is_written_too():
    assert drawing_from_svg(drawing_to_svg(Drawing(CANVAS)), CANVAS).lines == ()


@pytest.mark.parametrize(
    ("name", "expected"),
    [("p0", "p0"), ("1st", "_x31_st"), ("a b", "a_x20_b"), ("é", "_xE9_"), ("-x", "_x2D_x"), ("a_b", "a_x5F_b")],
)
def test_ids(name, expected):
    assert encoded_id(name) == expected


def test_a_written_file_is_read_and_replaces_the_older_one(tmp_path):
    path = tmp_path / "zeichnung – krug.svg"
    path.write_text("older")
    drawing = Drawing(CANVAS, (Line.through(np.array([(10, 10), (20, 30)])),), (Landmark("p0", 1, 2),))
    write_drawing(path, drawing)
    assert read_drawing(path, CANVAS) == drawing
    assert os.listdir(tmp_path) == [path.name]


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_when_the_disk_fails_the_older_file_stays(tmp_path, monkeypatch, failing):
    path = tmp_path / "jug.svg"
    path.write_text("older")

    def full(*arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(whole_file.os, failing, full)
    with pytest.raises(DrawingError, match=r"jug\.svg.*No space left on device\. Nothing was changed\."):
        write_drawing(path, Drawing(CANVAS))
    assert path.read_text() == "older"
    assert os.listdir(tmp_path) == ["jug.svg"]


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(DrawingError, match="could not be saved"):
        write_drawing(tmp_path / "nowhere" / "jug.svg", Drawing(CANVAS))
    with pytest.raises(DrawingError, match="could not be saved"):
        write_drawing(tmp_path / "a\0b.svg", Drawing(CANVAS))
