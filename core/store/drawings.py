"""The drawing's versions: every stroke is saved, so each version holds only where it differs from its base."""

import sqlite3
import zlib

from core.store.faults import DAMAGED, DamagedError
from core.store.records import now

# A whole text is stored after so many differences, or sooner when the difference is most of the text.
DEEPEST = 64


def add(connection: sqlite3.Connection, svg: str, base_id: int | None, note: str) -> int:
    """Store a version, as its difference from ``base_id`` where that is shorter; its number."""
    depth, start, end = 0, 0, 0
    if base_id is not None:
        base = read(connection, base_id)
        depth = connection.execute("SELECT depth FROM drawing WHERE id = ?", (base_id,)).fetchone()["depth"] + 1
        start = _same_start(base, svg)
        end = _same_end(base[start:], svg[start:])
    if depth > DEEPEST or 2 * (start + end) < len(svg):
        base_id, depth, start, end = None, 0, 0, 0
    values = (base_id, depth, start, end, svg[start : len(svg) - end], zlib.crc32(svg.encode()), now(), note)
    added = connection.execute(
        "INSERT INTO drawing (base_id, depth, kept_start, kept_end, middle, crc32, made_at, note) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        values,
    )
    assert added.lastrowid is not None
    return added.lastrowid


def read(connection: sqlite3.Connection, drawing_id: int) -> str:
    """A version's whole text. Raises DamagedError when it cannot be put together any more."""
    chain: list[sqlite3.Row] = []
    wanted: int | None = drawing_id
    while wanted is not None:
        row = connection.execute("SELECT * FROM drawing WHERE id = ?", (wanted,)).fetchone()
        if row is None or len(chain) > DEEPEST:
            raise DamagedError(DAMAGED)
        chain.append(row)
        wanted = row["base_id"]
    text = ""
    for row in reversed(chain):
        text = text[: row["kept_start"]] + row["middle"] + text[len(text) - row["kept_end"] :]
    if zlib.crc32(text.encode()) != chain[0]["crc32"]:
        raise DamagedError(DAMAGED)
    return text


def _same_start(one: str, other: str) -> int:
    """How many leading characters the two share: halving, since comparing stretches is far quicker than characters."""
    same, differ = 0, min(len(one), len(other)) + 1
    while differ - same > 1:
        middle = (same + differ) // 2
        if one[same:middle] == other[same:middle]:
            same = middle
        else:
            differ = middle
    return same


def _same_end(one: str, other: str) -> int:
    return _same_start(one[::-1], other[::-1])
