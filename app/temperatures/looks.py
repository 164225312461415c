"""What the temperature question asks of a picture: how its warmth is shown.

Plain requests and pure functions, for a worker thread; what computes is imported where it is used.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from app.temperatures.kept import NOTHING_BRUSHED, Brushwork
from app.temperatures.settings import Temperatures
from app.view import Look

if TYPE_CHECKING:
    from core.temperature.families import Families
    from core.temperature.neutral import Balance

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Pixels = NDArray[np.uint8]

_FAMILIES_PX_PER_MM = 1.0
"""Passages of light and shadow are far larger: the families are found with about so many pixels."""


@dataclass(frozen=True, eq=False)
class Hidden:
    """Places of a canvas laid flat that cannot be judged: ``mask`` ``(h, w)`` over the whole of it."""

    mask: Mask

    def on(self, shape: tuple[int, ...]) -> Mask:
        """The same for a picture ``(H, W)`` of the whole canvas."""
        return self.part(shape, np.s_[:, :])

    def part(self, shape: tuple[int, ...], part: tuple[slice, slice]) -> Mask:
        """The same for a part of it."""
        rows, columns = (np.arange(n)[s] * m // n for n, m, s in zip(shape, self.mask.shape, part, strict=True))
        return np.asarray(self.mask[np.ix_(rows, columns)])


class WarmKey(Protocol):
    """How a picture is shown; it can be hashed, so that each picture is made once."""

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        """sRGB ``(H, W, 3)`` of linear light ``(H, W, 3)``."""


@dataclass(frozen=True)
class WarmthKey:
    """Warmth against the surround. ``balance`` None: that of the photograph, which is not known."""

    surround_mm: float
    strength: float
    balance: "Balance | None" = None
    hidden: Hidden | None = None

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        from core.temperature.around import relative_and_doubt
        from core.temperature.picture import warmth_picture

        balance = known(self.balance)
        relative, doubt = relative_and_doubt(
            balance.apply(linear), balance, self.surround_mm, px_per_mm=px_per_mm, withheld=_on(self.hidden, linear)
        )
        return warmth_picture(relative, uncertainty=doubt, strength=self.strength)


@dataclass(frozen=True)
class LeanKey:
    """Which way near-neutrals lean."""

    factor: float
    whole: bool
    balance: "Balance | None" = None

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        from core.temperature.picture import NEUTRAL_CHROMA, lean_picture

        below = None if self.whole else NEUTRAL_CHROMA
        return lean_picture(known(self.balance).apply(linear), factor=self.factor, below_chroma=below)


@dataclass(frozen=True)
class FamiliesKey:
    """Light and shadow in two greys, parted at ``boundary``, or where it is found; ``brushwork`` counts before that."""

    boundary: float | None
    balance: "Balance | None" = None
    hidden: Hidden | None = None
    brushwork: Brushwork = NOTHING_BRUSHED

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        from core.temperature.picture import families_picture

        every = thinned(px_per_mm)
        small = np.ascontiguousarray(linear[::every, ::every])
        found = self.families(small, px_per_mm / every)
        hidden = _on(self.hidden, small)
        seen = np.asarray(np.isfinite(small).all(axis=2))
        if hidden is not None:
            seen &= ~hidden
        drawn = families_picture(found.in_light, seen)
        wide = np.repeat(np.repeat(drawn, every, axis=0), every, axis=1)
        return np.ascontiguousarray(wide[: linear.shape[0], : linear.shape[1]])

    def families(self, linear: Map, px_per_mm: float) -> "Families":
        """The two families of linear light ``(H, W, 3)``, thinned by :func:`thinned`."""
        from core.temperature.families import families_of
        from core.temperature.strokes import overrides_of

        height, width = linear.shape[:2]
        balance = known(self.balance)
        return families_of(
            balance.apply(linear),
            px_per_mm=px_per_mm,
            boundary=self.boundary,
            overrides=overrides_of(self.brushwork.strokes, (height, width), px_per_mm=px_per_mm),
            withheld=_on(self.hidden, linear),
            balance=balance,
        )


def thinned(px_per_mm: float) -> int:
    """Every so-manieth pixel is enough for the families."""
    return max(1, int(px_per_mm / _FAMILIES_PX_PER_MM))


def known(balance: "Balance | None") -> "Balance":
    from core.temperature.neutral import UNBALANCED

    return UNBALANCED if balance is None else balance


@dataclass(frozen=True)
class Warm:
    """What the warmth of one picture is shown by: its white ``balance``, None where it is not known, what of it cannot
    be judged, and what was brushed into the light or the shadow."""

    balance: "Balance | None" = None
    hidden: Hidden | None = None
    brushwork: Brushwork = NOTHING_BRUSHED

    def warmth_key(self, settings: Temperatures) -> WarmthKey:
        return WarmthKey(settings.surround_mm, settings.strength, self.balance, self.hidden)

    def lean_key(self, settings: Temperatures) -> LeanKey:
        return LeanKey(settings.factor, settings.whole, self.balance)

    def families_key(self, settings: Temperatures) -> FamiliesKey:
        return FamiliesKey(settings.boundary, self.balance, self.hidden, self.brushwork)

    def key(self, settings: Temperatures, look: Look) -> WarmKey | None:
        """None for looks of other questions."""
        make = _KEYS.get(look)
        return None if make is None else make(self, settings)


_KEYS: dict[Look, Callable[[Warm, Temperatures], WarmKey]] = {
    Look.WARMTH: Warm.warmth_key,
    Look.LEAN: Warm.lean_key,
    Look.FAMILIES: Warm.families_key,
}
WARM_LOOKS = frozenset(_KEYS)


def _on(hidden: Hidden | None, linear: NDArray[Any]) -> Mask | None:
    return None if hidden is None else hidden.on(linear.shape[:2])
