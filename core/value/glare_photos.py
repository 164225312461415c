"""Glare taken out by two or more photos of one painting, the lamp moved between them.

Paint looks the same in every photo once their light is brought to one; glare only ever adds. So of each place the
photos without glare are kept. All are laid flat by their own corners; what is left of their shifts is then taken out
by matching the photos to each other (never to the reference: that would hide the very drift that is looked for).

Ways to merge, on three paintings of known truth photographed by hand at 12 megapixels, with three spots and a wide
sheen in each photo; mean error in steps under the first photo's glare, and bias there, of two photos, then of three:
the first photo alone 3.67 and 3.32, 3.75 and 3.64; their mean 2.39 and 2.02, 2.21 and 2.10; plain minimum
0.038 and 0.021, 0.038 and 0.019; second smallest of three 0.889 and 0.116 (wrong where two photos have glare); mean
weighted by the smoothed excess, as here, 0.034 and 0.005, 0.035 and 0.007. Of the strong glare in the first 88 and 98 %
was told, and nothing but glare was.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.errors import ValuesError
from core.tone import luminance_of_linear
from core.value.light_fit import Sample, robust_field
from core.value.light_grid import Map, Mask, cell_means, clipped, grid_shape, judged
from core.value.photo_shift import shifted_onto
from core.words import as_share

_CALM_MM = 0.8
"""Glare is judged on light averaged over about this far: a blob of it is larger, noise and JPEG blocks are finer."""
_NOISE, _NOISE_SHARE = 0.004, 0.02
"""Excess that noise, JPEG and relief leave, as light and as a share of it."""
_SHIFT_LEFT_MM = 0.15
_GLARE_FROM = 3.0
"""Times that excess from which a place counts as under glare."""
_SMALLEST_MM2 = 2.0
ALL_OVER = 0.25
_FIT_STEPS_PER_LOG = 2.0


@dataclass(frozen=True)
class GlareFree:
    """``flat``: the painting in the light of the first photo, glare taken out. ``glare``: ``(n, H, W)`` bool, where it
    was in each photo; ``shares``: of the canvas, 0-1, for each. ``left``: ``(H, W)`` bool, clipped in every photo:
    still to be withheld. ``moved_mm``: how far each photo had to be shifted at most. ``notes``: sentences. ``lit``:
    ``(n, H, W, 3)`` linear light, the photos on one another and in the light of the first, where each is ``usable``,
    ``(n, H, W)`` bool: seen and not clipped."""

    flat: Flat
    glare: NDArray[np.bool_]
    shares: tuple[float, ...]
    left: Mask
    moved_mm: tuple[float, ...]
    lit: Map
    usable: NDArray[np.bool_]
    notes: tuple[str, ...] = ()


def without_glare(photos: Sequence[Flat]) -> GlareFree:
    """One picture out of two or more of the same painting, each laid flat by its own corners at the same px/mm.

    ValuesError when there are fewer than two, or they are not of the same canvas.
    """
    if len(photos) < 2:
        raise ValuesError("Taking glare out needs two photos or more. Move the lamp and photograph the canvas again.")
    first = photos[0]
    if any(p.linear.shape != first.linear.shape or p.size != first.size for p in photos):
        raise ValuesError("The photos are not of one canvas. Choose photos of one canvas, each with its own corners.")
    lit, moved = [first.linear], [0.0]
    for photo in photos[1:]:
        aligned, by = shifted_onto(first, photo)
        lit.append(in_light_of(first, aligned))
        moved.append(by)
    burnt = np.stack([clipped(p.linear) if p is first else _reaching(p) for p in photos])
    seen = np.stack([np.ones(first.linear.shape[:2], bool) if p.seen is None else p.seen for p in photos])
    return _merged(first, np.stack(lit), burnt, seen, tuple(moved))


def _reaching(photo: Flat) -> Mask:
    """Clipped places, grown by what aligning may have moved them."""
    reach = 2 * round(0.5 * photo.px_per_mm) + 3
    return np.asarray(cv2.dilate(clipped(photo.linear).astype(np.uint8), np.ones((reach, reach), np.uint8)) > 0)


def in_light_of(first: Flat, photo: Flat) -> Map:
    """``photo``'s linear light as it would be in the light of ``first``: times a smooth field a channel, fitted
    robustly to their ratio, so that glare, on either, does not bend it."""
    shape = grid_shape(first)
    # A cell that holds glare in either photo is an outlier to the fit; one that is clipped is not judged at all.
    good = judged(first, None) & judged(photo, None)
    one, share = cell_means(first.linear, good, shape)
    other, _ = cell_means(photo.linear, good, shape)
    ratio = np.log(np.maximum(one, 1e-4)) - np.log(np.maximum(other, 1e-4))
    trust = (share > 0.4) / (0.03**2 + (0.002 / np.maximum(other.min(axis=2), 1e-4)) ** 2)
    slope = np.full(shape, _FIT_STEPS_PER_LOG)
    green = robust_field(Sample(ratio[..., 1], slope, trust)).log
    field = np.empty((*shape, 3))
    field[..., 1] = green
    for channel in (0, 2):
        tint = Sample(ratio[..., channel] - ratio[..., 1], slope, trust)
        field[..., channel] = green + robust_field(tint, degree=2).log
    gain = cv2.resize(np.exp(field).astype(np.float32), first.linear.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.multiply(photo.linear, gain))


def _merged(
    first: Flat, lit: Map, burnt: NDArray[np.bool_], seen: NDArray[np.bool_], moved: tuple[float, ...]
) -> GlareFree:
    excess = glare_excess(lit, burnt | ~seen, first.px_per_mm)
    merged = soft_merge(lit, excess, burnt, seen)
    glare = np.stack(
        [_spots((e > _GLARE_FROM) | (b & (e > 1)), first.px_per_mm) for e, b in zip(excess, burnt, strict=True)]
    )
    left = np.asarray(burnt.all(axis=0))
    shares = tuple(float(g.mean()) for g in glare)
    known = np.asarray(seen.any(axis=0))
    flat = Flat(merged, first.px_per_mm, first.size, None if known.all() else known)
    return GlareFree(flat, glare, shares, left, moved, lit, ~burnt & seen, _notes(shares, left))


def glare_excess(lit: Map, unusable: NDArray[np.bool_], px_per_mm: float) -> Map:
    """``(n, H, W)``: how far each photo lies above the darkest of them, in units of what noise and a shift leave."""
    calm = np.stack([cv2.GaussianBlur(luminance_of_linear(p), (0, 0), _CALM_MM * px_per_mm) for p in lit])
    usable = np.where(unusable, np.float32(np.inf), calm)
    lowest = usable.min(axis=0)
    lowest = np.where(np.isfinite(lowest), lowest, calm.min(axis=0))
    gx = cv2.Sobel(lowest, cv2.CV_32F, 1, 0, scale=px_per_mm / 8)
    gy = cv2.Sobel(lowest, cv2.CV_32F, 0, 1, scale=px_per_mm / 8)
    doubt = _NOISE + _NOISE_SHARE * lowest + _SHIFT_LEFT_MM * np.hypot(gx, gy)
    return np.asarray((calm - lowest) / doubt, dtype=np.float32)


def soft_merge(lit: Map, excess: Map, burnt: NDArray[np.bool_], seen: NDArray[np.bool_]) -> Map:
    """Mean of the photos, each weighted by how little it lies above the darkest: ``(H, W, 3)``."""
    weight = 1 / (1 + excess**4)
    weight *= np.where(burnt & ~burnt.all(axis=0), np.float32(1e-6), np.float32(1))
    weight *= np.where(seen, np.float32(1), np.float32(1e-9))
    total = np.einsum("nhw,nhwc->hwc", weight, lit)
    return np.asarray(total / weight.sum(axis=0)[..., None], dtype=np.float32)


def _spots(where: Mask, px_per_mm: float) -> Mask:
    """The places that are large enough to be glare and not a rim of a form."""
    reach = 2 * max(1, round(0.4 * px_per_mm)) + 1
    opened = cv2.morphologyEx(where.astype(np.uint8), cv2.MORPH_OPEN, np.ones((reach, reach), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(opened, connectivity=8)
    kept = np.asarray(stats).reshape(-1, 5)[:, cv2.CC_STAT_AREA] >= _SMALLEST_MM2 * px_per_mm**2
    kept[0] = False
    return np.asarray(kept[labels])


def _notes(shares: tuple[float, ...], left: Mask) -> tuple[str, ...]:
    notes = []
    if max(shares) > ALL_OVER:
        notes.append(
            f"One photo differs from the others over {as_share(max(shares))} of the canvas. If it was painted on "
            "in between, leave that photo out; else move the lamp so that it shines on less of the canvas."
        )
    if left.mean() > 0.0005:
        notes.append(
            f"{as_share(left.mean(), places=1)} of the canvas is burnt out in every photo. Move the lamp further "
            "between them, or expose less."
        )
    if max(shares) < 0.0005:
        notes.append(
            "No glare was found that is in one photo and not in another. If you see some, it lies in the same place in "
            "all of them: move the lamp further."
        )
    return tuple(notes)
