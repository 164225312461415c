"""Setting type on the sheets: how wide words are in the program's own typeface, and what it has no letters for."""

import re
from functools import lru_cache
from typing import Any

from core.assets import font_file

MM_PER_PT = 25.4 / 72.0
CAP_HEIGHT, DESCENT = 0.728, 0.24  # of the type size, measured on Inter
LEADING = 1.32

_MEASURED_PX = 1000
_BREAK = re.compile(r" +(?!(?:mm|cm|%|·)(?:\W|$))")
_NEVER_DRAWN = "\uf8fe"


def width_mm(text: str, size_pt: float, weight: str = "Regular") -> float:
    """The width of a line of text, without kerning, as it is printed."""
    return sum(_advance(character, weight) for character in text) * size_pt * MM_PER_PT


def wrapped(text: str, size_pt: float, room_mm: float, weight: str = "Regular") -> list[str]:
    """The text in lines of at most ``room_mm``; a single longer word stands alone, a unit stays with its number."""
    lines: list[str] = []
    for word in _BREAK.split(text.strip()):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(longer, size_pt, weight) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def fitting(choices: tuple[str, ...], size_pt: float, room_mm: float, weight: str = "Regular") -> str:
    """The first of the choices that has room; ``""`` when none has."""
    return next((text for text in choices if width_mm(text, size_pt, weight) <= room_mm), "")


@lru_cache(maxsize=4096)
def can_set(text: str) -> bool:
    """Whether the typeface has every letter of the text."""
    missing = _shape(_NEVER_DRAWN)
    return all(character == " " or _shape(character) != missing for character in text)


def typeface(weight: str, size_px: float) -> Any:
    """The typeface for drawing with Pillow."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_file(weight)), size_px, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=8)
def _measuring(weight: str) -> Any:
    return typeface(weight, _MEASURED_PX)


@lru_cache(maxsize=4096)
def _advance(character: str, weight: str) -> float:
    return float(_measuring(weight).getlength(character)) / _MEASURED_PX


def _shape(character: str) -> bytes:
    return bytes(typeface("Regular", 40).getmask(character))
