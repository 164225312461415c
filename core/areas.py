"""Connected areas of a signed map that stand off from the rest, each measured at its own half height."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

_RIM_MM = 3.0


@dataclass(frozen=True)
class SignedArea:
    """One passage that stands off. ``number`` counts from 1, the heaviest first.

    ``x_mm, y_mm``: a point inside it, its middle where that lies inside. ``amount``: of the map there, in its unit.
    ``outline_mm``: ``(n, 2)`` float64, closed, x right and y down.
    """

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    amount: float
    outline_mm: NDArray[np.float64]


def signed_areas(
    difference: Map,
    *,
    px_per_mm: float,
    overall: float,
    level_from: float,
    tolerance: float,
    sure: float,
    apart: float,
    smallest_cm2: float,
) -> tuple[SignedArea, ...]:
    """Areas of ``difference`` ``(H, W)`` (NaN: withheld) that stand more than ``tolerance`` off ``overall``.

    One is told when it stands at least ``sure`` off. An overall error above ``level_from`` is the painter's, and then a
    passage that is right in itself is no fault though it stands out from the rest. A passage that stands ``apart`` from
    the one it lies in is one of its own.
    """
    relative = np.nan_to_num(difference - np.float32(overall))
    trusted_level = abs(overall) > level_from
    found = []
    for sign in (-1.0, 1.0):
        height = relative * np.float32(sign)
        for region in _regions(height, tolerance, apart, smallest_cm2 * 100 * px_per_mm**2, px_per_mm):
            amount = _plateau(difference, region)
            if sign * (amount - overall) < sure or (trusted_level and sign * amount < tolerance):
                continue
            found.append(_area(region, amount, px_per_mm))
    found.sort(key=lambda area: -abs(area.amount) * np.sqrt(area.area_cm2))
    return tuple(replace(area, number=number) for number, area in enumerate(found, start=1))


def _regions(height: Map, tolerance: float, apart: float, smallest_px: float, px_per_mm: float) -> list[Mask]:
    """Passages higher than the tolerance, each measured at half its own height.

    A passage that is off by much more than the one it lies in or touches is one of its own.
    """
    regions: list[Mask] = []
    pending = _parts(height >= tolerance, 0.3 * smallest_px)
    while pending:
        seed = pending.pop()
        plateau = _plateau(height, seed)
        region = _connected(height >= max(0.5 * plateau, 0.75 * tolerance), seed)
        for taken in regions:
            region &= ~taken
        level = _plateau(height, region)
        standing = _enough(region & (height >= level + apart), smallest_px)
        for higher in _parts(_opened(standing, px_per_mm), smallest_px):
            inner = _connected(region & (height >= 0.5 * (level + _plateau(height, higher))), higher)
            regions.append(inner)
            region &= ~inner
        if _opened(region, px_per_mm).sum() >= 0.7 * smallest_px and region.sum() >= smallest_px:
            regions.append(region)
            rest = _enough(seed & ~region & ~_any(regions, seed), 0.6 * smallest_px)
            pending += _parts(_opened(rest, px_per_mm), 0.6 * smallest_px)
    return regions


def _parts(mask: Mask, smallest_px: float) -> list[Mask]:
    """Connected parts of at least that many pixels, the largest last."""
    if np.count_nonzero(mask) < smallest_px:
        return []
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=4)
    area = np.asarray(stats).reshape(-1, 5)[:, cv2.CC_STAT_AREA]
    large = [label for label in np.argsort(area) if label and area[label] >= smallest_px]
    return [np.asarray(labels == label) for label in large]


def _opened(mask: Mask, px_per_mm: float) -> Mask:
    """Without rims narrower than twice ``_RIM_MM``: what blurring leaves round a strong passage is none itself."""
    if not mask.any():
        return mask
    reach = max(1, round(_RIM_MM * px_per_mm))
    around = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    return np.asarray(cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, around) > 0)


def _enough(mask: Mask, least_px: float) -> Mask:
    """The mask, or an empty one when it holds less than that."""
    return mask if np.count_nonzero(mask) >= least_px else np.zeros_like(mask)


def _any(masks: list[Mask], like: Mask) -> Mask:
    covered = np.zeros_like(like)
    for mask in masks:
        covered |= mask
    return covered


def _connected(mask: Mask, seed: Mask) -> Mask:
    """The parts of ``mask`` that hold a good part of ``seed``."""
    number, labels = cv2.connectedComponents(mask.astype(np.uint8), connectivity=4)
    inside = np.bincount(labels[seed & mask], minlength=number)
    inside[0] = 0
    return np.asarray(labels == int(inside.argmax()), dtype=np.bool_) if inside.any() else np.zeros_like(seed)


def _plateau(height: Map, region: Mask) -> float:
    """Median height of the inner half of a region, where its soft rim no longer counts."""
    if not region.any():
        return 0.0
    # A region without an outside has no rim, and its depth no end: then the rim is that of the map.
    around = int(region.all())
    depth = cv2.distanceTransform(np.pad(region.astype(np.uint8), around), cv2.DIST_L2, 3)
    depth = depth[around : depth.shape[0] - around, around : depth.shape[1] - around]
    inner = region & (depth >= np.median(depth[region])) & np.isfinite(height)
    return float(np.median(height[inner])) if inner.any() else 0.0


def _area(region: Mask, amount: float, px_per_mm: float) -> SignedArea:
    padded = np.pad(region.astype(np.uint8), 1)
    contours, _ = cv2.findContours(padded, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max((np.asarray(c).reshape(-1, 2) for c in contours), key=len)
    outline = np.asarray(cv2.approxPolyDP(outline.astype(np.int32), 0.3 * px_per_mm, True)).reshape(-1, 2) - 1
    rows, cols = np.nonzero(region)
    row, col = rows.mean(), cols.mean()
    if not region[round(row), round(col)]:
        depth = cv2.distanceTransform(padded, cv2.DIST_L2, 3)[1:-1, 1:-1]
        row, col = np.unravel_index(int(depth.argmax()), depth.shape)
    return SignedArea(
        0,
        float((col + 0.5) / px_per_mm),
        float((row + 0.5) / px_per_mm),
        float(region.sum() / px_per_mm**2 / 100),
        amount,
        (outline + 0.5) / px_per_mm,
    )
