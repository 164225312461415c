"""Licence expressions of SPDX, and which of them may stand in one program under GPL-3.0-or-later.

Compatibility is as the Free Software Foundation lists it in "Various Licenses and Comments about Them" (from memory; no
legal advice). A licence that is not named here is not taken as compatible: it has to be looked up and added.
"""

import re
from collections.abc import Iterator

COMPATIBLE = {
    "0BSD": "permissive",
    "Apache-2.0": "permissive, with GPL-3.0 (not with GPL-2.0 alone)",
    "BSD-2-Clause": "permissive",
    "BSD-3-Clause": "permissive",
    "BSL-1.0": "permissive",
    "CC0-1.0": "public domain, else permissive",
    "GPL-2.0-or-later": "taken under GPL-3.0",
    "GPL-3.0-only": "the same licence",
    "GPL-3.0-or-later": "the same licence",
    "HPND": "permissive",
    "ISC": "permissive",
    "LGPL-2.1-or-later": "may be taken under GPL-3.0; its libraries lie beside the program and can be replaced",
    "LGPL-3.0-only": "GPL-3.0 with more permissions; its libraries lie beside the program and can be replaced",
    "LGPL-3.0-or-later": "GPL-3.0 with more permissions; its libraries lie beside the program and can be replaced",
    "MIT": "permissive",
    "MIT-CMU": "permissive",
    "OFL-1.1": "typeface beside the program, an aggregate of its own",
    "PSF-2.0": "permissive",
    "Zlib": "permissive",
    "LicenseRef-public-domain": "public domain",
}
WITH = {"GCC-exception-3.1", "Bootloader-exception"}
"""Exceptions that only add permissions."""

_SAID = {
    "apache 2.0": "Apache-2.0",
    "apache-2.0": "Apache-2.0",
    "psfl": "PSF-2.0",
    "gplv2-or-later with a special exception which allows to use pyinstaller to build and distribute non-free programs "
    "(including commercial ones)": "GPL-2.0-or-later WITH Bootloader-exception",
}
_CLASSED = {
    "License :: OSI Approved :: BSD License": "BSD-3-Clause",
    "License :: OSI Approved :: Apache Software License": "Apache-2.0",
    "License :: OSI Approved :: MIT License": "MIT",
    "License :: OSI Approved :: Python Software Foundation License": "PSF-2.0",
}


class UnknownTermsError(Exception):
    """The text says which licence of which package has to be looked up."""


def terms_of(expression: str | None, said: str | None, classifiers: list[str]) -> str:
    """The SPDX expression that a package's metadata give, or mean. Raises UnknownTermsError."""
    for text in (expression, said):
        meant = _SAID.get(" ".join((text or "").split()).lower(), text or "")
        if meant and _readable(meant):
            return meant
    for classifier in classifiers:
        if classifier in _CLASSED:
            return _CLASSED[classifier]
    raise UnknownTermsError(f"“{expression or said or ', '.join(classifiers)}” names no licence that is known here")


def is_compatible(expression: str) -> bool:
    """Whether what stands under ``expression`` may be part of a program under GPL-3.0-or-later."""
    words = _words(expression)
    answer = _either(words)
    if next(words, None) is not None:
        raise UnknownTermsError(f"“{expression}” is not a licence expression")
    return answer


def named(expression: str) -> list[str]:
    """The licences named in an expression, in its order."""
    return [w for w in re.split(r"[\s()]+", expression) if w and w not in {"AND", "OR", "WITH"} | WITH]


def _readable(text: str) -> bool:
    return bool(re.fullmatch(r"\(*[A-Za-z0-9.+-]+\)*( (AND|OR|WITH) \(*[A-Za-z0-9.+-]+\)*)*", text))


class _words(Iterator[str]):  # noqa: N801 (used as a function)
    """The words of an expression, with a look at the next one."""

    def __init__(self, text: str) -> None:
        self._left = re.findall(r"[()]|[^\s()]+", text)

    def __next__(self) -> str:
        if not self._left:
            raise StopIteration
        return self._left.pop(0)

    def took(self, word: str) -> bool:
        if self._left and self._left[0] == word:
            self._left.pop(0)
            return True
        return False


def _either(words: _words) -> bool:
    answer = _both(words)
    while words.took("OR"):
        answer = _both(words) or answer
    return answer


def _both(words: _words) -> bool:
    answer = _one(words)
    while words.took("AND"):
        answer = _one(words) and answer
    return answer


def _one(words: _words) -> bool:
    word = next(words, "")
    if word == "(":
        answer = _either(words)
        if next(words, "") != ")":
            raise UnknownTermsError("a bracket of a licence expression is not closed")
        return answer
    if not word or word in {"AND", "OR", "WITH", ")"}:
        raise UnknownTermsError("a licence expression breaks off")
    if words.took("WITH"):
        return word in COMPATIBLE and next(words, "") in WITH
    return word in COMPATIBLE
