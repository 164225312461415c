"""Corner tabs found in a photo or a live frame, their squares' corners to a small part of a pixel.

Tabs are looked for in a small copy. Each side of a square is then read in the full picture: where the light steps from
white to black, row by row across the side, and a straight line through these by robust least squares; sides meet at
the corners. All of it in linear light, in which blur does not move the middle of a step.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.tabs import MODULES, TAB_IDS, FoundTab
from core.photo import Photo
from core.tone import display_of_linear, grey_codes, linear_of_codes, luminance_of_linear

Points = NDArray[np.float64]
Light = NDArray[np.float32]
Picture = Photo | Light

LOOKED_AT_PX = (1000, 2000)
"""Longer sides of the copies looked at; the second only where fewer than two tabs are seen in the first."""
_LEAST_SIDE_PX = 14.0
_ACROSS = 33
_WIDEST_PX = 10.0
_FLOOR_PX = 0.03
_LEAST_INLIERS, _LEAST_CONTRAST = 0.5, 0.15


def find_tabs(picture: Picture) -> tuple[FoundTab, ...]:
    """The corner tabs that a picture shows whole, in the order of the canvas's corners; the same one may come twice.

    ``picture``: a photo, or linear light ``(H, W, 3)`` or luminance ``(H, W)`` float32. A photo is quickest: only what
    is needed of it is brought to linear light.
    """
    width, height = (picture.width, picture.height) if isinstance(picture, Photo) else picture.shape[1::-1]
    rough: list[tuple[int, Points]] = []
    scale = 0.0
    for wanted in LOOKED_AT_PX:
        before, scale = scale, min(1.0, wanted / max(width, height))
        if scale > before:
            rough = max(rough, list(_seen(picture, scale)), key=len)
        if len({corner for corner, _ in rough}) >= 2:
            break
    found = (_refined(picture, corner, four, width, height) for corner, four in rough)
    return tuple(sorted((tab for tab in found if tab is not None), key=lambda tab: tab.corner))


def _seen(picture: Picture, scale: float) -> Iterator[tuple[int, Points]]:
    """Corner and ``(4, 2)`` px of each tab in a copy of the picture, in pixels of the picture itself."""
    grey = _small_grey(picture, scale)
    corners, ids, _ = _detector().detectMarkers(grey)
    if ids is None:
        return
    full = (picture.width, picture.height) if isinstance(picture, Photo) else picture.shape[1::-1]
    stretch = np.array(full) / np.array(grey.shape[1::-1])
    for key, four in zip(np.asarray(ids).reshape(-1).tolist(), corners, strict=True):
        if key in TAB_IDS:
            yield TAB_IDS.index(key), (np.asarray(four, dtype=np.float64).reshape(4, 2) + 0.5) * stretch - 0.5


def _small_grey(picture: Picture, scale: float) -> NDArray[np.uint8]:
    """A copy as grey codes ``(h, w)``, stretched so that what is brightest is white."""
    pixels: NDArray[Any] = picture.codes if isinstance(picture, Photo) else picture
    size = tuple(max(1, round(side * scale)) for side in pixels.shape[1::-1])
    small = pixels if scale == 1.0 else cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    if isinstance(picture, Photo):
        grey = grey_codes(np.ascontiguousarray(small), picture.curve)
    else:
        light = luminance_of_linear(small) if small.ndim == 3 else np.asarray(small, dtype=np.float32)
        bright = max(float(np.quantile(light[::4, ::4], 0.98)), 1e-6)
        grey = display_of_linear(np.asarray(light / np.float32(bright)))
    brightest = max(float(np.quantile(grey[::4, ::4], 0.98)), 8.0)
    return np.asarray(cv2.convertScaleAbs(grey, alpha=255.0 / brightest))


@cache
def _detector() -> "cv2.aruco.ArucoDetector":
    parameters = cv2.aruco.DetectorParameters()
    # Only the middle of each module is read: twice the blur is borne.
    parameters.perspectiveRemovePixelPerCell, parameters.perspectiveRemoveIgnoredMarginPerCell = 8, 0.3
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = 7, 23
    parameters.adaptiveThreshWinSizeStep = 16
    parameters.minMarkerPerimeterRate = 4 * _LEAST_SIDE_PX / LOOKED_AT_PX[0]
    # Half of what the dictionary could bear: false tabs are worse than missed ones.
    parameters.errorCorrectionRate = 0.5
    return cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50), parameters)


def _refined(picture: Picture, corner: int, four: Points, width: int, height: int) -> FoundTab | None:
    """None where the square's sides are not plain enough to be read."""
    margin = 0.3 * float(np.linalg.norm(np.roll(four, -1, axis=0) - four, axis=1).max()) + 2
    low = np.maximum(np.floor(four.min(axis=0) - margin), 0).astype(int)
    high = np.minimum(np.ceil(four.max(axis=0) + margin) + 1, [width, height]).astype(int)
    if (high - low < 8).any():
        return None
    light = _light(picture, slice(low[1], high[1]), slice(low[0], high[0]))
    here = four - low
    sigma = 0.0
    for widest in (np.inf, _WIDEST_PX):
        read = _read_sides(light, here, widest)
        if read is None:
            return None
        here, sigma = read
    return FoundTab(corner, here + low, sigma, width, height)


