"""The four kinds of edge: hard, firm, soft and lost."""

import math
from dataclasses import dataclass
from enum import StrEnum

from core.errors import PainterError
from core.size import Size


class EdgeKind(StrEnum):
    """From the sharpest to the one that cannot be followed."""

    HARD = "hard"
    FIRM = "firm"
    SOFT = "soft"
    LOST = "lost"


USUAL_DIAGONAL_MM = 500.0
"""Of a canvas of 400 x 300 mm, for which the bounds are given: a larger one is looked at from farther away."""


@dataclass(frozen=True)
class EdgeBounds:
    """The widest sigma, mm, of a hard, a firm and a soft edge; what is wider is lost.

    The bounds are ours; the painter may move them. Raises PainterError when they do not rise from above 0.
    """

    hard_mm: float = 0.5
    firm_mm: float = 1.5
    soft_mm: float = 4.0

    def __post_init__(self) -> None:
        if not 0 < self.hard_mm < self.firm_mm < self.soft_mm < math.inf:
            raise PainterError(
                "A hard edge is narrower than a firm one, and that narrower than a soft one. Give three widths in mm "
                f"that rise, such as 0.5, 1.5 and 4; {self.hard_mm:g}, {self.firm_mm:g} and {self.soft_mm:g} do not."
            )

    @classmethod
    def for_size(cls, size: Size) -> "EdgeBounds":
        """The usual bounds for a canvas of this size, in proportion to its diagonal."""
        usual, share = cls(), math.hypot(size.width_mm, size.height_mm) / USUAL_DIAGONAL_MM
        return cls(usual.hard_mm * share, usual.firm_mm * share, usual.soft_mm * share)

    def kind(self, sigma_mm: float) -> EdgeKind:
        """The kind of an edge of this sigma, mm."""
        for bound, kind in (
            (self.hard_mm, EdgeKind.HARD),
            (self.firm_mm, EdgeKind.FIRM),
            (self.soft_mm, EdgeKind.SOFT),
        ):
            if sigma_mm < bound:
                return kind
        return EdgeKind.LOST
