"""A watched folder: what a phone's sync puts there goes onto the ledge, also what came while the program was closed."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.ledge.intake import Intake
from app.ledge.watched import Sighting, Watched, look_into
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError

SETTING = "watched folder"
EVERY_MS = 2000
PATIENCE_S = 30.0
"""How long a file that is no picture is left to become one."""
_CHANNEL = "watched folder"


@dataclass(frozen=True)
class Seen:
    """One look. ``whole``: files that are new and can be read as pictures; ``broken``: those that cannot, with why."""

    now: dict[str, Sighting]
    whole: tuple[Sighting, ...] = ()
    broken: tuple[tuple[Sighting, str], ...] = ()


class Watcher(QObject):
    """Looks every two seconds while a folder is watched. ``came`` is told which canvas photos are on the ledge;
    ``said``: a sentence about something that could not be done."""

    changed = Signal()
    said = Signal(str)

    def __init__(
        self, studio: Studio, came: Callable[[list[int]], None], parent: QObject, *,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._studio, self._clock = studio, clock
        self._intake = Intake(studio.painting, studio.worker, self)
        self._intake.arrived.connect(came)
        self._intake.refused.connect(self.said)
        self._intake.ended.connect(self._brought_in)
        self._under_way: set[Sighting] = set()  # or could not be brought in, until the painting is opened again
        self.watched = Watched.from_json(studio.painting.setting(SETTING))
        self._before: dict[str, Sighting] = {}
        self._since: dict[Sighting, float] = {}
        self._troubled = self._looking = False
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._follow()

    @property
    def folder(self) -> Path | None:
        return None if self.watched is None else self.watched.folder

    def watch(self, folder: Path) -> int:
        """Watch a folder from now on; how many photographs there stay out, since they were there before. Raises
        PainterError where it cannot be read."""
        there = look_into(folder)
        self.watched = Watched(folder).done(*there.values())
        self._before = there
        self._keep()
        self._follow()
        return len(there)

    def stop(self) -> None:
        """Watch no folder."""
        self.watched = None
        self._keep()
        self._follow()

    def close(self) -> None:
        self._timer.stop()

    def look(self) -> None:
        """Look now, away from the window."""
        if self.watched is None or self._looking:
            return
        self._looking = True
        work = partial(_look, self.watched, dict(self._before))
        self._studio.worker.run(_CHANNEL, work, self._take, self._cannot, self._looked)

    def _take(self, seen: Seen) -> None:
        self._troubled = False
        self._before = seen.now
        if self.watched is None:
            return
        fresh = [each for each in seen.whole if each not in self.watched.seen and each not in self._under_way]
        if fresh:
            self._under_way.update(fresh)
            self._intake.bring_in([self.watched.folder / each.name for each in fresh])
        self._give_up(seen.broken)

    def _brought_in(self, names: tuple[str, ...]) -> None:
        """Those are safe in the painting, or are there already: they are done with."""
        safe = [each for each in self._under_way if each.name in names]
        self._under_way.difference_update(safe)
        if safe and self.watched is not None:
            self.watched = self.watched.done(*safe)
            self._keep()

    def _give_up(self, broken: tuple[tuple[Sighting, str], ...]) -> None:
        """What stays unreadable is said once, and left."""
        now = self._clock()
        self._since = {each: self._since.get(each, now) for each, _ in broken}
        hopeless = [(each, why) for each, why in broken if now - self._since[each] >= PATIENCE_S]
        if hopeless and self.watched is not None:
            self.watched = self.watched.done(*(each for each, _ in hopeless))
            self._keep()
            self.said.emit("\n".join(why for _, why in hopeless))

    def _cannot(self, sentence: str) -> None:
        """Said once, not every two seconds."""
        if not self._troubled:
            self._troubled = True
            self.said.emit(sentence)

    def _looked(self) -> None:
        self._looking = False

    def _keep(self) -> None:
        self._studio.keep(SETTING, {} if self.watched is None else self.watched.to_json())
        self.changed.emit()

    def _follow(self) -> None:
        if self.watched is None or self._studio.painting.read_only:
            self._timer.stop()
        else:
            self._timer.start()


def _look(watched: Watched, before: dict[str, Sighting], progress: Progress) -> Seen:
    """Raises PainterError where the folder cannot be read."""
    from core.photo import load_photo

    progress()
    now = look_into(watched.folder)
    whole, broken = [], []
    for each in watched.ripe(before, now):
        progress()
        try:
            load_photo(watched.folder / each.name)
        except PainterError as trouble:
            broken.append((each, str(trouble)))
        else:
            whole.append(each)
    return Seen(now, tuple(whole), tuple(broken))
