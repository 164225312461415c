"""Builds what is handed out: ``python3 packaging/bundle/build.py``. Standard library only.

Makes ``dist/easelside/`` (the program with its Python and libraries in one folder) and tries it; on Linux also
``dist/easelside_VERSION_ARCH.deb`` and ``dist/easelside-VERSION-linux-ARCH.tar.gz``. The environment is
``.venv-bundle``, from packaging/lock.txt and packaging/lock-bundle.txt. The same commit gives the same files:
times are the commit's.
"""

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

import packages
import smoke
from environment import QT_LIBRARIES, ROOT, WINDOW_LIBRARIES, SetUpError, bring_packages, prepare, run, say

DIST, WORK = ROOT / "dist", ROOT / "build/bundle"
LOCK = ROOT / "packaging/lock-bundle.txt"
_TOO_OLD = 1577836800  # 2020: zip files cannot hold times before 1980, and no commit of ours is older


def main() -> int:
    asked = _arguments()
    try:
        python = environment()
        folder = bundle(python, version())
        if not asked.no_smoke:
            say("trying the built program")
            if smoke.main(folder / _program_name()):
                return 1
        if sys.platform == "linux" and not asked.folder_only:
            _hand_out(folder)
    except SetUpError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    return 0


def environment() -> Path:
    """The environment of the bundle; gives back its Python. Raises SetUpError."""
    python = prepare(".venv-bundle", "lock.txt", install_project=False)
    bring_packages(QT_LIBRARIES | WINDOW_LIBRARIES)
    if sys.platform == "linux" and not (shutil.which("cc") and shutil.which("objdump")):
        raise SetUpError("A C compiler and objdump are needed. On Debian or Ubuntu: sudo apt-get install gcc binutils")
    stamp = ROOT / ".venv-bundle/tools-built-from"
    key = hashlib.sha256(LOCK.read_bytes()).hexdigest()
    if not (stamp.exists() and stamp.read_text() == key):
        pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        run(
            [*pip, "--require-hashes", "--requirement", str(LOCK)],
            "PyInstaller could not be fetched: is the network up?",
        )
        stamp.write_text(key)
    return python


def version() -> str:
    return str(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"])


def moment() -> int:
    """The time that all files are given, in seconds: ``SOURCE_DATE_EPOCH``, else that of the last commit."""
    if os.environ.get("SOURCE_DATE_EPOCH"):
        return int(os.environ["SOURCE_DATE_EPOCH"])
    told = subprocess.run(["git", "log", "-1", "--format=%ct"], cwd=ROOT, capture_output=True, text=True, check=False)
    return int(told.stdout) if told.returncode == 0 and told.stdout.strip() else _TOO_OLD


def bundle(python: Path, number: str) -> Path:
    """Make the folder, with the licences of all in it; gives it back. Raises SetUpError."""
    began = time.monotonic()
    for old in (DIST / "easelside", WORK):
        shutil.rmtree(old, ignore_errors=True)
    WORK.mkdir(parents=True)
    data = WORK / f"easelside-{number}.dist-info"
    data.mkdir()
    (data / "METADATA").write_text(f"Metadata-Version: 2.1\nName: easelside\nVersion: {number}\n", encoding="utf-8")
    icon = ROOT / "assets/icon" / ("easelside.icns" if sys.platform == "darwin" else "easelside.ico")
    report = WORK / "report.json"
    asked = {"metadata": str(data), "report": str(report), "icon": str(icon), "version": number, "work": str(WORK)}
    surroundings = os.environ | {
        "EASELSIDE_BUNDLE": json.dumps(asked),
        "PYTHONHASHSEED": "0",
        "SOURCE_DATE_EPOCH": str(moment()),
    }
    say("putting the program together (some minutes)")
    command = [str(python), "-m", "PyInstaller", "--noconfirm", "--clean", "--log-level", "ERROR"]
    where = ["--distpath", str(DIST), "--workpath", str(WORK / "pyinstaller"), str(HERE / "easelside.spec")]
    if subprocess.run([*command, *where], cwd=ROOT, env=surroundings, check=False).returncode:
        raise SetUpError("PyInstaller could not put the program together (the lines above say more)")
    folder = DIST / "easelside"
    collector = [str(python), str(HERE / "licences.py"), str(report), number, str(folder / "licences")]
    run(collector, "a licence is missing, or does not go with the program's")
    whole = json.loads(report.read_text(encoding="utf-8"))
    say(f"{folder}: {_megabytes(folder)}, {len(whole['left out'])} files left out, {time.monotonic() - began:.0f} s")
    return folder


def _hand_out(folder: Path) -> None:
    number, epoch = version(), moment()
    for make in (packages.make_archive, packages.make_deb):
        made = make(folder, number, epoch, DIST)
        say(f"{made}: {_megabytes(made)}, SHA-256 {hashlib.sha256(made.read_bytes()).hexdigest()}")


def _megabytes(place: Path) -> str:
    files = place.rglob("*") if place.is_dir() else [place]
    return f"{sum(each.stat().st_size for each in files if each.is_file() and not each.is_symlink()) / 1e6:.1f} MB"


def _program_name() -> str:
    return "easelside.exe" if os.name == "nt" else "easelside"


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Build what is handed out of Easelside.")
    parser.add_argument("--folder-only", action="store_true", help="make the folder only: no package, no archive")
    parser.add_argument("--no-smoke", action="store_true", help="do not try the built program")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
