"""An SVG file as a small tree of elements, with everything unsafe refused on the way in."""

from dataclasses import dataclass, field
from xml.parsers import expat

from core.drawing import svg_guard as guard
from core.errors import DrawingError

SVG = "http://www.w3.org/2000/svg"
# Attributes of other namespaces that carry meaning here: links, and what editors call their layers and objects.
_KEPT = {"href": "href", "label": "label", "groupmode": "groupmode", "id": "original-id"}
_TEXTS = {"title", "style"}
_CUT_SHORT = {
    expat.errors.codes[reason] for reason in (expat.errors.XML_ERROR_NO_ELEMENTS, expat.errors.XML_ERROR_UNCLOSED_TOKEN)
}
_CHUNK = 4 << 20


@dataclass
class Node:
    """An element. ``tag`` is its SVG name, or ``""`` for an element of another namespace."""

    tag: str
    attributes: dict[str, str]
    children: list["Node"] = field(default_factory=list)
    text: str = ""

    def get(self, name: str, default: str = "") -> str:
        return self.attributes.get(name, default)


def parse_tree(data: str | bytes) -> Node:
    """The root ``svg`` element of a file.

    Raises DrawingError when the file is not well-formed, is not SVG, or holds what ``svg_guard`` refuses.
    """
    encoding = "utf-8" if isinstance(data, str) else None
    raw = data.encode("utf-8", "replace") if isinstance(data, str) else data
    builder = _Builder(guard.unpacked(raw))
    try:
        root = builder.build(encoding)
    except expat.ExpatError as error:
        wrong = "is cut short" if error.code in _CUT_SHORT else f"is damaged, or is not SVG, at line {error.lineno}"
        raise DrawingError(f"The drawing's file {wrong}. Save it again as SVG.") from None
    except (ValueError, LookupError):
        raise DrawingError("The drawing's file is in an unknown encoding. Save it again as SVG in UTF-8.") from None
    if root is None or root.tag != "svg":
        raise DrawingError("This file is not an SVG drawing. Export the drawing as SVG.")
    return root


class _Builder:
    def __init__(self, raw: bytes) -> None:
        self.raw = raw
        self.root: Node | None = None
        self.open: list[Node] = []
        self.words: list[str] = []
        self.elements = self.entities = self.pieces = self.style = 0

    def build(self, encoding: str | None) -> Node | None:
        parser = expat.ParserCreate(encoding, namespace_separator=" ")
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.characters
        parser.StartDoctypeDeclHandler = lambda name, system_id, public_id, subset: guard.check_doctype(system_id)
        parser.EntityDeclHandler = self.entity
        parser.AttlistDeclHandler = lambda element, attribute, kind, default, needed: guard.check_defaults(default)
        parser.ProcessingInstructionHandler = lambda target, data: guard.check_instruction(target)
        if self.raw.count(b"=") > guard.MOST_ATTRIBUTES:
            raise guard.too_many_objects()
        # After a handler has refused something, the parser still runs to the end of what it was given, handlers off:
        # so until the first element stands, it gets one declaration at a time, and nothing declared is ever expanded.
        place = 0
        while self.root is None and place < len(self.raw):
            self.pieces += 1
            if self.pieces > guard.MOST_PROLOG_PIECES or place > guard.MOST_PROLOG_BYTES:
                raise DrawingError("The drawing's file starts with too long a document type. Save it as plain SVG.")
            start, place = place, self.raw.find(b">", place) + 1 or len(self.raw)
            parser.Parse(self.raw[start:place], False)
        for start in range(place, len(self.raw), _CHUNK):
            parser.Parse(self.raw[start : start + _CHUNK], False)
        parser.Parse(b"", True)
        return self.root

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        if self.elements > guard.MOST_ELEMENTS:
            raise guard.too_many_objects()
        if len(self.open) >= guard.DEEPEST:
            raise DrawingError("The drawing's groups are nested too deeply. Ungroup some of them and save it again.")
        space, _, tag = name.rpartition(" ")
        guard.check_element(tag)
        kept = {}
        for key, value in attributes.items():
            _, _, local = key.rpartition(" ")
            guard.check_attribute(local, value)
            if local == key:
                kept[key] = value
            elif local in _KEPT:
                kept.setdefault(_KEPT[local], value)
        node = Node(tag if space in {SVG, ""} else "", kept)
        self.place(node)
        self.open.append(node)
        self.words = []

    def place(self, node: Node) -> None:
        if not self.open:
            self.root = node
            return
        parent = self.open[-1]
        # Within a switch and asking for an extension, a foreign object is never drawn by anyone but the editor that
        # wrote it: some keep their own data so.
        if node.tag == "foreignObject" and not (parent.tag == "switch" and node.get("requiredExtensions").strip()):
            raise guard.foreign_object()
        if parent.tag:
            parent.children.append(node)

    def end(self, name: str) -> None:
        node = self.open.pop()
        if node.tag in _TEXTS:
            node.text, self.words = "".join(self.words), []
        if node.tag == "style":
            self.style += len(node.text)
            if self.style > guard.MOST_STYLE:
                raise guard.style_too_long()
            guard.check_style(node.text)

    def characters(self, text: str) -> None:
        if self.open and self.open[-1].tag in _TEXTS:
            self.words.append(text)

    def entity(
        self,
        name: str,
        parameter: bool,
        value: str | None,
        base: str | None,
        system_id: str | None,
        public_id: str | None,
        notation: str | None,
    ) -> None:
        self.entities += 1
        guard.check_entity(value, parameter=bool(parameter), count=self.entities, ampersands=self.raw.count(b"&"))