def _light(picture: Picture, rows: slice, columns: slice) -> Light:
    """Luminance ``(h, w)`` of a part of the picture."""
    if isinstance(picture, Photo):
        part = np.ascontiguousarray(picture.codes[rows, columns])
        return luminance_of_linear(linear_of_codes(part, picture.curve))
    part = np.ascontiguousarray(picture[rows, columns], dtype=np.float32)
    return luminance_of_linear(part) if part.ndim == 3 else part


def _read_sides(light: Light, four: Points, widest: float) -> tuple[Points, float] | None:
    """Corners ``(4, 2)`` where the sides near ``four`` meet, and their standard deviation; None for sides not plain."""
    sides = np.roll(four, -1, axis=0) - four
    lengths = np.hypot(*sides.T)
    if lengths.min() < _LEAST_SIDE_PX / 2:
        return None
    way = sides / lengths[:, None]
    out = np.stack([way[:, 1], -way[:, 0]], axis=1)
    reach = np.minimum(0.7 * lengths / MODULES, widest)
    rows = int(np.clip(lengths.mean(), 20, 160))
    ends = max(0.06, 2.5 / float(lengths.min()))
    along = np.linspace(ends, 1 - ends, rows)
    across = np.linspace(-1, 1, _ACROSS)
    places = (
        four[:, None, None]
        + along[None, :, None, None] * sides[:, None, None]
        + (across[:, None] * reach[:, None, None, None]) * out[:, None, None]
    ).astype(np.float32)
    flat = places.reshape(4 * rows, _ACROSS, 2)
    seen = cv2.remap(light, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    steps, plain = _steps(np.asarray(seen, dtype=np.float64).reshape(4, rows, _ACROSS))
    lines = [_line(along - 0.5, steps[side] * reach[side], plain[side]) for side in range(4)]
    if any(line is None for line in lines):
        return None
    told = [line for line in lines if line is not None]
    middles = four + 0.5 * sides + np.array([line[0] for line in told])[:, None] * out
    ways = sides + np.array([line[1] for line in told])[:, None] * out
    met = _meet(middles, ways)
    moved = float(np.linalg.norm(met - four, axis=1).max())
    if not moved < 0.7 * float(lengths.mean()) / MODULES:
        return None
    noise = float(np.sqrt(np.mean([line[2] ** 2 for line in told])))
    return met, float(np.hypot(_FLOOR_PX, noise))


def _steps(profiles: Points) -> tuple[Points, NDArray[np.bool_]]:
    """Where each of the profiles ``(4, rows, across)`` steps up, -1 to 1, by the area under it; and which do so."""
    end = _ACROSS // 6
    dark, white = profiles[..., :end].mean(axis=-1), profiles[..., -end:].mean(axis=-1)
    rise = white - dark
    usual = np.median(rise, axis=1, keepdims=True)
    brightest = np.maximum(np.median(white, axis=1, keepdims=True), 1e-9)
    plain = (rise > 0.5 * usual) & (rise < 1.6 * usual) & (usual > _LEAST_CONTRAST * brightest)
    share = (profiles - dark[..., None]) / np.where(plain, rise, 1.0)[..., None]
    weights = np.ones(_ACROSS)
    weights[[0, -1]] = 0.5
    area = share @ weights / (_ACROSS - 1)
    return 1 - 2 * area, plain


def _line(along: Points, across: Points, plain: NDArray[np.bool_]) -> tuple[float, float, float] | None:
    """``across`` = middle + slope · ``along``, and the standard deviation at the ends; None with too little to go by."""
    weights = plain.astype(np.float64)
    middle = slope = 0.0
    spread = np.inf
    for turn in range(6):
        total = float(weights.sum())
        if total < _LEAST_INLIERS * len(along):
            return None
        design = np.stack([np.ones_like(along), along], axis=1)
        normal = (design * weights[:, None]).T @ design
        middle, slope = np.linalg.solve(normal, (design * weights[:, None]).T @ across).tolist()
        off = across - middle - slope * along
        spread = max(1.4826 * float(np.median(np.abs(off[plain]))), 0.01)
        # Three times the robust spread; the first turns let more in, since their line may still be bent by a finger.
        limit = spread * (6.0 if turn < 2 else 4.0)
        weights = np.where(plain & (np.abs(off) < limit), (1 - (off / limit) ** 2) ** 2, 0.0)
    # Neighbouring rows share pixels: a third of them count.
    return middle, slope, spread * float(np.sqrt(4 * 3 / max(float(weights.sum()), 1.0)))


def _meet(places: Points, ways: Points) -> Points:
    """Where each line meets the one before it, ``(4, 2)``."""
    normals = np.stack([-ways[:, 1], ways[:, 0]], axis=1)
    offsets = (normals * places).sum(axis=1)
    pairs = np.stack([np.roll(normals, 1, axis=0), normals], axis=1)
    return np.asarray(np.linalg.solve(pairs, np.stack([np.roll(offsets, 1), offsets], axis=1)[..., None])[..., 0])
