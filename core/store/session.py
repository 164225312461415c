"""An open painting: its steps, its undo and redo, its named documents, its notices, and how it is closed."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self

from core.errors import PaintingError
from core.store.database import copy_is_current, transaction
from core.store.faults import told_of_database
from core.store.history import History, Step
from core.store.observer import Change, Signal
from core.store.opening import Opened, renew_kept_copy
from core.store.photos import PhotoShelf
from core.store.records import documents_from, json_text, plain_text

COPY_EVERY_SECONDS = 300.0

_NOT_SAVED = "the change was not saved"
_MOVED = (
    "The painting's folder is not where it was opened: it was moved or renamed, or its disk is gone. "
    "Close the painting and open it where it lies now; all that was saved is in it."
)


class Session:
    """What any open painting can do, whatever it holds. Used from the thread that opened it."""

    def __init__(self, folder: Path, opened: Opened) -> None:
        self.folder = folder
        self.changed = Signal()
        self._opened = opened
        self._connection = opened.connection
        self._history = History(self._connection)
        self._shelf = PhotoShelf(folder, self._connection)
        self._in_step = False
        self._beside: set[str] = set()  # parts saved within a step though they are never undone
        self._closed = False
        self._copied_at = time.monotonic()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Renew the kept copy and let go of the folder. Everything was saved long before; calling twice is harmless."""
        if self._closed:
            return
        self._closed = True
        in_place = self._is_in_place()
        try:
            if in_place and not (self.read_only or copy_is_current(self._connection, self.folder)):
                renew_kept_copy(self._connection, self.folder, self._opened.notices)
        finally:
            self._opened.close(self.folder if in_place else None)

    @property
    def read_only(self) -> bool:
        """Whether the painting is open only to look."""
        return self._opened.lock is None

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about the folder that the painter should see, oldest first."""
        return tuple(self._opened.notices)

    @contextmanager
    def step(self, label: str) -> Iterator[None]:
        """Everything changed inside the block is one step: undone at once under ``label``, saved whole or not at all.

        A step inside a step joins it. ``label`` says what was done, such as ``placed the corners``.
        """
        if self._in_step:
            with self._part_of_step():
                yield
            return
        self._require_writable()
        self._in_step = True
        try:
            with told_of_database(_NOT_SAVED), transaction(self._connection):
                yield
                self._require_transaction()
                finished = self._history.finish(plain_text(label))
                parts = (finished.parts if finished else frozenset()) | self._beside
                if parts:
                    self._count_revision()
        finally:
            self._in_step = False
            self._beside.clear()
            self._history.forget_from(0)
        self._saved(parts, finished.label if finished else "", "made")

    def undo(self) -> str | None:
        """Take back the last step; its label, or None when there is nothing to take back."""
        return self._turn(self._history.undo, "undone")

    def redo(self) -> str | None:
        """Make again the step undone last; its label, or None."""
        return self._turn(self._history.redo, "redone")

    @property
    def can_undo(self) -> str | None:
        """The label of the step that ``undo`` would take back."""
        return self._label(self._history.next_undo)

    @property
    def can_redo(self) -> str | None:
        """The label of the step that ``redo`` would make again."""
        return self._label(self._history.next_redo)

    def plan(self, name: str, default: Any = None) -> Any:
        """One of the painter's plans (focal points, edge plan, palette …), or ``default`` when there is none yet."""
        return self._documents("plan").get(name, default)

    def set_plan(self, name: str, value: Any, *, label: str | None = None) -> None:
        """Keep a plan: plain JSON data, undone and redone like every other change."""
        text = json_text(value)
        with self.step(label or f"changed the {name}"):
            if self._history.row("plan", name) is None:
                self._history.add("plan", {"name": name, "value": text})
            else:
                self._history.put("plan", name, {"value": text})

    def setting(self, name: str, default: Any = None) -> Any:
        """One piece of view state, or ``default``."""
        return self._documents("setting").get(name, default)

    def settings(self) -> dict[str, Any]:
        """All view state."""
        return self._documents("setting")

    def set_setting(self, name: str, value: Any) -> None:
        """Keep a piece of view state (overlay strength, squint, what hangs where …): JSON data, never undone."""
        text = json_text(value)
        if self._row("SELECT 1 FROM setting WHERE name = ? AND value = ?", name, text) is None:
            self._write("setting", "INSERT OR REPLACE INTO setting VALUES (?, ?)", name, text)

    def _documents(self, table: Literal["plan", "setting"]) -> dict[str, Any]:
        return documents_from(self._rows(f"SELECT name, value FROM {table}"))

    def _rows(self, query: str, *values: Any) -> list[sqlite3.Row]:
        with told_of_database("the painting could not be read"):
            return self._connection.execute(query, values).fetchall()

    def _row(self, query: str, *values: Any) -> sqlite3.Row | None:
        rows = self._rows(query, *values)
        return rows[0] if rows else None

    def _write(self, part: str, statement: str, *values: Any) -> None:
        """Save something that is never undone."""
        with self._saving(part):
            self._connection.execute(statement, values)

    @contextmanager
    def _saving(self, part: str) -> Iterator[None]:
        """A transaction for what is never undone, or a part of the step it happens to be in."""
        if self._in_step:
            with self._part_of_step():
                yield
            self._beside.add(part)
            return
        self._require_writable()
        with told_of_database(_NOT_SAVED), transaction(self._connection):
            yield
            self._count_revision()
        self._saved(frozenset({part}), "", "made")

    @contextmanager
    def _part_of_step(self) -> Iterator[None]:
        mark = self._history.mark
        self._require_transaction()
        with told_of_database(_NOT_SAVED):
            self._connection.execute("SAVEPOINT part")
            try:
                yield
                self._connection.execute("RELEASE part")
            except BaseException:
                self._history.forget_from(mark)
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK TO part")
                    self._connection.execute("RELEASE part")
                raise

    def _turn(self, turn: Callable[[], Step | None], how: Literal["undone", "redone"]) -> str | None:
        self._require_writable()
        if self._in_step:
            raise PaintingError("Finish the change in hand before taking back another.")
        with told_of_database(f"nothing was {how}"), transaction(self._connection):
            turned = turn()
            if turned is not None:
                self._count_revision()
        if turned is None:
            return None
        self._saved(turned.parts, turned.label, how)
        return turned.label

    def _label(self, find: Callable[[], sqlite3.Row | None]) -> str | None:
        with told_of_database("the painting could not be read"):
            step = find()
        return None if step is None else str(step["label"])

    def _count_revision(self) -> None:
        self._connection.execute("UPDATE revision SET number = number + 1")

    def _saved(self, parts: frozenset[str], label: str, how: Literal["made", "undone", "redone"]) -> None:
        if not parts:
            return
        already = len(self._opened.notices)
        if not self._is_in_place():
            # The open file is known wherever it went, so saving goes on; whatever lies here now is left alone.
            if _MOVED not in self._opened.notices:
                self._opened.notices.append(_MOVED)
        elif time.monotonic() - self._copied_at > COPY_EVERY_SECONDS:
            self._copied_at = time.monotonic()
            renew_kept_copy(self._connection, self.folder, self._opened.notices)
        parts |= {"notice"} if len(self._opened.notices) > already else set()
        self.changed.emit(Change(parts, label, how))

    def _is_in_place(self) -> bool:
        """Whether the folder still lies where it was opened; always so for one that is open only to look."""
        return self._opened.lock is None or self._opened.lock.is_in_place()

    def _require_in_place(self) -> None:
        if not self._is_in_place():
            raise PaintingError(_MOVED)

    def _require_writable(self) -> None:
        if self.read_only:
            raise PaintingError(
                "This painting is open only to look, so nothing can be changed. "
                "Close it where it is open for work, or copy its folder elsewhere, and open it again."
            )

    def _require_transaction(self) -> None:
        # A full disk ends the whole transaction by itself; going on would save half a step.
        if not self._connection.in_transaction:
            raise PaintingError("An earlier part of this change was not saved, so none of it was. Do it again.")
