"""The project's own Python environments, built from the lock files. Standard library only; any platform."""

import ctypes.util
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)

# What Qt needs from a bare Debian or Ubuntu: the shared library to look for, and the package that brings it.
QT_LIBRARIES = {
    "EGL": "libegl1",
    "GL": "libgl1",
    "xkbcommon": "libxkbcommon0",
    "dbus-1": "libdbus-1-3",
    "fontconfig": "libfontconfig1",
    "glib-2.0": "libglib2.0-0",
}
WINDOW_LIBRARIES = {
    "xcb-cursor": "libxcb-cursor0",
    "xcb-icccm": "libxcb-icccm4",
    "xcb-keysyms": "libxcb-keysyms1",
    "xcb-image": "libxcb-image0",
    "xcb-render-util": "libxcb-render-util0",
    "xcb-shape": "libxcb-shape0",
    "xkbcommon-x11": "libxkbcommon-x11-0",
}


class SetUpError(Exception):
    """Set-up cannot go on; the text says what to do."""


def say(text: str) -> None:
    print(f"› {text}", flush=True)


def prepare(folder: str, lock: str, *, install_project: bool) -> Path:
    """Make (or reuse) the environment ``folder`` with exactly what ``lock`` lists; give back its python."""
    if sys.version_info < OLDEST_PYTHON:
        raise SetUpError(
            f"Python {'.'.join(map(str, OLDEST_PYTHON))} or newer is needed; this is {sys.version.split()[0]}."
        )
    home, lock_file = ROOT / folder, ROOT / "packaging" / lock
    python = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    stamp = home / "built-from"
    key = hashlib.sha256(lock_file.read_bytes() + sys.version.encode() + str(install_project).encode()).hexdigest()
    if python.exists() and stamp.exists() and stamp.read_text() == key:
        return python
    say(f"setting up {folder} (once; about 700 MB to fetch and unpack)")
    shutil.rmtree(home, ignore_errors=True)
    if subprocess.run([sys.executable, "-m", "venv", str(home)], check=False).returncode:
        raise SetUpError("Python could not make an environment. On Debian or Ubuntu: sudo apt-get install python3-venv")
    pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    run(
        [*pip, "--require-hashes", "--requirement", str(lock_file)],
        "the packages could not be fetched: is the network up?",
    )
    if install_project:
        run([*pip, "--no-deps", "--no-build-isolation", "--editable", str(ROOT)], "the project could not be installed")
    stamp.write_text(key)
    return python


def run(command: list[str], trouble: str) -> None:
    if subprocess.run(command, cwd=ROOT, check=False).returncode:
        raise SetUpError(f"{trouble} (the lines above say more)")


def missing_packages(libraries: dict[str, str]) -> list[str]:
    """Debian packages whose shared libraries are not on this machine; nothing is asked for elsewhere than on Linux."""
    if not sys.platform.startswith("linux"):
        return []
    return [package for library, package in libraries.items() if ctypes.util.find_library(library) is None]


def bring_packages(libraries: dict[str, str]) -> None:
    """Install what is missing when we may (root, apt), else name it with the line that installs it."""
    missing = missing_packages(libraries)
    if not missing:
        return
    line = "apt-get install -y " + " ".join(missing)
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        say(line)
        for command in (["apt-get", "update", "-q"], line.split()):
            quietly = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
            subprocess.run(command, env=quietly, stdout=subprocess.DEVNULL, check=False)
        missing = missing_packages(libraries)
    if missing:
        raise SetUpError("Qt needs system libraries that are not here. Install them with:\n    sudo " + line)


def has_display() -> bool:
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return not os.environ.get("CI")
