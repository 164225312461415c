"""Words for a printed page as single lines, so that what does not fit on one page can go on to the next."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.print_page import INK, PT_PER_MM, register_fonts

_LEADING = 1.32
"""Of text in its size, as :class:`core.print_page.PrintPage` sets it."""


@dataclass(frozen=True)
class Row:
    """One line: ``size`` in points, ``grey`` 0 (black) to 1, ``after``: room below it, mm."""

    words: str
    size: float
    weight: str
    grey: float
    after: float = 0.0

    @property
    def font(self) -> str:
        return f"Inter-{self.weight}"

    @property
    def high_mm(self) -> float:
        return self.size * _LEADING / PT_PER_MM + self.after


def rows_of(
    text: str, size: float, room: float, *, weight: str = "Regular", grey: float = INK, after: float = 0.0
) -> list[Row]:
    """A text as lines of ``room`` mm; ``after`` the last. A word that is longer than a line is parted. No lines where
    there is no text."""
    from reportlab.lib.utils import simpleSplit

    register_fonts()
    font, wide = f"Inter-{weight}", room * PT_PER_MM
    lines = [
        piece
        for line in text.replace("\t", " ").strip().splitlines()
        for whole in simpleSplit(line, font, size, wide) or [""]
        for piece in _parted(whole, font, size, wide)
    ]
    return [Row(line, size, weight, grey, after if at == len(lines) - 1 else 0.0) for at, line in enumerate(lines)]


def high_mm(rows: Sequence[Row]) -> float:
    """How high rows are below each other."""
    return sum(row.high_mm for row in rows)


def taken(rows: Sequence[Row], room: float) -> tuple[list[Row], list[Row]]:
    """As many rows as fit into ``room`` mm, and the rest. The room below the last one may be cut."""
    used = 0.0
    for at, row in enumerate(rows):
        if used + row.high_mm - row.after > room:
            return list(rows[:at]), list(rows[at:])
        used += row.high_mm
    return list(rows), []


def _parted(line: str, font: str, size: float, wide: float) -> list[str]:
    """A line in pieces that fit."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if stringWidth(line, font, size) <= wide:
        return [line]
    pieces, piece, used = [], "", 0.0
    for sign in line:
        each = stringWidth(sign, font, size)
        if piece and used + each > wide:
            pieces.append(piece)
            piece, used = "", 0.0
        piece, used = piece + sign, used + each
    return [*pieces, piece]
