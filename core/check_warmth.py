"""The temperature question of one check: where the canvas is too warm or too cool, and its two families.

It hinders nothing: where the reference has no colour, or the canvas none yet, that is said and the check goes on
without it.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.errors import PainterError
from core.temperature.compare import WarmthComparison, compare_warmth
from core.temperature.families import Families, families_of
from core.temperature.neutral import BY_LIGHT, UNBALANCED, Balance

Mask = NDArray[np.bool_]

_FAMILIES_PX_PER_MM = 1.0
"""Passages of light and shadow are far larger."""
_RIM_MM = 1.5
"""The outermost strip of a canvas laid flat may hold what stands behind it."""
_KNOWN, _FITTED = 1.0, 1.5
"""T, nine times in ten, that the colour of the light may be off by, from a known grey and by a fit; ours."""


@dataclass(frozen=True, eq=False)
class CheckedWarmth:
    """``comparison``, and the light and shadow families of the ``reference`` and of the ``canvas``."""

    comparison: WarmthComparison
    reference: Families
    canvas: Families

    @property
    def certainty(self) -> str:
        """How sure it is, in a sentence."""
        sure = max(1.0, self.comparison.uncertainty)
        return f"Temperature: each passage against what lies round it, in units of CIELAB; good to ± {sure:.0f}."


def warmth_of_check(
    reference: Flat, moved: Flat, canvas: Flat, *, withheld: Mask, balance_known: bool
) -> tuple[CheckedWarmth | None, tuple[str, ...]]:
    """The answer and sentences about it; None when the ``reference`` has no colour, or the canvas none of its colours.

    ``moved``: the reference where the painting has its forms; ``canvas``: its light taken out. All on the same pixels.
    ``balance_known``: whether the light's colour is known by a grey, a chart or a blank, not only fitted.
    """
    withheld = _with_rim(withheld, canvas.px_per_mm)
    try:
        comparison = compare_warmth(
            reference.linear,
            canvas.linear,
            px_per_mm=canvas.px_per_mm,
            moved_reference_linear=moved.linear,
            withheld=withheld,
            uncertainty=_KNOWN if balance_known else _FITTED,
            balance_known=balance_known,
        )
    except PainterError as grey:
        return None, (str(grey),)
    families = [
        _families(flat, hidden, balance)
        for flat, hidden, balance in (
            (reference, np.zeros_like(withheld), UNBALANCED),
            (canvas, withheld, BY_LIGHT if balance_known else UNBALANCED),
        )
    ]
    return CheckedWarmth(comparison, *families), comparison.notes


def _with_rim(withheld: Mask, px_per_mm: float) -> Mask:
    rim = max(1, round(_RIM_MM * px_per_mm))
    hidden = np.ones_like(withheld)
    hidden[rim:-rim, rim:-rim] = withheld[rim:-rim, rim:-rim]
    return hidden


def _families(flat: Flat, withheld: Mask, balance: Balance) -> Families:
    share = min(1.0, _FAMILIES_PX_PER_MM / flat.px_per_mm)
    height, width = withheld.shape
    size = (max(1, round(width * share)), max(1, round(height * share)))
    small = np.asarray(cv2.resize(flat.linear, size, interpolation=cv2.INTER_AREA))
    hidden = cv2.resize(withheld.astype(np.float32), size, interpolation=cv2.INTER_AREA) > 0.1
    return families_of(small, px_per_mm=flat.px_per_mm * share, withheld=hidden, balance=balance)
