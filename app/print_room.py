"""The print room: makes each print once, away from the window, and keeps it, so that toggling costs nothing."""

from collections import OrderedDict
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

from PySide6.QtCore import QObject, Signal

from app.prints import Print, PrintKey, Sheet, SheetKey, Source, make_print, make_sheet, read_photo
from app.work import Progress, Worker

if TYPE_CHECKING:
    from core.photo import Photo

PHOTOS_KEPT = 3
SHEET_BYTES = 220_000_000
PRINT_BYTES = 600_000_000


class _Sized(Protocol):
    @property
    def bytes(self) -> int: ...


V = TypeVar("V", bound=_Sized)


class _Shelf(Generic[V]):
    """Keeps what was used last, up to so many bytes."""

    def __init__(self, most_bytes: int) -> None:
        self._most = most_bytes
        self._held: OrderedDict[Any, V] = OrderedDict()

    def get(self, key: Any) -> V | None:
        if key in self._held:
            self._held.move_to_end(key)
        return self._held.get(key)

    def __contains__(self, key: Any) -> bool:
        return key in self._held

    def put(self, key: Any, value: V) -> None:
        self._held[key] = value
        self._held.move_to_end(key)
        while len(self._held) > 1 and sum(v.bytes for v in self._held.values()) > self._most:
            self._held.popitem(last=False)

    def clear(self) -> None:
        self._held.clear()


class PrintRoom(QObject):
    """Ask with ``print``: it gives what is ready at once, and says ``ready`` when something better has been made."""

    ready = Signal()
    failed = Signal(str)

    def __init__(self, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._worker = worker
        self._photos: OrderedDict[Any, Photo] = OrderedDict()
        self._sheets: _Shelf[Sheet] = _Shelf(SHEET_BYTES)
        self._prints: _Shelf[Print] = _Shelf(PRINT_BYTES)
        self._asked: set[Any] = set()
        self._refused: set[Any] = set()

    def print(self, key: PrintKey) -> Print | None:
        """The finest print there is, or None; a better one is begun when there is one to be had."""
        if self._prints.get((key, False)) is None:
            self._make(key, fine=False)
        if key.needs_fine and (key, False) in self._prints and (key, True) not in self._prints:
            self._make(key, fine=True)
        return self.ready_print(key)

    def ready_print(self, key: PrintKey) -> Print | None:
        """The finest print that is there; nothing is begun."""
        return self._prints.get((key, True)) or self._prints.get((key, False))

    def value(self, source: Source) -> Sheet | None:
        """The sheet whose values can be read under the pointer, once it is there."""
        return self._sheets.get(SheetKey(source, True, False)) if source.can_lie_flat else None

    def held_photo(self, source: Source) -> "Photo | None":
        """The photograph itself, when it is still at hand."""
        return self._photos.get(source.photograph)

    def try_again(self) -> None:
        """Forget what failed, so that it is tried afresh."""
        self._refused.clear()

    def close(self) -> None:
        self._photos.clear()
        self._sheets.clear()
        self._prints.clear()

    def _make(self, key: PrintKey, *, fine: bool) -> None:
        sheet_key = key.sheet(fine=fine)
        sheet = self._sheets.get(sheet_key)
        if sheet is None:
            self._lay(sheet_key, partial(self._make, key, fine=fine))
            return
        wanted = (key, fine)
        of = f"{key.source.photo_id} {key.source.edition}"
        channel = f"print {of} {key.flat} {key.look} {bool(key.squint_mm)} {fine}"
        self._run(channel, wanted, partial(_print, sheet, key), partial(self._keep_print, wanted))

    def _lay(self, key: SheetKey, then: Callable[[], None]) -> None:
        photo = self._photos.get(key.source.photograph)
        if photo is None:
            self._read(key.source, partial(self._lay, key, then))
            return

        def keep(sheet: Sheet) -> None:
            self._sheets.put(key, sheet)
            then()

        channel = f"sheet {key.source.photo_id} {key.source.edition} {key.flat} {key.fine}"
        self._run(channel, key, partial(_sheet, photo, key), keep)

    def _read(self, source: Source, then: Callable[[], None]) -> None:
        def keep(photo: "Photo") -> None:
            self._photos[source.photograph] = photo
            while len(self._photos) > PHOTOS_KEPT:
                self._photos.popitem(last=False)
            then()

        self._run(f"photo {source.photo_id} {source.edition}", source.photograph, partial(_read, source), keep)

    def _keep_print(self, key: tuple[PrintKey, bool], made: Print) -> None:
        self._prints.put(key, made)
        self.ready.emit()

    def _run(self, channel: str, wanted: Any, work: Callable[[Progress], Any], done: Callable[[Any], None]) -> None:
        if wanted in self._asked or wanted in self._refused:
            return
        self._asked.add(wanted)

        def finish(result: Any) -> None:
            self._asked.discard(wanted)
            done(result)

        def fail(sentence: str) -> None:
            self._refused.add(wanted)
            self.failed.emit(sentence)
            self.ready.emit()

        self._worker.run(channel, work, finish, fail, partial(self._asked.discard, wanted))


def _read(source: Source, progress: Progress) -> "Photo":
    progress(say="Reading the photograph")
    return read_photo(source.file)


def _sheet(photo: "Photo", key: SheetKey, progress: Progress) -> Sheet:
    return make_sheet(photo, key, progress)


def _print(sheet: Sheet, key: PrintKey, progress: Progress) -> Print:
    return make_print(sheet, key, progress)
