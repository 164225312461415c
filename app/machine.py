"""What this machine remembers between runs: where the window stood and which paintings were open.

A small JSON file in the user's settings folder. It is never needed: when it is lost or broken the window opens
as on the first day, and no painting is touched.
"""

import json
import logging
import os
import sys
from contextlib import suppress
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

MOST_RECENT = 12
LOG_FILE = "easelside.log"
PAINT_BOX_FILE = "paint box.json"
"""The painter's own tubes and palettes."""
_KEPT_FILE = "window.json"
_LOG_BYTES = 500_000


@dataclass(frozen=True)
class Recent:
    """A painting that was open on this machine. ``picture``: the file of its small picture, by name."""

    folder: str
    title: str
    canvas: str
    picture: str = ""

    @property
    def is_there(self) -> bool:
        return Path(self.folder).is_dir()


@dataclass(frozen=True)
class Kept:
    """Everything in the file. ``geometry`` is Qt's own bytes, written in hexadecimal; ``projector`` the screen that
    was last projected on, by its name and place. ``arms_keys`` and ``arms_surround`` are those of the view that is
    read from the easel: Qt's numbers of keys by what they do, and a word. ``checks_new``: whether a new canvas photo is
    laid flat and checked unasked."""

    geometry: str = ""
    arms_length: bool = False
    unit: str = "cm"
    parent_folder: str = ""
    projector: str = ""
    arms_keys: dict[str, list[int]] = field(default_factory=dict)
    arms_surround: str = ""
    checks_new: bool = True
    recent: tuple[Recent, ...] = field(default=())


class Machine:
    """Reads the file once, writes it at every change; a folder that cannot be written is put up with."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.kept = _read(folder / _KEPT_FILE)

    def keep(self, **changes: Any) -> None:
        self.kept = replace(self.kept, **changes)
        _write(self.folder / _KEPT_FILE, json.dumps(asdict(self.kept), indent=1))

    def opened(self, folder: Path, title: str, canvas: str, picture: str = "") -> None:
        """Put a painting first among the recent ones."""
        fresh = Recent(str(folder.resolve()), title, canvas, picture)
        others = tuple(each for each in self.kept.recent if each.folder != fresh.folder)
        self.keep(recent=(fresh, *others)[:MOST_RECENT])

    def forget(self, folder: str) -> None:
        """Take a painting off the list; its folder is not touched."""
        self.keep(recent=tuple(each for each in self.kept.recent if each.folder != folder))


def usual_folder(name: str = "Easelside") -> Path:
    """Where the window keeps what it remembers: Qt's AppDataLocation, told without Qt so that commands find it too."""
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA", Path.home() / "AppData" / "Roaming")) / name
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / name
    # Basedir specification of freedesktop.org: a path that is not absolute is to be passed over.
    given = Path(os.environ.get("XDG_DATA_HOME", ""))
    return (given if given.is_absolute() else Path.home() / ".local" / "share") / name


def keep_log(folder: Path) -> None:
    """Write what goes wrong to a small file in the settings folder, beside saying it; never a reason not to start."""
    from logging.handlers import RotatingFileHandler

    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        kept = RotatingFileHandler(folder / LOG_FILE, maxBytes=_LOG_BYTES, backupCount=1, encoding="utf-8", delay=True)
        kept.setFormatter(logging.Formatter("%(asctime)s %(name)s %(levelname)s %(message)s"))
        logging.getLogger("easelside").addHandler(kept)


def _read(file: Path) -> Kept:
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        recent = tuple(
            Recent(*(str(r[name]) for name in ("folder", "title", "canvas", "picture"))) for r in data.pop("recent")
        )
        plain = Kept()
        known = {name: data[name] for name in ("geometry", "arms_length", "unit", "parent_folder")}
        for name in ("projector", "arms_keys", "arms_surround", "checks_new"):  # kept since later versions
            known[name] = data.get(name, getattr(plain, name))
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
