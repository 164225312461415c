"""Measurements in the painter's words: directions, places on the canvas, how far, how much too dark."""

import math

from core.size import Size

SAME_MM = 0.25
"""Lengths below this are not worth a word."""
SURE, FAIR = 0.75, 0.5
"""Confidence from which a number is called sure, and from which it is told at all."""

_IN_PLACE = "in place"


def direction(dx_mm: float, dy_mm: float) -> str:
    """Which way and how far, such as ``2.1 mm too far right and 1.0 mm too low`` (x right, y down)."""
    parts = []
    if abs(dx_mm) >= SAME_MM:
        parts.append(f"{abs(dx_mm):.1f} mm too far {'right' if dx_mm > 0 else 'left'}")
    if abs(dy_mm) >= SAME_MM:
        parts.append(f"{abs(dy_mm):.1f} mm too {'low' if dy_mm > 0 else 'high'}")
    return " and ".join(parts) if parts else _IN_PLACE


def way(dx_mm: float, dy_mm: float) -> str:
    """The directions alone, such as ``left and high``; empty where it is in place."""
    parts = []
    if abs(dx_mm) >= SAME_MM:
        parts.append("right" if dx_mm > 0 else "left")
    if abs(dy_mm) >= SAME_MM:
        parts.append("low" if dy_mm > 0 else "high")
    return " and ".join(parts)


def across(dx_mm: float) -> str:
    """Such as ``2.1 mm left``: where it is painted, seen from where it should be."""
    return _sideways(dx_mm, "left", "right")


def down(dy_mm: float) -> str:
    """Such as ``1.0 mm lower``."""
    return _sideways(dy_mm, "higher", "lower")


def offset(dx_mm: float, dy_mm: float) -> str:
    """Both ways, such as ``2.1 mm left, 1.0 mm lower``."""
    parts = [part for part in (across(dx_mm), down(dy_mm)) if part != _IN_PLACE]
    return ", ".join(parts) if parts else _IN_PLACE


def how_sure(confidence: float) -> str:
    """A confidence of 0-1 in a word: ``sure``, ``fairly sure`` or ``not sure``."""
    return "sure" if confidence >= SURE else "fairly sure" if confidence >= FAIR else "not sure"


def as_share(share: float, *, places: int = 0) -> str:
    """A share of 0-1 in per cent, such as ``82 %``."""
    return f"{100 * share:.{places}f} %"


def signed(number: float) -> str:
    """A whole number with its sign: ``+3``, ``−3`` or ``0``."""
    whole = round(number)
    return "0" if whole == 0 else f"{'+' if whole > 0 else '−'}{abs(whole)}"


def per_cent(confidence: float) -> str:
    """A confidence of 0-1 in per cent; what was measured is never quite certain."""
    return "over 99 %" if confidence > 0.99 else as_share(confidence)


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


def reach_of_whole(shift_mm: tuple[float, float], turn_deg: float, scale: float, size: Size) -> float:
    """The most that the whole drawing's part moves any corner of the canvas, mm."""
    turn, far = math.radians(turn_deg), 0.0
    a, b = scale * math.cos(turn) - 1, scale * math.sin(turn)
    for x, y in ((sx * size.width_mm / 2, sy * size.height_mm / 2) for sx in (-1, 1) for sy in (-1, 1)):
        far = max(far, math.hypot(a * x - b * y + shift_mm[0], b * x + a * y + shift_mm[1]))
    return far


def whole_means(shift_mm: tuple[float, float], turn_deg: float, scale: float, size: Size) -> str:
    """What the whole-drawing part comes to, for the painter; empty where :func:`whole_drawing` is."""
    if not whole_drawing(shift_mm, turn_deg, scale, size):
        return ""
    far = reach_of_whole(shift_mm, turn_deg, scale, size)
    return f"That is {far:.1f} mm at the corner it moves most. The figures of each landmark have it in them."


def value_fault(steps: float) -> str:
    """``1.2 steps too dark`` or ``0.8 steps too light``."""
    return f"{abs(steps):.1f} steps too {'dark' if steps < 0 else 'light'}"


def value_fault_within(steps: float, uncertainty: float) -> str:
    """``1.2 ± 0.2 steps too dark``."""
    return f"{abs(steps):.1f} ± {max(0.1, uncertainty):.1f} steps too {'dark' if steps < 0 else 'light'}"


def area_within(area_cm2: float, uncertainty_cm2: float) -> str:
    """``14 ± 2 cm²``, or ``3.2 ± 0.8 cm²`` where it is small."""
    digits = 0 if area_cm2 >= 10 else 1
    return f"{area_cm2:.{digits}f} ± {max(10.0**-digits, uncertainty_cm2):.{digits}f} cm²"


def area(area_cm2: float) -> str:
    """``14 cm²`` or ``3.2 cm²``."""
    return f"{area_cm2:.0f} cm²" if area_cm2 >= 10 else f"{area_cm2:.1f} cm²"


def length(mm: float) -> str:
    """``8 mm``, or ``3.5 cm`` and ``24 cm`` where it is longer."""
    if mm < 10:
        return f"{mm:.0f} mm"
    return f"{mm / 10:.1f} cm" if mm < 100 else f"{mm / 10:.0f} cm"


def _sideways(mm: float, negative: str, positive: str) -> str:
    if abs(mm) < SAME_MM:
        return _IN_PLACE
    return f"{abs(mm):.1f} mm {positive if mm > 0 else negative}"


def _third(position_mm: float, side_mm: float) -> int:
    return min(2, max(0, int(3 * position_mm / side_mm)))
