"""Which style an element has: its attributes, the file's simple style rules, and its own ``style``.

Only what decides whether and where a line is seen is kept: display, visibility, opacity, fill, stroke, transform.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from core.drawing.svg_tree import Node

_WANTED = {
    "display",
    "visibility",
    "opacity",
    "fill",
    "stroke",
    "stroke-width",
    "transform",
    "transform-origin",
    "clip-path",
}
_INHERITED = {"inherit", ""}
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
_SIMPLE_SELECTOR = re.compile(r"([.#]?)([A-Za-z_][\w-]*)\Z")
_DECLARATION = re.compile(r"([\w-]+)\s*:\s*([^;{}]*)")

Declarations = dict[str, str]


@dataclass
class Rules:
    """Style rules by element, class and id; of several for one name, later declarations win."""

    elements: dict[str, Declarations] = field(default_factory=dict)
    classes: dict[str, Declarations] = field(default_factory=dict)
    ids: dict[str, Declarations] = field(default_factory=dict)
    class_order: dict[str, int] = field(default_factory=dict)

    def add(self, css: str) -> None:
        """Take in a style sheet's rules with one plain name for a selector; others are passed over."""
        for selectors, body in _blocks(_COMMENT.sub("", css)):
            declared = declarations(body)
            for selector in selectors.split(",") if declared else ():
                found = _SIMPLE_SELECTOR.match(selector.strip())
                if not found:
                    continue
                kind, name = found.groups()
                rules = {".": self.classes, "#": self.ids, "": self.elements}[kind]
                rules.setdefault(name, {}).update(declared)
                if kind == ".":
                    self.class_order[name] = len(self.class_order)

    def of(self, node: Node) -> Declarations:
        """The declarations that hold for an element itself, before inheritance."""
        found = {name: node.attributes[name].strip() for name in _WANTED & node.attributes.keys()}
        found |= self.elements.get(node.tag, {})
        if self.classes and "class" in node.attributes:
            named = {name for name in node.attributes["class"].split() if name in self.classes}
            for name in sorted(named, key=self.class_order.__getitem__):
                found |= self.classes[name]
        if self.ids:
            found |= self.ids.get(node.get("id"), {})
        if "style" in node.attributes:
            found |= declarations(node.attributes["style"])
        return found


def declarations(text: str) -> Declarations:
    """The wanted ``name: value`` pairs of a declaration list."""
    pairs = _DECLARATION.findall(_COMMENT.sub("", text))
    return {name.lower(): value.partition("!")[0].strip() for name, value in pairs if name.lower() in _WANTED}


def _blocks(css: str) -> Iterator[tuple[str, str]]:
    """Selectors and bodies of top-level rules; rules within ``@media`` and its like are passed over."""
    depth, start, selectors = 0, 0, ""
    for found in re.finditer(r"[{};]", css):
        mark, place = found[0], found.start()
        if mark == "{":
            depth += 1
            if depth == 1:
                selectors, start = css[start:place], place + 1
        elif mark == "}" and depth:
            depth -= 1
            if depth == 0:
                if not selectors.lstrip().startswith("@"):
                    yield selectors, css[start:place]
                start = place + 1
        elif mark == ";" and depth == 0:
            start = place + 1


@dataclass(frozen=True)
class Look:
    """What an element inherits: whether it is seen, and its paint."""

    visible: bool = True
    fill: str = "black"
    stroke: str = "none"

    def within(self, declared: Declarations) -> "Look":
        """The look of an element with ``declared``, inside this one."""
        if not declared:
            return self
        visibility, fill, stroke = (declared.get(name, "") for name in ("visibility", "fill", "stroke"))
        return Look(
            self.visible if visibility in _INHERITED else visibility == "visible",
            self.fill if fill in _INHERITED else fill,
            self.stroke if stroke in _INHERITED else stroke,
        )

    @property
    def painted(self) -> bool:
        """Whether either the inside or the outline is painted."""
        return self.fill not in {"none", "transparent"} or self.stroke not in {"none", "transparent"}


def hidden(declared: Declarations) -> bool:
    """Whether an element and all in it is not drawn at all."""
    if declared.get("display") == "none":
        return True
    opacity = declared.get("opacity", "1").removesuffix("%")
    try:
        return float(opacity) <= 0.0
    except ValueError:
        return False
