"""The licence texts of everything in the bundle: a folder with a part for each, and one file to read.

Run with the Python of the bundle's environment, whose packages it reads. What has no text, or stands under terms that
are not known to go with GPL-3.0-or-later, stops the build; the exceptions are here, each with its reason.
"""

import hashlib
import json
import re
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.metadata import Distribution, distributions, packages_distributions
from pathlib import Path

from terms import COMPATIBLE, UnknownTermsError, is_compatible, named, terms_of

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TEXTS = HERE / "texts"

_A_TEXT = re.compile(r"(licen[cs]es?|copying|notice|copyright)([-_.].*)?$", re.IGNORECASE)

TEXT_FROM_HERE = {
    "pyside6-essentials": ("LGPL-3.0-only.txt", "its wheel names its licence and holds no text; LGPL-3.0 is chosen"),
    "shiboken6": ("LGPL-3.0-only.txt", "its wheel names its licence and holds no text; LGPL-3.0 is chosen"),
}
"""Packages whose wheel has no text of its licence: the text that is used, and why."""

BROUGHT = {
    "opencv-python-headless": ("LGPL-2.1-or-later", "FFmpeg's libraries, as its LICENSE-3RD-PARTY.txt says"),
    "pillow-heif": ("LGPL-3.0-only", "libheif and libde265, as its LICENSES_bundled.txt says"),
    "numpy": ("GPL-3.0-or-later WITH GCC-exception-3.1", "libgfortran and libquadmath, as its LICENSE.txt says"),
    "scipy": ("GPL-3.0-or-later WITH GCC-exception-3.1", "libgfortran and libquadmath, as its LICENSE.txt says"),
}
"""What the wheels bring beside their own code under stricter terms than their own."""

TEXT_TOO = {"pillow-heif": "LGPL-3.0-only.txt"}
"""Texts that a wheel names for what it brings, and does not hold."""

OF_SYSTEM = {
    "libbz2-1.0": "BSD-3-Clause",
    "libffi8": "MIT",
    "liblz4-1": "BSD-2-Clause",
    "liblzma5": "LicenseRef-public-domain",
    "libsqlite3-0": "LicenseRef-public-domain",
    "libssl3": "Apache-2.0",
    "libuuid1": "BSD-3-Clause",
    "libxkbcommon-x11-0": "MIT",
    "libzstd1": "BSD-3-Clause",
    "zlib1g": "Zlib",
}
"""Debian's packages of the libraries that are taken along, and their terms as their copyright files give them; those
whose names begin with libxcb are all MIT."""

TOOLS = {"pyinstaller", "pyinstaller-hooks-contrib"}
"""Of what builds the bundle, the parts that go into it: its loader, and what it does at the start."""


class NoLicenceError(Exception):
    """The build stops; the text says which part has no licence, or one that does not go with the program's."""


@dataclass(frozen=True)
class Part:
    """One part of the bundle, its terms as an SPDX expression, and its texts by their names."""

    name: str
    version: str
    terms: str
    texts: dict[str, str]
    note: str = ""


def normal(name: str) -> str:
    """A package's name as the index writes it: PEP 503."""
    return re.sub(r"[-_.]+", "-", name).lower()


def of_distribution(found: Distribution) -> Part:
    """A package of the environment. Raises NoLicenceError."""
    data = found.metadata
    name = normal(data["Name"])
    texts = {
        str(each).partition(".dist-info/")[2].removeprefix("licenses/"): found.locate_file(each).read_text(
            encoding="utf-8", errors="replace"
        )
        for each in found.files or ()
        if ".dist-info" in each.parts[0] and ("licenses" in each.parts[1:-1] or _A_TEXT.match(each.name))
    }
    note = ""
    if not texts and name in TEXT_FROM_HERE:
        file, note = TEXT_FROM_HERE[name]
        texts = {file: (TEXTS / file).read_text(encoding="utf-8")}
    try:
        terms = terms_of(data.get("License-Expression"), data.get("License"), data.get_all("Classifier") or [])
    except UnknownTermsError as trouble:
        raise NoLicenceError(
            f"{name}: {trouble}; look its licence up and add it to packaging/bundle/terms.py."
        ) from None
    if name in TEXT_TOO:
        texts[TEXT_TOO[name]] = (TEXTS / TEXT_TOO[name]).read_text(encoding="utf-8")
    if name in BROUGHT:
        more, which = BROUGHT[name]
        terms, note = f"{_bracketed(terms)} AND {_bracketed(more)}", f"with {which}"
    return Part(name, data["Version"], terms, texts, note)


def of_system(libraries: Iterable[str]) -> list[Part]:
    """The Debian packages that the libraries come from. Raises NoLicenceError."""
    packages = sorted({_package_of(Path(library)) for library in libraries})
    parts = []
    for package in packages:
        terms = "MIT" if package.startswith("libxcb") else OF_SYSTEM.get(package)
        if terms is None:
            raise NoLicenceError(
                f"{package}: its terms are not in packaging/bundle/licences.py; add them from its copyright."
            )
        text = Path("/usr/share/doc", package, "copyright").read_text(encoding="utf-8", errors="replace")
        asked = ["dpkg-query", "-W", "-f", "${Version}", package]
        version = subprocess.run(asked, capture_output=True, text=True, check=True).stdout
        parts.append(Part(package, version, terms, {"copyright": text}, "a library of the system it was built on"))
    return parts


