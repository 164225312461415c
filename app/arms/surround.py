"""What lies round the pictures at arm's length: dark, mid or light, each a neutral with its own values of type.

Mid is the surround of the desk (see :mod:`app.look`); dark suits a picture hung in a dim room, light one on a white
wall: common practice, no source. Type has a contrast of 4.5 at least against whatever it lies on (WCAG 2.2, 1.4.3).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from app import look
from app.look import Shades

USUAL = "mid"
SURROUNDS = {
    "dark": Shades(
        surround=2.0, panel=1.5, raised=3.0, field=3.5, ink=9.5, quiet=8.5, faint=6.5, line=5.0,
        pressed=9.5, on_pressed=1.0,
    ),
    "mid": Shades(surround=5.5, panel=6.5, raised=7.0, field=8.0, ink=0.5, quiet=1.0, faint=3.0, line=4.0),
    "light": Shades(surround=8.5, panel=9.0, raised=9.5, field=9.7, ink=0.5, quiet=2.0, faint=4.0, line=6.0),
}  # fmt: skip
"""By the word that is kept on the machine."""
GROUNDS, INKS = ("surround", "panel", "raised", "field"), ("ink", "quiet")
"""The parts that type lies on, and those that it is written in; on ``pressed`` it is written in ``on_pressed``."""


def surround_of(kept: str) -> str:
    """The surround that was kept, or the usual one where that is none."""
    return kept if kept in SURROUNDS else USUAL


def next_surround(name: str) -> str:
    names = list(SURROUNDS)
    return names[(names.index(name) + 1) % len(names)]


@contextmanager
def shown_in(shades: Shades, scale: float = look.ARMS_LENGTH) -> Iterator[None]:
    """What is measured or painted meanwhile is so in these shades, with type and marks of this scale.

    Pictures and their overlays ask :mod:`app.look` for both; the desk may be painted in its own at the same time, on
    another screen.
    """
    in_use = look._in_use
    before = in_use.shades, in_use.scale
    in_use.shades, in_use.scale = shades, scale
    try:
        yield
    finally:
        in_use.shades, in_use.scale = before
