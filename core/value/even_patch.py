"""The even area round a place in a photo: a grey card, a patch of a chart, bare ground.

Grown from the place outward: what lies within a tolerance of a plane (the light may fall off across a card) through
the logarithm of the light of what was taken in so far, and hangs together with it.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import ValuesError
from core.photo import Photo
from core.value.light_grid import FULL

SMALLEST_PX = 100
_DARKEST = 1e-4
_ROUNDS = 8
_SMALLEST_SEED_PX = 4
_WINDOW = 0.3
"""Half the side of the part of the photo that is looked at, as a share of its longer side."""
_MOST_SIDE = 700
_BURNT, _BLACK = 0.02, 0.004


@dataclass(frozen=True)
class EvenPatch:
    """``outline_px``: ``(n, 2)`` photo px round it; ``centre_px``: ``(2,)``; ``log_light``: ``(3,)`` natural logarithm
    of the mean linear light; ``scatter``: its standard deviation over the patch; ``pixels``: photo pixels in it;
    ``burnt``: share in which some channel is at the camera's end, 0-1; ``bounded``: False when no border was met."""

    outline_px: NDArray[np.float64]
    centre_px: NDArray[np.float64]
    log_light: NDArray[np.float64]
    scatter: float
    pixels: float
    burnt: float
    bounded: bool


def even_patch(
    photo: Photo,
    x_px: float,
    y_px: float,
    *,
    tolerance: float = 0.05,
    within_px: float | None = None,
    calm_px: float = 0.0,
) -> EvenPatch:
    """The even area round ``(x_px, y_px)``.

    ``tolerance``: natural logarithm by which a channel may stray from the plane; ``within_px``: half the side of the
    square looked at, None for 30 % of the photo; ``calm_px``: blur that hides a weave. ValuesError when the place
    is outside the photo.
    """
    if not (-0.5 <= x_px < photo.width - 0.5 and -0.5 <= y_px < photo.height - 0.5):
        raise ValuesError("That place lies outside the photo. Click on the card itself.")
    half = max(6.0, _WINDOW * max(photo.width, photo.height) if within_px is None else within_px)
    left, top = max(0, int(x_px - half)), max(0, int(y_px - half))
    part = np.s_[top : min(photo.height, int(y_px + half) + 1), left : min(photo.width, int(x_px + half) + 1)]
    light = Photo(np.ascontiguousarray(photo.codes[part]), photo.curve).linear()
    factor = max(1.0, max(light.shape[:2]) / _MOST_SIDE)
    size = (max(1, round(light.shape[1] / factor)), max(1, round(light.shape[0] / factor)))
    full = cv2.resize((light.max(axis=2) >= FULL).astype(np.float32), size, interpolation=cv2.INTER_AREA) > 0.3
    small = np.asarray(cv2.resize(light, size, interpolation=cv2.INTER_AREA))
    calm = cv2.GaussianBlur(small, (0, 0), max(0.8, calm_px / factor))
    # cv2.resize keeps the outer edges of the pixels together, not their centres.
    scale = np.array([light.shape[1] / size[0], light.shape[0] / size[1]])
    seed = (np.array([x_px - left, y_px - top]) + 0.5) / scale - 0.5
    grown = _grown(np.log(np.maximum(calm, _DARKEST)), seed, tolerance)
    return _measured(small, full, grown, seed, scale, np.array([left, top]))


def patch_within(photo: Photo, outline_px: NDArray[np.float64]) -> EvenPatch:
    """The patch inside an outline that the painter drew, ``(n, 2)`` photo px; ``scatter`` is about the plane that the
    light makes there. ValuesError when it does not lie in the photo."""
    outline = np.asarray(outline_px, dtype=np.float64).reshape(-1, 2)
    low = np.maximum(np.floor(outline.min(axis=0)).astype(int) - 1, 0)
    high = np.minimum(np.ceil(outline.max(axis=0)).astype(int) + 2, [photo.width, photo.height])
    if len(outline) < 3 or (high - low < 3).any():
        raise ValuesError("That place is too small or lies outside the photo. Draw round more of the bare ground.")
    part = np.s_[low[1] : high[1], low[0] : high[0]]
    light = Photo(np.ascontiguousarray(photo.codes[part]), photo.curve).linear()
    mask = np.zeros(light.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(outline - low).astype(np.int32).reshape(-1, 1, 2)], 1)
    inside = mask > 0
    rows, columns = np.nonzero(inside)
    pixels = light[inside]
    calm = np.log(np.maximum(cv2.GaussianBlur(light, (0, 0), 1.5)[inside], _DARKEST))
    terms = np.stack([np.ones(len(rows)), rows - rows.mean(), columns - columns.mean()], axis=1)
    plane = np.linalg.lstsq(terms, calm, rcond=1e-6)[0]
    return EvenPatch(
        outline_px=outline,
        centre_px=np.array([columns.mean(), rows.mean()]) + low,
        log_light=np.log(np.maximum(calm_mean(pixels), _DARKEST)),
        scatter=float((calm - terms @ plane).std(axis=0).max()),
        pixels=float(len(rows)),
        burnt=float((pixels.max(axis=1) >= FULL).mean()),
        bounded=True,
    )


