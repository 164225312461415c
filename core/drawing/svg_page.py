"""Where an SVG's page lies on the canvas: lengths, viewBox, and the scale of real life (SVG 2, chapters 7 and 8).

An absolute size (mm, cm, in, pt, pc) says how large the drawing is; px, per cent or nothing says only its shape.
"""

import math
import re
from dataclasses import dataclass

from core.drawing.svg_path import NUMBER, numbers
from core.drawing.svg_transform import IDENTITY, Matrix, multiply, scaling, translation
from core.drawing.svg_tree import Node
from core.errors import DrawingError
from core.size import MM_PER_INCH, Size

MM_PER_PX = MM_PER_INCH / 96.0
SAME_SIZE_MM, SAME_SIZE_SHARE = 0.5, 0.002  # two pages this alike are one page, rounded
SAME_SHAPE_SHARE = 0.005  # of the shorter side: whole pixels round a page's shape by less
WORTH_SAYING_MM = 0.2
SMALLEST_PAGE, LARGEST_PAGE = 1e-3, 1e7  # mm

_MM_PER = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "pt": MM_PER_INCH / 72.0, "pc": MM_PER_INCH / 6.0, "q": 0.25}
_PX_PER_FONT_UNIT = {"em": 16.0, "ex": 8.0, "rem": 16.0}
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([A-Za-z]*|%)\s*\Z", re.ASCII)


@dataclass(frozen=True)
class Length:
    """A length as written: ``px`` (user units at 96 to the inch); ``absolute`` when written in a real-life unit."""

    px: float
    absolute: bool


def parse_length(text: str, *, whole: float) -> Length:
    """A length in user units; per cent is taken of ``whole``. Raises DrawingError when it is none."""
    found = _LENGTH.match(text[:100])
    unit = found[2].lower() if found else ""
    value = float(found[1]) if found else math.nan
    if unit in _MM_PER:
        value *= _MM_PER[unit] / MM_PER_PX
    elif unit == "%":
        value *= whole / 100.0
    elif unit in _PX_PER_FONT_UNIT:
        value *= _PX_PER_FONT_UNIT[unit]
    elif unit not in {"", "px"}:
        value = math.nan
    if not math.isfinite(value):
        raise DrawingError(f"“{text[:40]}” in the drawing is not a length. Save it again as plain SVG.")
    return Length(value, unit in _MM_PER)


@dataclass(frozen=True)
class ViewBox:
    """The rectangle of user units that fills a viewport."""

    x: float
    y: float
    width: float
    height: float


def view_box(node: Node) -> ViewBox | None:
    """An element's viewBox, or None when it has none. Raises DrawingError when it is malformed or has no area."""
    if not node.get("viewBox").strip():
        return None
    values = numbers(node.get("viewBox")[:1000])
    if len(values) != 4 or not all(map(math.isfinite, values)) or values[2] <= 0 or values[3] <= 0:
        raise DrawingError("The drawing's page (its viewBox) has no size. Set the page's size and save it again.")
    return ViewBox(*values)


def fit_view_box(box: ViewBox, width: float, height: float, rule: str) -> Matrix:
    """The matrix from the viewBox to a viewport at the origin, by ``preserveAspectRatio``."""
    across, down = width / box.width, height / box.height
    words = [word for word in rule.split() if word != "defer"] or ["xMidYMid"]
    left = top = 0.0
    if words[0] != "none":
        across = down = max(across, down) if "slice" in words else min(across, down)
        share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
        left = (width - box.width * across) * share.get(words[0][1:4], 0.5)
        top = (height - box.height * down) * share.get(words[0][5:8], 0.5)
    return multiply(translation(left, top), multiply(scaling(across, down), translation(-box.x, -box.y)))


@dataclass(frozen=True)
class Page:
    """``to_mm``: user units to mm on the canvas. ``width``, ``height``: in user units. ``notes``: what was assumed."""

    to_mm: Matrix
    width: float
    height: float
    notes: tuple[str, ...] = ()


