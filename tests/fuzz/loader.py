"""``python -m tests.fuzz.loader [count] [seed] [folder]``: broken files through the loader, a table by format.

Each file comes from a sound one by its number; what went wrong is told with that number, and the file is kept in
``folder`` (else in the system's folder for such files).
"""

import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.fuzz.mutations import FORMATS, case, format_of
from tests.fuzz.picture_seeds import picture_seeds
from tests.fuzz.svg_seeds import svg_seeds
from tests.fuzz.workers import FAULT, LOADED, REFUSED, Outcome, Pool


@dataclass
class Tally:
    """How many files of each format came to what; ``faults`` with the name of their seed."""

    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    faults: list[tuple[str, Outcome]] = field(default_factory=list)
    sentences: Counter[str] = field(default_factory=Counter)
    slowest: dict[str, float] = field(default_factory=dict)
    megabytes: float = 0.0

    def add(self, name: str, outcome: Outcome) -> None:
        kind = format_of(name)
        self.counts[kind, outcome.result] += 1
        self.slowest[kind] = max(self.slowest.get(kind, 0.0), outcome.seconds)
        self.megabytes = max(self.megabytes, outcome.megabytes)
        if outcome.result == FAULT:
            self.faults.append((name, outcome))
        elif outcome.result == REFUSED:
            self.sentences[outcome.words.replace(name, "…")[:60]] += 1

    def table(self) -> str:
        lines = [f"{'format':8}{'files':>8}{'loaded':>8}{'refused':>9}{'faults':>8}{'slowest, s':>12}"]
        for kind in sorted(set(FORMATS.values())):
            loaded, refused, faults = (self.counts[kind, result] for result in (LOADED, REFUSED, FAULT))
            files = loaded + refused + faults
            lines.append(f"{kind:8}{files:8}{loaded:8}{refused:9}{faults:8}{self.slowest.get(kind, 0.0):12.2f}")
        return "\n".join([*lines, f"the most memory over the start: {self.megabytes:.0f} MB"])


def all_seeds() -> dict[str, bytes]:
    return {**picture_seeds(), **svg_seeds()}


def fuzz(count: int, seed: int, *, processes: int = 1, folder: Path | None = None) -> Tally:
    """Open ``count`` broken files, and keep those with a fault in ``folder``."""
    tally = Tally()
    pending: dict[int, tuple[str, bytes]] = {}

    def files() -> Iterator[tuple[int, str, bytes]]:
        seeds = all_seeds()
        for number in range(count):
            pending[number] = case(seeds, seed, number)
            yield number, *pending[number]

    pool = Pool(processes)
    try:
        for outcome in pool.run(files()):
            name, data = pending.pop(outcome.number)
            tally.add(name, outcome)
            if outcome.result == FAULT and folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                (folder / f"{outcome.number}-{name}").write_bytes(data)
                print(f"{outcome.number} {name}: {outcome.words}", flush=True)
    finally:
        pool.close()
    return tally


def main(arguments: list[str]) -> int:
    count, seed = (int(arguments[at]) if len(arguments) > at else usual for at, usual in ((0, 10_000), (1, 1)))
    folder = Path(arguments[2]) if len(arguments) > 2 else Path(tempfile.gettempdir()) / "easelside-fuzz"
    started = time.perf_counter()
    tally = fuzz(count, seed, processes=2, folder=folder)
    print(tally.table())
    print(f"{count} files, seed {seed}, {time.perf_counter() - started:.0f} s; files with a fault are in {folder}")
    for sentence, times in tally.sentences.most_common(40):
        print(f"{times:6} {sentence}")
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
