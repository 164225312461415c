"""Canvas and paper sizes, and the units they are written in.

Stretcher sizes are the trade's usual ones; papers are ISO 216 and US Letter.
"""

import math
import re
from dataclasses import dataclass

from core.errors import PainterError

MM_PER_INCH = 25.4
SMALLEST_MM, LARGEST_MM = 20.0, 5000.0

_PER_UNIT = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, '"': MM_PER_INCH, "": 1.0}
_SIZE = re.compile(
    r"^\s*(?P<w>\d+(?:[.,]\d+)?)\s*(?P<u1>mm|cm|inch|in|\")?\s*[x×*]\s*"
    r"(?P<h>\d+(?:[.,]\d+)?)\s*(?P<u2>mm|cm|inch|in|\")?\s*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Size:
    """Width and height of a canvas or a sheet of paper, in mm."""

    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        for side in (self.width_mm, self.height_mm):
            if not (math.isfinite(side) and SMALLEST_MM <= side <= LARGEST_MM):
                raise PainterError(
                    f"A side of {side:g} mm is not a canvas size: "
                    f"give between {SMALLEST_MM:g} mm and {LARGEST_MM / 1000:g} m."
                )

    @property
    def aspect(self) -> float:
        """Width divided by height."""
        return self.width_mm / self.height_mm

    @property
    def turned(self) -> "Size":
        """The same canvas stood on its other side."""
        return Size(self.height_mm, self.width_mm)

    def in_cm(self) -> str:
        return f"{self.width_mm / 10:g} × {self.height_mm / 10:g} cm"

    def in_inches(self) -> str:
        return f"{round(self.width_mm / MM_PER_INCH, 2):g} × {round(self.height_mm / MM_PER_INCH, 2):g} in"


def parse_size(text: str) -> Size:
    """Read a size such as ``400x300mm``, ``40 x 30 cm`` or ``16x20in``; a bare pair is in mm.

    Raises PainterError with a sentence when the text is not a size.
    """
    found = _SIZE.match(text)
    if not found:
        raise PainterError(f"“{text}” is not a size. Write width x height with a unit, such as 400x300mm or 16x20in.")
    last = (found["u2"] or "").lower()
    first = (found["u1"] or last).lower()
    width, height = (float(found[side].replace(",", ".")) for side in ("w", "h"))
    return Size(width * _PER_UNIT[first], height * _PER_UNIT[last or first])


# Inch stretchers: the usual American stock, upright.
INCH_STRETCHERS = (
    (8, 10),
    (9, 12),
    (11, 14),
    (12, 16),
    (16, 20),
    (18, 24),
    (20, 24),
    (24, 30),
    (24, 36),
    (30, 40),
    (36, 48),
)
METRIC_STRETCHERS_CM = ((20, 30), (24, 30), (30, 40), (40, 50), (50, 60), (50, 70), (60, 80), (70, 100))  # from memory
# French figure sizes (number, long side cm, short side cm): common practice.
FRENCH_FIGURE_CM = (
    (0, 18, 14), (1, 22, 16), (2, 24, 19), (3, 27, 22), (4, 33, 24), (5, 35, 27), (6, 41, 33), (8, 46, 38),
    (10, 55, 46), (12, 61, 50), (15, 65, 54), (20, 73, 60), (25, 81, 65), (30, 92, 73), (40, 100, 81), (50, 116, 89),
)  # fmt: skip


def stretchers() -> dict[str, Size]:
    """Usual stretcher sizes, upright, by the name a painter would say."""
    named = {f"{a} × {b} in": Size(a * MM_PER_INCH, b * MM_PER_INCH) for a, b in INCH_STRETCHERS}
    named |= {f"{a} × {b} cm": Size(a * 10, b * 10) for a, b in METRIC_STRETCHERS_CM}
    named |= {f"{n} F ({b} × {a} cm)": Size(b * 10, a * 10) for n, a, b in FRENCH_FIGURE_CM}
    return named


# ISO 216 (A series) and US Letter, upright, mm.
PAPERS = {
    "A5": Size(148, 210),
    "A4": Size(210, 297),
    "A3": Size(297, 420),
    "A2": Size(420, 594),
    "Letter": Size(215.9, 279.4),
}
