"""The strongest edges of a photo as it was shot, everywhere in it and in every direction, and the light across them.

They are looked for in a small copy, the strongest of each direction in every cell of a grid, so that no one thing in
the photo speaks for all of it; what is read across them are the photo's own pixels, in linear light, in which a lens
blurs. A 12-megapixel photo takes 0.1 s.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.photo import Photo
from core.tone import luminance_of_linear

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

USUAL_PX = 4000
"""The longer side of the photo that bounds in pixels are meant for."""
SMALL_PX = 1000
SAMPLES = 49
_ACROSS_CELLS, _DIRECTIONS = 14, 8
_MOST = 640
_LEAST = 0.02
"""Change of the encoded tone (0-1) over one pixel of the small copy that may be an edge."""
_HALF, _LEAST_HALF = 28.0, 12.0
"""How far across is read, px of the usual photo, and px at least."""
_ALONG, _RANKS = 4.0, 7
_BORDER = 4


@dataclass(frozen=True, eq=False)
class Profiles:
    """Light across edges. ``light``: ``(n, SAMPLES)``; ``half_px``: from the middle to an end, photo px; ``angle``:
    ``(n,)`` the direction across, radians, x right and y down, 0 to pi; ``cell``: ``(n,)`` where in the photo."""

    light: NDArray[np.float32]
    half_px: float
    angle: Floats
    cell: NDArray[np.intp]


def small_codes(photo: Photo, longest_px: int) -> NDArray[np.uint8]:
    """A small copy ``(h, w, 3)`` of the photo's codes in 8 bits; codes are averaged, which will do to find things."""
    codes = photo.codes if photo.codes.dtype == np.uint8 else (photo.codes >> 8).astype(np.uint8)
    scale = longest_px / max(photo.width, photo.height)
    if scale >= 1:
        return codes
    size = (max(1, round(photo.width * scale)), max(1, round(photo.height * scale)))
    return np.asarray(cv2.resize(codes, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def small_photo(photo: Photo, longest_px: int) -> tuple[Photo, float]:
    """The photo in a small copy, and how many of its pixels make one of the photo's."""
    codes = small_codes(photo, longest_px)
    curve = photo.curve if photo.codes.dtype == np.uint8 else np.ascontiguousarray(photo.curve[128::256])
    return Photo(codes, curve, photo.source), codes.shape[1] / photo.width


def region_mask(shape: tuple[int, ...], photo: Photo, corners_px: Floats, grow: float = 1.0) -> Mask:
    """``(h, w)`` bool: where a small copy of this shape shows the canvas, its corners moved out or in from its
    middle by a share."""
    mask = np.zeros(shape[:2], np.uint8)
    scale = np.array([shape[1] / photo.width, shape[0] / photo.height])
    corners = (np.asarray(corners_px, dtype=np.float64) + 0.5) * scale - 0.5
    middle = corners.mean(axis=0)
    cv2.fillConvexPoly(mask, np.rint(middle + grow * (corners - middle)).astype(np.int32), 1)
    return mask > 0


def read_across(photo: Photo, corners_px: Floats | None = None) -> Profiles:
    """The light across the strongest edges; with corners, of the canvas and its sides only."""
    small = small_codes(photo, SMALL_PX)
    grey = small.astype(np.float32) @ np.array([0.25, 0.6, 0.15], np.float32) / np.float32(255)
    gx, gy = (cv2.Sobel(grey, cv2.CV_32F, *way, scale=0.125) for way in ((1, 0), (0, 1)))
    steep = np.hypot(gx, gy)
    if corners_px is not None:
        steep[~region_mask(steep.shape, photo, corners_px, 1.02)] = 0
    rows, columns, cell = _strongest(steep, np.arctan2(gy, gx) % np.pi)
    angle = (np.arctan2(gy, gx) % np.pi)[rows, columns].astype(np.float64)
    scale = photo.width / small.shape[1]
    at = (np.stack([columns, rows], axis=1) + 0.5) * scale - 0.5
    half = max(_HALF * max(photo.width, photo.height) / USUAL_PX, _LEAST_HALF)
    light, inside = _sampled(photo, at, angle, half)
    return Profiles(light[inside], half, angle[inside], cell[inside])


def _strongest(steep: NDArray[np.float32], angle: NDArray[np.float32]) -> tuple[NDArray[np.intp], ...]:
    """Rows, columns and cells of the steepest place of each direction in every cell."""
    height, width = steep.shape
    edge = np.zeros_like(steep)
    edge[_BORDER:-_BORDER, _BORDER:-_BORDER] = steep[_BORDER:-_BORDER, _BORDER:-_BORDER]
    rows, columns = np.nonzero(edge > _LEAST)
    side = max(width, height) / _ACROSS_CELLS
    cell = (rows / side).astype(np.intp) * 1000 + (columns / side).astype(np.intp)
    way = np.rint(angle[rows, columns] / (np.pi / _DIRECTIONS)).astype(np.intp) % _DIRECTIONS
    strength = edge[rows, columns]
    order = np.argsort(-strength, kind="stable")
    _, first = np.unique((cell * _DIRECTIONS + way)[order], return_index=True)
    chosen = order[first]
    chosen = chosen[np.argsort(-strength[chosen], kind="stable")][:_MOST]
    return rows[chosen], columns[chosen], cell[chosen]


def _sampled(photo: Photo, at: Floats, angle: Floats, half: float) -> tuple[NDArray[np.float32], Mask]:
    """Luminance ``(n, SAMPLES)`` across, mean of some ranks along, and which lie wholly in the photo."""
    if not len(at):
        return np.zeros((0, SAMPLES), np.float32), np.zeros(0, bool)
    out = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    along = np.stack([-out[:, 1], out[:, 0]], axis=1)
    t, u = np.linspace(-half, half, SAMPLES), np.linspace(-_ALONG, _ALONG, _RANKS)
    places = at[:, None, None] + t[:, None, None] * out[:, None, None] + u[:, None] * along[:, None, None]
    whole = np.rint(places).astype(np.intp)
    inside = ((whole >= 0) & (whole < (photo.width, photo.height))).all(axis=(1, 2, 3))
    whole = np.clip(whole, 0, (photo.width - 1, photo.height - 1))
    linear = photo.curve[photo.codes[whole[..., 1], whole[..., 0]]].reshape(len(at), -1, 3)
    return luminance_of_linear(linear).reshape(whole.shape[:3]).mean(axis=2), inside
