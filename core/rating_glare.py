"""Glare in a photo as it was shot: the lamp's own light on wet or varnished paint, which hides the paint under it.

Such a spot is burnt out in the lamp's own colour, wholly within, and fades: a window, a white wall or a white canvas
ends at an edge. Spots of the canvas alone count, or, before its corners are known, of the photo's middle. Where a
reference and corners are given the check's own way tells it, which finds dimmer glare too.

Three ways were measured (``python -m tests.measure.rating glare``) on 19 photos of simulated canvases, 8 of them with
1 to 3 spots, among them four high-key paintings and three bare white canvases, before white walls and windows.
Whatever is burnt out: 8 of 8 found, and 2 of 11 without any called glare, most of a bare canvas. Burnt out wholly and
fading: 7 of 8, none of 11; of those seven 94-100 % of what glare lightens by more than 0.3 (as reflectance), and
87-100 % of what is told is glare. The one missed, 2 % of the canvas, is burnt out in too few places. By the reference:
all of the six it was tried on, and none of six without; its share is wider, since it counts the fading rim.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import homography, project
from core.canvas.lay_flat import lay_flat, reference_flat
from core.photo import Photo
from core.rating_edges import region_mask, small_codes, small_photo
from core.rating_places import where_words
from core.size import Size
from core.value.glare import find_glare

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]

SMALL_PX = 800
_FULL, _WHOLLY_FULL = 243, 252
"""8-bit codes: of the least of the three channels, so that only what is burnt out in the lamp's colour counts."""
_BROKEN_PX = 2
_LEAST_PX = 24
_WHOLLY = 0.5
"""Of a spot so much at least is burnt out wholly: the lamp is many times lighter than white paint."""
_RIM = ((0.25, 1.75), (2.25, 3.75), (7.25, 8.75), (11.25, 12.75))
_LEAST_FALL, _HARD = 0.06, 0.72
_MIDDLE = 0.1
_SKIRT = 1.35
_UNIT = 1000.0
_REFERENCE_PX_PER_MM, _FLAT_PX, _LAID_PX = 1.5, 700, 1000
_LEAST_SHARE, _LEAST_BY_REFERENCE = 0.001, 0.005


@dataclass(frozen=True)
class PhotoGlare:
    """``share``: of the canvas, 0-1 (of the photo's middle before its corners are known). ``where``: of the canvas, in
    words; empty where there is none. ``by``: whether the reference told it or the photo alone."""

    share: float
    where: str = ""
    by: str = "photo"


def glare_of_photo(photo: Photo, corners_px: Floats | None = None) -> tuple[PhotoGlare, Mask]:
    """Glare by the photo alone, and where it is in a copy of it whose longer side is SMALL_PX."""
    small = small_codes(photo, SMALL_PX)
    least = small.min(axis=2)
    inside = middle(least.shape) if corners_px is None else region_mask(least.shape, photo, corners_px, 0.985)
    spots = burnt_spots(least)
    glare = np.zeros(least.shape, bool)
    for number in range(1, int(spots.max()) + 1):
        spot = spots == number
        if inside[spot].mean() > 0.5 and is_lamp(least, spot):
            glare |= _with_skirt(spot)
    glare &= inside
    share = float(glare.sum() / inside.sum())
    if share < _LEAST_SHARE:
        return PhotoGlare(0.0), np.zeros_like(glare)
    return PhotoGlare(share, where_words(_box(glare, photo, corners_px), share)), glare


