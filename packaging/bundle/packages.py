"""The Debian package and the archive, both from the finished folder. Standard library, ``dpkg`` and ``objdump``."""

import gzip
import os
import re
import shutil
import subprocess
import tarfile
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import desktop

ROOT = Path(__file__).resolve().parent.parent.parent
ICONS = ROOT / "assets/icon"
_SIZES = (16, 24, 32, 48, 64, 128, 256, 512)
MAINTAINER = "The makers of Easelside <easelside@localhost>"

README = """\
Easelside {version}

Start ./easelside in this folder; nothing has to be installed, and nothing is written outside your own home.
./easelside --help tells the commands.

It needs a desktop on Linux with glibc {glibc} or newer, and libraries that desktops have. Debian and Ubuntu call them
{needed}.

Easelside is free software under GPL-3.0-or-later; licences/LICENCES.txt has the licences of all that comes with it.
To have it in the menu of your desktop: copy share/ to ~/.local/share/, and put a link to easelside into ~/.local/bin/.
To be rid of it: delete this folder. What it remembers lies in ~/.local/share/Easelside/; your paintings are yours.
"""


def shared_files(folder: Path, version: str, epoch: int) -> None:
    """Write the menu's entry, the metainfo and the icons below ``folder``, as below /usr/share."""
    day = datetime.fromtimestamp(epoch, UTC).date().isoformat()
    _write(folder / "applications" / f"{desktop.ID}.desktop", desktop.entry())
    _write(folder / "metainfo" / f"{desktop.ID}.metainfo.xml", desktop.metainfo(version, day))
    icons = {f"{n}x{n}": ICONS / f"{desktop.ID}-{n}.png" for n in _SIZES} | {"scalable": ICONS / f"{desktop.ID}.svg"}
    for size, picture in icons.items():
        place = folder / "icons/hicolor" / size / "apps" / f"{desktop.ID}{picture.suffix}"
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(picture, place)


def needed_outside(tables: dict[str, str]) -> set[str]:
    """The libraries that the bundle's own look for and do not find in it, from ``objdump -p`` of each by its name."""
    sought = {name for table in tables.values() for name in re.findall(r"^\s+NEEDED\s+(\S+)", table, re.MULTILINE)}
    return sought - tables.keys()


def oldest_glibc(tables: Iterable[str]) -> str:
    """The version of glibc that the strictest of the libraries asks for, from ``objdump -p`` of each."""
    asked = {tuple(map(int, v.split("."))) for table in tables for v in re.findall(r"GLIBC_(\d+(?:\.\d+)+)", table)}
    return ".".join(map(str, max(asked)))


def tables_of(folder: Path) -> dict[str, str]:
    """What ``objdump -p`` prints of each program and library below ``folder``, by its name."""
    tables = {}
    for file in sorted(folder.rglob("*")):
        if file.is_file() and not file.is_symlink() and file.open("rb").read(4) == b"\x7fELF":
            shown = subprocess.run(["objdump", "-p", str(file)], capture_output=True, text=True, check=True)
            tables[file.name] = shown.stdout
    return tables


def owners(libraries: Iterable[str]) -> list[str]:
    """The Debian packages of the libraries, those of C and of the linker left out."""
    found = set()
    for library in sorted(libraries):
        asked = subprocess.run(["dpkg", "-S", f"*/{library}"], capture_output=True, text=True, check=False)
        found |= {line.partition(":")[0] for line in asked.stdout.splitlines() if line.endswith(f"/{library}")}
    return sorted(package for package in found if package not in {"libc6"} and not package.endswith("-dev"))


def control(version: str, architecture: str, depends: Iterable[str], kilobytes: int) -> str:
    """The package's control file: Debian Policy 5.3."""
    about = "\n".join(f" {line}" for text in desktop.ABOUT for line in (*_wrapped(text, 78), "."))
    return (
        f"Package: {desktop.ID}\nVersion: {version}\nArchitecture: {architecture}\nMaintainer: {MAINTAINER}\n"
        f"Installed-Size: {kilobytes}\nDepends: {', '.join(depends)}\nSection: graphics\nPriority: optional\n"
        f"Description: {desktop.SUMMARY[2:]}\n{about.removesuffix(' .').rstrip()}\n"
    )


