"""Empty libraries in the place of those that the wheels link to, that Easelside never calls, and that may not come.

Each holds the functions that its wheel looks for, and every one of them gives 0: "there is none", "it did not work".
On Linux; a C compiler and ``objdump`` are needed.
"""

import re
import subprocess
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath

STAND_INS = {
    "pillow_heif.libs/libx265-": "x265 writes HEIC files, under GPL-2.0; Easelside only reads them, by libde265",
    "opencv_python_headless.libs/libssl-": "OpenSSL 1.1.1 is out of support, and its licence does not go with the GPL; "
    "streams are read from http and rtsp addresses only",
    "opencv_python_headless.libs/libcrypto-": "the other half of OpenSSL 1.1.1",
}
"""Beginnings of the places of libraries in the bundle, and why each is stood in for."""

_LINE = re.compile(r"^[0-9a-f]{8,}\s(?P<flags>.{7})\s(?P<section>\S+)\s+[0-9a-f]{8,}\s+(?P<rest>.+)$")


def is_stood_in_for(place: str) -> bool:
    return PurePosixPath(place).as_posix().startswith(tuple(STAND_INS))


def symbols(table: str, *, defined: bool) -> dict[str, str]:
    """The names in what ``objdump -T`` prints, each with its version, empty when it has none."""
    found = {}
    for line in table.splitlines():
        matched = _LINE.match(line)
        if matched and (matched["section"] != "*UND*") == defined:
            *version, name = matched["rest"].split()
            found[name] = version[0].strip("()") if version else ""
    return found


def source(names: Iterable[str]) -> str:
    """The stand-in in C."""
    return "".join(f"void *{name}(void) {{ return 0; }}\n" for name in sorted(names))


def version_script(versions: Mapping[str, str]) -> str:
    """What tells the linker the version of each name; empty when none has one."""
    kinds = sorted({version for version in versions.values() if version})
    return "".join(
        f"{kind} {{ global: {' '.join(f'{name};' for name in sorted(versions) if versions[name] == kind)} }};\n"
        for kind in kinds
    )


def make(original: Path, users: Iterable[Path], folder: Path) -> Path:
    """Compile the stand-in for ``original``, with what the ``users`` look for in it, under its name in ``folder``."""
    offered = symbols(_table(original), defined=True)
    sought = {name: version for user in users for name, version in symbols(_table(user), defined=False).items()}
    # A name that begins with a line is of the C or C++ library itself, and must not be taken from here.
    wanted = {name: sought[name] for name in sought.keys() & offered.keys() if not name.startswith("_")}
    made = folder / original.name
    code, script = made.with_suffix(".c"), made.with_suffix(".map")
    code.write_text(source(wanted), encoding="utf-8")
    script.write_text(version_script(wanted), encoding="utf-8")
    options = [f"-Wl,--version-script={script}"] if script.stat().st_size else []
    command = ["cc", "-shared", "-fPIC", "-nostdlib", "-s", "-Wl,--build-id=none", f"-Wl,-soname,{original.name}"]
    subprocess.run([*command, *options, "-o", str(made), str(code)], check=True)
    return made


def _table(library: Path) -> str:
    return subprocess.run(["objdump", "-T", str(library)], check=True, capture_output=True, text=True).stdout