def burnt_spots(least: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Spots, numbered from 1, where the least of the channels is burnt out and that are no specks; spots broken by
    brush marks are one."""
    full = (least >= _FULL).astype(np.uint8)
    square = np.ones((2 * _BROKEN_PX + 1,) * 2, np.uint8)
    closed = cv2.morphologyEx(full, cv2.MORPH_CLOSE, square)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(closed, connectivity=8)
    kept = np.asarray(stats).reshape(-1, 5)[:, cv2.CC_STAT_AREA] >= _LEAST_PX
    kept[0] = False
    return np.asarray((np.cumsum(kept) * kept)[labels], dtype=np.int32)


def is_lamp(least: NDArray[np.uint8], spot: Mask) -> bool:
    """Whether a burnt-out spot is a reflection: burnt out wholly within, and fading where a window or a wall ends."""
    if (least[spot] >= _WHOLLY_FULL).mean() < _WHOLLY:
        return False
    rows, columns = np.nonzero(spot)
    part = tuple(slice(max(0, each.min() - 16), each.max() + 17) for each in (rows, columns))
    away = cv2.distanceTransform((~spot[part]).astype(np.uint8), cv2.DIST_L2, 5)
    light = (least[part].astype(np.float32) / 255) ** 2.2
    rings = [light[(away > low) & (away <= high)] for low, high in _RIM]
    if not all(len(ring) for ring in rings):
        return False
    near, next_to, far, farthest = (float(ring.mean()) for ring in rings)
    falls = near - far
    return near - farthest > _LEAST_FALL and near - next_to < _HARD * falls


def glare_by_reference(
    photo: Photo, corners_px: Floats, size: Size, reference: Photo, *, crop: ArrayLike | None = None, k1: float = 0.0
) -> tuple[PhotoGlare, Mask]:
    """Glare as the check finds it, and where it is on the canvas laid flat; ``crop`` as for ``reference_flat``."""
    px_per_mm = min(_REFERENCE_PX_PER_MM, _FLAT_PX / max(size.width_mm, size.height_mm))
    small, scale = small_photo(photo, _LAID_PX)
    flat = lay_flat(small, _scaled(corners_px, scale), size, k1=k1, px_per_mm=px_per_mm)
    small, scale = small_photo(reference, _LAID_PX)
    wanted, _ = reference_flat(small, size, px_per_mm, crop=None if crop is None else _scaled(crop, scale))
    found = find_glare(flat, wanted)
    glare = found.withheld if found.share >= _LEAST_BY_REFERENCE else np.zeros_like(found.withheld)
    if not glare.any():
        return PhotoGlare(0.0, by="reference"), glare
    rows, columns = np.nonzero(glare)
    where = where_words(_spread(columns / glare.shape[1], rows / glare.shape[0]), found.share)
    return PhotoGlare(found.share, where, "reference"), glare


def _scaled(corners_px: ArrayLike, scale: float) -> Floats:
    return (np.asarray(corners_px, dtype=np.float64) + 0.5) * scale - 0.5


def middle(shape: tuple[int, ...]) -> Mask:
    """Where a canvas most likely is when nothing is known of it."""
    inside = np.zeros(shape[:2], bool)
    off = [round(_MIDDLE * each) for each in shape[:2]]
    inside[off[0] : shape[0] - off[0], off[1] : shape[1] - off[1]] = True
    return inside


def _with_skirt(spot: Mask) -> Mask:
    """A spot with its fading rim, which grows with it."""
    grown = (_SKIRT - 1) * float(np.sqrt(spot.sum() / np.pi)) + 1
    return np.asarray(cv2.distanceTransform((~spot).astype(np.uint8), cv2.DIST_L2, 5) <= grown)


def _box(glare: Mask, photo: Photo, corners_px: Floats | None) -> Floats:
    """Left, top, right and bottom of the glare in shares of the canvas."""
    rows, columns = np.nonzero(glare)
    if corners_px is None:
        inside = np.array(middle(glare.shape).nonzero())
        low, high = inside.min(axis=1), inside.max(axis=1) + 1
        return _spread((columns - low[1]) / (high[1] - low[1]), (rows - low[0]) / (high[0] - low[0]))
    at = (np.stack([columns, rows], axis=1) + 0.5) * (photo.width / glare.shape[1]) - 0.5
    to_canvas = np.asarray(np.linalg.inv(homography(corners_px, Size(_UNIT, _UNIT))), dtype=np.float64)
    shares = project(to_canvas, at) / _UNIT
    return _spread(shares[:, 0], shares[:, 1])


def _spread(x: NDArray[Any], y: NDArray[Any]) -> Floats:
    """Where all but a twentieth each way of it lies: left, top, right, bottom."""
    (left, right), (top, bottom) = (np.quantile(each, (0.05, 0.95)) for each in (x, y))
    return np.array([left, top, right, bottom])
