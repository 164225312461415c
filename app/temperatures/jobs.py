"""What is read of a picture for the temperature question. Pure functions, for a worker thread; and single places, which
are read at once."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from app.prints import Sheet
from app.temperatures.looks import FamiliesKey, Hidden, Map, known, thinned
from app.wall.pin_marks import Parting
from app.work import Progress
from core.errors import PainterError

if TYPE_CHECKING:
    from core.temperature.around import Around
    from core.temperature.families import Families
    from core.temperature.neutral import Balance, ColourTemperature
    from core.temperature.pins import Pin

_GREY_CANVAS = (
    "The canvas photo has hardly any colour, as a grey underpainting has: its warmth says little until colour is on it."
)


@dataclass(frozen=True, eq=False)
class Parted:
    """The two families of a picture, and the lines that part them."""

    families: "Families"
    parting: Parting


@dataclass(frozen=True, eq=False)
class Neutral:
    """A grey or white that was pointed at: the balance that it gives, and the colour of the light on it as
    photographed. ``trouble``: why it is none, in a sentence; then there is neither."""

    balance: "Balance | None"
    light: "ColourTemperature | None"
    trouble: str = ""


def find_colour(sheet: Sheet, of_reference: bool, progress: Progress) -> str:
    """Empty, or a sentence that says that there is no colour to judge."""
    from core.temperature.monochrome import require_colour

    progress(say="Reading the colours")
    every = max(1, sheet.codes.shape[1] // 400)
    try:
        require_colour(_linear(sheet, every))
    except PainterError as grey:
        return str(grey) if of_reference else _GREY_CANVAS
    return ""


def find_around(
    sheet: Sheet, balance: "Balance | None", surround_mm: float, hidden: Hidden | None, progress: Progress
) -> "Around":
    """The surround of every place."""
    from core.temperature.around import around_of

    progress(say="Reading the temperatures")
    light = known(balance).apply(_linear(sheet, 1))
    mask = None if hidden is None else hidden.on(light.shape[:2])
    return around_of(light, surround_mm, px_per_mm=sheet.mapping.px_per_mm, withheld=mask)


def find_families(sheet: Sheet, key: FamiliesKey, progress: Progress) -> Parted:
    """The light and the shadow family, and the lines between them."""
    from core.value.borders import borders

    progress(say="Finding light and shadow")
    every = thinned(sheet.mapping.px_per_mm)
    px_per_mm = sheet.mapping.px_per_mm / every
    found = key.families(_linear(sheet, every), px_per_mm)
    progress(say="Finding light and shadow")
    lines = tuple(
        np.concatenate([border.points_mm, border.points_mm[:1]]) if border.closed else border.points_mm
        for border in borders(found.in_light, px_per_mm=px_per_mm)
    )
    return Parted(found, Parting(lines))


def read_neutral(sheet: Sheet, as_photographed: Sheet, x_mm: float, y_mm: float, progress: Progress) -> Neutral:
    """The balance by a place of the ``sheet``, its light taken out or not, and the light on it ``as_photographed``."""
    from core.temperature.neutral import colour_temperature, neutral_light

    progress(say="Reading the neutral")
    try:
        balance = balance_at(sheet, x_mm, y_mm)
        light, at = _about(as_photographed, x_mm, y_mm)
        seen = neutral_light(light, *at, px_per_mm=as_photographed.mapping.px_per_mm)
    except PainterError as trouble:
        return Neutral(None, None, str(trouble))
    return Neutral(balance, colour_temperature(seen))


def balance_at(sheet: Sheet, x_mm: float, y_mm: float) -> "Balance":
    """The balance by a place. Raises PainterError with a sentence when it is no neutral to balance by."""
    from core.temperature.neutral import balance_by_neutral

    light, at = _about(sheet, x_mm, y_mm)
    return balance_by_neutral(light, *at, px_per_mm=sheet.mapping.px_per_mm)


def pin_of(
    sheet: Sheet, balance: "Balance", hidden: Hidden | None, x_mm: float, y_mm: float, *, name: str = ""
) -> "Pin | None":
    """What is read at one place; None outside the canvas and where it cannot be judged."""
    from core.temperature.pins import read_pin

    light, at = _about(sheet, x_mm, y_mm)
    if not light.size:
        return None
    mask = None if hidden is None else hidden.part(sheet.codes.shape[:2], _part(sheet, x_mm, y_mm))
    found = read_pin(balance.apply(light), *at, px_per_mm=sheet.mapping.px_per_mm, withheld=mask, name=name)
    return None if found is None else replace(found, x_mm=x_mm, y_mm=y_mm)


def _about(sheet: Sheet, x_mm: float, y_mm: float) -> tuple[Map, tuple[float, float]]:
    """Linear light about a place, and the place in it, mm: only that is turned into light, so that it is quick under
    the pointer. Beside the canvas there is none."""
    from core import tone

    rows, columns = _part(sheet, x_mm, y_mm)
    codes = np.ascontiguousarray(sheet.codes[rows, columns])
    px_per_mm = sheet.mapping.px_per_mm
    at = (x_mm - columns.start / px_per_mm, y_mm - rows.start / px_per_mm)
    return tone.linear_of_codes(codes, sheet.curve) if codes.size else np.zeros((0, 0, 3), np.float32), at


def _part(sheet: Sheet, x_mm: float, y_mm: float) -> tuple[slice, slice]:
    """Rows and columns of all that a pin at a place reads."""
    from core.temperature.pins import RADIUS_MM

    px_per_mm, (height, width) = sheet.mapping.px_per_mm, sheet.codes.shape[:2]
    column, row, reach = (round(mm * px_per_mm) for mm in (x_mm, y_mm, RADIUS_MM))
    reach += 2
    return (
        slice(min(max(row - reach, 0), height), min(max(row + reach, 0), height)),
        slice(min(max(column - reach, 0), width), min(max(column + reach, 0), width)),
    )


def _linear(sheet: Sheet, every: int) -> Map:
    from core import tone

    codes = sheet.codes if every == 1 else np.ascontiguousarray(sheet.codes[::every, ::every])
    return tone.linear_of_codes(codes, sheet.curve)
