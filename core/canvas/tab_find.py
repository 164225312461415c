"""Corner tabs found in a photo or a live frame, their squares' corners to a small part of a pixel.

Tabs are looked for in a small copy. Each side of a square is then read in the full picture: where the light steps from
white to black, row by row across the side, and a straight line through these by robust least squares; sides meet at
the corners. All of it in linear light, in which blur does not move the middle of a step.

Measured on 40 simulated photos of 12 megapixels (``python -m tests.measure.tabs``), corners of squares of about 200 px,
px off in the median and in 95 of 100; the same at 1080p, of about 60 px:

- lines through the sides, which is what is here: 0.06 and 0.16; 0.03 and 0.12. What there is of it at 12 megapixels is
  mostly white that is burnt out, which moves all four corners of a square alike;
- OpenCV's cornerSubPix in linear light: 0.24 and 0.41; 0.39 and 0.68;
- the same in the encoded picture, as is usual: 0.98 and 1.32; 1.01 and 1.36.

Squares under 30 px a side are often missed. No tab was found where there was none.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.tabs import MODULES, TAB_IDS, FoundTab, tab_modules
from core.photo import Photo
from core.tone import display_of_linear, grey_codes, linear_of_codes, luminance_of_linear

Points = NDArray[np.float64]
Light = NDArray[np.float32]
Picture = Photo | Light

LOOKED_AT_PX = (1000, 2000)
"""Longer sides, about, of the copies looked at; the second only where fewer than two tabs are seen in the first. Whole
parts of the picture's own, which are made five times as quickly as others."""
_LEAST_SIDE_PX = 14.0
_ACROSS = 33
_REACH, _SHARPEST_PX = 0.6, 1.0
"""How far from a side light is read: of a module at most; px, where nothing is blurred."""
_SMEARED = 0.04
"""What a step as wide as a module adds to the error, as a share of the module, and three times as much to what all
corners have in common: when the camera shook, or the tab is small and out of focus."""
_FLOOR_PX = 0.04
_BURNT_OUT, _GROWN_PX = 0.97, (0.03, 0.2)
"""Linear light from which white is burnt out; what squares grow or shrink by, before and after, px."""
_LEAST_INLIERS, _LEAST_CONTRAST = 0.5, 0.15
_LEAST_READ = 46
"""Of the 49 modules, that must be as printed; two tabs differ in 12."""


def find_tabs(picture: Picture) -> tuple[FoundTab, ...]:
    """The corner tabs that a picture shows whole, in the order of the canvas's corners; the same one may come twice.

    ``picture``: a photo, or linear light ``(H, W, 3)`` or luminance ``(H, W)`` float32. A photo is quickest: only what
    is needed of it is brought to linear light.
    """
    width, height = (picture.width, picture.height) if isinstance(picture, Photo) else picture.shape[1::-1]
    parts = dict.fromkeys(max(1, round(max(width, height) / wanted)) for wanted in LOOKED_AT_PX)
    rough: list[tuple[int, Points]] = []
    for part in parts:
        rough = max(rough, list(_seen(picture, 1 / part)), key=len)
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
    rough = _profiles(light, four - low, rows=30)
    near = None if rough is None else _met(rough, *_steepest(rough.light), turns=3)
    if rough is None or near is None:
        return None
    ramp = _ramp_px(rough)
    fine = _profiles(light, near[0], rows=160, widest=_SHARPEST_PX + ramp)
    read = None if fine is None else _met(fine, *_steps(fine.light), turns=6)
    if fine is None or read is None:
        return None
    module = float(rough.reach.mean()) / _REACH
    smeared = _SMEARED * module * (ramp / module) ** 4
    burnt = float(_median(fine.light[..., -1].reshape(1, -1))[0]) > _BURNT_OUT
    grown = float(np.hypot(_GROWN_PX[int(burnt)], 3 * smeared))
    return FoundTab(corner, read[0] + low, float(np.hypot(read[1], smeared)), width, height, grown)


def _light(picture: Picture, rows: slice, columns: slice) -> Light:
    """Luminance ``(h, w)`` of a part of the picture."""
    if isinstance(picture, Photo):
        part = np.ascontiguousarray(picture.codes[rows, columns])
        return luminance_of_linear(linear_of_codes(part, picture.curve))
    part = np.ascontiguousarray(picture[rows, columns], dtype=np.float32)
    return luminance_of_linear(part) if part.ndim == 3 else part


