"""Which files of a watched folder are new and whole: plain values, no Qt.

A phone's sync writes a file bit by bit, or makes it and fills it later. A file counts as whole once it has not changed
between two looks and can be read as a picture; what was there when the folder was chosen stays out.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from app.dialogs import PHOTO_ENDINGS
from core.errors import PainterError

MOST_SEEN = 20_000
_PARTIAL = (".part", ".partial", ".tmp", ".crdownload", ".download")


@dataclass(frozen=True, order=True)
class Sighting:
    """A file as it was seen: when it was changed, ns, its name and its size in bytes. They sort as they came."""

    changed_ns: int
    name: str
    size: int


Sightings = Mapping[str, Sighting]


def look_into(folder: Path) -> dict[str, Sighting]:
    """The photographs in a folder, not in folders within. Raises PainterError where it cannot be read."""
    found = {}
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if _is_photo(entry.name) and entry.is_file():
                    told = entry.stat()
                    found[entry.name] = Sighting(told.st_mtime_ns, entry.name, told.st_size)
    except OSError as trouble:
        raise PainterError(
            f"The watched folder “{folder}” cannot be read: {trouble.strerror}. See that it is there, or watch another."
        ) from trouble
    return found


@dataclass(frozen=True)
class Watched:
    """``folder``; ``seen``: files that are done with, as they were then."""

    folder: Path
    seen: frozenset[Sighting] = frozenset()

    def ripe(self, before: Sightings, now: Sightings) -> tuple[Sighting, ...]:
        """Files that are new and have not changed since the look before, in the order they came."""
        return tuple(
            sorted(
                each for name, each in now.items() if each.size and before.get(name) == each and each not in self.seen
            )
        )

    def done(self, *sightings: Sighting) -> "Watched":
        """With these done with: they are not brought in again."""
        kept = sorted({*self.seen, *sightings})[-MOST_SEEN:]
        return replace(self, seen=frozenset(kept))

    def waits(self, now: Sightings) -> bool:
        """Whether a file is there that is not done with."""
        return any(each not in self.seen for each in now.values())

    def to_json(self) -> dict[str, Any]:
        seen = [[each.name, each.size, each.changed_ns] for each in sorted(self.seen)]
        return {"folder": str(self.folder), "seen": seen}

    @classmethod
    def from_json(cls, data: Any) -> "Watched | None":
        """What was kept; None where there is nothing that can be read."""
        try:
            seen = frozenset(Sighting(int(changed), str(name), int(size)) for name, size, changed in data["seen"])
            folder = Path(str(data["folder"]))
        except (KeyError, TypeError, ValueError):
            return None
        return cls(folder, seen) if str(data["folder"]) else None


def _is_photo(name: str) -> bool:
    plain = name.lower()
    if plain.startswith((".", "~")) or plain.endswith(_PARTIAL):
        return False
    return plain.rpartition(".")[2] in PHOTO_ENDINGS
