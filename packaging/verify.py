"""Set the development environment up and run every check: ``python3 packaging/verify.py``.

Ruff, the type check, the import contracts, then pytest: core first with no Qt to be had, then everything else.
"""

import os
import subprocess
import sys
import time

from environment import QT_LIBRARIES, ROOT, SetUpError, bring_packages, prepare, say

SPREAD = ["-n", "auto", "--dist", "loadfile"]
"""Over all processors, each file's tests in one process: what they share is made once."""

TESTS = ["-m", "pytest", "-q"]

STEPS = {
    "style": ["-m", "ruff", "check", "."],
    "format": ["-m", "ruff", "format", "--check", "."],
    "types": ["-m", "mypy"],
    "import contracts": ["-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"],
    "core, with no Qt to be had": [*TESTS, "tests/core", *SPREAD, "-p", "no:pytest-qt", "-p", "tests.without_qt"],
    "the window and the command line": [*TESTS, "tests/app", *SPREAD],
}


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
    failed = []
    for name, arguments in STEPS.items():
        say(name)
        began = time.monotonic()
        if subprocess.run([str(python), *arguments], cwd=ROOT, env=surroundings, check=False).returncode:
            failed.append(name)
        say(f"{name}: {'FAILED' if name in failed else 'passed'} in {time.monotonic() - began:.0f} s")
    say("failed: " + ", ".join(failed) if failed else "all passed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
