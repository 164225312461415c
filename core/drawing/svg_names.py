"""What the lines, landmarks and layers of an SVG file are called."""

import re
from dataclasses import dataclass

from core.drawing.drawing import Landmark
from core.drawing.svg_tree import Node

LAYERS = ("contour", "inner form", "shadow edge")
LANDMARK_LAYERS = {"landmark", "landmarks"}
LONGEST_NAME, LONGEST_READ = 80, 1000

_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{1,6})_")
_UNNAMED = re.compile(r"(?:g|group|svg|page|artboard|path|line|polyline|polygon|rect|circle|ellipse)[-_ ]?\d*\Z", re.I)


def decoded_id(text: str) -> str:
    """An id with the characters that editors write as their code (``_x20_`` for a space)."""

    def character(found: re.Match[str]) -> str:
        code = int(found[1], 16)
        readable = code <= 0x10FFFF and chr(code).isprintable()
        return chr(code) if readable else found[0]

    return _ESCAPED.sub(character, text)


def given_name(node: Node) -> str:
    """The name its painter gave an element: ``data-name``, its label or its title; ``""`` when it has none."""
    title = next((child.text for child in node.children if child.tag == "title"), "")
    given = node.get("data-name"), node.get("label"), title, node.get("original-id")
    return next((name for text in given if (name := _tidy(text))), "")


def id_name(node: Node) -> str:
    """An element's id as a name."""
    return _tidy(decoded_id(node.get("id")[:LONGEST_READ]))


def drawn_name(node: Node) -> str:
    """What a line or a group is called: its given name, or its id unless that is only a kind and a number."""
    name = given_name(node)
    if not name:
        name = id_name(node)
        name = "" if _UNNAMED.match(name) else name
    return name


def _tidy(text: str) -> str:
    return " ".join(text[:LONGEST_READ].split())[:LONGEST_NAME].rstrip()


@dataclass(frozen=True)
class Layer:
    """The layer an element is in. A group that an editor marks as a layer counts over plain groups around or in it."""

    name: str = LAYERS[0]
    given: bool = False
    marked: bool = False

    def within(self, group: Node) -> "Layer":
        """The layer inside ``group``: of plain groups the outermost with a name of its own is the layer."""
        marked = group.get("groupmode") == "layer"
        if group.tag not in {"g", "svg"} or (self.marked and not marked) or (self.given and not marked):
            return self
        name = drawn_name(group)
        if not name:
            return self
        plain = " ".join(re.split(r"[\s_-]+", name.lower()))
        return Layer(plain if plain in LAYERS else name, True, marked)


def named_landmarks(found: list[tuple[str, float, float]]) -> tuple[list[Landmark], list[str]]:
    """Landmarks with a name each and none twice, and notes on the names that had to be made."""
    landmarks, notes = [], []
    taken = {name for name, _, _ in found}
    used: set[str] = set()
    numbers: dict[str, int] = {}
    for name, x, y in found:
        unique = name
        if not name or name in used:
            base = name or "landmark"
            number = numbers.get(base, 1 if name else 0) + 1
            while f"{base} {number}" in taken or f"{base} {number}" in used:
                number += 1
            numbers[base] = number
            unique = f"{base} {number}"
            said = f"A second landmark “{name}”" if name else "A landmark without a name"
            notes.append(f"{said} was called “{unique}”.")
        used.add(unique)
        landmarks.append(Landmark(unique, x, y))
    return landmarks, notes
