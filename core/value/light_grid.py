"""The canvas photo and the reference seen coarsely: what the light is judged on."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.colorimetry import D1535, LUMINANCE, munsell_value

Floats = NDArray[np.float64]
Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

CELLS = 40
"""Cells along the long side. Light is far smoother, brush marks and what drift is left are finer."""
FULL = 0.985
"""Linear light from which a channel may be clipped."""
EDGE_MM = 1.5
"""The outermost strip of a canvas laid flat may hold what stands behind it."""
_DARKEST = 1e-4


@dataclass(frozen=True)
class CoarseView:
    """Means over square cells, ``(h, w)`` or ``(h, w, 3)``, of the parts that can be judged.

    ``canvas``, ``reference``: linear light. ``known``: bool. ``edges``: how strongly the reference changes, in
    natural logarithms of luminance per mm (a form out of place shows there).
    """

    canvas: Floats
    reference: Floats
    known: Mask
    edges: Floats

    @property
    def shape(self) -> tuple[int, int]:
        return int(self.known.shape[0]), int(self.known.shape[1])


def grid_shape(flat: Flat, cells: int = CELLS) -> tuple[int, int]:
    """Rows and columns of the grid with about ``cells`` square cells along the long side of the canvas."""
    cell = max(flat.size.width_mm, flat.size.height_mm) / cells
    return max(4, round(flat.size.height_mm / cell)), max(4, round(flat.size.width_mm / cell))


def judged(flat: Flat, withheld: Mask | None) -> NDArray[np.uint8]:
    """255 where the photo shows paint that can be judged, else 0: not clipped, seen, not withheld, not at the rim."""
    usable = ~clipped(flat.linear)
    if flat.seen is not None:
        usable &= flat.seen
    if withheld is not None:
        usable &= ~withheld
    rim = round(EDGE_MM * flat.px_per_mm)
    if rim:
        usable[:rim] = usable[-rim:] = False
        usable[:, :rim] = usable[:, -rim:] = False
    return usable.view(np.uint8) * np.uint8(255)


def clipped(linear: Map) -> Mask:
    """``(H, W)`` bool: where some channel of ``(H, W, 3)`` linear light is as full as the camera can tell."""
    return np.asarray(cv2.inRange(linear, (-np.inf,) * 3, (FULL,) * 3) == 0)


def cell_means(picture: Map, mask: NDArray[np.uint8], shape: tuple[int, int]) -> tuple[Floats, Floats]:
    """Mean of ``picture`` over what the mask holds of every cell, ``(h, w, 3)``, and the share of it that is held."""
    size = shape[::-1]
    share = cv2.resize(mask.astype(np.float32), size, interpolation=cv2.INTER_AREA) / np.float32(255)
    total = cv2.resize(cv2.copyTo(picture, mask), size, interpolation=cv2.INTER_AREA)
    return np.asarray(total / np.maximum(share, 1e-6)[..., None], dtype=np.float64), np.asarray(share, np.float64)


def coarse_view(canvas: Flat, reference: Flat, *, withheld: Mask | None = None) -> CoarseView:
    """Both pictures on the grid of :func:`grid_shape`. ValueError when they differ in shape."""
    if canvas.linear.shape != reference.linear.shape:
        raise ValueError(f"canvas and reference differ in shape: {canvas.linear.shape}, {reference.linear.shape}")
    shape = grid_shape(canvas)
    weight = judged(canvas, withheld)
    photo, share = cell_means(canvas.linear, weight, shape)
    wanted, _ = cell_means(reference.linear, weight, shape)
    return CoarseView(np.maximum(photo, _DARKEST), np.maximum(wanted, _DARKEST), share > 0.4, _edges(reference, shape))


def value_per_log(y: Floats) -> Floats:
    """Munsell steps for one natural logarithm of luminance ``y`` (0-1): the slope of ASTM D1535."""
    slope = np.polynomial.polynomial.polyval(munsell_value(y), D1535[1:] * np.arange(1, 6)) / 100
    return np.asarray(y / np.maximum(slope, 1e-6))


def _edges(reference: Flat, shape: tuple[int, int]) -> Floats:
    """Root mean square gradient of the logarithm of luminance, per mm, on a picture of about 1 px/mm."""
    factor = min(1.0, 1.0 / reference.px_per_mm)
    small = cv2.resize(reference.linear, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    log = np.log(np.maximum(small @ LUMINANCE.astype(np.float32), 1e-3))
    per_mm = reference.px_per_mm * factor
    across = cv2.Sobel(log, cv2.CV_32F, 1, 0, scale=per_mm / 8, borderType=cv2.BORDER_REPLICATE)
    down = cv2.Sobel(log, cv2.CV_32F, 0, 1, scale=per_mm / 8, borderType=cv2.BORDER_REPLICATE)
    mean = cv2.resize(across**2 + down**2, shape[::-1], interpolation=cv2.INTER_AREA)
    return np.sqrt(np.asarray(mean, dtype=np.float64))
