"""Measurements in the painter's words: directions, places on the canvas, how far, how much too dark."""

import math

from core.size import Size

SAME_MM = 0.25
"""Lengths below this are not worth a word."""


def direction(dx_mm: float, dy_mm: float) -> str:
    """Which way and how far, such as ``2.1 mm too far right and 1.0 mm too low`` (x right, y down)."""
    parts = []
    if abs(dx_mm) >= SAME_MM:
        parts.append(f"{abs(dx_mm):.1f} mm too far {'right' if dx_mm > 0 else 'left'}")
    if abs(dy_mm) >= SAME_MM:
        parts.append(f"{abs(dy_mm):.1f} mm too {'low' if dy_mm > 0 else 'high'}")
    return " and ".join(parts) if parts else "in place"


def place(x_mm: float, y_mm: float, size: Size) -> str:
    """The ninth of the canvas that holds a point: ``upper left``, ``centre``, ``right`` and so on."""
    column = ("left", "", "right")[_third(x_mm, size.width_mm)]
    row = ("upper", "", "lower")[_third(y_mm, size.height_mm)]
    if row and column:
        return f"{row} {column}"
    return column or {"upper": "top", "lower": "bottom", "": "centre"}[row]


def whole_drawing(shift_mm: tuple[float, float], turn_deg: float, scale: float, size: Size) -> str:
    """The whole-drawing part in one sentence; empty when nothing of it is worth saying.

    Turn and scale count when they move the far corner of the canvas by half a millimetre or more.
    """
    half_diagonal = math.hypot(size.width_mm, size.height_mm) / 2
    parts = []
    if math.hypot(*shift_mm) >= 2 * SAME_MM:
        parts.append(f"sits {direction(*shift_mm)}")
    if abs(math.radians(turn_deg)) * half_diagonal >= 2 * SAME_MM:
        parts.append(f"is turned {abs(turn_deg):.2g}° {'clockwise' if turn_deg > 0 else 'anticlockwise'}")
    if abs(scale - 1) * half_diagonal >= 2 * SAME_MM:
        parts.append(f"is {abs(scale - 1) * 100:.1f} % too {'large' if scale > 1 else 'small'}")
    if not parts:
        return ""
    listed = parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]
    return f"The whole drawing {listed}."


def value_fault(steps: float) -> str:
    """``1.2 steps too dark`` or ``0.8 steps too light``."""
    return f"{abs(steps):.1f} steps too {'dark' if steps < 0 else 'light'}"


def area(area_cm2: float) -> str:
    """``14 cm²`` or ``3.2 cm²``."""
    return f"{area_cm2:.0f} cm²" if area_cm2 >= 10 else f"{area_cm2:.1f} cm²"


def _third(position_mm: float, side_mm: float) -> int:
    return min(2, max(0, int(3 * position_mm / side_mm)))
