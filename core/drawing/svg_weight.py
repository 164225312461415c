"""How much an SVG would draw, clones of clones and all, known before anything is drawn.

A few nested ``use`` elements can stand for thousands of millions of lines; every element is weighed once, whatever
the number of its clones.
"""

from dataclasses import dataclass

from core.drawing.svg_path import MOST_SEGMENTS, too_many
from core.drawing.svg_shapes import SHAPES
from core.drawing.svg_tree import Node
from core.errors import DrawingError

GROUPS = {"g", "a", "switch", "svg", "symbol"}
MOST_OBJECTS = 60_000
MOST_SHAPES = 20_000
DEEPEST_DRAWN = 100

_CURVES = "LlHhVvCcSsQqTtAa"


@dataclass(frozen=True)
class _Weight:
    """``objects`` and ``shapes`` drawn, the ``curves`` they have at least, and how deep they are nested."""

    objects: int = 0
    shapes: int = 0
    curves: int = 0
    height: int = 0


def check_weight(root: Node, by_id: dict[str, Node]) -> None:
    """Raise DrawingError when drawing ``root`` would take too long, or would never end."""
    _Scales(by_id).weigh(root, 0)


def used(node: Node, by_id: dict[str, Node]) -> Node | None:
    """What a ``use`` element stands for, or None."""
    return by_id.get(node.get("href")[:1000].strip().removeprefix("#")) if node.tag == "use" else None


class _Scales:
    def __init__(self, by_id: dict[str, Node]) -> None:
        self.by_id = by_id
        self.known: dict[int, _Weight | None] = {}  # None while an element is being weighed

    def weigh(self, node: Node, depth: int) -> _Weight:
        if id(node) in self.known:
            weight = self.known[id(node)]
            if weight is None:
                raise DrawingError(
                    "A part of the drawing repeats itself without end. Unlink its clones and save it again."
                )
            return weight
        if depth > DEEPEST_DRAWN:
            raise _too_deep()
        self.known[id(node)] = None
        weight = self.known[id(node)] = self.weigh_anew(node, depth)
        return weight

    def weigh_anew(self, node: Node, depth: int) -> _Weight:
        if node.tag in SHAPES:
            return _Weight(1, 1, sum(map(node.get("d").count, _CURVES)), 1)
        objects, shapes, curves, height = 1, 0, 0, 0
        target = used(node, self.by_id)
        parts = [target] if target else node.children if node.tag in GROUPS else []
        for part in parts:
            weight = self.weigh(part, depth + 1)
            objects, shapes, curves = objects + weight.objects, shapes + weight.shapes, curves + weight.curves
            height = max(height, weight.height)
        if height >= DEEPEST_DRAWN:
            raise _too_deep()
        if curves > MOST_SEGMENTS:
            raise too_many()
        if shapes > MOST_SHAPES or objects > MOST_OBJECTS:
            raise DrawingError(
                f"The drawing has more than {MOST_SHAPES:,} lines, or repeats its parts too often. "
                "Leave out hatching, or join lines, and save it again."
            )
        return _Weight(objects, shapes, curves, height + 1)


def _too_deep() -> DrawingError:
    return DrawingError("The drawing's clones stand within each other too deeply. Unlink them and save it again.")
