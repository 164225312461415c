"""The looks of the edge question: how a reference is shown. Requests for a worker thread, which can be hashed."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.edge.brief import EyeSettings, FocalPoint

Map = NDArray[np.float32]
Pixels = NDArray[np.uint8]


class EdgeKey(Protocol):
    """How a picture is shown; it can be hashed, so that each picture is made once."""

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        """sRGB ``(H, W, 3)``, or grey ``(H, W)``, of linear light ``(H, W, 3)``."""


@dataclass(frozen=True)
class FadedKey:
    """In light greys, as the ground of the plan."""

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        from core.edge.picture import faded
        from core.tone import grey_of_linear

        return faded(grey_of_linear(linear))


@dataclass(frozen=True)
class SeenKey:
    """As the eye sees it that rests at the focal points."""

    foci: tuple[FocalPoint, ...]
    eye: EyeSettings

    def picture(self, linear: Map, px_per_mm: float) -> Pixels:
        from core.edge.eye import as_seen
        from core.tone import display_of_linear

        return display_of_linear(as_seen(linear, self.foci, self.eye, px_per_mm=px_per_mm))
