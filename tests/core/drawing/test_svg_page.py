"""Where a page lands on the canvas. 1 in = 96 px = 25.4 mm = 72 pt = 6 pc (CSS Values and Units 3)."""

import numpy as np
import pytest

from core.drawing.svg_page import ViewBox, fit_view_box, parse_length
from core.drawing.svg_read import drawing_from_svg
from core.drawing.svg_transform import apply
from core.errors import DrawingError
from core.size import Size

CANVAS = Size(400, 300)


def landed(attributes: str, x: float, y: float, size: Size = CANVAS):
    """Where the user point (x, y) lands, mm, and the notes."""
    drawing = drawing_from_svg(
        f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>'
        f'<circle class="landmark" id="p" cx="{x}" cy="{y}" r="1"/></svg>',
        size,
    )
    (mark,) = drawing.landmarks
    return (mark.x_mm, mark.y_mm), drawing.notes


@pytest.mark.parametrize(
    ("attributes", "point"),
    [
        ('width="400mm" height="300mm" viewBox="0 0 400 300"', (100, 75)),
        ('width="40cm" height="30cm" viewBox="0 0 400 300"', (100, 75)),
        ('width="400mm" height="300mm" viewBox="0 0 1600 1200"', (400, 300)),
        ('width="400mm" height="300mm" viewBox="-50 20 400 300"', (50, 95)),
        ('width="400mm" height="300mm"', (100 * 96 / 25.4, 75 * 96 / 25.4)),  # user units are px
        ('width="15.748in" height="11.811in" viewBox="0 0 15.748 11.811"', (3.937, 2.95275)),
        ('width="1133.858pt" height="850.394pt" viewBox="0 0 1133.858 850.394"', (283.4645, 212.5985)),
        ('width="94.488pc" height="70.866pc" viewBox="0 0 400 300"', (100, 75)),
        ('width="1511.81" height="1133.86" viewBox="0 0 400 300"', (100, 75)),  # px at 96 to the inch
        ('viewBox="0 0 400 300"', (100, 75)),
        ('width="100%" height="100%" viewBox="0 0 400 300"', (100, 75)),
        ('viewBox="0 0 1600 1200"', (400, 300)),
        ('width="1600" height="1200" viewBox="0 0 1600 1200"', (400, 300)),
        ('width="1600px" height="1200px"', (400, 300)),
        (
            'width="1133.86px" height="850.39px" viewBox="0 0 1133.86 850.39"',
            (283.465, 212.598),
        ),  # px at 72 to the inch
        ('width="800" viewBox="0 0 1600 1200"', (400, 300)),
        ('height="600" viewBox="0 0 1600 1200"', (400, 300)),
        ('width="400mm" viewBox="0 0 1600 1200"', (400, 300)),
    ],
)
def test_pages_of_the_canvas_or_only_of_its_shape_land_right(attributes, point):
    at, notes = landed(attributes, *point)
    assert at == pytest.approx((100, 75), abs=0.02)
    assert notes == ()


def test_a_smaller_page_in_mm_is_scaled_and_said():
    at, notes = landed('width="200mm" height="150mm" viewBox="0 0 200 150"', 50, 37.5)
    assert at == pytest.approx((100, 75))
    assert len(notes) == 1
    assert "200 × 150 mm" in notes[0]
    assert "scaled by 2" in notes[0]


def test_a_page_without_any_size_is_taken_as_mm_and_said():
    at, notes = landed("", 100, 75)
    assert at == (100, 75)
    assert notes == ("The file states no page size: it was taken as mm.",)


def test_whole_pixels_may_round_the_shape():
    # A canvas of 16 × 20 in traced on a photograph 1001 px wide: its height is 1251.25, rounded.
    at, notes = landed('viewBox="0 0 1001 1251"', 500.5, 625.5, Size(406.4, 508))
    assert at == pytest.approx((203.2, 254), abs=0.1)
    assert notes == ()


