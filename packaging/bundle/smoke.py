"""The smoke test of a built program: run with an empty home and no Python to be found, as a painter's machine would.

``python3 packaging/bundle/smoke.py dist/easelside/easelside``; standard library only. Needs the demo's files beside it.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

LONGEST_S = 300
TRIAL = "--try-window"


class SmokeError(Exception):
    """The text says which step failed and what it printed."""


@dataclass(frozen=True)
class Told:
    """What a run of the program printed, and how long it took in seconds, of the clock and of processors (0 on
    Windows)."""

    out: str
    errors: str
    seconds: float
    worked: float
    began: float


def surroundings(home: Path) -> dict[str, str]:
    """All that the program is told of the machine: no Python on the path, none of ours in the environment."""
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "DISPLAY") if name in os.environ}
    nothing = str(home / "nothing here")
    told = {"HOME": str(home), "USERPROFILE": str(home), "PATH": nothing, "LANG": "C.UTF-8", "TMPDIR": str(home)}
    return kept | told | {"QT_QPA_PLATFORM": os.environ.get("EASELSIDE_SMOKE_PLATFORM", "offscreen")}


def run(program: Path, home: Path, *arguments: str) -> Told:
    """Run it in its home; raises SmokeError when it does not end with 0."""
    began, clock, before = time.time(), time.monotonic(), os.times()
    done = subprocess.run(
        [str(program), *arguments],
        cwd=home,
        env=surroundings(home),
        capture_output=True,
        encoding="utf-8",
        timeout=LONGEST_S,
        check=False,
    )
    if done.returncode:
        said = f"{done.stdout}\n{done.stderr}".strip()
        raise SmokeError(f"easelside {' '.join(arguments)}: ended with {done.returncode} and said:\n{said}")
    after = os.times()
    worked = after.children_user + after.children_system - before.children_user - before.children_system
    return Told(done.stdout, done.stderr, time.monotonic() - clock, worked, began)


def smoke(program: Path, home: Path) -> list[str]:
    """All steps, in ``home``, an empty folder; gives back a line for each. Raises SmokeError."""
    lines = []
    version = run(program, home, "--version")
    if not version.out.startswith("easelside ") or "(" in version.out:
        raise SmokeError(f"--version said: {version.out}")
    lines.append(f"{version.out.strip()} ({_time(version)})")
    demo = run(program, home, "demo", "--out", "checked")
    sheet = Path(demo.out.rpartition("The printed sheet: ")[2].strip())
    if not (home / sheet).is_file() or (home / sheet).read_bytes()[:5] != b"%PDF-":
        raise SmokeError(f"the demo was checked, and its sheet is not where it is said to be:\n{demo.out}")
    if "To mend, largest first:" not in demo.out:
        raise SmokeError(f"the demo was checked, and nothing was found:\n{demo.out}")
    found = sum(line.lstrip()[:1].isdigit() for line in demo.out.splitlines())
    lines.append(f"the demo checked: {found} to mend, {sheet} of {(home / sheet).stat().st_size} bytes, {_time(demo)}")
    lines += [_commands(program, home), _window(program, home, "first"), _window(program, home, "second")]
    return lines


def _commands(program: Path, home: Path) -> str:
    """Commands that need what the check does not: tables of colour-science, lines, pages of recipes."""
    demo = next(program.resolve().parent.rglob("demo/reference.jpg"))
    given = ("--reference", str(demo), "--size", "400x300mm", "--out")
    run(program, home, "trace", *given, "lines.svg")
    run(program, home, "values", *given, "values")
    run(program, home, "mix", "--target", "#c9b79c", "--palette", "twelve tubes", "--out", "mixes.pdf")
    missing = [name for name in ("lines.svg", "values", "mixes.pdf") if not (home / name).exists()]
    if missing:
        raise SmokeError(f"not written: {', '.join(missing)}")
    return "trace, values and mix wrote their files"


def _window(program: Path, home: Path, which: str) -> str:
    trial = run(program, home, TRIAL)
    told = json.loads(trial.out.splitlines()[-1])
    first, opened = told["first window"] - trial.began, told["painting open"] - trial.began
    return (
        f"{which} start: the window after {first:.2f} s, the demo painting open after {opened:.2f} s; "
        f"with all modules brought in {_time(trial)}; {told['modules']} modules, "
        f"pictures {' '.join(told['pictures'])}, film {told['film']}, HEIC {told['HEIC']}"
    )


def _time(told: Told) -> str:
    return f"{told.seconds:.1f} s, {told.worked:.1f} s of processors"


def main(program: Path) -> int:
    with tempfile.TemporaryDirectory(prefix="easelside-home-") as made:
        try:
            for line in smoke(program.absolute(), Path(made)):
                print(f"  {line}", flush=True)
        except SmokeError as trouble:
            print(trouble, file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
