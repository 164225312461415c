"""Every part of the bundle has its licence's text, and terms that go with the program's; else the build stops."""

from importlib.metadata import Distribution
from pathlib import Path

import pytest
from licences import NoLicenceError, Part, bundled, checked, normal, of_distribution, readable, write
from terms import UnknownTermsError, is_compatible, named, terms_of

MIT = Part("one", "1.0", "MIT", {"LICENSE": "the text of one"})


def _package(folder: Path, head: str, **files: str) -> Distribution:
    place = folder / "thing-1.2.dist-info"
    texts = {"METADATA": f"Metadata-Version: 2.1\nName: Thing_er\nVersion: 1.2\n{head}\n"} | files
    for name, text in texts.items():
        file = place / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (place / "RECORD").write_text("".join(f"thing-1.2.dist-info/{name},,\n" for name in texts), encoding="utf-8")
    return Distribution.at(place)


@pytest.mark.parametrize(
    ("expression", "may"),
    [
        ("MIT", True),
        ("LGPL-3.0-only OR GPL-2.0-only OR GPL-3.0-only", True),
        ("GPL-2.0-only", False),
        ("MIT AND GPL-2.0-only", False),
        ("OpenSSL", False),
        ("(GPL-2.0-only OR MIT) AND Zlib", True),
        ("GPL-2.0-only OR MIT AND OpenSSL", False),  # AND binds closer: SPDX 2.3, annex D.4
        ("MIT AND OpenSSL OR Zlib", True),
        ("GPL-3.0-or-later WITH GCC-exception-3.1", True),
        ("GPL-3.0-or-later WITH Something-else", False),
    ],
)
def test_terms_are_weighed_by_their_words(expression: str, may: bool) -> None:
    assert is_compatible(expression) is may


@pytest.mark.parametrize("broken", ["", "MIT AND", "(MIT", "MIT Zlib", "MIT)", "OR MIT"])
def test_broken_terms_are_no_terms(broken: str) -> None:
    with pytest.raises(UnknownTermsError):
        is_compatible(broken)


def test_terms_are_read_from_what_packages_say() -> None:
    bsd = ["Programming Language :: Python", "License :: OSI Approved :: BSD License"]
    assert terms_of("MIT AND Zlib", "something", []) == "MIT AND Zlib"
    assert terms_of(None, "Apache 2.0", []) == "Apache-2.0"
    assert terms_of(None, "BSD license (see license.txt for details), Copyright", bsd) == "BSD-3-Clause"
    with pytest.raises(UnknownTermsError, match="our own terms"):
        terms_of(None, "our own terms", [])
    assert named("(MIT OR GPL-3.0-or-later WITH GCC-exception-3.1)") == ["MIT", "GPL-3.0-or-later"]


def test_a_package_gives_its_name_terms_and_texts(tmp_path: Path) -> None:
    files = {"licenses/vendor/COPYING": "vendor's", "LICENSE.txt": "its own", "WHEEL": "no text"}
    part = of_distribution(_package(tmp_path, "License-Expression: MIT", **files))
    assert (part.name, part.version, part.terms) == ("thing-er", "1.2", "MIT")
    assert part.texts == {"vendor/COPYING": "vendor's", "LICENSE.txt": "its own"}


def test_a_package_without_text_or_with_strange_terms_stops_the_build(tmp_path: Path) -> None:
    bare = of_distribution(_package(tmp_path / "bare", "License: MIT"))
    strange = of_distribution(_package(tmp_path / "strange", "License: OpenSSL", LICENSE="a text"))
    with pytest.raises(NoLicenceError) as told:
        checked([MIT, bare, strange])
    assert "no text" in str(told.value)
    assert "OpenSSL is not known to go" in str(told.value)
    assert "one:" not in str(told.value)
    assert checked([MIT]) == [MIT]


def test_an_empty_text_is_no_text() -> None:
    with pytest.raises(NoLicenceError, match="no text"):
        checked([Part("empty", "1", "MIT", {"LICENSE": " \n"})])


def test_the_folder_has_every_text_and_the_readable_file_each_once(tmp_path: Path) -> None:
    same = Part("two", "2:1", "Zlib", {"LICENSE": "the text of one"}, "a note")
    whole = write([same, MIT], tmp_path / "licences").read_text(encoding="utf-8")
    assert (tmp_path / "licences/one-1.0/LICENSE").read_text(encoding="utf-8") == "the text of one"
    assert (tmp_path / "licences/two-2_1/LICENSE").is_file()
    assert whole == readable([MIT, same])
    assert whole.count("the text of one") == 1
    assert "two 2:1: Zlib (a note)" in whole
    assert "Zlib: permissive" in whole


def test_what_is_bundled_is_the_lock_and_what_is_found_of_its_modules() -> None:
    names = bundled("numpy==2.4.6 ; python_full_version < '3.12' \\\n    --hash=sha256:0\nPillow==12 \\\n", ["pytest"])
    assert {"numpy", "pillow", "pytest", "pyinstaller"} <= names
    assert normal("Pillow_Heif") == "pillow-heif"