def test_a_shape_that_differs_a_little_is_said():
    _, notes = landed('viewBox="0 0 400 299"', 200, 150)
    assert len(notes) == 1
    assert "shape" in notes[0]


@pytest.mark.parametrize(
    "attributes",
    [
        'width="210mm" height="297mm" viewBox="0 0 210 297"',
        'width="400mm" height="400mm" viewBox="0 0 400 300"',
        'viewBox="0 0 500 300"',
        'width="1600" height="1000"',
        'width="400mm" height="295mm" viewBox="0 0 400 295"',
    ],
)
def test_a_page_of_another_shape_is_refused_and_what_to_do_is_said(attributes):
    with pytest.raises(DrawingError, match="Set the page to the canvas's size"):
        landed(attributes, 10, 10)


def test_a_page_the_other_way_round_is_said_so():
    with pytest.raises(DrawingError, match="other way round"):
        landed('width="300mm" height="400mm" viewBox="0 0 300 400"', 10, 10)


@pytest.mark.parametrize(
    "attributes",
    [
        'viewBox="0 0 0 300"', 'viewBox="0 0 400 0"', 'viewBox="0 0 -400 300"', 'viewBox="0 0 400"',
        'viewBox="0 0 400 300 5"', 'viewBox="a b c d"', 'viewBox="0 0 nan 300"', 'viewBox="0 0 1e999 300"',
        'width="0" height="0"', 'width="-5mm" height="3mm"', 'width="wide" height="high"', 'width="4light" height="3"',
        'width="1e-200" height="1e-200"', 'width="1e300" height="1e300"', 'viewBox="0 0 1e-320 1e-320"',
        'width="nan" height="3"', 'width="1e999mm" height="300mm"',
    ],
)  # fmt: skip
def test_pages_without_size_are_refused_in_a_sentence(attributes):
    with pytest.raises(DrawingError, match=r"\.$"):
        landed(attributes, 10, 10)


@pytest.mark.parametrize(
    ("text", "px"),
    [("1in", 96), ("25.4mm", 96), ("2.54cm", 96), ("72pt", 96), ("6pc", 96), ("101.6Q", 96), ("96px", 96), ("96", 96),
     ("6em", 96), ("50%", 96), (" 9.6e1 ", 96), ("1IN", 96)],
)  # fmt: skip
def test_units(text, px):
    assert parse_length(text, whole=192).px == pytest.approx(px)


@pytest.mark.parametrize(
    ("rule", "corner", "far"),
    [
        # A square box in a viewport of 200 × 100 (SVG 2, 8.6): meet scales by 1, slice by 2.
        ("", (50, 0), (150, 100)),
        ("xMidYMid meet", (50, 0), (150, 100)),
        ("xMinYMin meet", (0, 0), (100, 100)),
        ("xMaxYMid", (100, 0), (200, 100)),
        ("xMidYMin slice", (0, 0), (200, 200)),
        ("xMidYMid slice", (0, -50), (200, 150)),
        ("xMidYMax slice", (0, -100), (200, 100)),
        ("none", (0, 0), (200, 100)),
        ("defer xMaxYMax meet", (100, 0), (200, 100)),
    ],
)
def test_aspect_ratio_rules(rule, corner, far):
    matrix = fit_view_box(ViewBox(10, 20, 100, 100), 200, 100, rule)
    assert np.allclose(apply(matrix, np.array([[10, 20], [110, 120.0]])), [corner, far])


def test_a_page_that_is_stretched_on_purpose():
    at, _ = landed('width="400mm" height="300mm" viewBox="0 0 100 100" preserveAspectRatio="none"', 25, 25)
    assert at == pytest.approx((100, 75))
    at, _ = landed('width="400mm" height="300mm" viewBox="0 0 100 100"', 25, 25)
    assert at == pytest.approx((50 + 75, 75))