def alternatives(package: str) -> str:
    """A package of before the change of time_t's size, or of after it under its other name."""
    renamed = {"libglib2.0-0"}
    return f"{package} | {package}t64" if package in renamed else package


def make_deb(bundle: Path, version: str, epoch: int, out: Path) -> Path:
    """Build the package: the program below /usr/lib, a link to it in /usr/bin, its menu entry, icons and licences."""
    tree = out / "deb"
    shutil.rmtree(tree, ignore_errors=True)
    program = tree / "usr/lib" / desktop.ID
    shutil.copytree(bundle, program, symlinks=True)
    documents = tree / "usr/share/doc" / desktop.ID
    shutil.move(program / "licences", documents / "licences")
    shared_files(tree / "usr/share", version, epoch)
    _write(documents / "copyright", _copyright())
    (tree / "usr/bin").mkdir(parents=True)
    (tree / "usr/bin" / desktop.ID).symlink_to(f"../lib/{desktop.ID}/{desktop.ID}")
    tables = tables_of(bundle)
    depends = [f"libc6 (>= {oldest_glibc(tables.values())})", *map(alternatives, owners(needed_outside(tables)))]
    told = subprocess.run(["dpkg", "--print-architecture"], capture_output=True, text=True, check=True)
    architecture = told.stdout.strip()
    size = sum(file.lstat().st_size for file in tree.rglob("*") if not file.is_dir()) // 1024
    _write(tree / "DEBIAN/control", control(version, architecture, depends, size))
    for each in tree.rglob("*"):
        if not each.is_symlink():
            each.chmod(0o755 if each.is_dir() or os.access(each, os.X_OK) else 0o644)
    made = out / f"{desktop.ID}_{version}_{architecture}.deb"
    surroundings = os.environ | {"SOURCE_DATE_EPOCH": str(epoch)}
    # Every system with the glibc that is asked for unpacks zstd (Debian 12, Ubuntu 22.04), and it packs sooner than xz.
    command = ["dpkg-deb", "--root-owner-group", "-Zzstd", "-z10", "--build", str(tree), str(made)]
    subprocess.run(command, check=True, env=surroundings, stdout=subprocess.DEVNULL)
    shutil.rmtree(tree)
    return made


def make_archive(bundle: Path, version: str, epoch: int, out: Path) -> Path:
    """Pack the folder with a README and what a desktop is told; the same bytes for the same files."""
    machine = os.uname().machine
    name = f"{desktop.ID}-{version}-linux-{machine}"
    with_it = out / "with it"
    shutil.rmtree(with_it, ignore_errors=True)
    shared_files(with_it / "share", version, epoch)
    tables = tables_of(bundle)
    needed = "\n".join(_wrapped(", ".join(owners(needed_outside(tables))), 118))
    _write(with_it / "README.txt", README.format(version=version, glibc=oldest_glibc(tables.values()), needed=needed))
    made = out / f"{name}.tar.gz"
    with made.open("wb") as raw, gzip.GzipFile("", "wb", 6, raw, mtime=epoch) as packed:  # noqa: SIM117
        with tarfile.open(fileobj=packed, mode="w", format=tarfile.PAX_FORMAT) as archive:
            for folder in (bundle, with_it):
                for file in sorted(folder.rglob("*")):
                    archive.add(file, f"{name}/{file.relative_to(folder)}", recursive=False, filter=_steady(epoch))
    shutil.rmtree(with_it)
    return made


def _steady(epoch: int) -> "object":
    def same(entry: tarfile.TarInfo) -> tarfile.TarInfo:
        entry.mtime, entry.uid, entry.gid, entry.uname, entry.gname = epoch, 0, 0, "", ""
        entry.mode = 0o755 if entry.isdir() or entry.mode & 0o100 else 0o644
        return entry

    return same


def _copyright() -> str:
    return (
        "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/\nUpstream-Name: Easelside\n"
        "Comment: The licences of all that is bundled lie in /usr/share/doc/easelside/licences.\n\n"
        "Files: *\nCopyright: the makers of Easelside\nLicense: GPL-3.0-or-later\n"
        " The text of the licence lies in /usr/share/common-licenses/GPL-3.\n"
    )


def _wrapped(text: str, width: int) -> list[str]:
    lines = [""]
    for word in text.split():
        if len(lines[-1]) + len(word) + 1 > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _write(file: Path, text: str) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