def own_parts(version: str) -> list[Part]:
    """Easelside, its typeface, and Python."""
    places = (Path(sysconfig.get_path("stdlib")) / "LICENSE.txt", Path(sys.base_prefix) / "LICENSE.txt")
    of_python = {place.name: place.read_text(encoding="utf-8") for place in places if place.is_file()}
    font = (ROOT / "assets/fonts/OFL.txt").read_text(encoding="utf-8")
    return [
        Part("easelside", version, "GPL-3.0-or-later", {"LICENSE": (ROOT / "LICENSE").read_text(encoding="utf-8")}),
        Part("inter", "3.19", "OFL-1.1", {"OFL.txt": font}, "the typeface"),
        Part("python", sys.version.split()[0], "PSF-2.0", of_python),
    ]


def checked(parts: Iterable[Part]) -> list[Part]:
    """The parts, if each has a text and all go with the program's licence. Raises NoLicenceError with those that do
    not."""
    parts, wrong = list(parts), []
    for part in parts:
        if not any(text.strip() for text in part.texts.values()):
            wrong.append(f"{part.name}: no text of its licence ({part.terms}) was found.")
        elif not is_compatible(part.terms):
            wrong.append(f"{part.name}: {part.terms} is not known to go with GPL-3.0-or-later.")
    if wrong:
        raise NoLicenceError("\n".join(wrong))
    return parts


def write(parts: Iterable[Part], folder: Path) -> Path:
    """Write the texts below ``folder``, and all of it to LICENCES.txt there; give that file back."""
    shutil.rmtree(folder, ignore_errors=True)
    parts = sorted(parts, key=lambda part: (part.name != "easelside", part.name))
    for part in parts:
        for name, text in part.texts.items():
            file = folder / f"{part.name}-{part.version.replace(':', '_')}" / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
    whole = folder / "LICENCES.txt"
    whole.write_text(readable(parts), encoding="utf-8")
    return whole


def readable(parts: Iterable[Part]) -> str:
    """One text: the table of the parts, what their licences mean beside the program's, then each text once."""
    parts = list(parts)
    lines = ["Easelside and what comes with it", "", "Easelside is free software under GPL-3.0-or-later.", ""]
    for part in parts:
        lines.append(f"  {part.name} {part.version}: {part.terms}{f' ({part.note})' if part.note else ''}")
    lines += ["", "Why these may stand beside one another under GPL-3.0-or-later:", ""]
    used = sorted({licence for part in parts for licence in named(part.terms)} & COMPATIBLE.keys())
    lines += [f"  {licence}: {COMPATIBLE[licence]}" for licence in used]
    seen: dict[str, str] = {}
    for part in parts:
        for name, text in part.texts.items():
            title = f"{part.name} {part.version}: {name}"
            key = hashlib.sha256(text.encode()).hexdigest()
            lines += ["", "=" * 80, title, "=" * 80, ""]
            lines.append(f"The same text as of {seen[key]}." if key in seen else text.rstrip())
            seen.setdefault(key, title)
    return "\n".join(lines) + "\n"


def bundled(lock: str, modules: Iterable[str]) -> set[str]:
    """The names of the packages in the bundle: those of the lock, and those whose modules were found in it."""
    names = {normal(name) for name in re.findall(r"^([A-Za-z0-9._-]+)==", lock, re.MULTILINE)}
    provided = packages_distributions()
    return names | TOOLS | {normal(name) for module in modules for name in provided.get(module, ())}


def main(report: Path, version: str, folder: Path) -> int:
    told = json.loads(report.read_text(encoding="utf-8"))
    lock = (ROOT / "packaging/lock.txt").read_text(encoding="utf-8")
    wanted = bundled(lock, told["modules"])
    try:
        packages = [of_distribution(each) for each in distributions() if normal(each.metadata["Name"]) in wanted]
        whole = write(checked([*own_parts(version), *packages, *of_system(told["of the system"])]), folder)
    except NoLicenceError as trouble:
        print(trouble, file=sys.stderr)
        return 1
    print(f"{len(packages)} packages, {len(told['of the system'])} libraries of the system: {whole}")
    return 0


def _bracketed(terms: str) -> str:
    return f"({terms})" if " OR " in terms else terms


def _package_of(library: Path) -> str:
    for place in (library, library.resolve(), Path("/usr") / library.relative_to("/")):
        asked = subprocess.run(["dpkg", "-S", str(place)], capture_output=True, text=True, check=False)
        if asked.returncode == 0:
            return asked.stdout.partition(":")[0]
    raise NoLicenceError(f"{library}: no package of the system is known to own it; its licence cannot be told.")


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3])))
