"""A painter's own tube from a photo of its swatch card, and the card to print. Pure functions, for a worker thread."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.mixing.kept import Light
from app.work import Progress

if TYPE_CHECKING:
    from core.paint.swatch_refine import Refined
    from core.paint.tubes import Tube


@dataclass(frozen=True, eq=False)
class CardOrder:
    """A painted card: the ``tube`` and ``white`` on it, the share of the tube that was ``weighed`` for each tint by
    the name of its square, and what the grey card on it reflects, 0-1, None where there is none."""

    file: Path
    tube: "Tube"
    white: "Tube"
    weighed: Mapping[str, float]
    grey_card: float | None


@dataclass(frozen=True)
class SquareSeen:
    """A square: its name, what was read of it and what the refined tube gives, linear in the sRGB primaries."""

    name: str
    seen: Light
    given: Light


@dataclass(frozen=True, eq=False)
class CardRead:
    """``problems``: why the photo is not good enough; then there is no ``refined`` tube."""

    problems: tuple[str, ...]
    refined: "Refined | None" = None
    squares: tuple[SquareSeen, ...] = ()


def read_swatches(order: CardOrder, progress: Progress) -> CardRead:
    """Raises PainterError where no card can be read at all."""
    from core.paint.swatch_read import read_card_file
    from core.paint.swatch_refine import refine

    progress(say="Finding the card")
    readings = read_card_file(order.file, grey_card=order.grey_card)
    if not readings.good:
        return CardRead(readings.problems)
    progress(say="Bringing the tube to yours")
    refined = refine(order.tube, order.white, readings, weighed=order.weighed)
    shares = {square.square.name: square.square.share for square in readings.swatches} | dict(order.weighed)
    squares = tuple(
        _square(each.square.name, each.linear, shares[each.square.name], refined.tube, order.white)
        for each in readings.swatches
        if each.square.share > 0
    )
    return CardRead((), refined, squares)


def write_card(tube: str, white: str, paper: str, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.paint.swatch_page import swatch_page

    progress(say="Setting the card")
    swatch_page(path, paper=paper, tube_name=tube, white_name=white)
    return "The swatch card, one page. Print it at actual size."


def _square(name: str, beside_white: object, share: float, tube: "Tube", white: "Tube") -> SquareSeen:
    import numpy as np

    from core.paint.paint import predict
    from core.paint.spectrum import linear_rgb

    paints = {"tube": tube.paint, "white": white.paint}
    alone = linear_rgb(predict(paints, {"white": 1.0}))
    seen = (np.asarray(beside_white) * alone).tolist()
    given = linear_rgb(predict(paints, {"tube": share, "white": 1.0 - share})).tolist()
    return SquareSeen(name, (seen[0], seen[1], seen[2]), (given[0], given[1], given[2]))
