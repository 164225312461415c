"""Drawings by the text they are kept as, so that undoing many strokes need not read each version anew."""

from collections import OrderedDict
from hashlib import blake2b

from core.drawing.drawing import Drawing
from core.drawing.svg_write import drawing_to_svg

MOST = 400


class KeptDrawings:
    """Remembers the latest; lines that versions have in common are held once."""

    def __init__(self) -> None:
        self._known: OrderedDict[bytes, Drawing] = OrderedDict()

    def text_of(self, drawing: Drawing) -> str:
        """The drawing as SVG in mm, by which it is known again."""
        text = drawing_to_svg(drawing)
        self._known[_key(text)] = drawing
        while len(self._known) > MOST:
            self._known.popitem(last=False)
        return text

    def drawing(self, text: str) -> Drawing | None:
        """The drawing that this text was made of, or None."""
        return self._known.get(_key(text))


def _key(text: str) -> bytes:
    return blake2b(text.encode(), digest_size=16).digest()
