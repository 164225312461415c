"""Transform lists against plain matrix products."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.svg_transform import apply, multiply, parse_transform
from core.errors import DrawingError


def homogeneous(matrix):
    a, b, c, d, e, f = matrix
    return np.array([[a, c, e], [b, d, f], [0, 0, 1.0]])


def turn(degrees):
    angle = math.radians(degrees)
    return np.array([[math.cos(angle), -math.sin(angle), 0], [math.sin(angle), math.cos(angle), 0], [0, 0, 1]])


def shift(x, y):
    return np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", np.eye(3)),
        ("none", np.eye(3)),
        ("translate(30, 40)", shift(30, 40)),
        ("translate(30)", shift(30, 0)),
        ("translate(30-40)", shift(30, -40)),
        ("scale(2)", np.diag([2, 2, 1])),
        ("scale(2 -3)", np.diag([2, -3, 1])),
        ("rotate(30)", turn(30)),
        ("rotate(30, 10, 20)", shift(10, 20) @ turn(30) @ shift(-10, -20)),
        ("skewX(30)", np.array([[1, math.tan(math.radians(30)), 0], [0, 1, 0], [0, 0, 1]])),
        ("skewY(-20)", np.array([[1, 0, 0], [math.tan(math.radians(-20)), 1, 0], [0, 0, 1]])),
        ("matrix(1 2 3 4 5 6)", np.array([[1, 3, 5], [2, 4, 6], [0, 0, 1]])),
        ("matrix(1e0,2,3.,.4e1,5,6)", np.array([[1, 3, 5], [2, 4, 6], [0, 0, 1]])),
        (" translate( 5 , 6 ) rotate(90),scale(2)\n", shift(5, 6) @ turn(90) @ np.diag([2, 2, 1])),
        ("translate(5px, 6px) rotate(45deg)", shift(5, 6) @ turn(45)),
    ],
)
def test_each_function(text, expected):
    assert np.allclose(homogeneous(parse_transform(text)), expected)


def test_the_nested_example_of_the_specification():
    # SVG 1.1, 7.5, example Nested: translate(50,90), rotate(-45), translate(130,160); the matrix printed there, worked
    # with .707 for the root of a half, is [.707 .707 255.03; -.707 .707 111.21; 0 0 1] (from memory).
    matrix = homogeneous(parse_transform("translate(50,90) rotate(-45) translate(130,160)"))
    assert np.allclose(matrix, [[0.707, 0.707, 255.03], [-0.707, 0.707, 111.21], [0, 0, 1]], atol=0.04)


numbers = st.floats(-1000, 1000, allow_nan=False)
matrices = st.tuples(*[numbers] * 6)


@given(matrices, matrices)
def test_products_are_matrix_products(outer, inner):
    assert np.allclose(homogeneous(multiply(outer, inner)), homogeneous(outer) @ homogeneous(inner))


@given(st.lists(matrices, min_size=1, max_size=4), st.lists(st.tuples(numbers, numbers), min_size=1, max_size=5))
def test_a_list_is_carried_out_from_right_to_left(parts, points):
    text = " ".join("matrix(" + ",".join(map(repr, part)) + ")" for part in parts)
    product = np.eye(3)
    for part in parts:
        product = product @ homogeneous(part)
    array = np.array(points)
    expected = (product @ np.c_[array, np.ones(len(array))].T).T[:, :2]
    scale = max(1.0, float(np.abs(product).max()))
    assert np.allclose(apply(parse_transform(text), array), expected, atol=1e-9 * scale * 1000)


@pytest.mark.parametrize(
    "text",
    [
        "rotate", "rotate()", "rotate(1 2)", "matrix(1 2 3)", "scale(1 2 3)", "translate(1,2", "spin(3)", "rotate(3) x",
        "rotate(3)) ", "translate(1em)", "translate(1e999)", "matrix(nan 0 0 1 0 0)", "url(#a)", "rotate(1turn)",
        "translate(5%)", "scale(1)" * 5000,
    ],
)  # fmt: skip
def test_malformed_lists_are_refused_in_a_sentence(text):
    with pytest.raises(DrawingError, match=r"\.$"):
        parse_transform(text)
