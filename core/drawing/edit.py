"""Changing a drawing: every operation takes a drawing and gives a new one; the old one is as it was.

Lines and landmarks are known by their index. An index that is not there raises IndexError.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from core.drawing import nodes
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.erase import erase
from core.errors import DrawingError

__all__ = [
    "TOUCHING_MM",
    "End",
    "add_landmark",
    "add_line",
    "delete_node",
    "erase",
    "insert_node",
    "join",
    "move_landmark",
    "move_point",
    "remove_landmark",
    "remove_lines",
    "rename_landmark",
    "replace_line",
    "set_layer",
]

Array = NDArray[np.float64]
T = TypeVar("T")

TOUCHING_MM = 2.0
"""Ends that are joined meet half way when they are this near, else a new side bridges them."""


@dataclass(frozen=True)
class End:
    """The start or the end of an open line."""

    line: int
    at_start: bool

    def place(self, drawing: Drawing) -> Array:
        """Where it is, ``(2,)`` mm."""
        return np.asarray(drawing.lines[self.line].points[0 if self.at_start else -1])


def add_line(drawing: Drawing, line: Line) -> tuple[Drawing, int]:
    """With one more line, after the last of its layer; and its index."""
    layers = [each.layer for each in drawing.lines]
    place = len(layers) - layers[::-1].index(line.layer) if line.layer in layers else len(layers)
    return replace(drawing, lines=(*drawing.lines[:place], line, *drawing.lines[place:])), place


def replace_line(drawing: Drawing, index: int, *instead: Line) -> Drawing:
    """With another line in the place of one, or with several."""
    return replace(drawing, lines=_put(drawing.lines, _there(drawing.lines, index), instead))


def remove_lines(drawing: Drawing, indices: Iterable[int]) -> Drawing:
    """Without some lines."""
    gone = {_there(drawing.lines, index) for index in indices}
    return replace(drawing, lines=tuple(line for index, line in enumerate(drawing.lines) if index not in gone))


def set_layer(drawing: Drawing, indices: Iterable[int], layer: str) -> Drawing:
    """With some lines in another layer."""
    wanted = {_there(drawing.lines, index) for index in indices}
    lines = (replace(line, layer=layer) if index in wanted else line for index, line in enumerate(drawing.lines))
    return replace(drawing, lines=tuple(lines))


def move_point(drawing: Drawing, index: int, point: int, x_mm: float, y_mm: float) -> Drawing:
    """With one node or handle of a line elsewhere: see :func:`core.drawing.nodes.moved`."""
    line = drawing.lines[_there(drawing.lines, index)]
    return replace_line(drawing, index, nodes.moved(line, _there(line.points, point), np.array([x_mm, y_mm])))


def insert_node(drawing: Drawing, index: int, place: float) -> Drawing:
    """With a node put into a line at a place (curve number plus t) between two nodes; its course is the same."""
    return replace_line(drawing, index, nodes.with_node(drawing.lines[_there(drawing.lines, index)], place))


def delete_node(drawing: Drawing, index: int, node: int) -> Drawing:
    """Without one node of a line; without the line when nothing would be left of it."""
    line = drawing.lines[_there(drawing.lines, index)]
    left = nodes.without_node(line, _there(line.points[::3], node))
    return remove_lines(drawing, [index]) if left is None else replace_line(drawing, index, left)


def join(drawing: Drawing, one: End, other: End) -> Drawing:
    """With two ends joined: of two lines, which become one, or of the same line, which is then closed.

    The line of ``one`` gives its name and its layer. Ends within ``TOUCHING_MM`` meet half way. Raises DrawingError
    when an end is that of a closed line, or joined to itself.
    """
    first, second = (drawing.lines[_there(drawing.lines, end.line)] for end in (one, other))
    if first.closed or second.closed or one == other:
        raise DrawingError("Only two ends of open lines can be joined.")
    if one.line == other.line:
        return replace_line(drawing, one.line, _closed(first))
    first = nodes.reversed_line(first) if one.at_start else first
    second = second if other.at_start else nodes.reversed_line(second)
    if _gap(first.points[-1], second.points[0]) <= TOUCHING_MM:
        middle = (first.points[-1] + second.points[0]) / 2.0
        first = nodes.moved(first, len(first.points) - 1, middle)
        second = nodes.moved(second, 0, middle)
        points = np.concatenate([first.points, second.points[1:]])
    else:
        side = Line.through(np.stack([first.points[-1], second.points[0]])).points
        points = np.concatenate([first.points, side[1:], second.points[1:]])
    joined = replace(first, points=points, name=first.name or second.name)
    return remove_lines(replace_line(drawing, one.line, joined), [other.line])


def add_landmark(drawing: Drawing, name: str, x_mm: float, y_mm: float) -> Drawing:
    """With one more landmark, the last. Raises DrawingError for no name, or one that is there already."""
    mark = Landmark(_fresh_name(drawing, name, None), float(x_mm), float(y_mm))
    return replace(drawing, landmarks=(*drawing.landmarks, mark))


def move_landmark(drawing: Drawing, index: int, x_mm: float, y_mm: float) -> Drawing:
    """With a landmark elsewhere."""
    mark = drawing.landmarks[_there(drawing.landmarks, index)]
    moved = replace(mark, x_mm=float(x_mm), y_mm=float(y_mm))
    return replace(drawing, landmarks=_put(drawing.landmarks, index, (moved,)))


def rename_landmark(drawing: Drawing, index: int, name: str) -> Drawing:
    """With another name for a landmark. Raises DrawingError for no name, or another landmark's."""
    mark = drawing.landmarks[_there(drawing.landmarks, index)]
    named = replace(mark, name=_fresh_name(drawing, name, index))
    return replace(drawing, landmarks=_put(drawing.landmarks, index, (named,)))


def remove_landmark(drawing: Drawing, index: int) -> Drawing:
    """Without one landmark."""
    return replace(drawing, landmarks=_put(drawing.landmarks, _there(drawing.landmarks, index), ()))


def _closed(line: Line) -> Line:
    if _gap(line.points[0], line.points[-1]) > TOUCHING_MM:
        return replace(line, closed=True)
    middle = (line.points[0] + line.points[-1]) / 2.0
    line = nodes.moved(nodes.moved(line, 0, middle), len(line.points) - 1, middle)
    return replace(line, closed=True)


def _gap(one: Array, other: Array) -> float:
    return float(np.linalg.norm(one - other))


def _fresh_name(drawing: Drawing, name: str, own: int | None) -> str:
    name = " ".join(name.split())
    if not name:
        raise DrawingError("A landmark needs a name: say what it marks.")
    if any(mark.name.casefold() == name.casefold() for k, mark in enumerate(drawing.landmarks) if k != own):
        raise DrawingError(f"There is a landmark called “{name}” already. Give this one another name.")
    return name


def _there(held: tuple[object, ...] | Array, index: int) -> int:
    """The index, which must count from the start."""
    if not 0 <= index < len(held):
        raise IndexError(f"there is no {index} among {len(held)}")
    return index


def _put(held: tuple[T, ...], index: int, instead: tuple[T, ...]) -> tuple[T, ...]:
    return (*held[:index], *instead, *held[index + 1 :])
