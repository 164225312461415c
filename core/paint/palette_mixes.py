"""Many mixtures of the same tubes at once, as strings and the palette map ask for them.

One at a time through :func:`core.paint.paint.predict`, 10 000 mixtures of 12 tubes take 1.5 s; together 0.03 s.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import lab_from_xyz, munsell_value
from core.errors import PaintError
from core.paint.paint import Paint
from core.paint.spectrum import weights, white_of
from core.paint.tubes import Tube, UnknownTubeError, no_tube

Floats = NDArray[np.float64]

_AT_ONCE = 20_000


class Slab:
    """Some tubes laid out in a fixed order, to be mixed in any shares; ``shares`` ``(…, n)`` are by mass, in any unit,
    from 0 up and not all 0.

    Raises PaintError where there is no tube, or two and more of which the strength of one is not known.
    """

    def __init__(self, tubes: Sequence[Tube]) -> None:
        if not tubes:
            raise PaintError("There is no tube to mix from. Name at least one.")
        unknown = [tube.name for tube in tubes if not tube.paint.strength_known]
        if unknown and len(tubes) > 1:
            raise PaintError(
                f"How strong “{unknown[0]}” is in a mixture is not known. Add a sample of it mixed with white."
            )
        self.tubes = tuple(tubes)
        paints = [tube.paint for tube in tubes]
        self._k, self._s, self._k1 = (_rows(paints, name) for name in ("k", "s", "k1"))
        self._k2 = np.array([paint.k2 for paint in paints])

    def reflectance(self, shares: ArrayLike) -> Floats:
        """``(…, 36)``, 0-1, of thick layers: as :func:`core.paint.paint.predict`, for many mixtures."""
        parts = np.asarray(shares, dtype=np.float64)
        parts = parts / parts.sum(axis=-1, keepdims=True)
        k, s = parts @ self._k, parts @ self._s
        k1 = np.where(s > 0, parts @ (self._s * self._k1) / np.where(s > 0, s, 1.0), parts @ self._k1)
        within = s / (k + s + np.sqrt(k * (k + 2.0 * s)))
        k2 = (parts @ self._k2)[..., None]
        return np.asarray(k1 + (1.0 - k1) * (1.0 - k2) * within / (1.0 - k2 * within))

    def xyz(self, shares: ArrayLike) -> Floats:
        """CIE XYZ ``(…, 3)`` under D65, Y of the perfect diffuser 1."""
        return np.asarray(self.reflectance(shares) @ weights("D65"))

    def lab(self, shares: ArrayLike) -> Floats:
        """CIELAB ``(…, 3)`` under D65."""
        parts = np.asarray(shares, dtype=np.float64)
        flat = parts.reshape(-1, parts.shape[-1])
        found = np.empty((len(flat), 3))
        for first in range(0, len(flat), _AT_ONCE):
            some = slice(first, first + _AT_ONCE)
            found[some] = lab_from_xyz(self.xyz(flat[some]), white_of("D65"))
        return found.reshape((*parts.shape[:-1], 3))

    def value(self, shares: ArrayLike) -> Floats:
        """Munsell value ``(…)``."""
        return munsell_value(self.xyz(shares)[..., 1])


def shares_of(mix: Mapping[str, float], tubes: Sequence[Tube], what: str = "mix") -> Floats:
    """``(n,)`` in the order of the tubes, adding to 1. Raises PaintError for a stranger, or parts that are none."""
    names = [tube.name for tube in tubes]
    strangers = [name for name in mix if name not in names]
    if strangers:
        raise UnknownTubeError(no_tube(strangers[0], names).replace(" here.", f" for the {what}.", 1))
    parts = np.array([mix.get(name, 0.0) for name in names], dtype=np.float64)
    if not np.all(np.isfinite(parts) & (parts >= 0)):
        raise PaintError(f"Parts of the {what} are numbers from 0 up. Correct the ones that are not.")
    if parts.sum() <= 0:
        raise PaintError(f"The {what} needs at least one tube with more than 0 parts.")
    return np.asarray(parts / parts.sum())


def _rows(paints: Sequence[Paint], name: str) -> Floats:
    return np.stack([np.asarray(getattr(paint, name), dtype=np.float64) for paint in paints])
