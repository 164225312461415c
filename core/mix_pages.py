"""What printed pages to mix from share: swatches, what is to be said of their colours, tubes needed, cautions."""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from core.colorimetry import encode_srgb
from core.errors import PaintError
from core.paint.tubes import Tube, tube_named
from core.print_page import INK, MARGIN_MM, PT_PER_MM, SOFT, Colour, PrintPage
from core.size import Size

HONEST = (
    "Colours on a screen, on paper and from a camera are approximate, and tubes differ from maker to maker. "
    "Mix a little first and try it on a scrap beside the reference."
)
PARTS = (
    "Parts are by weight; by heaps of one size they are rougher, since white weighs more than black. "
    "Swatches show a thick layer in daylight (D65)."
)
HEAD_MM, BETWEEN_MM = 19.0, 1.2
_OUTSIDE = 0.004
"""Of linear light: what is farther outside sRGB is told."""

_DRYING = {"fast": "dries fast", "medium": "dries at a medium pace", "slow": "dries slowly"}

Line = tuple[str, float, str]
"""Words, size in points and weight."""


def swatch_code(light: ArrayLike) -> Colour:
    """The sRGB code, 0-255, of linear light ``(3,)``, clipped."""
    codes = np.rint(255.0 * encode_srgb(np.clip(np.asarray(light, dtype=np.float64), 0.0, 1.0))).astype(int)
    return int(codes[0]), int(codes[1]), int(codes[2])


def beyond_print(light: ArrayLike) -> bool:
    """Whether linear light ``(3,)`` lies outside sRGB, so that its swatch is duller than the paint."""
    told = np.asarray(light, dtype=np.float64)
    return bool(told.min() < -_OUTSIDE or told.max() > 1.0 + _OUTSIDE)


def whole_warmth(warmth: float) -> str:
    """T to a whole number: ``12``, ``−3``."""
    whole = round(warmth)
    return str(whole) if whole >= 0 else f"−{-whole}"


def cautions_of(tubes: Iterable[Tube]) -> list[str]:
    """Each caution once, after the names of the tubes that it is of, in the order of the tubes."""
    names: dict[str, list[str]] = {}
    for tube in tubes:
        for caution in tube.cautions:
            names.setdefault(caution, []).append(tube.name)
    return [f"{_capital(', '.join(of))}: {_lower(caution)}" for caution, of in names.items()]


def tube_words(tube: Tube) -> str:
    """Such as ``PY43 · semi-opaque · dries at a medium pace``."""
    return " · ".join([*(["+".join(tube.pigments)] if tube.pigments else []), tube.opacity, _DRYING[tube.drying]])


def used_tubes(mixes: Iterable[Mapping[str, float]], tubes: Mapping[str, Tube]) -> list[Tube]:
    """Those that are in any of the mixes, in the order of ``tubes``. Raises PaintError for one that is not there."""
    named = {name: None for mix in mixes for name, part in mix.items() if part > 0}
    order = list(tubes)
    return sorted((tube_named(name, tubes) for name in named), key=lambda tube: order.index(tube.name))


def head(page: PrintPage, title: str, under: str, *, draw: bool = True) -> float:
    """Title and a line under it; gives where what follows begins, mm from the top."""
    foot = page.text(title, MARGIN_MM, MARGIN_MM + 5.0, 14, weight="SemiBold", draw=draw)
    foot = page.text(under, MARGIN_MM, foot, 8.5, grey=SOFT, draw=draw)
    return max(MARGIN_MM + HEAD_MM, foot + 2.0)


def too_small(paper: Size, what: str) -> PaintError:
    """What to tell the painter of a paper that has no room for it."""
    return PaintError(
        f"A paper of {paper.width_mm:g} × {paper.height_mm:g} mm is too small for {what}. Choose a larger one."
    )


def lines_mm(page: PrintPage, lines: Sequence[Line], room: float) -> float:
    """How high the lines are when set to ``room`` mm."""
    return set_lines(page, lines, MARGIN_MM, 0.0, room, draw=False)


def set_lines(page: PrintPage, lines: Sequence[Line], x: float, top: float, room: float, *, draw: bool = True) -> float:
    """Set lines below each other from ``top``, soft where they are regular; gives where they end."""
    for said, size, weight in lines:
        grey = INK if weight != "Regular" else SOFT
        first = top + size / PT_PER_MM
        top = page.text(said, x, first, size, weight=weight, grey=grey, room=room, draw=draw)
        top += BETWEEN_MM - size / PT_PER_MM
    return top


def page_number(page: PrintPage, number: int, pages: int) -> None:
    """At the foot, to the right, where there is more than one."""
    if pages > 1:
        page.text(
            f"{number} of {pages}", page.width_mm - MARGIN_MM - 12.0, page.height_mm - MARGIN_MM + 6.0, 7.5,
            grey=SOFT, room=20.0,
        )  # fmt: skip


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]


def _lower(say: str) -> str:
    return say[:1].lower() + say[1:]
