"""SVG path data: the grammar of ``d``, to chains of cubic Bézier curves (SVG 2, chapter 9 and appendix B)."""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from core.errors import DrawingError

MOST_SEGMENTS = 200_000
MOST_CHARACTERS = 4_000_000  # of one list of numbers or path

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(NUMBER, re.ASCII)
_SEPARATOR = re.compile(r"[\s,]*", re.ASCII)
_COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
# Flags are single characters and may run together with what follows: "a1 1 0 00 1 1".
_ARC = re.compile(
    rf"[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*([01])[\s,]*([01])[\s,]*({NUMBER})[\s,]*({NUMBER})",
    re.ASCII,
)
_LETTERS = "MmZzLlHhVvCcSsQqTtAa"
_ARGUMENTS = {"M": 2, "Z": 0, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}


@dataclass(frozen=True)
class SubPath:
    """One subpath: ``points`` ``(3 n + 1, 2)`` float64, in the path's own units; n ≥ 1."""

    points: NDArray[np.float64]
    closed: bool


def numbers(text: str, *, most: int = 2 * MOST_SEGMENTS) -> list[float]:
    """The numbers of a list parted by white space, commas or nothing (``1-2.5.5``), as floats.

    Raises DrawingError when the text holds anything else, or more than ``most`` numbers.
    """
    if len(text) > MOST_CHARACTERS:
        raise too_many()
    found = _NUMBER.findall(text)
    if len(found) > most:
        raise too_many()
    if _SEPARATOR.fullmatch(_NUMBER.sub("", text)) is None:
        raise DrawingError(f"The drawing holds “{_excerpt(text)}” where numbers belong. Save it again as plain SVG.")
    return [float(number) for number in found]


def too_many() -> DrawingError:
    """The refusal of a drawing with more line than can be worked with."""
    return DrawingError(
        f"The drawing has more than {MOST_SEGMENTS:,} curves. "
        "Simplify its lines, or leave out hatching, and save it again."
    )


def parse_path(d: str, *, most_segments: int = MOST_SEGMENTS) -> list[SubPath]:
    """The subpaths of path data ``d``; a lone move makes none.

    Straight sides become curves with controls at their thirds; arcs become curves of at most an eighth of a turn
    (4·10⁻⁶ of the radius). Raises DrawingError when the data are malformed or longer than ``most_segments``.
    """
    if len(d) > MOST_CHARACTERS or (len(d) > MOST_SEGMENTS and sum(map(d.count, _LETTERS)) > MOST_SEGMENTS):
        raise too_many()
    pen = Pen(most_segments)
    seen = 0
    for found in _COMMAND.finditer(d):
        if found.start() != seen and d[seen : found.start()].strip():
            break
        seen = found.end()
        letter, text = found.groups()
        command = letter.upper()
        if not pen.started and command != "M":
            raise DrawingError(
                f"A line in the drawing starts with “{letter}” and not with a move. Save it again as SVG."
            )
        count = _ARGUMENTS[command]
        most = max(count, 1) * (pen.room + 1)  # one more: a move's first pair is no curve, and Z takes no number
        values = list(_arcs(text, pen.room)) if command == "A" else numbers(text, most=most)
        if (count and (not values or len(values) % count)) or (not count and values):
            raise DrawingError(
                f"A line in the drawing breaks off at “{_excerpt(letter + text)}”. Save it again as SVG."
            )
        _DRAW[command](pen, values, letter != command)
    if d[seen:].strip():
        raise DrawingError(
            f"The drawing holds “{_excerpt(d[seen:])}” where a line belongs. Save it again as plain SVG."
        )
    return pen.finished()


def _excerpt(text: str) -> str:
    text = " ".join(text[:200].split())
    return text if len(text) <= 24 else text[:24] + "…"


def _arcs(text: str, room: int) -> Iterator[float]:
    place = 0
    while found := _ARC.match(text, place):
        room -= 1
        if room < 0:
            raise too_many()
        yield from map(float, found.groups())
        place = found.end()
    if text[place:].strip(" \t\r\n\f,"):
        raise DrawingError(f"An arc in the drawing cannot be read at “{_excerpt(text[place:])}”. Save it again as SVG.")