def page_on_canvas(root: Node, size: Size) -> Page:
    """Where the root ``svg`` element's page lies on the canvas.

    A page of the canvas's size is taken as it is. A page of another size and the same shape is scaled to the canvas;
    when it states a size in mm, a note says so. Raises DrawingError for a page of another shape.
    """
    box = view_box(root)
    sides = _sides(root, box)
    if sides is None:
        return Page(IDENTITY, size.width_mm, size.height_mm, ("The file states no page size: it was taken as mm.",))
    width, height = sides
    inner = IDENTITY if box is None else fit_view_box(box, width.px, height.px, root.get("preserveAspectRatio"))
    on_canvas, notes = _page_to_canvas(width, height, size)
    inside = (width.px, height.px) if box is None else (box.width, box.height)
    return Page(multiply(on_canvas, inner), *inside, notes)


def _sides(root: Node, box: ViewBox | None) -> tuple[Length, Length] | None:
    """The page's width and height, as far as they can be known: a side that is not stated follows from the viewBox."""
    width, height = _stated(root, "width"), _stated(root, "height")
    if width is not None and height is not None:
        return width, height
    if box is None:
        return None
    if width is not None:
        return width, Length(width.px * box.height / box.width, width.absolute)
    if height is not None:
        return Length(height.px * box.width / box.height, height.absolute), height
    return Length(box.width, False), Length(box.height, False)


def _stated(root: Node, name: str) -> Length | None:
    text = root.get(name).strip()
    if text in {"", "auto"} or text.endswith("%"):
        return None
    length = parse_length(text, whole=0.0)
    if length.px <= 0:
        raise DrawingError("The drawing's page has no size. Set the page's size and save it again.")
    return length


def _page_to_canvas(width: Length, height: Length, size: Size) -> tuple[Matrix, tuple[str, ...]]:
    real = width.absolute and height.absolute
    wide, high = width.px * MM_PER_PX, height.px * MM_PER_PX
    if not all(SMALLEST_PAGE < side < LARGEST_PAGE for side in (wide, high)):
        raise DrawingError("The drawing's page has no usable size. Set the page's size and save it again.")
    if _alike(wide, size.width_mm) and _alike(high, size.height_mm):
        return scaling(MM_PER_PX, MM_PER_PX), ()
    scale = math.sqrt(size.width_mm * size.height_mm / (wide * high))
    off_x, off_y = size.width_mm - wide * scale, size.height_mm - high * scale
    page = f"{wide:.4g} × {high:.4g} mm" if real else f"{width.px:.6g} × {height.px:.6g}"
    if not max(abs(off_x), abs(off_y)) <= SAME_SHAPE_SHARE * min(size.width_mm, size.height_mm):
        raise DrawingError(_another_shape(page, wide, high, size))
    notes = []
    if real:
        notes.append(f"The drawing's page is {page}: it was scaled by {scale:.4g} to the canvas of {size.in_cm()}.")
    if max(abs(off_x), abs(off_y)) > WORTH_SAYING_MM:
        notes.append(
            f"The drawing's page ({page}) has not quite the canvas's shape: "
            f"its edges miss the canvas's by up to {max(abs(off_x), abs(off_y)) / 2:.1f} mm."
        )
    to_canvas = multiply(translation(off_x / 2.0, off_y / 2.0), scaling(MM_PER_PX * scale, MM_PER_PX * scale))
    return to_canvas, tuple(notes)


def _alike(page: float, canvas: float) -> bool:
    return abs(page - canvas) <= max(SAME_SIZE_MM, SAME_SIZE_SHARE * canvas)


def _another_shape(page: str, wide: float, high: float, size: Size) -> str:
    turned = " The page lies the other way round." if (wide > high) != (size.width_mm > size.height_mm) else ""
    return (
        f"The drawing's page ({page}) has not the shape of the canvas ({size.in_cm()}).{turned} "
        "Set the page to the canvas's size and save the drawing again."
    )
