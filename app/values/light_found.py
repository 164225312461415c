"""The light that a check took out of a canvas photo, kept with the check in numbers, words and one picture."""

import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtGui import QImage

if TYPE_CHECKING:
    from core.check import CheckResult

FIELD = "light-field.png"
_FIELD_PX = 480
_FIGURES_APART = 0.22
"""Of the longer side of the picture, which is small in the panel."""


@dataclass(frozen=True, eq=False)
class LightFound:
    """``exposure_stops`` and ``reach_steps`` as :class:`core.value.light_pictures.LightPictures` has them; ``balance``:
    sRGB codes of a light grey in this light, and ``neutral`` in none. ``words``: of the exposure, the balance and the
    field. ``field``: its picture, None when its file is gone; ``figures`` of its lines: shares of its width and height,
    and what stands there."""

    exposure_stops: float
    stops: tuple[int, int]
    balance: tuple[int, int, int]
    neutral: tuple[int, int, int]
    reach_steps: tuple[float, float]
    words: tuple[str, str, str]
    figures: tuple[tuple[float, float, str], ...]
    field: QImage | None


def keep_light(result: "CheckResult", folder: Path) -> dict[str, Any]:
    """Write the picture of the field to the check's folder; gives the rest as plain data for its stored text.

    Raises PainterError with a sentence when the picture cannot be written.
    """
    from core.check_pictures import as_png
    from core.light_sheet import field_size, neutral_grey, stops_shown
    from core.value.light_pictures import contour_figures, light_pictures
    from core.whole_file import save_bytes

    light = light_pictures(result.light, field_size(result.size, _FIELD_PX, _FIELD_PX))
    save_bytes(folder / FIELD, as_png(light.field))
    figures = contour_figures(light.field_steps, apart=_FIGURES_APART)
    return {
        "exposure_stops": round(light.exposure_stops, 3),
        "stops": list(stops_shown(light.exposure_stops)),
        "balance": [int(code) for code in light.balance],
        "neutral": list(neutral_grey()),
        "reach_steps": [round(each, 3) for each in light.reach_steps],
        "words": list(light.words),
        "figures": [[round(each.x, 4), round(each.y, 4), each.words] for each in figures],
    }


def read_light(text: str, folder: Path) -> LightFound | None:
    """The light of a stored check; None when the check is older than its telling, or it cannot be read."""
    try:
        data = json.loads(text)["light"]
        least, most = (int(each) for each in data["stops"])
        low, high = (float(each) for each in data["reach_steps"])
        exposure, balance, field_words = (str(each) for each in data["words"])
        figures = tuple((float(x), float(y), str(words)) for x, y, words in data["figures"])
        stops = float(data["exposure_stops"])
        numbers = (stops, low, high, *(each for x, y, _ in figures for each in (x, y)))
        if least >= most or not all(map(math.isfinite, numbers)):
            return None
        words = (exposure, balance, field_words)
        colours = _codes(data["balance"]), _codes(data["neutral"])
    except (KeyError, TypeError, ValueError):
        return None
    field = QImage(str(folder / FIELD))
    return LightFound(stops, (least, most), *colours, (low, high), words, figures, None if field.isNull() else field)


def _codes(data: Any) -> tuple[int, int, int]:
    red, green, blue = (min(max(int(each), 0), 255) for each in data)
    return red, green, blue
