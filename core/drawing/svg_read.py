"""A drawing out of an SVG file: shapes are lines, circles of class ``landmark`` are landmarks, in mm on the canvas.

Text and pictures are left out with a note; what only serves other elements (clip paths, markers, patterns) is no line.
Raises DrawingError, with a sentence, for everything that cannot be read or is unsafe.
"""

import math
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.drawing import svg_names as names
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.svg_guard import MOST_BYTES, too_large
from core.drawing.svg_page import Page, fit_view_box, page_on_canvas, view_box
from core.drawing.svg_path import MOST_SEGMENTS, SubPath, too_many
from core.drawing.svg_shapes import SHAPES, Viewport, centre, shape_subpaths, transform_origin
from core.drawing.svg_style import Declarations, Look, Rules, hidden
from core.drawing.svg_transform import Matrix, about, apply, multiply, parse_transform, translation
from core.drawing.svg_tree import Node, parse_tree
from core.drawing.svg_weight import check_weight, used
from core.errors import DrawingError
from core.size import Size

MOST_LINES, MOST_LANDMARKS, MOST_NOTES = 20_000, 1000, 20
MOST_CHARACTERS = 8_000_000  # of all path data together
MOST_LINE_MM = 2e6  # two kilometres
FARTHEST_SIDES = 20.0  # a point may lie this many canvas sides away
ROUNDED_MM = 0.01
SNAP_MM = 1e-3  # a closing side shorter than this is rounding, not drawing

_DRAWN = SHAPES | {"g", "a", "switch", "svg", "use"}  # a symbol only when used
_UNDRAWN_WITH_NOTE = {"text": "text", "image": "pictures"}


def read_drawing(path: Path | str, size: Size) -> Drawing:
    """The drawing in an SVG or SVGZ file, for a canvas of ``size``.

    Raises DrawingError, with a sentence, when the file cannot be opened, is no SVG, is unsafe, or does not fit.
    """
    path = Path(path)
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise DrawingError(f"The drawing “{path.name}” cannot be opened: {reason}.") from None
    if len(data) > MOST_BYTES:
        raise too_large()
    return drawing_from_svg(data, size)


def drawing_from_svg(text: str | bytes, size: Size) -> Drawing:
    """The drawing in an SVG document, for a canvas of ``size``; see ``read_drawing``."""
    root = parse_tree(text)
    reader = _Reader(size, page_on_canvas(root, size))
    reader.index(root)
    with np.errstate(over="ignore", invalid="ignore"):  # numbers out of all proportion are refused afterwards
        reader.draw_root(root)
    return reader.drawing()


@dataclass(frozen=True)
class _Place:
    """What an element inherits from those around it."""

    to_mm: Matrix
    viewport: Viewport
    look: Look = field(default_factory=Look)
    layer: names.Layer = field(default_factory=names.Layer)


