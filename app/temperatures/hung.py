"""The looks of the temperature question as they hang: their titles and their legends."""

import math
from typing import TYPE_CHECKING

from PySide6.QtGui import QColor

from app.temperatures.settings import Temperatures
from app.view import Look, View
from app.wall.legend import Legend

if TYPE_CHECKING:
    from core.temperature.picture import Entry

_AGAINST = {
    Look.WARMTH: "Cooler (−) or warmer (+) than what lies round it",
    Look.WARMTH_DIFFERENCE: "Too cool (−) or too warm (+)",
}


def warm_title(settings: Temperatures) -> dict[Look, str]:
    return {
        Look.WARMTH: "warmth",
        Look.LEAN: f"{'colours' if settings.whole else 'neutrals'} drawn apart × {settings.factor:g}",
        Look.FAMILIES: "light and shadow",
    }


def warm_legend(look: Look, view: View) -> Legend | None:
    """The colours of a look with as few words as fit under them; None of a look that has none."""
    if look not in _AGAINST:
        return None
    stops = tuple((QColor(*rgb), _short(low, high)) for _, rgb, (low, high) in warmth_entries(look, view))
    return Legend(stops, title=_AGAINST[look])


def warmth_entries(look: Look, view: View) -> "list[Entry]":
    """The legend of the warmth picture as it hangs, or of the difference, whose bands are always the same."""
    from core.temperature.picture import difference_legend, legend

    return legend(view.temperatures.strength) if look is Look.WARMTH else difference_legend()


def _short(low: float, high: float) -> str:
    """From where a colour is used."""
    if math.isnan(low):
        return "?"
    if low < 0 < high:
        return "0"
    return f"+{round(low, 1):g}" if low > 0 else f"−{round(-high, 1):g}"
