"""What a check found of the temperatures, kept with it in numbers, words and outlines."""

import json
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.picture import Picture
from app.prints import Print
from app.wall.mapping import Mapping
from core.size import Size
from core.words import area_within, as_share

if TYPE_CHECKING:
    from core.check import CheckResult

Map = NDArray[np.float32]

MAP = "warmth_difference"
"""Its name in check.npz."""
_PICTURE_PX = 1200
"""Of the shorter side."""


@dataclass(frozen=True, eq=False)
class WarmPassage:
    """A passage too warm or too cool. ``amount``: T, canvas minus reference; ``outline_mm`` ``(n, 2)``, closed."""

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    amount: float
    say: str
    outline_mm: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WarmthFound:
    """``passages``, the heaviest first. ``within``: how much of the canvas is right, in a sentence; ``notes``: what
    else is to be said. ``uncertainty``: plus or minus of the difference, T, nine times in ten. ``balance_known``:
    whether the white balance of the canvas photo is known by a grey, a chart or a blank. ``refused``: why there is no
    answer, in a sentence; then there is nothing else. ``light_from``: ``blank``, ``card`` or ``fit``, as in
    check.json."""

    passages: tuple[WarmPassage, ...] = ()
    within: str = ""
    notes: tuple[str, ...] = ()
    uncertainty: float = 1.0
    balance_known: bool = False
    refused: str = ""
    light_from: str = ""


def keep_warmth(result: "CheckResult") -> dict[str, Any]:
    """The answer of a check as plain data."""
    if result.warmth is None:
        return {"refused": result.warmth_refused}
    from core.mend import passage_place

    found = result.warmth.comparison
    passages = []
    for part in found.passages:
        where = passage_place(part, result.drift.landmarks, result.size)
        area = area_within(part.area_cm2, part.area_uncertainty_cm2)
        passages.append(
            {
                "x_mm": round(part.x_mm, 1),
                "y_mm": round(part.y_mm, 1),
                "area_cm2": round(part.area_cm2, 2),
                "amount": round(part.amount, 2),
                "say": f"{where[:1].upper()}{where[1:]}, {area}: {part.say()}.",
                "outline": np.round(part.outline_mm, 1).tolist(),
            }
        )
    told = f"{as_share(found.share_within)} of the canvas is the same as the reference, or only a touch off."
    return {
        "passages": passages,
        "within": f"{told} Each difference is good to ± {max(1.0, found.uncertainty):.0f}.",
        "notes": list(found.notes),
        "uncertainty": round(found.uncertainty, 3),
        "balance_known": found.balance_known,
        "light_from": result.light.source,
    }


def read_warmth(text: str) -> WarmthFound | None:
    """The answer of a stored check; None when the check is older than the question, or it cannot be read."""
    try:
        data = json.loads(text)["warmth"]
        if data.get("refused"):
            return WarmthFound(refused=str(data["refused"]))
        uncertainty = float(data["uncertainty"])
        if not math.isfinite(uncertainty):
            return None
        return WarmthFound(
            passages=tuple(_passage(number, each) for number, each in enumerate(data["passages"], start=1)),
            within=str(data["within"]),
            notes=tuple(map(str, data["notes"])),
            uncertainty=uncertainty,
            balance_known=bool(data["balance_known"]),
            light_from=str(data.get("light_from", "")),
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def difference_picture(found: Map | None, size: Size, uncertainty: float) -> Print | None:
    """Where the canvas is too warm or too cool, each mm of the map several pixels wide, so that hatching is fine."""
    if found is None:
        return None
    from core.temperature.picture import warmth_picture

    times = max(1, round(_PICTURE_PX / min(found.shape)))
    wide = np.repeat(np.repeat(found, times, axis=0), times, axis=1)
    drawn = warmth_picture(wide, uncertainty=uncertainty)
    return Print(Picture.from_srgb(drawn), Mapping.flat(wide.shape[1] / size.width_mm))


def _passage(number: int, data: dict[str, Any]) -> WarmPassage:
    outline = np.asarray(data["outline"], dtype=np.float64).reshape(-1, 2)
    x, y, area, amount = (float(data[name]) for name in ("x_mm", "y_mm", "area_cm2", "amount"))
    if len(outline) < 3 or not (np.isfinite(outline).all() and all(map(math.isfinite, (x, y, area, amount)))):
        raise ValueError("no passage")
    return WarmPassage(number, x, y, area, amount, str(data["say"]), outline)
