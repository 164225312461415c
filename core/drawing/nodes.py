"""The points of one line, moved, put in and taken out.

A *node* is a point the line goes through (0 to n; of a closed line node n is node 0 again); between two nodes lie two
*handles*. ``point`` counts all of them along the chain, so that node k is point 3 k. A node is *smooth* when its
handles lie in one direction, else a corner; a *straight side* has its handles at one and two thirds.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier, split
from core.drawing.drawing import Line

Array = NDArray[np.float64]

SMOOTH_DEG = 3.0
STRAIGHT_MM = 1e-4
"""Handles this near to the thirds of a side make it straight: ten times less than is seen, as fine as is kept."""
_HANDLE_MM = 1e-9


def is_straight(points: Array) -> NDArray[np.bool_]:
    """Which curves of a chain are straight sides, ``(n,)``."""
    start, first, second, end = points[:-1:3], points[1::3], points[2::3], points[3::3]
    third = (end - start) / 3.0
    off = np.maximum(np.abs(first - start - third), np.abs(end - third - second)).max(axis=1)
    return np.asarray(off < STRAIGHT_MM)


def is_smooth(line: Line, node: int) -> bool:
    """Whether the line goes on in one direction through a node; an open line's ends are never smooth."""
    before, at, after = _around(line, 3 * node)
    if before is None or after is None:
        return False
    into, out = line.points[at] - line.points[before], line.points[after] - line.points[at]
    lengths = float(np.linalg.norm(into) * np.linalg.norm(out))
    return lengths > _HANDLE_MM and float(into @ out) >= lengths * np.cos(np.radians(SMOOTH_DEG))


def moved(line: Line, point: int, to: Array) -> Line:
    """With one point at ``to``, mm.

    A node takes its handles with it, and straight sides stay straight. A handle turns the one across a smooth node with
    it, which keeps its length; all else stays.
    """
    points = line.points.copy()
    if point % 3 == 0:
        _move_node(line, points, point, np.asarray(to, dtype=np.float64))
    else:
        _move_handle(line, points, point, np.asarray(to, dtype=np.float64))
    return replace(line, points=points)


def with_node(line: Line, place: float) -> Line:
    """With a node put in at a place (curve number plus t); the course is the same."""
    return replace(line, points=split.with_node(line.points, place))


def without_node(line: Line, node: int) -> Line | None:
    """With a node taken out; None when nothing is left.

    The handles beside it are lengthened as if one curve had been split there, so that taking out a node that was put in
    gives the curve back.
    """
    count = (len(line.points) - 1) // 3
    node = node % count if line.closed else node
    if count == 1:
        return None
    if line.closed and node == 0:
        line = _begun_at(line, 1)
        node = count - 1
    points = line.points
    if node == 0:
        return replace(line, points=points[3:])
    if node == count:
        return replace(line, points=points[:-3])
    at = 3 * node
    joined = _joined(points[at - 3 : at + 4])
    left = replace(line, points=np.concatenate([points[: at - 3], joined, points[at + 4 :]]))
    return left if left.length_mm > _HANDLE_MM else None


def reversed_line(line: Line) -> Line:
    """The same course the other way."""
    return replace(line, points=line.points[::-1])


def _around(line: Line, at: int) -> tuple[int | None, int, int | None]:
    """The handle before a node, the node and the handle after it; None beyond the ends of an open line."""
    last = len(line.points) - 1
    if line.closed and at in (0, last):
        return last - 1, 0, 1
    return (at - 1 if at > 0 else None), at, (at + 1 if at < last else None)


def _move_node(line: Line, points: Array, point: int, to: Array) -> None:
    straight = is_straight(line.points)
    before, at, after = _around(line, point)
    by = to - points[at]
    for each in (before, after):
        if each is not None:
            points[each] += by
    points[at] = to
    if line.closed and at == 0:
        points[-1] = to
    count = len(straight)
    for side in {(at // 3 - 1) % count, at // 3 % count} if line.closed else {at // 3 - 1, at // 3} & set(range(count)):
        if straight[side]:
            first = 3 * side
            points[first : first + 4] = bezier.chain_through(points[[first, first + 3]])


def _move_handle(line: Line, points: Array, point: int, to: Array) -> None:
    node = point // 3 if point % 3 == 1 else point // 3 + 1
    before, at, after = _around(line, 3 * node)
    other = before if point % 3 == 1 else after
    smooth = is_smooth(line, node)
    points[point] = to
    away = points[at] - to
    length = float(np.linalg.norm(away))
    if other is None or not smooth or length <= _HANDLE_MM or is_straight(line.points)[_curve_of(other)]:
        return
    points[other] = points[at] + away / length * float(np.linalg.norm(points[other] - points[at]))


def _curve_of(handle: int) -> int:
    return (handle - 1) // 3


def _joined(seven: Array) -> Array:
    """One curve ``(4, 2)`` in place of two that meet in point 3 of ``(7, 2)``."""
    if is_straight(seven).all():
        return bezier.chain_through(seven[[0, 6]])
    into, out = (float(np.linalg.norm(seven[k] - seven[3])) for k in (2, 4))
    if into + out <= _HANDLE_MM:
        into, out = (float(np.linalg.norm(seven[k] - seven[3])) for k in (0, 6))
    t = min(max(into / max(into + out, _HANDLE_MM), 0.1), 0.9)
    first = seven[0] + (seven[1] - seven[0]) / t
    second = seven[6] + (seven[5] - seven[6]) / (1.0 - t)
    return np.stack([seven[0], first, second, seven[6]])


def _begun_at(line: Line, node: int) -> Line:
    """The same closed course, begun at another node."""
    at = 3 * node
    return replace(line, points=np.concatenate([line.points[at:], line.points[1 : at + 1]]))
