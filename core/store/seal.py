"""The seal: checksums of the painting's file and its kept copy, written at a clean closing and broken on opening.

SQLite finds a damaged structure but not a changed letter. While the folder is closed nothing may change in it, so a
file that no longer matches its seal was damaged. Written the way ``sha256sum -c painting.sha256`` reads it.
"""

from pathlib import Path

from core.store import files
from core.store.database import DATABASE, KEPT_COPY

SEAL = "painting.sha256"


def write(folder: Path) -> None:
    """Seal the folder; both files must be closed."""
    lines = [f"{files.sha256_of(folder / name)}  {name}\n" for name in (DATABASE, KEPT_COPY)]
    with files.partial_of(folder / SEAL) as partial:
        partial.write_bytes("".join(lines).encode())


def broken(folder: Path) -> set[str]:
    """Which of the two files do not match the seal; both when there is none, as after a crash."""
    try:
        lines = (folder / SEAL).read_text("utf-8").splitlines()
    except (OSError, ValueError):
        return {DATABASE, KEPT_COPY}
    sealed = {name: sha256 for sha256, _, name in (line.partition("  ") for line in lines)}
    return {name for name in (DATABASE, KEPT_COPY) if not _matches(folder / name, sealed.get(name))}


def remove(folder: Path) -> None:
    """Break the seal, since the painting is about to change."""
    (folder / SEAL).unlink(missing_ok=True)


def _matches(path: Path, sha256: str | None) -> bool:
    return path.exists() and files.sha256_of(path) == sha256
