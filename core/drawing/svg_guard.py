"""What an SVG may not hold: anything that runs, anything that reaches outside the file, anything out of proportion.

A drawing is only read, never run and never followed, so nothing here could act; it is refused all the same, with a
sentence, since a drawing that carries such things is not what its painter thinks it is.
"""

import re
import zlib

from core.errors import DrawingError

MOST_BYTES = 20_000_000
MOST_ELEMENTS = 50_000
MOST_ATTRIBUTES = 400_000
MOST_STYLE = 400_000  # characters of style rules
MOST_LIST = 10_000  # characters of one element's style, class or transform
MOST_PROLOG_BYTES, MOST_PROLOG_PIECES = 250_000, 1000
DEEPEST = 64
MOST_ENTITIES = 64
LONGEST_ENTITY = 200
MOST_ENTITY_TEXT = 5_000_000

_W3C_DTD = re.compile(r"https?://www\.w3\.org/[\w./-]*\.dtd\Z", re.ASCII)
_RUNS = {"script", "handler", "listener", "iframe", "object", "embed", "applet"}
_HELD_INSIDE = ("#", "data:image/", "data:font/", "data:application/font", "data:application/x-font")
_PLAIN_TEXT = {"id", "label", "d", "points"}
_BLANKS = re.compile(r"[\x00-\x20\x7f]+")
_URL = re.compile(r"url\(\s*[\"']?\s*([^\"')\s]*)", re.IGNORECASE)
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
_GZIP = b"\x1f\x8b"
_OTHER_FORMATS = {
    b"%PDF": "a PDF", b"%!PS": "PostScript", b"\x89PNG": "a PNG picture", b"\xff\xd8\xff": "a JPEG picture",
    b"PK\x03\x04": "a zip archive", b"II*\x00": "a TIFF picture", b"MM\x00*": "a TIFF picture",
}  # fmt: skip


def too_large() -> DrawingError:
    """The refusal of a file over ``MOST_BYTES``."""
    return DrawingError(
        f"The drawing's file is larger than {MOST_BYTES // 1_000_000} MB. "
        "Take pictures out of it and save it again as SVG."
    )


def unpacked(data: bytes) -> bytes:
    """The XML of a file, out of gzip (``.svgz``) when it is packed. Raises DrawingError for other formats and sizes."""
    if len(data) > MOST_BYTES:
        raise too_large()
    if data.startswith(_GZIP):
        unpacker = zlib.decompressobj(zlib.MAX_WBITS | 16)
        try:
            data = unpacker.decompress(data, MOST_BYTES + 1)
        except zlib.error:
            raise DrawingError("The packed drawing is damaged. Save it again as plain SVG.") from None
        if len(data) > MOST_BYTES:
            raise too_large()
        if not unpacker.eof:
            raise DrawingError("The packed drawing is cut short. Save it again as plain SVG.")
    for start, name in _OTHER_FORMATS.items():
        if data.startswith(start):
            raise DrawingError(f"This file is {name}, not an SVG drawing. Export the drawing as SVG.")
    return data.strip(b" \t\r\n") if data[:1] in b" \t\r\n" else data


def check_doctype(system_id: str | None) -> None:
    """Let through the W3C's public document types, which are never fetched."""
    if system_id and not _W3C_DTD.match(system_id):
        raise DrawingError("The drawing leans on a document type outside its file. Save it again as plain SVG.")


def check_entity(value: str | None, *, parameter: bool, count: int, ampersands: int) -> None:
    """Let through only a few short plain texts, such as the namespaces that some editors declare.

    The whole file's ``&`` times the longest text allowed bounds what they could grow to.
    """
    plain = value is not None and not parameter and not set(value) & set("&%<")
    few = count <= MOST_ENTITIES and ampersands * LONGEST_ENTITY <= MOST_ENTITY_TEXT
    if not (plain and few and value is not None and len(value) <= LONGEST_ENTITY):
        raise DrawingError("The drawing's file defines entities that may grow or reach outside. Save it as plain SVG.")


def check_defaults(default: str | None) -> None:
    """Refuse attributes that a document type would add to elements out of sight."""
    if default is not None:
        raise DrawingError("The drawing's document type sets hidden attributes. Save it again as plain SVG.")


def check_instruction(target: str) -> None:
    """Refuse a processing instruction that leans on another file."""
    if target.lower().startswith("xml-stylesheet"):
        raise DrawingError(
            "The drawing leans on a style sheet outside its file. Save it as SVG with its styles inside."
        )


def check_element(tag: str) -> None:
    """``tag``: the local name, in whatever namespace."""
    if tag.lower() in _RUNS:
        raise DrawingError(f"The drawing holds a program (“{tag[:20]}”). Export it as plain SVG without scripts.")


def too_many_objects() -> DrawingError:
    """The refusal of a file with more elements or attributes than a drawing has."""
    return DrawingError(
        f"The drawing has more than {MOST_ELEMENTS:,} objects. Join or simplify its lines and save it again."
    )


def foreign_object() -> DrawingError:
    """The refusal of embedded web pages."""
    return DrawingError("The drawing holds a web page (foreignObject). Export it as plain SVG, with text as outlines.")


def check_attribute(name: str, value: str) -> None:
    """``name``: the local name, in whatever namespace."""
    if name[:2].lower() == "on" and len(name) > 2:
        raise DrawingError(f"The drawing would run something (“{name[:20]}”). Export it as plain SVG without scripts.")
    if name.startswith("data-") or name in _PLAIN_TEXT:
        return  # a name is never followed, whatever it says
    if ":" in value:
        start = _BLANKS.sub("", value[:200]).lower()
        if start.startswith(("javascript:", "vbscript:", "data:text/", "data:application/")):
            raise DrawingError(
                "The drawing holds a link that would run something. Export it as plain SVG without links."
            )
    if name in {"href", "src"}:
        check_reference(value)
    elif name in {"style", "class", "transform", "transform-origin"} and len(value) > MOST_LIST:
        raise style_too_long()
    elif "(" in value:
        check_style(value)


def check_reference(value: str) -> None:
    """Let through a reference within the file, or a picture or a font held in it."""
    target = _BLANKS.sub("", value[:200])
    if target and not target.lower().startswith(_HELD_INSIDE):
        raise DrawingError(
            f"The drawing refers to something outside its file (“{target[:60]}”). "
            "Take the link out, or embed the picture, and save it again."
        )


def style_too_long() -> DrawingError:
    """The refusal of style text out of all proportion."""
    return DrawingError("The drawing's styles are too long to be read. Save it again as plain SVG.")


def check_style(css: str) -> None:
    """Let through style text and paint references that stay within the file."""
    if len(css) > MOST_STYLE:
        raise style_too_long()
    css = _COMMENT.sub("", css)
    if "@import" in css.lower():
        raise DrawingError(
            "The drawing leans on a style sheet outside its file. Save it as SVG with its styles inside."
        )
    for found in _URL.finditer(css):
        check_reference(found[1])
