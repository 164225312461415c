"""Names inside a backup, which may come from anywhere: those that are safe to write, wherever it is unpacked.

A backup has one folder, named like the painting's, and in it the painting's files and ``everything.sha256``: a line for
each of them as ``sha256sum`` writes and checks them. Names that ``sha256sum`` would have to escape, or that lead out of
a folder on any system, are not used.
"""

import re
import unicodedata
from collections.abc import Mapping

from core.errors import PaintingError

SUMS = "everything.sha256"

# A colon begins a stream or a drive on Windows, where a backslash is a slash too.
_UNSAFE = re.compile(r"[\x00-\x1f\x7f\\:]")
_NOT_IN_FOLDERS = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')
_LINE = re.compile(r"(?P<sha256>[0-9a-f]{64}) [ *](?P<name>.+)")
_LONGEST_NAME_BYTES = 4000
_LONGEST_FOLDER_BYTES = 120


def is_safe(name: str) -> bool:
    """Whether a name, its parts parted by slashes, leads nowhere but into the folder it is unpacked in."""
    try:
        length = len(name.encode())
    except UnicodeEncodeError:
        return False
    if not name or length > _LONGEST_NAME_BYTES or _UNSAFE.search(name):
        return False
    # Windows leaves dots and spaces at the end of a name away: “.. ” is the folder above.
    return all(part.strip(" .") for part in name.split("/"))


def folder_name(name: str) -> str:
    """The name of the folder inside a backup: the painting's, made safe for every system."""
    safe = _NOT_IN_FOLDERS.sub("_", unicodedata.normalize("NFC", name.encode("utf-8", "replace").decode()))
    return safe.encode()[:_LONGEST_FOLDER_BYTES].decode("utf-8", "ignore").strip(" .") or "painting"


def sums_text(sums: Mapping[str, str]) -> str:
    """SHA-256 by name as ``sha256sum`` writes it."""
    return "".join(f"{sha256}  {name}\n" for name, sha256 in sorted(sums.items()))


def sums_from(text: str) -> dict[str, str]:
    """SHA-256 by name. Raises PaintingError when a line is none, or names what is not safe."""
    found: dict[str, str] = {}
    for line in text.removesuffix("\n").split("\n"):  # not splitlines: a name may hold other ends of line
        read = _LINE.fullmatch(line)
        if read is None or not is_safe(read["name"]) or read["name"] in found:
            raise PaintingError(f"The list “{SUMS}” in the backup is damaged. Choose another backup.")
        found[read["name"]] = read["sha256"]
    return found