def calm_mean(pixels: NDArray[np.float32]) -> NDArray[np.float64]:
    """Mean ``(3,)`` of pixels ``(n, 3)`` without the twentieth at either end: specks do not count, and it is finer than
    the median, which can only be one of the camera's codes (at middle grey these are 1 % apart)."""
    ordered = np.sort(pixels, axis=0)
    cut = len(ordered) // 20
    return np.asarray(ordered[cut : len(ordered) - cut].mean(axis=0, dtype=np.float64))


def _grown(log: NDArray[np.float32], seed: NDArray[np.float64], tolerance: float) -> NDArray[np.bool_]:
    """The area round ``seed`` on ``log`` ``(h, w, 3)`` that one plane a channel explains."""
    h, w = log.shape[:2]
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    x, y = x - np.float32(seed[0]), y - np.float32(seed[1])
    disc = x**2 + y**2 <= _SMALLEST_SEED_PX**2
    region, planes = disc, np.zeros((3, 3))
    planes[0] = np.median(log[disc], axis=0)
    at = (int(np.clip(np.rint(seed[1]), 0, h - 1)), int(np.clip(np.rint(seed[0]), 0, w - 1)))
    for turn in range(_ROUNDS):
        plane = planes[0] + x[..., None] * planes[1] + y[..., None] * planes[2]
        near = (np.abs(log - plane).max(axis=2) < tolerance).astype(np.uint8)
        _, labels = cv2.connectedComponents(near, connectivity=4)
        wanted = labels[at] if labels[at] else np.bincount(labels[disc]).argmax()
        grown = (labels == wanted) if wanted else disc
        if turn and (grown ^ region).sum() < 0.01 * region.sum():
            return np.asarray(grown)
        region = grown
        inner = cv2.erode(region.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
        inner = inner if inner.sum() > 30 else region
        terms = np.stack([np.ones(int(inner.sum())), x[inner], y[inner]], axis=1)
        if len(terms) >= 12:
            planes = np.linalg.lstsq(terms, log[inner], rcond=1e-6)[0]
    return np.asarray(region)


def _measured(
    light: NDArray[np.float32],
    full: NDArray[np.bool_],
    region: NDArray[np.bool_],
    seed: NDArray[np.float64],
    scale: NDArray[np.float64],
    origin: NDArray[np.intp],
) -> EvenPatch:
    filled = cv2.morphologyEx(region.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    whole = np.pad(filled, 1)
    rim = max(1, round(min(0.1 * np.sqrt(region.sum()), 6)))
    core = cv2.erode(whole, np.ones((2 * rim + 1, 2 * rim + 1), np.uint8))[1:-1, 1:-1] > 0
    core = core if core.sum() >= 9 else region
    contours, _ = cv2.findContours(filled, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max((np.asarray(c).reshape(-1, 2) for c in contours), key=len, default=seed[None])
    hull = cv2.approxPolyDP(outline.astype(np.float32).reshape(-1, 1, 2), 1.0, True)
    pixels = light[core]
    log = np.log(np.maximum(pixels, _DARKEST))
    border = np.concatenate([region[0], region[-1], region[:, 0], region[:, -1]])
    rows, columns = np.nonzero(core)
    centre = np.array([columns.mean(), rows.mean()])
    return EvenPatch(
        outline_px=(np.asarray(hull, np.float64).reshape(-1, 2) + 0.5) * scale - 0.5 + origin,
        centre_px=(centre + 0.5) * scale - 0.5 + origin,
        log_light=np.log(np.maximum(calm_mean(pixels), _DARKEST)),
        scatter=float(log.std(axis=0).max()),
        pixels=float(core.sum() * scale.prod()),
        burnt=float(full[core].mean()),
        bounded=not border.any(),
    )
