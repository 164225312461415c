"""The reference as the eye sees it while it rests at a focal point: sharp there, the more blurred the farther out.

The eye may rest anywhere within the radius of a focal point, and how far out a place lies is counted from there.

The smallest gap that an eye resolves grows in proportion to how far from the gaze it lies: MAR(E) = MAR0 (1 + E / E2),
E the eccentricity in degrees (Strasburger, Rentschler and Jüttner, Journal of Vision 11(5):13, 2011, equation 1 and
the tables of E2 there). MAR0 is 1 minute of arc; E2 is 2.5 degrees, in the middle of what is given there for gratings
and letters (both from memory). So the acuity is a third at 5 degrees, a fifth at 10 and a ninth at 20; Wertheim (1894)
found 0.33, 0.20 and 0.1, and the letters just read by Anstis (Vision Research 14, 1974, 589-592) have strokes of 5.2
minutes at 10 degrees where this gives 5.0 (from memory too).

A gap of MAR belongs to a grating with a period of twice that. The blur leaves 10 % of such a grating's contrast, which
is the usual mark of what is resolved: exp(-2 pi² sigma² / (2 MAR)²) = 0.1, so sigma = MAR sqrt(2 ln 10) / pi = 0.683
MAR. The eye that looks at the picture blurs it by its own sigma at the gaze, so that is taken out:
sigma(E)² - sigma(0)².
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.edge.brief import EyeSettings, FocalPoint
from core.errors import PainterError

Map = NDArray[np.float32]
Floats = NDArray[np.float64]

MAR0_ARCMIN, E2_DEG = 1.0, 2.5
SIGMA_PER_MAR = math.sqrt(2 * math.log(10)) / math.pi
_TILE = 256
_LEVEL_ZERO_PX, _LEVEL_RATIO = 0.5, math.sqrt(2)
_FINEST_ON_OCTAVE_PX = 1.4
_BEFORE_HALVING_PX = 0.9
_HALVING_PX2 = _BEFORE_HALVING_PX**2 + 0.25
"""Variance that one halving adds, in pixels squared of the picture that is halved: the mean of two is 1/4."""
_ENLARGING_PX2 = 1 / 6
"""Variance of reading between pixels by straight lines."""
_KERNEL_SIGMAS = 3.5
_SIGMA_STEP_PX = 8
_WHOLE = 1024.0
"""The weights of two blurs add up to this: cv2 divides by their sum and 0.00001."""


def mar_arcmin(eccentricity_deg: float | Floats) -> Any:
    """The smallest gap resolved, minutes of arc, so many degrees from the gaze; any shape."""
    return MAR0_ARCMIN * (1 + np.asarray(eccentricity_deg, dtype=np.float64) / E2_DEG)


def eye_sigma_mm(away_mm: float | Floats, eye: EyeSettings) -> Any:
    """Sigma, mm on the canvas, of the blur so far from where the eye rests (any shape): as the eye has it, times the
    strength.

    The canvas stands square to the gaze. Seen aslant, an angle takes more of it: its mean, of the way along and the way
    across, is the distance over cos(E)^1.5.
    """
    angle = np.arctan2(np.asarray(away_mm, dtype=np.float64), eye.viewing_mm)
    more = np.sqrt(mar_arcmin(np.degrees(angle)) ** 2 - MAR0_ARCMIN**2)
    per_arcmin = math.radians(1 / 60) * eye.viewing_mm / np.cos(angle) ** 1.5
    return eye.strength * SIGMA_PER_MAR * more * per_arcmin


def as_seen(picture: NDArray[Any], foci: Sequence[FocalPoint], eye: EyeSettings, *, px_per_mm: float) -> Map:
    """Linear light ``(H, W)`` or ``(H, W, 3)`` float32 as it is seen by an eye that rests within the radius of a focal
    point; of several the nearest counts.

    Blended tile by tile between blurs whose sigmas are the square root of 2 apart, so that the variance is right. On
    hard discs and noise it differs from the blur that it stands for, of half a pixel or more, by under 0.4 % of full
    light, root mean square, and by 2 % at most. Beyond its border the picture goes on as its mirror image, to within a
    few pixels.
    PainterError when there is no focal point, ValueError for another shape or when ``px_per_mm`` is not above 0.
    """
    light = np.ascontiguousarray(picture, dtype=np.float32)
    if light.ndim not in (2, 3) or light.size == 0 or not px_per_mm > 0:
        raise ValueError(f"expected linear light at more than 0 px/mm, got shape {light.shape} at {px_per_mm}")
    if not foci:
        raise PainterError("The eye has to rest somewhere. Set a focal point first.")
    variance = _variance_map(light.shape[0], light.shape[1], foci, eye, px_per_mm)
    octaves = _octaves(light, float(np.sqrt(variance.max())))
    seen = np.empty_like(light)
    for rows, columns in _tiles(*light.shape[:2]):
        wanted = _cut(variance, rows, columns, int(math.log2(_SIGMA_STEP_PX)))
        seen[rows, columns] = _blended(octaves, rows, columns, wanted)
    return seen


def _variance_map(height: int, width: int, foci: Iterable[FocalPoint], eye: EyeSettings, px_per_mm: float) -> Map:
    """Of the blur, pixels squared, at the middle of every square of ``_SIGMA_STEP_PX`` pixels."""
    x, y = ((np.arange(-(-side // _SIGMA_STEP_PX)) + 0.5) * _SIGMA_STEP_PX / px_per_mm for side in (width, height))
    away = [np.hypot(x[None, :] - each.x_mm, y[:, None] - each.y_mm) - each.radius_mm for each in foci]
    sigma = eye_sigma_mm(np.maximum(np.min(away, axis=0), 0.0), eye)
    return np.asarray((sigma * px_per_mm) ** 2, dtype=np.float32)


def _tiles(height: int, width: int) -> Iterator[tuple[slice, slice]]:
    for top in range(0, height, _TILE):
        for left in range(0, width, _TILE):
            yield slice(top, min(top + _TILE, height)), slice(left, min(left + _TILE, width))


def _octave(sigma_px: float) -> int:
    """How often a picture is halved that is to be blurred so far: as often as nothing is lost by it."""
    return max(0, math.floor(math.log2(sigma_px / _FINEST_ON_OCTAVE_PX)))


def _octaves(light: Map, widest_px: float) -> list[Map]:
    """The picture, and halves of halves as far as the widest blur needs them."""
    octaves = [light]
    for _ in range(_octave(max(widest_px, _LEVEL_ZERO_PX) * _LEVEL_RATIO)):
        here = octaves[-1]
        even = cv2.copyMakeBorder(here, 0, here.shape[0] % 2, 0, here.shape[1] % 2, cv2.BORDER_REPLICATE)
        smooth = cv2.GaussianBlur(even, (7, 7), _BEFORE_HALVING_PX, borderType=cv2.BORDER_REFLECT)
        halved = (smooth.shape[1] // 2, smooth.shape[0] // 2)
        octaves.append(np.asarray(cv2.resize(smooth, halved, interpolation=cv2.INTER_AREA)))
    return octaves


def _blended(octaves: list[Map], rows: slice, columns: slice, wanted: Map) -> Map:
    """One tile, blurred by ``wanted`` pixels squared, from the two blurs next to it."""
    first, last = _level_below(float(wanted.min())), _level_below(float(wanted.max()))
    answer = _level(octaves, rows, columns, first)
    for level in range(first + 1, last + 2):
        start, end = _level_sigma(level - 1) ** 2, _level_sigma(level) ** 2
        share = np.clip((wanted - np.float32(start)) * np.float32(_WHOLE / (end - start)), 0, _WHOLE)
        above = _level(octaves, rows, columns, level)
        answer = np.asarray(cv2.blendLinear(answer, above, np.subtract(np.float32(_WHOLE), share), share))
    return answer


def _level_sigma(level: int) -> float:
    """0 px for level 0, then ever wider by the square root of 2."""
    return 0.0 if level == 0 else _LEVEL_ZERO_PX * _LEVEL_RATIO ** (level - 1)


def _level_below(variance: float) -> int:
    if variance < _LEVEL_ZERO_PX**2:
        return 0
    return 1 + math.floor(math.log(variance / _LEVEL_ZERO_PX**2, _LEVEL_RATIO**2))


def _level(octaves: list[Map], rows: slice, columns: slice, level: int) -> Map:
    """One tile at one level of blur."""
    if level == 0:
        return octaves[0][rows, columns]
    sigma = _level_sigma(level)
    octave = min(_octave(sigma), len(octaves) - 1)
    done = _HALVING_PX2 * (4**octave - 1) / 3 + (_ENLARGING_PX2 * 4**octave if octave else 0.0)
    return _cut(octaves[octave], rows, columns, octave, math.sqrt(max(sigma**2 - done, 0.0)) / 2**octave)


def _cut(picture: Map, rows: slice, columns: slice, halvings: int, sigma: float = 0.0) -> Map:
    """A tile of a picture that is smaller by so many halvings, blurred by ``sigma`` of its own pixels, at full size."""
    reach = math.ceil(_KERNEL_SIGMAS * sigma) if sigma > 0 else 0
    factor = 2**halvings
    taken, kept, starts = [], [], []
    for part, side in ((rows, picture.shape[0]), (columns, picture.shape[1])):
        start, stop = max(part.start // factor - 1, 0), min(-(-part.stop // factor) + 1, side)
        from_ = max(start - reach, 0)
        taken.append(slice(from_, min(stop + reach, side)))
        kept.append(slice(start - from_, stop - from_))
        starts.append(start * factor)
    crop = picture[taken[0], taken[1]]
    if sigma > 0:
        wide = 2 * reach + 1
        crop = np.asarray(cv2.GaussianBlur(crop, (wide, wide), sigma, borderType=cv2.BORDER_REFLECT))
    crop = crop[kept[0], kept[1]]
    if halvings:
        size = (crop.shape[1] * factor, crop.shape[0] * factor)
        crop = np.asarray(cv2.resize(crop, size, interpolation=cv2.INTER_LINEAR))
    top, left = rows.start - starts[0], columns.start - starts[1]
    return crop[top : top + rows.stop - rows.start, left : left + columns.stop - columns.start]
