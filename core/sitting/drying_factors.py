"""What makes oil dry sooner or later, as factors on the time until it is dry to the touch: one table, with sources.

The time is taken as log-normal: each cause multiplies it by ``times`` and adds a spread of its own, so that logarithms
add and their spreads add in squares. Published are the three classes (2, 5 and more than 5 days, in all 2 to 12) and
that four siennas took 23 to 67 hours; a thin layer and a usual one lie on either side of the thin film that these are
for. What the classes leave open is filled by common practice or from memory, and says so.
"""

import math
from dataclasses import dataclass
from itertools import chain

from core.errors import PaintError
from core.sitting.drying_classes import HANDBOOKS, MEMORY, DryingClass, PigmentDrying, pigment_drying
from core.sitting.layer import Ground, Layer, Medium, Room, Thickness

PRACTICE = "common practice, no source"
OURS = "ours, no source"


@dataclass(frozen=True)
class Factor:
    """``times``: what the days are multiplied by; that of a pigment class is the days themselves. ``spread``: one
    standard deviation of its natural logarithm. ``source``: where it stands, or that it does not."""

    what: str
    times: float
    spread: float
    source: str


TUBE = Factor(
    "from tube to tube", 1.0, 0.35, "four siennas, 23 to 67 hours: 0.52 at most, with raw and burnt among them; rounded"
)
"""ln(67 / 23) is 2.06 standard deviations of four draws, so 0.52 each; a part of that is raw against burnt."""
CLASSES = {
    DryingClass.FAST: Factor("fast pigments", 2.0, TUBE.spread, f"about 2 days: {HANDBOOKS}"),
    DryingClass.MEDIUM: Factor("medium pigments", 5.0, TUBE.spread, f"about 5 days: {HANDBOOKS}"),
    DryingClass.SLOW: Factor("slow pigments", 7.75, TUBE.spread, f"5 to 12 days, their middle: {HANDBOOKS}"),
}
UNTOLD = Factor("pigments that are not known", 4.9, 0.61, f"2 to 12 days, 10 to 90 % of all: {HANDBOOKS}")
MEDIA = {
    Medium.SOLVENT: Factor("thinned with solvent", 0.8, 0.2, PRACTICE),
    Medium.STRAIGHT: Factor("straight from the tube", 1.0, 0.0, "what the classes are for"),
    Medium.LITTLE_OIL: Factor("a little oil", 1.25, 0.15, PRACTICE),
    Medium.MORE_OIL: Factor("more oil", 1.6, 0.25, PRACTICE),
    Medium.ALKYD: Factor("alkyd medium", 0.2, 0.35, f"about a day instead of five: {MEMORY}, makers' guides"),
}
DAMPED = 0.5
"""In alkyd the pigment counts by the root of its days only, for the resin has driers of its own (ours, no source)."""
THICKNESSES = {
    Thickness.THIN: Factor("thin", 0.85, 0.2, OURS),
    Thickness.USUAL: Factor("of usual thickness", 1.2, 0.2, OURS),
    Thickness.THICK: Factor(
        "thick", 3.0, 0.45, f"about as the thickness, {MEMORY}; sources differ, from hardly (a skin) to its square"
    ),
}
GROUNDS = {
    Ground.ACRYLIC: Factor("on acrylic ground, which drinks a little", 0.9, 0.1, PRACTICE),
    Ground.OIL: Factor("on oil ground", 1.0, 0.1, PRACTICE),
    Ground.CHALK: Factor("on chalk ground, which drinks oil", 0.75, 0.25, PRACTICE),
}
COLDER = Factor("10 °C colder", 2.0, 0.27, f"rule of thumb, {MEMORY}: 1.5 to 3 times, 10 to 90 %")
DAMPER = Factor("100 % damper air instead of 50 %", 1.65, 0.25, f"{MEMORY}; sources differ on how much")
DRIER = Factor("0 % instead of 50 %", 0.8, 0.25, f"{MEMORY}; sources differ on how much")
BETWEEN = Factor(
    "pigments together", 1.0, 1 / math.sqrt(12), "half-way from their mean to the slowest, even odds: ours, no source"
)
"""A little of a drier hastens a whole mixture, but the layer is dry when its slowest passage is: somewhere between the
mean of all (mixed through) and the slowest alone (laid side by side). The spread is a share of that way."""
TEMPERATURES, TOLD_TEMPERATURES = (-20.0, 50.0), (5.0, 35.0)


def factors_of(layer: Layer, room: Room, ground: Ground | None) -> tuple[Factor, ...]:
    """Everything that counts for a layer, the pigments first. ``ground``: what the layer lies on, None on dry paint.

    PaintError where the room's temperature or humidity cannot be.
    """
    check_room(room)
    rest = (MEDIA[layer.medium], THICKNESSES[layer.thickness], _warmth(room.temperature_c), _damp(room.humidity))
    under = () if ground is None else (GROUNDS[ground],)
    return tuple(each for each in chain([pigments_of(layer)], rest, under) if each.times != 1.0 or each.spread > 0.0)


def pigments_of(layer: Layer) -> Factor:
    """The days that the layer's pigments ask for, in a thin film, before anything else counts."""
    each = [_pigment(pigment_drying(name)) for name in dict.fromkeys(layer.pigments)] or [UNTOLD]
    logs = [math.log(one.times) for one in each]
    mean, slowest = sum(logs) / len(logs), max(logs)
    middle = (mean + slowest) / 2
    spread = math.hypot(max(one.spread for one in each), BETWEEN.spread * (slowest - mean))
    what = each[0].what if len({one.what for one in each}) == 1 else "pigments together"
    source = "; ".join(dict.fromkeys(part for one in each for part in one.source.split("; ")))
    if layer.medium is Medium.ALKYD:
        usual = math.log(CLASSES[DryingClass.MEDIUM].times)
        middle, spread = usual + DAMPED * (middle - usual), DAMPED * spread
    return Factor(what, math.exp(middle), spread, source)


def check_room(room: Room) -> None:
    """PaintError where the temperature is not -20 to 50 °C, or the humidity not 0 to 100 %."""
    low, high = TEMPERATURES
    if not low <= room.temperature_c <= high:
        raise PaintError(f"A room of {room.temperature_c:g} °C cannot be. Give the temperature in degrees Celsius.")
    if not 0.0 <= room.humidity <= 100.0:
        raise PaintError(f"A humidity of {room.humidity:g} % cannot be. Give it in per cent, from 0 to 100.")


def _pigment(known: PigmentDrying | None) -> Factor:
    """Where sources differ, half the way between the two classes is a spread of its own."""
    if known is None:
        return UNTOLD
    told = CLASSES[known.drying]
    if known.other is None:
        return told
    apart = abs(math.log(CLASSES[known.other].times / told.times)) / 2
    return Factor(told.what, told.times, math.hypot(told.spread, apart), f"{told.source}; others have {known.other}")


def _warmth(temperature_c: float) -> Factor:
    colder = (20.0 - temperature_c) / 10.0
    return Factor(f"at {temperature_c:g} °C", COLDER.times**colder, COLDER.spread * abs(colder), COLDER.source)


def _damp(humidity: float) -> Factor:
    off = abs(humidity - 50.0) / 50.0
    end = DAMPER if humidity > 50.0 else DRIER
    return Factor(f"at {humidity:g} % humidity", end.times**off, end.spread * off, end.source)
