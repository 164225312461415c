"""What the value question asks of a picture: the plan it is seen in, the keying, and what is beyond the reach.

Plain requests and pure functions, for a worker thread; what computes is imported where it is used.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.values.settings import PaintReach, Values

if TYPE_CHECKING:
    from core.value.keying import KeyingCurve
    from core.value.steps import Steps

Map = NDArray[np.float32]
Pixels = NDArray[np.uint8]

_TOLD_PIXELS = 400_000
"""The keying curve is taken from about so many pixels of a larger picture."""
_APART_SHARE = 1 / 90
"""The lines that show what is beyond the reach lie this share of the picture's width apart."""


@dataclass(frozen=True)
class PlanKey:
    """``boundaries`` between the steps; with ``at_middles`` each is shown at the middle of its range, as equal steps
    are. ``alone``: the one step that is shown."""

    boundaries: tuple[float, ...]
    at_middles: bool
    smallest_mm2: float
    alone: int | None = None


@dataclass(frozen=True)
class KeyedKey:
    """``keying``: the name of a :class:`core.value.keying.Keying`; the reach it is keyed into."""

    keying: str
    darkest: float
    lightest: float

    def curve(self, value: Map) -> "KeyingCurve":
        """The curve for a reference of these values ``(H, W)``."""
        from core.value.keying import Keying, keying_curve
        from core.value.reach import Reach

        every = max(1, int(np.sqrt(value.size / _TOLD_PIXELS)))
        return keying_curve(value[::every, ::every], Reach(self.darkest, self.lightest), Keying(self.keying))


def plan_steps(value: Map, plan: PlanKey, *, px_per_mm: float, squint_mm: float) -> "Steps":
    """``value`` ``(H, W)`` Munsell value in the steps of the plan."""
    from core.value.steps import steps_between, value_steps

    settings = {"px_per_mm": px_per_mm, "smallest_mm2": plan.smallest_mm2, "squint_mm": squint_mm}
    if plan.at_middles:
        return value_steps(value, len(plan.boundaries) + 1, **settings)
    return steps_between(value, np.array(plan.boundaries), **settings)


def plan_picture(steps: "Steps", plan: PlanKey) -> Pixels:
    """All steps as flat greys, or the one that is wanted alone."""
    from core.value.steps import one_step_picture, steps_picture

    return steps_picture(steps) if plan.alone is None else one_step_picture(steps, plan.alone)


def keyed(linear: Map, value: Map, key: KeyedKey) -> Map:
    """Linear light ``(H, W, 3)`` of these values, keyed."""
    from core.value.keying import keyed_linear

    return keyed_linear(linear, key.curve(value))


def underpainted(value: Map, earth: str) -> Pixels:
    """``value`` ``(H, W)`` in tints of an earth, by its name."""
    from core.tone import strips
    from core.value.underpainting import earth_named, underpainting

    painted = np.empty((*value.shape, 3), np.uint8)
    for rows in strips(value.shape):
        painted[rows] = underpainting(value[rows], earth_named(earth))
    return painted


def hatched(codes: Pixels, value: Map, darkest: float, lightest: float) -> Pixels:
    """A picture, grey ``(H, W)`` or in colour, with lines over all that is beyond the reach: light ones that rise where
    it is too dark, dark ones that fall where it is too light."""
    from core.tone import strips
    from core.value.reach import Reach, beyond

    apart = max(4, round(value.shape[1] * _APART_SHARE))
    thick, drawn = max(1, apart // 4), codes.copy()
    column = np.arange(value.shape[1], dtype=np.int32)[None, :]
    for rows in strips(value.shape):
        found = beyond(value[rows], Reach(darkest, lightest))
        row, part = np.arange(rows.start, rows.stop, dtype=np.int32)[:, None], drawn[rows]
        for where, way, line, rim in (
            (found.too_dark, column + row, 235, 20),
            (found.too_light, column - row, 20, 235),
        ):
            if where.any():
                along = way % apart
                part[where & (along < 2 * thick)] = rim
                part[where & (along < thick)] = line
    return drawn


def greys_of(levels: Any) -> tuple[int, ...]:
    """sRGB codes of neutral greys of these Munsell values."""
    from core.colorimetry import encode_srgb, luminance_of_value

    return tuple(
        np.rint(255 * encode_srgb(luminance_of_value(np.asarray(levels, dtype=np.float64)))).astype(int).tolist()
    )


def reach_of(values: Values) -> PaintReach:
    """The reach that is kept, or that of oil paint."""
    if values.reach is not None:
        return values.reach
    from core.value.reach import OIL

    return PaintReach(OIL.darkest, OIL.lightest, OIL.uncertainty)


def keyed_key(values: Values) -> KeyedKey | None:
    """None while the reference hangs as it is."""
    if not values.is_keyed:
        return None
    reach = reach_of(values)
    return KeyedKey(values.keying, reach.darkest, reach.lightest)