class _Reader:
    def __init__(self, size: Size, page: Page) -> None:
        self.size = size
        self.page = page
        self.rules = Rules()
        self.by_id: dict[str, Node] = {}
        self.lines: list[Line] = []
        self.landmarks: list[tuple[str, float, float]] = []
        self.notes = dict.fromkeys(page.notes)
        self.segments = self.characters = 0
        self.line_mm = 0.0
        self.farthest = FARTHEST_SIDES * max(size.width_mm, size.height_mm)

    def index(self, root: Node) -> None:
        """Gather ids and style rules before drawing: both may be used ahead of where they stand."""
        waiting = [root]
        while waiting:
            node = waiting.pop()
            if node.tag == "style":
                self.rules.add(node.text)
            if "id" in node.attributes:
                self.by_id.setdefault(node.attributes["id"], node)
            waiting.extend(reversed(node.children))
        check_weight(root, self.by_id)

    def note(self, sentence: str) -> None:
        """Keep a sentence for the painter, once."""
        self.notes[sentence] = None

    def draw_root(self, root: Node) -> None:
        place = _Place(self.page.to_mm, Viewport(self.page.width, self.page.height))
        declared = self.rules.of(root)
        if declared.get("transform"):
            self.note("The file turns or moves its whole page: that was left out.")
        if not hidden(declared):
            self.draw_children(root, replace(place, look=place.look.within(declared)))

    def draw(self, node: Node, place: _Place) -> None:
        if node.tag in _UNDRAWN_WITH_NOTE:
            self.note(f"The file also holds {_UNDRAWN_WITH_NOTE[node.tag]}: left out, since only lines are used.")
        if node.tag not in _DRAWN:
            return
        declared = self.rules.of(node)
        if hidden(declared):
            return
        place = self.entered(node, place, declared)
        if node.tag in SHAPES:
            self.draw_shape(node, place)
        elif node.tag == "use":
            self.draw_used(node, place)
        elif node.tag == "svg":
            self.draw_children(node, self.in_viewport(node, place, node))
        else:
            self.draw_children(node, place)

    def entered(self, node: Node, place: _Place, declared: Declarations) -> _Place:
        """The place within an element: its transform, look and layer taken on."""
        to_mm = place.to_mm
        if declared.get("transform"):
            origin = transform_origin(declared.get("transform-origin", ""), place.viewport)
            to_mm = multiply(to_mm, about(parse_transform(declared["transform"]), *origin))
        if declared.get("clip-path", "none") != "none":
            self.note("Parts of the drawing are clipped in the file: their whole lines are used.")
        look = place.look.within(declared)
        if node.tag in SHAPES:
            unchanged = to_mm is place.to_mm and look is place.look
            return place if unchanged else replace(place, to_mm=to_mm, look=look)
        return replace(place, to_mm=to_mm, look=look, layer=place.layer.within(node))

    def draw_children(self, node: Node, place: _Place) -> None:
        children = node.children
        if node.tag == "switch":
            children = [child for child in children if not child.get("requiredExtensions").strip()][:1]
        for child in children:
            self.draw(child, place)

    def in_viewport(self, node: Node, place: _Place, sized: Node) -> _Place:
        """The place within a nested ``svg`` or a used ``symbol``; ``sized`` states the width and height."""
        x, y = place.viewport.across(node, "x"), place.viewport.down(node, "y")
        width = place.viewport.across(sized, "width", "100%")
        height = place.viewport.down(sized, "height", "100%")
        to_mm = multiply(place.to_mm, translation(x, y)) if node.tag == "svg" else place.to_mm
        box = view_box(node)
        if box is None:
            return replace(place, to_mm=to_mm, viewport=Viewport(width, height))
        to_mm = multiply(to_mm, fit_view_box(box, width, height, node.get("preserveAspectRatio")))
        return replace(place, to_mm=to_mm, viewport=Viewport(box.width, box.height))

    def draw_used(self, node: Node, place: _Place) -> None:
        target = used(node, self.by_id)
        if target is None:
            return
        offset = translation(place.viewport.across(node, "x"), place.viewport.down(node, "y"))
        place = replace(place, to_mm=multiply(place.to_mm, offset))
        if target.tag != "symbol":
            self.draw(target, place)
            return
        declared = self.rules.of(target)
        if not hidden(declared):
            self.draw_children(target, self.in_viewport(target, self.entered(target, place, declared), node))

    def draw_shape(self, node: Node, place: _Place) -> None:
        if not place.look.visible:
            return
        is_round = node.tag in {"circle", "ellipse"}
        if "landmark" in node.get("class").split() or (is_round and place.layer.name.lower() in names.LANDMARK_LAYERS):
            self.mark(node, place)
            return
        subpaths = self.subpaths(node, place)
        if not subpaths or self.is_background(node, place, subpaths):
            return
        if not place.look.painted:
            self.note("Some lines have neither stroke nor fill, and do not show in the file: they are used.")
        name, layer = names.drawn_name(node), place.layer.name
        for subpath in subpaths:
            points = self.on_canvas(apply(place.to_mm, subpath.points), subpath.closed)
            if points is not None:
                self.lines.append(Line(points, closed=subpath.closed, name=name, layer=layer))

    def subpaths(self, node: Node, place: _Place) -> list[SubPath]:
        """A shape's subpaths, counted against what a drawing may hold."""
        self.characters += len(node.get("d")) + len(node.get("points"))
        if self.characters > MOST_CHARACTERS:
            raise too_many()
        subpaths = shape_subpaths(node, place.viewport, most_segments=MOST_SEGMENTS - self.segments)
        self.segments += sum(len(subpath.points) // 3 for subpath in subpaths)
        if len(self.lines) + len(subpaths) > MOST_LINES:
            raise DrawingError(
                f"The drawing has more than {MOST_LINES:,} lines. Leave out hatching, or join lines, and save it again."
            )
        return subpaths

    def on_canvas(self, points: NDArray[np.float64], closed: bool) -> NDArray[np.float64] | None:
        """The chain in mm, tidied; None when it has no length. Raises DrawingError when it is out of all proportion."""
        if not np.abs(points).max() <= self.farthest:  # also refuses what is not a number
            raise DrawingError(
                "A line in the drawing runs far off the canvas. Delete what lies off the page and save it."
            )
        reach = float(np.abs(points[1:] - points[:-1]).sum())  # at most √2 times the way along the controls
        if reach < SNAP_MM:
            return None
        self.line_mm += reach
        if self.line_mm > MOST_LINE_MM:
            raise DrawingError(
                "The drawing has more than two kilometres of line. Leave out hatching and save it again."
            )
        if closed and len(points) > 4 and np.abs(points[-4:] - points[-1]).max() < SNAP_MM:
            points = points[:-3]
        if closed and np.abs(points[0] - points[-1]).max() < SNAP_MM:
            points[-1] = points[0]
        return points

    def is_background(self, node: Node, place: _Place, subpaths: list[SubPath]) -> bool:
        """Whether a shape is an unlined sheet laid under the whole page."""
        if place.look.stroke not in {"none", "transparent"} or len(subpaths) != 1 or len(subpaths[0].points) > 16:
            return False
        points = apply(place.to_mm, subpaths[0].points)
        low, high = points.min(axis=0), points.max(axis=0)
        corners = np.abs(points[:, None] - np.array([low, (low[0], high[1]), high, (high[0], low[1])])).max(axis=2)
        covers = (low <= 0.5).all() and (high >= np.array([self.size.width_mm, self.size.height_mm]) - 0.5).all()
        return bool(covers and (corners[::3].min(axis=1) < SNAP_MM).all())

    def mark(self, node: Node, place: _Place) -> None:
        if node.tag in {"circle", "ellipse"}:
            points = np.array([centre(node, place.viewport)])
        else:
            subpaths = self.subpaths(node, place)
            if not subpaths:
                return
            every = np.concatenate([subpath.points[::3] for subpath in subpaths])
            points = (every.min(axis=0, keepdims=True) + every.max(axis=0, keepdims=True)) / 2.0
        x, y = map(float, apply(place.to_mm, points)[0])
        if not (math.isfinite(x) and math.isfinite(y)):
            raise DrawingError("A landmark in the drawing has no usable place. Set it again and save the drawing.")
        if len(self.landmarks) == MOST_LANDMARKS:
            raise DrawingError(f"The drawing has more than {MOST_LANDMARKS:,} landmarks. Keep those that matter most.")
        self.landmarks.append((names.given_name(node) or names.id_name(node), x, y))

    def drawing(self) -> Drawing:
        named, notes = names.named_landmarks(self.landmarks)
        self.notes |= dict.fromkeys(notes)
        landmarks = tuple(mark for mark in map(self.kept, named) if mark is not None)
        self.check_on_canvas(landmarks)
        said = list(self.notes)
        if len(said) > MOST_NOTES:
            said[MOST_NOTES:] = [f"And {len(said) - MOST_NOTES} more such notes."]
        return Drawing(self.size, tuple(self.lines), landmarks, tuple(said))

    def kept(self, mark: Landmark) -> Landmark | None:
        """The landmark, brought onto the canvas's edge when only rounding put it outside; None when it lies off."""
        x = min(max(mark.x_mm, 0.0), self.size.width_mm)
        y = min(max(mark.y_mm, 0.0), self.size.height_mm)
        if max(abs(x - mark.x_mm), abs(y - mark.y_mm)) <= ROUNDED_MM:
            return Landmark(mark.name, x, y)
        self.note(f"Landmark “{mark.name}” lies off the canvas: it was left out.")
        return None

    def check_on_canvas(self, landmarks: tuple[Landmark, ...]) -> None:
        if not self.lines:
            if not landmarks:
                self.note("The file holds no lines and no landmarks.")
            return
        far = np.array([self.size.width_mm, self.size.height_mm])
        low = np.array([line.points.min(axis=0) for line in self.lines])
        high = np.array([line.points.max(axis=0) for line in self.lines])
        off = ((high < 0) | (low > far)).any(axis=1)
        if off.all() and not landmarks:
            raise DrawingError("All of the drawing lies off its page. Move it onto the page and save it again.")
        if off.any():
            count = int(off.sum())
            self.note(f"{count} of the lines {'lies' if count == 1 else 'lie'} off the canvas.")
