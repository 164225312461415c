"""What the worker does with backups: made, checked, restored. Each raises PainterError with a sentence."""

from dataclasses import dataclass
from pathlib import Path

from app.backups.words import count_and_size
from app.work import Progress


@dataclass(frozen=True)
class Done:
    """What was made: a backup's zip, or the folder of a painting that was restored. ``told``: how many files, and how
    much. ``notices``: sentences about what is not in it."""

    path: Path
    told: str
    notices: tuple[str, ...]


def make_backup(folder: Path, target: Path, progress: Progress) -> Done:
    from core.painting import back_up
    from core.store.back_up import in_words

    progress(say="Reading the painting")
    made = back_up(folder, target, progress=lambda done, whole: progress(done / max(whole, 1), "Backing up"))
    return Done(made.path, count_and_size(made.files, in_words(made.bytes)), made.notices)


def check_backup(backup: Path, progress: Progress) -> int:
    """How many files are in it, when all of it is as it was put in."""
    from core.painting import check_back_up

    return check_back_up(backup, progress=lambda done, whole: progress(done / max(whole, 1), "Checking the backup"))


def restore_backup(backup: Path, folder: Path, progress: Progress) -> Done:
    from core.painting import restore
    from core.store.back_up import in_words

    progress(say="Reading the backup")
    made = restore(
        backup, folder, progress=lambda done, whole: progress(done / max(whole, 1), "Restoring the painting")
    )
    return Done(made.folder, count_and_size(made.files, in_words(made.bytes)), made.notices)
