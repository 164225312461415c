"""The kinds of line, told apart by how they are drawn and never by colour."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """A layer of the drawing: its name, how it is said, and how its lines look on the tracing page.

    ``width_px``: on the screen. ``dash_px``, ``gap_px``: of a broken line; 0 for an unbroken one.
    """

    layer: str
    word: str
    width_px: float
    dash_px: float = 0.0
    gap_px: float = 0.0


CONTOUR = Kind("contour", "Contour", 2.6)
INNER_FORM = Kind("inner form", "Inner form", 1.2)
SHADOW_EDGE = Kind("shadow edge", "Shadow edge", 2.0, dash_px=9.0, gap_px=6.0)
KINDS = (CONTOUR, INNER_FORM, SHADOW_EDGE)


def kind_of(layer: str) -> Kind:
    """The kind of a layer; lines of a layer that came with a file look like contours."""
    return next((kind for kind in KINDS if kind.layer == layer), CONTOUR)
