"""The program's version, of which ``pyproject.toml`` is the one source."""

import tomllib
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

NAME = "easelside"
UNKNOWN = "unknown"


def read_version(folder: Path, name: str = NAME) -> str:
    """The version that ``pyproject.toml`` in ``folder`` gives, when it is this program's, as in a clone of it; else
    that of the installed package ``name``; else ``UNKNOWN``."""
    try:
        project = tomllib.loads((folder / "pyproject.toml").read_text(encoding="utf-8"))["project"]
        if project["name"] == name:
            return str(project["version"])
    except (OSError, ValueError, KeyError, TypeError):
        pass
    try:
        return version(name)
    except PackageNotFoundError:
        return UNKNOWN


VERSION = read_version(Path(__file__).resolve().parents[1])
