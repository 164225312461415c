"""How the report of a painting is wanted: plain values, kept with the painting."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from core.painting_report.card import Edition
from core.painting_report.parts import FOR_BUYER, FOR_STUDENT, Part, ReportChoice
from core.size import PAPERS

SETTING = "painting report"
PAPER_NAMES = ("A4", "Letter", "A5")
MOST_NAME = 120
"""Letters of a name."""


class Audience(StrEnum):
    """Whom the report is for; it settles what goes in."""

    BUYER = "buyer"
    STUDENT = "student"
    OWN = "part by part"


@dataclass(frozen=True)
class Wish:
    """``own``: the parts that go in where it is put together part by part. ``by``: whose name stands on it. ``final``:
    id of the canvas photo that shows it finished, None for the last. ``by_card``: whether its colours are put right by
    a card in it; ``edition``: of that card, None to tell it by its patches."""

    audience: Audience = Audience.STUDENT
    own: tuple[Part, ...] = FOR_STUDENT
    paper: str = "A4"
    by: str = ""
    final: int | None = None
    by_card: bool = True
    edition: Edition | None = None

    @property
    def parts(self) -> tuple[Part, ...]:
        """What goes in, in the report's order."""
        chosen = {Audience.BUYER: FOR_BUYER, Audience.STUDENT: FOR_STUDENT, Audience.OWN: self.own}[self.audience]
        return tuple(part for part in Part if part in chosen)

    @property
    def choice(self) -> ReportChoice:
        """What core is asked for."""
        return ReportChoice(self.parts, PAPERS[self.paper])

    def to_json(self) -> dict[str, Any]:
        return {
            "audience": str(self.audience),
            "own": [str(part) for part in self.own],
            "paper": self.paper,
            "by": self.by,
            "final": self.final,
            "by_card": self.by_card,
            "edition": None if self.edition is None else str(self.edition),
        }

    @classmethod
    def from_json(cls, data: Any) -> "Wish":
        """What was kept; each part that cannot be read is as it is at first."""
        wish = cls()
        for name, read in _READ.items():
            try:
                wish = replace(wish, **{name: read(data[name])})
            except (KeyError, TypeError, ValueError):
                continue
        return wish


def _parts(value: Any) -> tuple[Part, ...]:
    if not isinstance(value, list):
        raise TypeError("not a list of parts")
    return tuple(part for part in Part if part in value)


def _paper(value: Any) -> str:
    if value not in PAPER_NAMES:
        raise ValueError("no paper of a report")
    return str(value)


def _name(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError("not a name")
    return value[:MOST_NAME]


def _photo(value: Any) -> int | None:
    if value is not None and type(value) is not int:
        raise TypeError("not a photo")
    return value


def _yes_or_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise TypeError("neither yes nor no")
    return value


def _edition(value: Any) -> Edition | None:
    return None if value is None else Edition(value)


_READ: dict[str, Callable[[Any], Any]] = {
    "audience": Audience,
    "own": _parts,
    "paper": _paper,
    "by": _name,
    "final": _photo,
    "by_card": _yes_or_no,
    "edition": _edition,
}