@dataclass(frozen=True, eq=False)
class _Profiles:
    """Light ``(4, rows, across)`` read across the sides of a square, from inside outwards.

    ``four``: the corners ``(4, 2)`` that the sides go from, to the next one; ``sides``, ``out``: ``(4, 2)``, their ways
    and the ways out, of length 1. ``reach``: ``(4,)`` px to either side. ``along``: ``(rows,)``, -0.5 to 0.5.
    """

    light: Light
    four: Points
    sides: Points
    out: Points
    reach: Points
    along: Points


def _profiles(light: Light, four: Points, *, rows: int, widest: float = np.inf) -> _Profiles | None:
    """Of a square's sides near ``four`` ``(4, 2)``; None where it is too small to be read. ``rows``: how many of a side
    at most. ``widest``: the most reach, px."""
    sides = np.roll(four, -1, axis=0) - four
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    if lengths.min() < _LEAST_SIDE_PX / 2:
        return None
    out = np.stack([sides[:, 1], -sides[:, 0]], axis=1) / lengths[:, None]
    reach = np.minimum(_REACH * lengths / MODULES, widest)
    ends = max(0.06, 2.5 / float(lengths.min()))
    along = np.linspace(ends - 0.5, 0.5 - ends, int(np.clip(lengths.mean(), 20, rows)))
    on_side = four[:, None] + (along[:, None] + 0.5) * sides[:, None]
    off_side = np.linspace(-1, 1, _ACROSS)[:, None] * (reach[:, None] * out)[:, None]
    places = (on_side[:, :, None] + off_side[:, None]).astype(np.float32).reshape(4 * len(along), _ACROSS, 2)
    seen = cv2.remap(light, places, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return _Profiles(np.asarray(seen).reshape(4, len(along), _ACROSS), four, sides, out, reach, along)


def _met(read: _Profiles, steps: Points, plain: NDArray[np.bool_], turns: int) -> tuple[Points, float] | None:
    """Corners ``(4, 2)`` where the lines through the steps meet, and their standard deviation; None for sides that are
    not plain, or lie elsewhere."""
    lines = _lines(read.along, steps * read.reach[:, None], plain, turns)
    if lines is None:
        return None
    middle, slope, sigma = lines
    met = _meet(read.four + 0.5 * read.sides + middle[:, None] * read.out, read.sides + slope[:, None] * read.out)
    module = float(np.hypot(read.sides[:, 0], read.sides[:, 1]).mean()) / MODULES
    if not float(np.abs(met - read.four).max()) < _REACH * module:
        return None
    return met, float(np.sqrt(_FLOOR_PX**2 + np.mean(sigma**2)))


def _ramp_px(read: _Profiles) -> float:
    """How wide the steps are, px: all of the rise at its steepest slope. Not less than what the profiles resolve."""
    lag = _ACROSS // 8
    steepest = _median((read.light[..., lag:] - read.light[..., :-lag]).max(axis=-1))
    whole = _median(np.ptp(read.light, axis=-1))
    lag_px = lag * 2 / (_ACROSS - 1) * read.reach
    return float((lag_px * whole / np.maximum(steepest, 1e-9)).max())


def _steepest(profiles: Light) -> tuple[Points, NDArray[np.bool_]]:
    """Where each of the profiles ``(4, rows, across)`` rises most, -1 to 1: coarse, but whatever lies at its ends, such
    as the white modules inside, does no harm."""
    lag = _ACROSS // 8
    rises = profiles[..., lag:] - profiles[..., :-lag]
    rise = rises.max(axis=-1)
    plain = (rise > 0.5 * _median(rise)[:, None]) & (rise > 0)
    return (rises.argmax(axis=-1) + lag / 2) * (2 / (_ACROSS - 1)) - 1, plain


def _steps(profiles: Light) -> tuple[Points, NDArray[np.bool_]]:
    """Where each of the profiles ``(4, rows, across)`` steps up, -1 to 1, by the area under it; and which do so."""
    end = _ACROSS // 6
    dark = profiles[..., :end].mean(axis=-1, dtype=np.float64)
    white = profiles[..., -end:].mean(axis=-1, dtype=np.float64)
    rise = white - dark
    usual = _median(rise)[:, None]
    brightest = _median(white)[:, None]
    plain = (rise > 0.5 * usual) & (rise < 1.6 * usual) & (usual > _LEAST_CONTRAST * brightest) & (usual > 0)
    weights = np.full(_ACROSS, 1 / (_ACROSS - 1), np.float32)
    weights[[0, -1]] /= 2
    area = (profiles @ weights - dark) / np.where(plain, rise, 1.0)
    return 1 - 2 * area, plain


def _lines(along: Points, across: Points, plain: NDArray[np.bool_], turns: int) -> tuple[Points, Points, Points] | None:
    """``across`` ``(4, rows)`` as middle + slope · ``along``, ``(4,)`` each, and the standard deviation at the lines'
    ends. Tukey's weights. None with too little to go by."""
    weights = plain.astype(np.float64)
    off = np.where(plain, across, np.nan)
    if (weights.sum(axis=1) < _LEAST_INLIERS * len(along)).any():
        return None
    middle, slope = _median(off), np.zeros(4)
    for turn in range(turns):
        off = np.where(plain, across - middle[:, None] - slope[:, None] * along, np.nan)
        spread = np.maximum(1.4826 * _median(np.abs(off)), 0.01)
        # The first turns let more in: their line may still be turned by a finger over one end.
        limit = (spread * (6.0 if turn < 2 else 4.0))[:, None]
        weights = np.where(np.abs(off) < limit, (1 - (off / limit) ** 2) ** 2, 0.0)
        total = weights.sum(axis=1)
        if (total < _LEAST_INLIERS * 0.7 * len(along)).any():
            return None
        mean_along, mean_across = (weights @ along) / total, (weights * across).sum(axis=1) / total
        about = along - mean_along[:, None]
        slope = (weights * about * across).sum(axis=1) / (weights * about**2).sum(axis=1)
        middle = mean_across - slope * mean_along
    # Neighbouring rows share pixels: a third of them count. A line's end is known half as well as its middle.
    return middle, slope, spread * np.sqrt(4 * 3 / weights.sum(axis=1))


def _median(values: NDArray[Any]) -> NDArray[Any]:
    """Of each row, of those that are numbers, of which there is one at least; ten times as quick as numpy's."""
    count = np.isfinite(values).sum(axis=1)
    return np.asarray(np.sort(values, axis=1)[np.arange(len(values)), count // 2])


def _meet(places: Points, ways: Points) -> Points:
    """Where each line meets the one before it, ``(4, 2)``."""
    normals = np.stack([-ways[:, 1], ways[:, 0]], axis=1)
    offsets = (normals * places).sum(axis=1)
    pairs = np.stack([np.roll(normals, 1, axis=0), normals], axis=1)
    return np.asarray(np.linalg.solve(pairs, np.stack([np.roll(offsets, 1), offsets], axis=1)[..., None])[..., 0])


def tab_near(picture: Picture, corner: int, four: Points, *, known: bool = False) -> FoundTab | None:
    """The tab of a canvas corner where it is expected, ``four`` ``(4, 2)`` px within half a module; None where it is
    not, or is covered. An eighth of the time that looking for all takes. ``known``: it was read there a moment ago, so
    that its modules need not be read again."""
    width, height = (picture.width, picture.height) if isinstance(picture, Photo) else picture.shape[1::-1]
    tab = _refined(picture, corner, four, width, height)
    return tab if tab is not None and (known or _reads(picture, tab)) else None


def _reads(picture: Picture, tab: FoundTab) -> bool:
    """Whether the square's modules are those of its tab, but for a few under a finger."""
    unit = np.array([[0, 0], [MODULES, 0], [MODULES, MODULES], [0, MODULES]], np.float32)
    matrix = cv2.getPerspectiveTransform(unit, tab.corners_px.astype(np.float32))
    x, y = np.meshgrid(np.arange(MODULES) + 0.5, np.arange(MODULES) + 0.5)
    lifted = np.stack([x, y, np.ones_like(x)], axis=-1) @ matrix.T
    at = lifted[..., :2] / lifted[..., 2:]
    low = np.maximum(np.floor(at.min(axis=(0, 1))).astype(int) - 1, 0)
    high = np.ceil(at.max(axis=(0, 1))).astype(int) + 2
    light = _light(picture, slice(low[1], high[1]), slice(low[0], high[0]))
    seen = np.asarray(cv2.remap(light, (at - low).astype(np.float32), None, cv2.INTER_LINEAR))
    white = tab_modules(tab.corner)
    middle = (float(np.median(seen[white])) + float(np.median(seen[~white]))) / 2
    return int(((seen > middle) == white).sum()) >= _LEAST_READ
