"""Where everything stands on a sheet: what is left white, the strips for marks and rulers, and the frame between them.

Around the frame, from the paper's edge inwards: the printer's margin, then a strip. The left strip holds the upright
ruler, the bottom strip the level one and what the sheet is; cut marks and neighbours' names stand in all four.
"""

from dataclasses import dataclass

from core.drawing.sheet_page import FAINT, HAIR_MM, INK, SOFT, Draft
from core.drawing.sheet_type import CAP_HEIGHT, MM_PER_PT, width_mm
from core.errors import DrawingError
from core.size import Size

LEFT_MM, TOP_MM, RIGHT_MM, BOTTOM_MM = 9.0, 5.0, 5.0, 11.0
LEAST_FRAME_MM = 20.0
RULER_MM = 100.0
RULERS_MM = (RULER_MM, 50.0, 20.0)
"""The check ruler is the longest of these that fits."""

_NUMBER_PT = 5.5
_END_MM, _CM_MM, _HALF_MM, _MM_MM = 3.0, 2.2, 1.7, 1.1


@dataclass(frozen=True)
class Frame:
    """What a sheet shows of the canvas, on its paper: left, top, right, bottom in mm."""

    paper: Size
    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def frame_on(paper: Size, margin_mm: float, overlap_mm: float) -> Frame:
    """The frame on a paper this way up. Raises DrawingError when too little is left of it."""
    frame = Frame(
        paper,
        margin_mm + LEFT_MM,
        margin_mm + TOP_MM,
        paper.width_mm - margin_mm - RIGHT_MM,
        paper.height_mm - margin_mm - BOTTOM_MM,
    )
    least = max(LEAST_FRAME_MM, 2.0 * overlap_mm)
    if min(frame.width, frame.height) < least:
        left = f"leaves {max(frame.width, 0):.0f} × {max(frame.height, 0):.0f} mm for the drawing"
        raise DrawingError(
            f"The paper is too small: {paper.width_mm:g} × {paper.height_mm:g} mm with margins of {margin_mm:g} mm "
            f"{left}, and with an overlap of {overlap_mm:g} mm it takes {least:g} mm each way. "
            "Choose larger paper, a smaller margin or a smaller overlap."
        )
    return frame


def longest_ruler(room_mm: float) -> float:
    """The length of the ruler that fits into a room; 0 when none does."""
    return next((length for length in RULERS_MM if length <= room_mm), 0.0)


def level_ruler(draft: Draft, x: float, y: float, length: float) -> None:
    """A ruler from x to x + ``length`` on the baseline y, its marks above it and its figures below."""
    draft.line(x, y, x + length, y, HAIR_MM)
    for at, high in _marks(length):
        draft.line(x + at, y, x + at, y - high, HAIR_MM)
    for at, text in _figures(length):
        draft.write(text, x + at, y + 2.3, _NUMBER_PT, anchor="middle")


def upright_ruler(draft: Draft, x: float, y: float, length: float) -> None:
    """A ruler from y up to y - ``length`` along x, its marks to the right and its figures to the left."""
    draft.line(x, y, x, y - length, HAIR_MM)
    for at, high in _marks(length):
        draft.line(x, y - at, x + high, y - at, HAIR_MM)
    for at, text in _figures(length):
        draft.write(text, x - 0.9, y - at, _NUMBER_PT, anchor="middle", turn=90)


def sheet_name(draft: Draft, name: str, margin_mm: float) -> None:
    """The sheet's name, large, in the bottom left corner where the strips meet."""
    room = LEFT_MM - 1.0
    size = min(14.0, 14.0 * room / width_mm(name, 14.0, "SemiBold"))
    middle = draft.paper.height_mm - margin_mm - BOTTOM_MM / 2
    base = middle + CAP_HEIGHT * size * MM_PER_PT / 2
    draft.write(name, margin_mm + room / 2, base, size, weight="SemiBold", anchor="middle")


def corner_marks(draft: Draft, frame: Frame) -> None:
    """Small angles at the frame's corners: the drawing is shown up to here."""
    for x, into_x in ((frame.left, 1), (frame.right, -1)):
        for y, into_y in ((frame.top, 1), (frame.bottom, -1)):
            draft.line(x, y, x + 2.5 * into_x, y, HAIR_MM, FAINT)
            draft.line(x, y, x, y + 2.5 * into_y, HAIR_MM, FAINT)


def cross(draft: Draft, x: float, y: float, arm: float = 2.0) -> None:
    """A mark that two sheets both bear at the same place of the canvas."""
    draft.line(x - arm, y, x + arm, y, HAIR_MM, SOFT)
    draft.line(x, y - arm, x, y + arm, HAIR_MM, SOFT)


def cut_mark(draft: Draft, x0: float, y0: float, x1: float, y1: float) -> None:
    """One end of a line to cut or to lay along, outside the frame."""
    draft.line(x0, y0, x1, y1, 0.25, INK)


def _marks(length: float) -> list[tuple[float, float]]:
    def high(at: int) -> float:
        if at in (0, round(length)):
            return _END_MM
        return _CM_MM if at % 10 == 0 else _HALF_MM if at % 5 == 0 else _MM_MM

    return [(float(at), high(at)) for at in range(round(length) + 1)]


def _figures(length: float) -> list[tuple[float, str]]:
    half = [(length / 2, f"{length / 2:g}")] if length >= 50 else []
    return [(0.0, "0"), *half, (length, f"{length:g} mm")]
