"""Undo and redo without limit, kept in the painting's file itself.

Each named step is a list of row changes with what was there before and after, so that undoing is writing ``before``
in reverse order and redoing is writing ``after``. Only the columns that changed are held.
"""

import json
import sqlite3
from dataclasses import dataclass
from typing import Any

from core.store.faults import DamagedError
from core.store.records import now

# The parts of a painting that are undone, and what tells their rows apart.
_KEYS = {"painting": "id", "reference": "id", "canvas_photo": "id", "plan": "name", "landmark_by_hand": "id"}

Values = dict[str, Any]
Key = int | str


@dataclass(frozen=True)
class _RowChange:
    part: str
    key: Key
    before: Values | None
    after: Values | None

    @property
    def shown_part(self) -> str:
        """The part as listeners know it: which drawing is the painting's is a change of the drawing."""
        drawn = self.part == "painting" and "drawing_id" in (self.after or {})
        return "drawing" if drawn else self.part


@dataclass(frozen=True)
class Step:
    """One step that was made, undone or redone: its label, and the parts it touched."""

    label: str
    parts: frozenset[str]


class History:
    """Writes rows and remembers how; call inside a transaction of ``connection``."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._pending: list[_RowChange] = []
        known = "SELECT name FROM pragma_table_info(?)"
        self._columns = {part: {row["name"] for row in connection.execute(known, (part,))} for part in _KEYS}

    def add(self, part: str, values: Values) -> Key:
        """Add a row; its key."""
        lastrowid = self._insert(part, values)
        key: Key = values.get(_KEYS[part], lastrowid)
        self._pending.append(_RowChange(part, key, None, self._row(part, key)))
        return key

    def put(self, part: str, key: Key, values: Values) -> None:
        """Change a row's columns; what is already so is no change."""
        row = self._row(part, key)
        if row is None:
            raise KeyError(f"no {part} {key}")
        before = {column: row[column] for column, value in values.items() if row[column] != value}
        if before:
            after = {column: values[column] for column in before}
            self._update(part, key, after)
            self._pending.append(_RowChange(part, key, before, after))

    def remove(self, part: str, key: Key) -> None:
        """Take a row out."""
        before = self._row(part, key)
        if before is None:
            raise KeyError(f"no {part} {key}")
        self._delete(part, key)
        self._pending.append(_RowChange(part, key, before, None))

    def row(self, part: str, key: Key) -> Values | None:
        """A row as it is now, or None."""
        return self._row(part, key)

    @property
    def mark(self) -> int:
        """How many row changes are waiting to be made a step."""
        return len(self._pending)

    def forget_from(self, mark: int) -> None:
        """Drop the waiting changes after ``mark``, whose rows were rolled back."""
        del self._pending[mark:]

    def finish(self, label: str) -> Step | None:
        """Make the waiting changes one step, which ends what could be redone; None when nothing changed."""
        changes, self._pending = self._pending, []
        if not changes:
            return None
        run = self._connection.execute
        run("DELETE FROM step WHERE undone = 1")
        added = run("INSERT INTO step (label, made_at) VALUES (?, ?)", (label, now()))
        rows = [
            (added.lastrowid, place, change.part, json.dumps(change.key), _text(change.before), _text(change.after))
            for place, change in enumerate(changes)
        ]
        self._connection.executemany("INSERT INTO step_change VALUES (?, ?, ?, ?, ?, ?)", rows)
        return Step(label, frozenset(change.shown_part for change in changes))

    def next_undo(self) -> sqlite3.Row | None:
        return self._next("undone = 0 ORDER BY id DESC")

    def next_redo(self) -> sqlite3.Row | None:
        return self._next("undone = 1 ORDER BY id")

    def undo(self) -> Step | None:
        """Take back the last step; None when there is none."""
        step = self.next_undo()
        if step is None:
            return None
        changes = self._changes(step["id"])
        for change in reversed(changes):
            self._turn(change, change.after, change.before)
        return self._turned(step, changes, undone=1)

    def redo(self) -> Step | None:
        """Make again the step undone last; None when there is none."""
        step = self.next_redo()
        if step is None:
            return None
        changes = self._changes(step["id"])
        for change in changes:
            self._turn(change, change.before, change.after)
        return self._turned(step, changes, undone=0)

    def _next(self, which: str) -> sqlite3.Row | None:
        found: sqlite3.Row | None = self._connection.execute(
            f"SELECT id, label FROM step WHERE {which} LIMIT 1"
        ).fetchone()
        return found

    def _changes(self, step_id: int) -> list[_RowChange]:
        rows = self._connection.execute("SELECT * FROM step_change WHERE step_id = ? ORDER BY place", (step_id,))
        return [self._checked(row) for row in rows]

    def _checked(self, row: sqlite3.Row) -> _RowChange:
        # The log comes from a file that may be damaged or from anywhere: only known names may reach the SQL.
        try:
            change = _RowChange(row["part"], json.loads(row["row_key"]), _values(row["before"]), _values(row["after"]))
            columns = set(change.before or {}) | set(change.after or {})
            sound = bool(columns) and columns <= self._columns[change.part]
        except (ValueError, TypeError, KeyError) as error:
            raise DamagedError("This step's record is damaged, so it cannot be undone or redone.") from error
        if not sound:
            raise DamagedError("This step's record is damaged, so it cannot be undone or redone.")
        return change

    def _turn(self, change: _RowChange, there: Values | None, wanted: Values | None) -> None:
        if there is None and wanted is not None:
            self._insert(change.part, wanted)
        elif wanted is None:
            self._delete(change.part, change.key)
        else:
            self._update(change.part, change.key, wanted)

    def _turned(self, step: sqlite3.Row, changes: list[_RowChange], *, undone: int) -> Step:
        self._connection.execute("UPDATE step SET undone = ? WHERE id = ?", (undone, step["id"]))
        return Step(step["label"], frozenset(change.shown_part for change in changes))

    def _row(self, part: str, key: Key) -> Values | None:
        row = self._connection.execute(f"SELECT * FROM {part} WHERE {_KEYS[part]} = ?", (key,)).fetchone()
        return None if row is None else dict(row)

    def _insert(self, part: str, values: Values) -> int:
        names, marks = ", ".join(values), ", ".join("?" * len(values))
        added = self._connection.execute(f"INSERT INTO {part} ({names}) VALUES ({marks})", tuple(values.values()))
        return int(added.lastrowid or 0)

    def _update(self, part: str, key: Key, values: Values) -> None:
        names = ", ".join(f"{column} = ?" for column in values)
        self._one_row(f"UPDATE {part} SET {names} WHERE {_KEYS[part]} = ?", (*values.values(), key))

    def _delete(self, part: str, key: Key) -> None:
        self._one_row(f"DELETE FROM {part} WHERE {_KEYS[part]} = ?", (key,))

    def _one_row(self, statement: str, values: tuple[Any, ...]) -> None:
        if self._connection.execute(statement, values).rowcount != 1:
            raise DamagedError("This step's record does not fit the painting, so it cannot be undone or redone.")


def _text(values: Values | None) -> str | None:
    return None if values is None else json.dumps(values, ensure_ascii=False, allow_nan=False)


def _values(text: str | None) -> Values | None:
    if text is None:
        return None
    values = json.loads(text)
    if not isinstance(values, dict):
        raise ValueError("not a row")
    return values
