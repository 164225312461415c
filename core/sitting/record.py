"""Reading what was kept of sittings: what cannot be read becomes the usual, with a sentence; what is newer is
refused."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from core.errors import PainterError, PaintingError

T = TypeVar("T")

SCHEMA = 1
"""Of the plan and of the log. Any change of key, unit or meaning is a new number; a further key is not."""
_YEARS = range(1900, 2200)


def opened(data: Any, what: str) -> Mapping[str, Any]:
    """The record of ``what``, such as ``plan of the sittings``. PaintingError where it is none, or newer than this."""
    schema = data.get("schema") if isinstance(data, Mapping) else None
    if type(schema) is not int or schema < 1:
        raise PaintingError(f"The {what} cannot be read. Undo the last changes to it, or begin it anew.")
    if schema > SCHEMA:
        raise PaintingError(
            f"The {what} was saved by a newer Easelside. Bring this one up to date; nothing in it was changed."
        )
    return dict(data)


class Reading:
    """Takes entries out of a record one by one, and tells in ``told`` what could not be read."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def take(self, entry: Mapping[str, Any], name: str, where: str, read: Callable[[Any], T], default: T) -> T:
        """What ``read`` makes of the entry of that name; ``default`` where it is missing, or cannot be read.

        ``where``: what is told of it, such as ``the aim of sitting 2``.
        """
        if name not in entry:
            return default
        try:
            return read(entry[name])
        except (TypeError, ValueError, KeyError, OverflowError, PainterError):
            self.lost(where)
            return default

    def lost(self, where: str) -> None:
        """Tell that something could not be read."""
        self.told.append(f"{where[:1].upper()}{where[1:]} could not be read. Set it again.")

    def entries(self, kept: Mapping[str, Any], name: str, where: str) -> list[Mapping[str, Any]]:
        """The named entries of a list; what is none is left out and told."""
        held: list[Any] = self.take(kept, name, where, as_list, [])
        for _ in (each for each in held if not isinstance(each, Mapping)):
            self.lost(f"an entry of {where}")
        return [each for each in held if isinstance(each, Mapping)]


def as_list(value: Any) -> list[Any]:
    """A list, or TypeError."""
    if not isinstance(value, list):
        raise TypeError(value)
    return value


def as_text(value: Any) -> str:
    """Text, or TypeError."""
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def as_whole(value: Any) -> int:
    """A whole number, or TypeError."""
    if type(value) is not int:
        raise TypeError(value)
    return value


def as_yes_or_no(value: Any) -> bool:
    """True or False, or TypeError."""
    if not isinstance(value, bool):
        raise TypeError(value)
    return value


def as_day(value: Any) -> date:
    """A day of these centuries, or TypeError or ValueError."""
    day = date.fromisoformat(as_text(value))
    if day.year not in _YEARS:
        raise ValueError(value)
    return day


def as_moment(value: Any) -> datetime:
    """A moment with its time zone, or ValueError."""
    moment = datetime.fromisoformat(as_text(value))
    if moment.tzinfo is None or moment.year not in _YEARS:
        raise ValueError(value)
    return moment


def or_none(read: Callable[[Any], T]) -> Callable[[Any], T | None]:
    """The same, that lets None pass."""
    return lambda value: None if value is None else read(value)
