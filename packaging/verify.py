"""Set the development environment up and run every check: ``python3 packaging/verify.py``.

Ruff, the type check and the import contracts run beside pytest: core first with no Qt to be had, then everything else.
"""

import os
import shutil
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from environment import QT_LIBRARIES, ROOT, SetUpError, bring_packages, prepare, say

SPREAD = ["-n", "auto", "--dist", "loadfile"]
"""Over all processors, each file's tests in one process: what they share is made once."""

IN_ORDER = ["--no-loadscope-reorder"]
"""Files of few tests are the slow ones in core: they would all come last, and one processor wait for the other."""

TESTS = ["-m", "pytest", "-q"]

READ = {
    "style": ["-m", "ruff", "check", "."],
    "format": ["-m", "ruff", "format", "--check", "."],
    "types": ["-m", "mypy"],
    "import contracts": ["-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"],
}
"""What only reads the code: one after another, on what the tests leave of the processors."""

RUN = {
    "core, with no Qt to be had": [
        *TESTS,
        "tests/core",
        "tests/packaging",
        *SPREAD,
        *IN_ORDER,
        "-p",
        "no:pytest-qt",
        "-p",
        "tests.without_qt",
    ],
    "the window and the command line": [*TESTS, "tests/app", *SPREAD],
}


MEMORY, ROOM = Path("/dev/shm"), 2 << 30
"""Paintings are made safe on the disk at every change, some ten thousand times in all the tests: in memory that is no
wait."""


def main() -> int:
    try:
        python = prepare(".venv-dev", "lock-dev.txt", install_project=True)
        bring_packages(QT_LIBRARIES)
    except SetUpError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    # The processors are shared out already: threads of the matrix library would only wait for one another.
    surroundings = os.environ | {"QT_QPA_PLATFORM": "offscreen", "OPENBLAS_NUM_THREADS": "1"}
    # Every process of the tests would compile the project anew.
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    if _has_room(MEMORY):
        surroundings.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
    command = partial(_carried_out, str(python), surroundings)
    with ThreadPoolExecutor(1) as beside:
        reading = beside.submit(lambda: [command(name, arguments, held=True) for name, arguments in READ.items()])
        passed = [command(name, arguments) for name, arguments in RUN.items()]
        passed += reading.result()
    failed = [name for name, good in zip([*RUN, *READ], passed, strict=True) if not good]
    say("failed: " + ", ".join(failed) if failed else "all passed")
    return 1 if failed else 0


def _has_room(folder: Path) -> bool:
    return folder.is_dir() and os.access(folder, os.W_OK) and shutil.disk_usage(folder).free >= ROOM


def _carried_out(
    python: str, surroundings: dict[str, str], name: str, arguments: list[str], *, held: bool = False
) -> bool:
    """Whether a step passed; ``held``: what it writes is shown in one piece at its end."""
    if not held:
        say(name)
    began = time.monotonic()
    out = subprocess.PIPE if held else None
    done = subprocess.run(
        [python, *arguments], cwd=ROOT, env=surroundings, check=False, stdout=out, stderr=subprocess.STDOUT, text=True
    )
    said = f"\n{done.stdout.rstrip()}" if held and done.stdout else ""
    say(f"{name}: {'FAILED' if done.returncode else 'passed'} in {time.monotonic() - began:.0f} s{said}")
    return done.returncode == 0


if __name__ == "__main__":
    sys.exit(main())
