"""What this machine remembers between runs: where the window stood and which paintings were open.

A small JSON file in the user's settings folder. It is never needed: when it is lost or broken the window opens
as on the first day, and no painting is touched.
"""

import json
import os
from contextlib import suppress
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

MOST_RECENT = 12
_KEPT_FILE = "window.json"


@dataclass(frozen=True)
class Recent:
    """A painting that was open on this machine."""

    folder: str
    title: str
    canvas: str

    @property
    def is_there(self) -> bool:
        return Path(self.folder).is_dir()


@dataclass(frozen=True)
class Kept:
    """Everything in the file. ``geometry`` and ``splitter`` are Qt's own bytes, written in hexadecimal."""

    geometry: str = ""
    splitter: str = ""
    arms_length: bool = False
    unit: str = "cm"
    parent_folder: str = ""
    recent: tuple[Recent, ...] = field(default=())


class Machine:
    """Reads the file once, writes it at every change; a folder that cannot be written is put up with."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.kept = _read(folder / _KEPT_FILE)

    def keep(self, **changes: Any) -> None:
        self.kept = replace(self.kept, **changes)
        _write(self.folder / _KEPT_FILE, json.dumps(asdict(self.kept), indent=1))

    def opened(self, folder: Path, title: str, canvas: str) -> None:
        """Put a painting first among the recent ones."""
        fresh = Recent(str(folder.resolve()), title, canvas)
        others = tuple(each for each in self.kept.recent if each.folder != fresh.folder)
        self.keep(recent=(fresh, *others)[:MOST_RECENT])

    def forget(self, folder: str) -> None:
        """Take a painting off the list; its folder is not touched."""
        self.keep(recent=tuple(each for each in self.kept.recent if each.folder != folder))


def _read(file: Path) -> Kept:
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        recent = tuple(Recent(str(r["folder"]), str(r["title"]), str(r["canvas"])) for r in data.pop("recent"))
        plain = Kept()
        known = {name: data[name] for name in ("geometry", "splitter", "arms_length", "unit", "parent_folder")}
        if any(type(value) is not type(getattr(plain, name)) for name, value in known.items()):
            return plain
        return Kept(**known, recent=recent)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Kept()


def _write(file: Path, text: str) -> None:
    part = file.with_suffix(".part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8")
        os.replace(part, file)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)
