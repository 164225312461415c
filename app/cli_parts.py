"""What the commands share: points written as words, and how far a piece of work is."""

import math
import sys

from core.errors import PainterError

_COUNTS = {1: "one point", 4: "four points"}


def points(text: str, count: int, option: str) -> list[tuple[float, float]]:
    """``count`` points written ``x,y x,y``. Raises PainterError with a sentence that names the option."""
    trouble = PainterError(
        f"{option} takes {_COUNTS[count]} as “{' '.join(['x,y'] * count)}” in numbers; “{text}” is not that."
    )
    try:
        pairs = [tuple(float(n) for n in pair.split(",")) for pair in text.split()]
    except ValueError:
        raise trouble from None
    if len(pairs) != count or any(len(pair) != 2 or not all(map(math.isfinite, pair)) for pair in pairs):
        raise trouble
    return [(pair[0], pair[1]) for pair in pairs]


def tell(share: float, doing: str) -> None:
    """Show how far it is, where someone is looking on."""
    if sys.stderr.isatty():
        print(f"\r{share:4.0%}  {doing:<40}", end="\n" if share >= 1 else "", file=sys.stderr, flush=True)
