"""Options about the reach of the paint, and the keying of the reference into it."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.value.keying import Keying
    from core.value.reach import Reach

_KEYINGS = {"lights": "keep the lights", "darks": "keep the darks", "evenly": "compress evenly"}


def add_reach(command: argparse.ArgumentParser) -> None:
    """Add them to a command."""
    reach = command.add_argument_group("the reach of the paint")
    reach.add_argument("--darkest", type=float, metavar="V", help="value of the darkest paint; 1.6")
    reach.add_argument("--lightest", type=float, metavar="V", help="value of the lightest paint; 9.5")
    reach.add_argument("--keying", choices=tuple(_KEYINGS), help="bring the reference within the reach this way")


def reach_chosen(chosen: argparse.Namespace) -> "Reach":
    """Raises ValuesError for what is no reach."""
    from core.value.reach import OIL, Reach

    darkest = OIL.darkest if chosen.darkest is None else chosen.darkest
    lightest = OIL.lightest if chosen.lightest is None else chosen.lightest
    return Reach(darkest, lightest, OIL.uncertainty)


def keying_chosen(chosen: argparse.Namespace) -> "Keying":
    """None of the three unless one was chosen."""
    from core.value.keying import Keying

    return Keying(_KEYINGS[chosen.keying]) if chosen.keying else Keying.NONE
