"""What lies round a place, to be compared with it: as a pin for one place, as a map for a whole picture."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import lab
from core.temperature.neutral import Balance, balance_error
from core.temperature.pins import Pin
from core.temperature.surround import SIZE_MM, Map, Mask, relative_warmth, surround
from core.temperature.warmth import warmth

NAME = "what lies round it"
_PER_SIGMA = 6.0
"""The means of a surround change slowly: so many of them to its sigma are kept."""


@dataclass(frozen=True, eq=False)
class Around:
    """The means of the surround at the points of a grid: T ``warmth`` ``(h, w)`` and linear ``light`` ``(h, w, 3)``,
    NaN where too little of it is known. The first point lies ``first_mm`` right of and below the canvas's corner, the
    next are ``apart_mm`` apart; the canvas is ``size_mm`` wide and high."""

    warmth: Map
    light: Map
    first_mm: float
    apart_mm: float
    size_mm: tuple[float, float]

    def pin(self, x_mm: float, y_mm: float) -> Pin | None:
        """The surround of a point of the canvas, named :data:`NAME`, as what a pin there is compared with; None outside
        and where too little of it is known. Its mean is taken as certain: it is of very many places."""
        width, height = self.size_mm
        if not (0 <= x_mm <= width and 0 <= y_mm <= height):
            return None
        rows, down = _between(y_mm, self.first_mm, self.apart_mm, self.warmth.shape[0])
        columns, across = _between(x_mm, self.first_mm, self.apart_mm, self.warmth.shape[1])
        weights = np.outer((1 - down, down), (1 - across, across))
        part = np.ix_(rows, columns)
        known = np.isfinite(self.warmth[part]) & (weights > 0)
        if not known.any():
            return None
        weights = np.where(known, weights, 0.0) / weights[known].sum()
        told = float((weights * np.nan_to_num(self.warmth[part])).sum())
        light = (weights[..., None] * np.nan_to_num(self.light[part]).astype(np.float64)).sum(axis=(0, 1))
        red, green, blue = light.tolist()
        lightness, a, b = lab(light).tolist()
        return Pin(
            x_mm=float(x_mm),
            y_mm=float(y_mm),
            name=NAME,
            warmth=told,
            uncertainty=0.0,
            light=(red, green, blue),
            lab=(lightness, a, b),
            known=1.0,
        )


def around_of(
    linear: NDArray[Any], size_mm: float = SIZE_MM, *, px_per_mm: float, withheld: Mask | None = None
) -> Around:
    """The surrounds of linear light ``(H, W, 3)`` (balanced; NaN: withheld), of sigma ``size_mm``, as
    :func:`core.temperature.surround.relative_warmth` has them. ValueError unless both sizes are above 0."""
    if not (size_mm > 0 and px_per_mm > 0):
        raise ValueError(f"size_mm and px_per_mm must be above 0, got {size_mm}, {px_per_mm}")
    known = np.isfinite(linear).all(axis=2)
    if withheld is not None:
        known &= ~withheld
    weight, sigma = known.astype(np.float32), size_mm * px_per_mm
    light = np.nan_to_num(np.asarray(linear, dtype=np.float32))
    every = max(1, min(int(sigma / _PER_SIGMA), *known.shape))
    thin = np.s_[every // 2 :: every, every // 2 :: every]
    means = [
        surround(np.ascontiguousarray(part), weight, sigma)[thin] for part in (warmth(light), *np.moveaxis(light, 2, 0))
    ]
    return Around(
        warmth=means[0],
        light=np.stack(means[1:], axis=2),
        first_mm=(every // 2 + 0.5) / px_per_mm,
        apart_mm=every / px_per_mm,
        size_mm=(linear.shape[1] / px_per_mm, linear.shape[0] / px_per_mm),
    )


def _between(at_mm: float, first_mm: float, apart_mm: float, many: int) -> tuple[list[int], float]:
    """The two points of the grid between which a place lies, and how far it is towards the second, 0-1."""
    along = min(max((at_mm - first_mm) / apart_mm, 0.0), many - 1.0)
    one = min(int(along), max(many - 2, 0))
    return [one, min(one + 1, many - 1)], along - one


def relative_and_doubt(
    linear: NDArray[Any], balance: Balance, size_mm: float = SIZE_MM, *, px_per_mm: float, withheld: Mask | None = None
) -> tuple[Map, Map]:
    """T against the surround, and by how much it may be off since the white ``balance`` of ``linear`` (already applied)
    is only so well known, nine times in ten; both ``(H, W)`` float32, NaN where withheld."""
    light = np.asarray(linear, dtype=np.float32)

    def told(of: Map) -> Map:
        return relative_warmth(warmth(of), size_mm, px_per_mm=px_per_mm, withheld=withheld)

    relative = told(light)
    doubt = np.zeros_like(relative)
    if balance.kelvin > 0:
        for off in (-balance.kelvin, balance.kelvin):
            shifted = told(light * balance_error(off).astype(np.float32))
            np.maximum(doubt, np.abs(shifted - relative), out=doubt)
    return relative, doubt
