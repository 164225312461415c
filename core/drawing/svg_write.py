"""A drawing as an SVG file in mm: paths are lines, circles of class ``landmark`` are landmarks.

Names stand in ``data-name`` as they are, and in ids with the characters that ids may not hold written as their code.
"""

import re
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Drawing, Landmark, Line
from core.errors import DrawingError
from core.whole_file import write_whole

DECIMALS = 4  # of a mm
STRAIGHT_MM = 1e-6
_LINES_KEPT = 20_000  # a drawing is written after every stroke, and all its lines but one are as they were
LANDMARK_RADIUS_MM = 1.5
_LINE_STYLE = 'fill="none" stroke="#000000" stroke-width="0.5" stroke-linecap="round" stroke-linejoin="round"'
_LANDMARK_STYLE = 'fill="none" stroke="#000000" stroke-width="0.25"'

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NOT_IN_ID = re.compile(r"[^A-Za-z0-9.-]")


def drawing_to_svg(drawing: Drawing) -> str:
    """The drawing as an SVG document, positions to 0.0001 mm; ``drawing_from_svg`` reads lines and landmarks back."""
    width, height = _number(drawing.size.width_mm), _number(drawing.size.height_mm)
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">\n'
    ]
    taken: set[str] = set()
    for layer, lines in groupby(drawing.lines, key=lambda line: line.layer):
        parts.append(f"  <g{_naming(layer, taken)} {_LINE_STYLE}>\n")
        parts += [f'    <path{_naming(line.name, taken)} d="{path_data(line)}"/>\n' for line in lines]
        parts.append("  </g>\n")
    if drawing.landmarks:
        parts.append(f'  <g id="{_unique("landmarks", taken)}" {_LANDMARK_STYLE}>\n')
        parts += [_circle(mark, taken) for mark in drawing.landmarks]
        parts.append("  </g>\n")
    parts.append("</svg>\n")
    return "".join(parts)


def write_drawing(path: Path | str, drawing: Drawing) -> None:
    """Write the drawing as SVG, whole or not at all: an older file stays until the new one is safely on disk.

    Raises DrawingError when it cannot be written.
    """
    path = Path(path)
    text = drawing_to_svg(drawing).encode("utf-8")
    try:
        write_whole(path, lambda file: file.write(text))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise DrawingError(f"The drawing could not be saved as “{path.name}”: {reason}. Nothing was changed.") from None


@lru_cache(maxsize=_LINES_KEPT)
def path_data(line: Line) -> str:
    """A line as SVG path data in mm, straight sides as ``L``."""
    points = line.points
    straight = _straight_sides(points)
    last = len(straight) - (1 if line.closed and straight[-1] else 0)  # Z draws the last straight side itself
    words = np.char.mod(f"%.{DECIMALS}f", points)
    pairs = [f"{_trimmed(x)} {_trimmed(y)}" for x, y in words.tolist()]
    parts = [f"M{pairs[0]}"]
    for number in range(last):
        a, b, c = pairs[3 * number + 1 : 3 * number + 4]
        parts.append(f"L{c}" if straight[number] else f"C{a} {b} {c}")
    return " ".join(parts) + (" Z" if line.closed else "")


def _straight_sides(points: NDArray[np.float64]) -> list[bool]:
    start, first, second, end = points[:-1:3], points[1::3], points[2::3], points[3::3]
    side = (end - start) / 3.0
    off = np.maximum(np.abs(first - start - side), np.abs(end - side - second)).max(axis=1)
    return [bool(straight) for straight in off < STRAIGHT_MM]


def _trimmed(number: str) -> str:
    number = number.rstrip("0").rstrip(".")
    return "0" if number in {"-0", ""} else number


def _number(value: float) -> str:
    return _trimmed(f"{value:.{DECIMALS}f}")


def _circle(mark: Landmark, taken: set[str]) -> str:
    name = _readable(mark.name)
    return (
        f'    <circle class="landmark"{_naming(mark.name or "landmark", taken)} cx="{_number(mark.x_mm)}" '
        f'cy="{_number(mark.y_mm)}" r="{LANDMARK_RADIUS_MM:g}"><title>{escape(name)}</title></circle>\n'
    )


def _naming(name: str, taken: set[str]) -> str:
    name = _readable(name)
    return f' id="{_unique(encoded_id(name), taken)}" data-name={quoteattr(name)}' if name else ""


def _readable(name: str) -> str:
    """A name without the characters that XML cannot hold."""
    return " ".join(_NOT_XML.sub("", name).split())


def encoded_id(name: str) -> str:
    """A name as an id: plain letters, digits, full stops and hyphens; all else as its code (``_x20_`` for a space)."""
    text = _NOT_IN_ID.sub(lambda found: f"_x{ord(found[0]):X}_", name)
    return text if text[:1].isalpha() or text[:1] == "_" else f"_x{ord(text[0]):X}_{text[1:]}"


def _unique(base: str, taken: set[str]) -> str:
    unique, number = base, 1
    while unique in taken:
        number += 1
        unique = f"{base}-{number}"
    taken.add(unique)
    return unique