@dataclass
class Pen:
    """Where the pen is, and what it has drawn. ``line`` is the current chain, x and y in turn.

    Raises DrawingError when more than ``room`` curves are drawn.
    """

    room: int = MOST_SEGMENTS
    x: float = 0.0
    y: float = 0.0
    started: bool = False
    line: list[float] = field(default_factory=list)
    # The control point that S or T would mirror, kept only right after C, S or Q, T.
    cubic: tuple[float, float] | None = None
    quadratic: tuple[float, float] | None = None
    done: list[SubPath] = field(default_factory=list)

    def move(self, x: float, y: float) -> None:
        self.end(closed=False)
        self.x, self.y = x, y
        self.line = [x, y]
        self.started = True

    def curve(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:
        self.room -= 1
        if self.room < 0:
            raise too_many()
        self.line += (x1, y1, x2, y2, x, y)
        self.x, self.y = x, y

    def straight(self, x: float, y: float) -> None:
        dx, dy = (x - self.x) / 3.0, (y - self.y) / 3.0
        self.curve(self.x + dx, self.y + dy, x - dx, y - dy, x, y)

    def end(self, *, closed: bool) -> None:
        if len(self.line) > 2:
            self.done.append(SubPath(np.array(self.line).reshape(-1, 2), closed))
        self.line = []

    def arc(self, centre: tuple[float, float], rx: float, ry: float, first: float, angle: float) -> None:
        """An arc of an upright ellipse from where the pen is; angles in radians, from x towards y."""
        x, y = centre
        for a, b, c, d, e, f in unit_arc(first, angle):
            self.curve(x + rx * a, y + ry * b, x + rx * c, y + ry * d, x + rx * e, y + ry * f)

    def finished(self) -> list[SubPath]:
        self.end(closed=False)
        return self.done


def _move(pen: Pen, values: list[float], relative: bool) -> None:
    x, y = values[:2]
    pen.move(x + pen.x, y + pen.y) if relative else pen.move(x, y)
    _straight(pen, values[2:], relative)


def _straight(pen: Pen, values: list[float], relative: bool) -> None:
    for x, y in zip(values[0::2], values[1::2], strict=True):
        pen.straight(x + pen.x, y + pen.y) if relative else pen.straight(x, y)
    pen.cubic = pen.quadratic = None


def _across(pen: Pen, values: list[float], relative: bool) -> None:
    for x in values:
        pen.straight(x + pen.x if relative else x, pen.y)
    pen.cubic = pen.quadratic = None


def _down(pen: Pen, values: list[float], relative: bool) -> None:
    for y in values:
        pen.straight(pen.x, y + pen.y if relative else y)
    pen.cubic = pen.quadratic = None


def _close(pen: Pen, values: list[float], relative: bool) -> None:
    if len(pen.line) > 2:
        x, y = pen.line[:2]
        if (pen.x, pen.y) != (x, y):
            pen.straight(x, y)
        pen.end(closed=True)
        pen.line = [x, y]  # what follows without a move starts here
        pen.x, pen.y = x, y
    pen.cubic = pen.quadratic = None


def _cubic(pen: Pen, values: list[float], relative: bool) -> None:
    for place in range(0, len(values), 6):
        x1, y1, x2, y2, x, y = values[place : place + 6]
        if relative:
            px, py = pen.x, pen.y
            x1, y1, x2, y2, x, y = x1 + px, y1 + py, x2 + px, y2 + py, x + px, y + py
        pen.curve(x1, y1, x2, y2, x, y)
        pen.cubic = x2, y2
    pen.quadratic = None


def _smooth(pen: Pen, values: list[float], relative: bool) -> None:
    for place in range(0, len(values), 4):
        x2, y2, x, y = values[place : place + 4]
        px, py = pen.x, pen.y
        if relative:
            x2, y2, x, y = x2 + px, y2 + py, x + px, y + py
        cx, cy = pen.cubic or (px, py)
        pen.curve(2.0 * px - cx, 2.0 * py - cy, x2, y2, x, y)
        pen.cubic = x2, y2
    pen.quadratic = None


def _raise_degree(pen: Pen, cx: float, cy: float, x: float, y: float) -> None:
    px, py = pen.x, pen.y
    third = 2.0 / 3.0
    pen.curve(px + third * (cx - px), py + third * (cy - py), x + third * (cx - x), y + third * (cy - y), x, y)
    pen.quadratic = cx, cy


def _quadratic(pen: Pen, values: list[float], relative: bool) -> None:
    for place in range(0, len(values), 4):
        cx, cy, x, y = values[place : place + 4]
        if relative:
            cx, cy, x, y = cx + pen.x, cy + pen.y, x + pen.x, y + pen.y
        _raise_degree(pen, cx, cy, x, y)
    pen.cubic = None


def _smooth_quadratic(pen: Pen, values: list[float], relative: bool) -> None:
    for x, y in zip(values[0::2], values[1::2], strict=True):
        px, py = pen.x, pen.y
        cx, cy = pen.quadratic or (px, py)
        end = (x + px, y + py) if relative else (x, y)
        _raise_degree(pen, 2.0 * px - cx, 2.0 * py - cy, *end)
    pen.cubic = None


def _arc(pen: Pen, values: list[float], relative: bool) -> None:
    for place in range(0, len(values), 7):
        rx, ry, turn, large, sweep, x, y = values[place : place + 7]
        if relative:
            x, y = x + pen.x, y + pen.y
        if (x, y) == (pen.x, pen.y):
            continue
        if rx == 0 or ry == 0:
            pen.straight(x, y)
            continue
        for curve in arc_curves((pen.x, pen.y), (rx, ry), turn, bool(large), bool(sweep), (x, y)):
            pen.curve(*curve)
    pen.cubic = pen.quadratic = None


_DRAW: dict[str, Callable[[Pen, list[float], bool], None]] = {
    "M": _move, "Z": _close, "L": _straight, "H": _across, "V": _down,
    "C": _cubic, "S": _smooth, "Q": _quadratic, "T": _smooth_quadratic, "A": _arc,
}  # fmt: skip


def arc_curves(
    start: tuple[float, float],
    radii: tuple[float, float],
    turn_deg: float,
    large: bool,
    sweep: bool,
    end: tuple[float, float],
) -> list[tuple[float, float, float, float, float, float]]:
    """An elliptical arc as curves (control, control, end), from SVG's endpoint form.

    SVG 2, B.2.4 (endpoint to centre) and B.2.5 (radii too small are scaled up to reach).
    """
    turn = math.radians(turn_deg % 360.0)
    cos, sin = math.cos(turn), math.sin(turn)
    rx, ry = abs(radii[0]), abs(radii[1])
    half_x, half_y = (start[0] - end[0]) / 2.0, (start[1] - end[1]) / 2.0
    ux, uy = (cos * half_x + sin * half_y) / rx, (cos * half_y - sin * half_x) / ry  # on the unit circle's scale
    reach = math.hypot(ux, uy)
    if not math.isfinite(reach):
        raise DrawingError("An arc in the drawing has no usable radius. Save it again as plain SVG.")
    if reach > 1.0:
        rx, ry, ux, uy = rx * reach, ry * reach, ux / reach, uy / reach
    gap = math.sqrt(max(0.0, 1.0 - min(reach, 1.0) ** 2)) / min(reach, 1.0) if reach else 0.0
    side = -1.0 if large == sweep else 1.0
    vx, vy = side * gap * uy, -side * gap * ux  # the centre, seen from the middle of the chord
    first = math.atan2(uy - vy, ux - vx)
    sweep_angle = math.atan2(-uy - vy, -ux - vx) - first
    if sweep and sweep_angle < 0:
        sweep_angle += 2.0 * math.pi
    elif not sweep and sweep_angle > 0:
        sweep_angle -= 2.0 * math.pi
    mid_x, mid_y = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0

    def placed(x: float, y: float) -> tuple[float, float]:
        x, y = (x + vx) * rx, (y + vy) * ry
        return mid_x + cos * x - sin * y, mid_y + sin * x + cos * y

    curves = [(*placed(a, b), *placed(c, d), *placed(e, f)) for a, b, c, d, e, f in unit_arc(first, sweep_angle)]
    if curves:
        curves[-1] = (*curves[-1][:4], *end)
    return curves


def unit_arc(first: float, angle: float) -> list[tuple[float, float, float, float, float, float]]:
    """An arc of the unit circle as curves (control, control, end); angles in radians, from x towards y."""
    count = max(1, math.ceil(abs(angle) / (math.pi / 4.0) - 1e-9))
    step = angle / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0)
    curves = []
    for number in range(count):
        a, b = first + number * step, first + (number + 1) * step
        cos_a, sin_a, cos_b, sin_b = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        curves.append(
            (cos_a - reach * sin_a, sin_a + reach * cos_a, cos_b + reach * sin_b, sin_b - reach * cos_b, cos_b, sin_b)
        )
    return curves
