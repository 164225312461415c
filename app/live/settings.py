"""What the live page is left with: where its picture comes from, and how it is looked at."""

import re
from dataclasses import asdict, dataclass, fields, replace
from enum import StrEnum
from typing import Any

from app.view import Look

SETTING = "live canvas"
LOOKS = (Look.COLOUR, Look.GREY, Look.STEPS)
_LONGEST = 2000
_BEFORE_MACHINE = re.compile(r"^([A-Za-z][A-Za-z0-9+.-]*://)?[^/?#]*@")


class Kind(StrEnum):
    """What gives the picture."""

    CAMERA = "camera"
    STREAM = "stream"
    FILM = "film"


@dataclass(frozen=True)
class Wanted:
    """A source as the painter chose it. ``name``: as it is shown. ``place``: a camera's path, a stream's address, a
    film's file. ``index``: of a camera."""

    kind: Kind
    name: str
    place: str = ""
    index: int = 0

    @property
    def camera(self) -> str:
        """By which it is known again, whatever it is called or plugged into: the same for what is kept."""
        return f"{self.kind} {without_password(self.place) if self.kind is Kind.STREAM else self.name}"

    def to_json(self) -> dict[str, Any]:
        """Without the name and the password that may stand in an address: the painting may be handed on."""
        told = asdict(self)
        if self.kind is Kind.STREAM:
            told |= {name: without_password(told[name]) for name in ("name", "place")}
        return told

    @classmethod
    def from_json(cls, data: Any) -> "Wanted | None":
        try:
            kind, name, place, index = Kind(data["kind"]), data["name"], data["place"], int(data["index"])
        except (KeyError, TypeError, ValueError):
            return None
        sound = isinstance(name, str) and isinstance(place, str) and len(name) + len(place) <= _LONGEST
        return cls(kind, name, place, index) if sound and index >= 0 else None


@dataclass(frozen=True)
class LiveView:
    """How the live canvas is looked at; steps, squint and the acetate's style are the wall's. ``flat``: laid flat, else
    as the camera sees it. ``beside``: with the reference. ``matched``: as bright as the reference."""

    look: Look = Look.COLOUR
    squint: bool = False
    acetate: bool = True
    flat: bool = True
    beside: bool = True
    matched: bool = False

    def toggle_look(self, look: Look) -> "LiveView":
        """Show it so, or in colour again."""
        return replace(self, look=Look.COLOUR if self.look is look else look)

    def toggle(self, what: str) -> "LiveView":
        """Turn one of the others on or off, by its name."""
        turned: dict[str, Any] = {what: not getattr(self, what)}
        return replace(self, **turned)

    def to_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, data: Any) -> "LiveView":
        """What was kept; what cannot be read is as usual."""
        try:
            look = Look(data["look"])
            told = {each.name: data[each.name] for each in fields(cls) if each.name != "look"}
        except (KeyError, TypeError, ValueError):
            return cls()
        sound = look in LOOKS and all(isinstance(value, bool) for value in told.values())
        return cls(look, **told) if sound else cls()


def read_lens(data: Any) -> dict[str, float]:
    """The lens (k1) of the camera with which the corners were placed last; empty for what cannot be read."""
    if not isinstance(data, dict):
        return {}
    return {str(camera): float(k1) for camera, k1 in data.items() if isinstance(k1, float | int) and abs(k1) < 1.0}


def without_password(address: str) -> str:
    """An address with neither a user's name nor a password before its machine."""
    return _BEFORE_MACHINE.sub(lambda found: found[1] or "", address)
