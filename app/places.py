"""Where things lie on this machine: the folder of paintings, and names that are free in it."""

import re
from pathlib import Path

from PySide6.QtCore import QStandardPaths


def paintings_folder(kept: str) -> Path:
    """Where paintings lie: the folder ``kept`` from the last one that was made, while it is there."""
    if kept and Path(kept).is_dir():
        return Path(kept)
    pictures = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.PicturesLocation)
    return Path(pictures) / "Paintings" if pictures else Path.home() / "Paintings"


def file_name(title: str) -> str:
    """A title as the name of a file or folder on any system."""
    kept = " ".join(re.sub(r'[\\/:*?"<>|\x00-\x1f]+', " ", title).split()).strip(" .")
    return kept or "Painting"


def free(folder: Path) -> Path:
    """The folder's name, with a number behind it while another lies there."""
    number, candidate = 2, folder
    while candidate.exists():
        candidate = folder.with_name(f"{folder.name} {number}")
        number += 1
    return candidate
