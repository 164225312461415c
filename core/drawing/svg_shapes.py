"""SVG's basic shapes as subpaths, in their own user units (SVG 2, chapter 10)."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.drawing.bezier import chain_through
from core.drawing.svg_page import parse_length
from core.drawing.svg_path import Pen, SubPath, numbers, parse_path, too_many
from core.drawing.svg_tree import Node
from core.errors import DrawingError


@dataclass(frozen=True)
class Viewport:
    """Width and height that per cent are taken of, in user units."""

    width: float
    height: float

    def across(self, node: Node, name: str, default: str = "0") -> float:
        return parse_length(node.get(name) or default, whole=self.width).px

    def down(self, node: Node, name: str, default: str = "0") -> float:
        return parse_length(node.get(name) or default, whole=self.height).px

    def either(self, node: Node, name: str) -> float:
        """A radius: per cent of the diagonal over √2."""
        return parse_length(node.get(name) or "0", whole=math.hypot(self.width, self.height) / math.sqrt(2.0)).px


def transform_origin(text: str, viewport: Viewport) -> tuple[float, float]:
    """The point a transform is carried out about, in user units; the origin when none is stated."""
    words = text.split()
    if not words:
        return 0.0, 0.0
    x = parse_length(words[0], whole=viewport.width).px
    return x, parse_length(words[1] if len(words) > 1 else "50%", whole=viewport.height).px


def shape_subpaths(node: Node, viewport: Viewport, *, most_segments: int) -> list[SubPath]:
    """The subpaths of a shape element; none for a shape without size.

    Raises DrawingError when its numbers are malformed or it has more than ``most_segments`` curves.
    """
    if node.tag == "path":
        return parse_path(node.get("d"), most_segments=most_segments)
    subpaths = _MAKE[node.tag](node, viewport)
    if sum(len(subpath.points) // 3 for subpath in subpaths) > most_segments:
        raise too_many()
    return subpaths


def centre(node: Node, viewport: Viewport) -> tuple[float, float]:
    """The centre of a circle or an ellipse, in user units."""
    return viewport.across(node, "cx"), viewport.down(node, "cy")


def _line(node: Node, viewport: Viewport) -> list[SubPath]:
    start = viewport.across(node, "x1"), viewport.down(node, "y1")
    end = viewport.across(node, "x2"), viewport.down(node, "y2")
    return [SubPath(chain_through(np.array([start, end])), False)]


def _points(node: Node, *, closed: bool) -> list[SubPath]:
    values = numbers(node.get("points"))
    if len(values) % 2:
        raise DrawingError(
            "A line in the drawing has an odd count of numbers in its points. Save it again as plain SVG."
        )
    points = np.array(values).reshape(-1, 2)
    if len(points) < 2:
        return []
    if closed and not np.array_equal(points[0], points[-1]):
        points = np.concatenate([points, points[:1]])
    return [SubPath(chain_through(points), closed)]


def _polyline(node: Node, viewport: Viewport) -> list[SubPath]:
    return _points(node, closed=False)


def _polygon(node: Node, viewport: Viewport) -> list[SubPath]:
    return _points(node, closed=True)


def _rect(node: Node, viewport: Viewport) -> list[SubPath]:
    x, y = viewport.across(node, "x"), viewport.down(node, "y")
    width, height = viewport.across(node, "width"), viewport.down(node, "height")
    if width <= 0 or height <= 0:
        return []
    has_rx, has_ry = (node.get(name, "auto").strip() not in {"", "auto"} for name in ("rx", "ry"))
    rx = viewport.across(node, "rx") if has_rx else viewport.down(node, "ry") if has_ry else 0.0
    ry = viewport.down(node, "ry") if has_ry else rx
    rx, ry = min(max(rx, 0.0), width / 2.0), min(max(ry, 0.0), height / 2.0)
    pen = Pen()
    pen.move(x + rx, y)
    # Each side, then the corner after it: the side's end, the middle of the corner's ellipse, its first quarter turn.
    left, right, top, bottom = x + rx, x + width - rx, y + ry, y + height - ry
    for end, middle, quarter in (
        ((right, y), (right, top), -1), ((x + width, bottom), (right, bottom), 0),
        ((left, y + height), (left, bottom), 1), ((x, top), (left, top), 2),
    ):  # fmt: skip
        if end != (pen.x, pen.y):
            pen.straight(*end)
        if rx > 0 and ry > 0:
            pen.arc(middle, rx, ry, quarter * math.pi / 2.0, math.pi / 2.0)
    return _closed(pen)


def _closed(pen: Pen) -> list[SubPath]:
    pen.line[-2:] = pen.line[:2]  # exactly, whatever the arcs were rounded to
    pen.end(closed=True)
    return pen.done


def _round(node: Node, viewport: Viewport) -> list[SubPath]:
    if node.tag == "circle":
        rx = ry = viewport.either(node, "r")
    else:
        rx = viewport.across(node, "rx") if node.get("rx", "auto") != "auto" else viewport.down(node, "ry")
        ry = viewport.down(node, "ry") if node.get("ry", "auto") != "auto" else rx
    if rx <= 0 or ry <= 0:
        return []
    middle = centre(node, viewport)
    pen = Pen()
    pen.move(middle[0] + rx, middle[1])
    pen.arc(middle, rx, ry, 0.0, 2.0 * math.pi)
    return _closed(pen)


_MAKE: dict[str, Callable[[Node, Viewport], list[SubPath]]] = {
    "line": _line, "polyline": _polyline, "polygon": _polygon, "rect": _rect, "circle": _round, "ellipse": _round,
}  # fmt: skip
SHAPES = {"path", *_MAKE}
