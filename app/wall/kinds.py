"""The kinds of line and the pens they are drawn with, wherever lines are shown: told apart without colour."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """A layer of the drawing: its name, how it is said, and its pen.

    ``width_px``: on the screen, beside a contour of ``CONTOUR.width_px``. ``dash_px``, ``gap_px``: of a broken line; 0
    for an unbroken one.
    """

    layer: str
    word: str
    width_px: float
    dash_px: float = 0.0
    gap_px: float = 0.0

    @property
    def share(self) -> float:
        """How wide it and its rim are beside those of a contour, which is 1."""
        return self.width_px / CONTOUR.width_px

    def width_beside(self, contour_px: float) -> float:
        """How wide it is on the screen where contours are ``contour_px``; never too thin to be seen."""
        return max(contour_px * self.share, min(contour_px, LEAST_PX))


LEAST_PX = 1.0
CONTOUR = Kind("contour", "Contour", 2.6)
INNER_FORM = Kind("inner form", "Inner form", 1.2)
SHADOW_EDGE = Kind("shadow edge", "Shadow edge", 2.0, dash_px=10.0, gap_px=7.5)
KINDS = (CONTOUR, INNER_FORM, SHADOW_EDGE)

_NUMBERS = {kind.layer: number for number, kind in enumerate(KINDS)}


def number_of(layer: str) -> int:
    """Which of ``KINDS`` a layer is; lines of a layer that came with a file look like contours."""
    return _NUMBERS.get(layer, 0)
