"""What is read of the pictures away from the window, once, and kept: what the reads of every question share."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QObject, Signal

from app.prints import PrintKey, Sheet, Source
from app.view import Look

if TYPE_CHECKING:
    from app.studio import Studio
    from app.work import Progress

T = TypeVar("T")

_KEPT = 24


class Reads(QObject):
    """Ask for what is wanted: it is given when it is there, else None, and ``changed`` says when it has come.

    ``about``: the question, which tells its work from that of others.
    """

    changed = Signal()

    def __init__(self, studio: "Studio", about: str) -> None:
        super().__init__(studio)
        self._studio, self._about = studio, about
        self._found: OrderedDict[Hashable, Any] = OrderedDict()
        self._asked: set[Hashable] = set()
        self._refused: dict[Hashable, str] = {}

    def _sheet(self, source: Source) -> Sheet | None:
        """The picture laid flat, as it is read from; it is begun when it is not there."""
        room = self._studio.room
        if source.can_lie_flat and room.value(source) is None:
            room.print(PrintKey(source, flat=True, look=Look.COLOUR))
        return room.value(source)

    def _ask(self, what: str, key: Hashable, work: "Callable[[Progress], T] | None") -> T | None:
        if key in self._found:
            self._found.move_to_end(key)
        elif work is not None and key not in self._asked and key not in self._refused:
            self._asked.add(key)
            self._studio.worker.run(
                f"{self._about}: {what}", work, partial(self._keep, key), partial(self._refuse, key),
                partial(self._asked.discard, key),
            )  # fmt: skip
        found: T | None = self._found.get(key)
        return found

    def _keep(self, key: Hashable, found: Any) -> None:
        self._found[key] = found
        while len(self._found) > _KEPT:
            self._found.popitem(last=False)
        self.changed.emit()

    def _refuse(self, key: Hashable, sentence: str) -> None:
        self._refused[key] = sentence
        self._studio.said.emit(sentence)
        self.changed.emit()
