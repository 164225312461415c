"""Drawings with something wrong in their text."""

import re
from collections.abc import Callable

import numpy as np

Rng = np.random.Generator
_NUMBER = re.compile(r"(?<![\w#])[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_VALUE = re.compile(r'(?<==)"[^"]*"')
_TAG = re.compile(r"</?[A-Za-z][^<>]*>")
_ODD_NUMBERS = (
    "0",
    "-0",
    "-1",
    "1e308",
    "-1e308",
    "1e-320",
    "1e999",
    "9" * 400,
    "NaN",
    "inf",
    "",
    ".",
    "1.2.3",
    "1e",
    "--1",
    "0x10",
    "100%",
    "1em",
    "1e5mm",
    "1e30%",
    "٣",
)
_ODD_VALUES = (
    "",
    "none",
    "url(#rim)",
    "url(file:///etc/hosts)",
    "javascript:x()",
    "#rim",
    "#layer1",
    "matrix(1e200 0 0 1e200 0 0)",
    "rotate(1e400)",
    "scale(0)",
    "matrix(0 0 0 0 0 0)",
    "translate(",
    "M",
    "M0 0" + "A1 1 0 1 1 2 2" * 300,
    "M0,0 L" + "1 " * 501,
    "m" * 300,
    "M 0 0 C 1 1",
    "0 0 0 0",
    "0 0 -1 5",
    "a b c d",
    "&amp;&#0;",
    "é" * 200,
    "display:none",
    "landmark",
)
_ODD_PARTS = (
    "<script>1</script>",
    "<foreignObject/>",
    "<![CDATA[" + "x" * 500 + "]]>",
    "<!-- -- -->",
    "<?xml-stylesheet href='a'?>",
    "<?php x ?>",
    "<use href='#layer1'/>",
    "<use href='#rim'/>" * 50,
    "<svg viewBox='0 0 0 0'><path d='M1 1 2 2'/></svg>",
    "<style>@import 'a.css';</style>",
    "<style>a{b:c;;}}}{{ /* </style>",
    "&nbsp;",
    "&#xFFFFFF;",
    "\0",
    "\x1b",
    "﻿",
    "]]>",
    "<image href='http://example.org/a.png'/>",
    "<a:b/>",
    "<path d='M1 1 9 9' d='M1 1'/>",
    "<circle class='landmark' r='1'/>",
    "<set attributeName='d'/>",
    "<g transform='rotate(30)'>",
)
_ODD_HEADS = (
    "<!DOCTYPE svg SYSTEM 'file:///etc/hosts'>",
    "<!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;&a;&a;'><!ENTITY c '&b;&b;&b;&b;&b;'>]>",
    "<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/hosts'>]>",
    "<!DOCTYPE svg [<!ENTITY % p SYSTEM 'a.dtd'> %p;]>",
    "<!DOCTYPE svg [<!ATTLIST path d CDATA 'M1 1 2 2'>]>",
    "<?xml version='1.1'?>",
    "<?xml version='1.0' encoding='EBCDIC'?>",
    "<?xml version='1.0' encoding='UTF-32'?>",
    "<?xml version='1.0' standalone='yes'?>",
)


def mutate_svg(data: bytes, rng: Rng) -> bytes:
    """``data`` with one thing of its text changed; latin-1 stands for whatever its encoding is."""
    text = data.decode("latin-1")
    return _WAYS[int(rng.integers(len(_WAYS)))](text, rng).encode("latin-1", "xmlcharrefreplace")


def _one(pattern: re.Pattern[str], text: str, rng: Rng, new: Callable[[str], str]) -> str:
    found = list(pattern.finditer(text))
    if not found:
        return text
    place = found[int(rng.integers(len(found)))]
    return text[: place.start()] + new(place[0]) + text[place.end() :]


def _numbers(text: str, rng: Rng) -> str:
    for _ in range(int(rng.integers(1, 5))):
        text = _one(_NUMBER, text, rng, lambda _: str(rng.choice(_ODD_NUMBERS)))
    return text


def _values(text: str, rng: Rng) -> str:
    return _one(_VALUE, text, rng, lambda _: f'"{rng.choice(_ODD_VALUES)}"')


def _exchanged_values(text: str, rng: Rng) -> str:
    values = _VALUE.findall(text)
    return _one(_VALUE, text, rng, lambda old: str(rng.choice(values)) if values else old)


def _tag_gone(text: str, rng: Rng) -> str:
    return _one(_TAG, text, rng, lambda _: "")


def _tag_again(text: str, rng: Rng) -> str:
    return _one(_TAG, text, rng, lambda tag: tag * int(rng.choice((2, 3, 70, 3000))))


def _part_added(text: str, rng: Rng) -> str:
    return _one(_TAG, text, rng, lambda tag: tag + str(rng.choice(_ODD_PARTS)))


def _head_added(text: str, rng: Rng) -> str:
    return str(rng.choice(_ODD_HEADS)) + text[text.find("<svg") if rng.random() < 0.7 else 0 :]


def _wrapped(text: str, rng: Rng) -> str:
    deep = int(rng.choice((3, 30, 66, 3000)))
    opened, closed = text.find(">", text.find("<svg")) + 1, text.rfind("</svg>")
    group = str(rng.choice(("<g>", "<g transform='scale(9)'>", "<svg width='10' viewBox='0 0 1 1'>")))
    end = "</svg>" if "svg" in group else "</g>"
    return text[:opened] + group * deep + text[opened:closed] + end * deep + text[closed:]


def _letters_moved(text: str, rng: Rng) -> str:
    """Letters of a path's data among one another."""
    letters = "MmLlHhVvCcSsQqTtAaZz,.-+e 0"
    return _one(re.compile(r"(?<=\d)[ ,]?[A-Za-z ]"), text, rng, lambda _: str(rng.choice(list(letters))))


_WAYS = (
    _numbers,
    _numbers,
    _values,
    _exchanged_values,
    _tag_gone,
    _tag_again,
    _part_added,
    _head_added,
    _wrapped,
    _letters_moved,
)
