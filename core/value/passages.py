"""Passages to name: areas that lie together and are off alike made one, each with its uncertainty and its surround.

A passage is judged twice: against the value it should have, and against what lies round it. One whose surround is off
by as much is right in its relations.

On the truths of :mod:`core.value.relations` with known light 306 of 308 passages of 8 cm2 and 0.7 step or more were
found and 0.03 a picture were false; 92 % of the areas and 93 % of the steps lie within what is stated.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.value.areas import ValueArea

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

NEAR_MM = 10.0
"""Areas of one sign nearer than this, with nothing between them that is right, are looked at as one."""
ALIKE_STEPS = 0.4
_GAP_MM, _AROUND_MM = 4.0, 15.0
"""The surround: the ring between these distances from the passage's border, beyond its soft rim."""
_BORDER_MM = 0.75
"""How far a border may be out, nine times in ten, as it tells on the area; found on known truth."""
_PLATEAU_STEPS = 0.12
"""Nine in ten of what brushwork and smoothing leave of a passage's height; found on known truth."""
_LEAST_AROUND = 0.1


@dataclass(frozen=True, eq=False)
class Passage:
    """One passage that has strayed from what the whole lets expect. ``number`` counts from 1, the heaviest first.

    ``x_mm, y_mm``: a point inside it. ``steps``: canvas minus reference, Munsell steps (negative: too dark), the
    whole's error in it; ``beside_whole``: without that. ``surround_steps``: of what lies round it, NaN where withheld.
    The uncertainties are plus or minus, nine times in ten. ``areas``: what it was made of, their steps without the
    whole's error; ``outlines_mm``: of each.
    """

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    area_uncertainty_cm2: float
    steps: float
    steps_uncertainty: float
    beside_whole: float
    surround_steps: float
    areas: tuple[ValueArea, ...]
    tolerance: float = 0.5

    @property
    def outlines_mm(self) -> tuple[NDArray[np.float64], ...]:
        return tuple(area.outline_mm for area in self.areas)

    def away_mm(self, x_mm: float, y_mm: float) -> float:
        """How far a point lies outside the passage; negative inside."""
        return -max(
            cv2.pointPolygonTest(outline.astype(np.float32), (float(x_mm), float(y_mm)), True)
            for outline in self.outlines_mm
        )

    @property
    def against_surround(self) -> float:
        """Its error less its surround's, steps; NaN where the surround is withheld."""
        return self.steps - self.surround_steps

    @property
    def holds(self) -> bool:
        """Right in its relations: what lies round it is off by as much, within the tolerance."""
        return bool(abs(self.against_surround) < self.tolerance)


def find_passages(
    areas: Sequence[ValueArea],
    difference: Map,
    baseline: Map,
    *,
    px_per_mm: float,
    uncertainty_steps: float,
    tolerance: float,
) -> tuple[Passage, ...]:
    """Passages from ``areas``, found on ``difference`` ``(H, W)`` (canvas minus reference, NaN: withheld) less
    ``baseline`` ``(H, W)``, what the whole's error makes of it: the areas' steps are beside that.

    One that is right in itself is none though it stands out from a whole that is off. ``uncertainty_steps``: how well
    the light was taken out.
    """
    masks = [_filled(area, difference.shape, px_per_mm) for area in areas]
    doubt = float(np.hypot(uncertainty_steps, _PLATEAU_STEPS))
    made = []
    for group in _groups(areas, masks, difference - baseline, px_per_mm, tolerance):
        parts = tuple(areas[k] for k in group)
        mask = np.zeros(difference.shape, bool)
        for k in group:
            mask |= masks[k]
        largest = max(parts, key=lambda part: part.area_cm2)
        area = sum(part.area_cm2 for part in parts)
        beside = sum(part.steps * part.area_cm2 for part in parts) / area
        steps = beside + (float(np.median(baseline[mask])) if mask.any() else 0.0)
        if steps * np.sign(beside) < min(tolerance, abs(beside)):
            continue
        made.append(
            Passage(
                number=0,
                x_mm=largest.x_mm,
                y_mm=largest.y_mm,
                area_cm2=area,
                area_uncertainty_cm2=sum(_border_doubt(part) for part in parts),
                steps=steps,
                steps_uncertainty=doubt,
                beside_whole=beside,
                surround_steps=_surround(mask, difference, px_per_mm),
                areas=parts,
                tolerance=tolerance,
            )
        )
    made.sort(key=lambda each: -abs(each.beside_whole) * np.sqrt(each.area_cm2))
    return tuple(replace(each, number=number) for number, each in enumerate(made, start=1))


def _filled(area: ValueArea, shape: tuple[int, ...], px_per_mm: float) -> Mask:
    mask = np.zeros(shape, np.uint8)
    outline = np.rint(area.outline_mm * px_per_mm - 0.5).astype(np.int32)
    cv2.fillPoly(mask, [outline.reshape(-1, 1, 2)], 1)
    return np.asarray(mask > 0)


def _groups(
    areas: Sequence[ValueArea], masks: Sequence[Mask], difference: Map, px_per_mm: float, tolerance: float
) -> list[list[int]]:
    """Indices of the areas that belong together, by pairs that lie near, are off alike, and are one between."""
    group = list(range(len(areas)))
    for one in range(len(areas)):
        for other in range(one):
            if group[one] == group[other] or not _alike(areas[one], areas[other]):
                continue
            between = _between(areas[one], areas[other], masks[one] | masks[other], px_per_mm)
            if between is None:
                continue
            told = difference[between]
            told = told[np.isfinite(told)]
            sign = np.sign(areas[one].steps)
            if not told.size or float(np.median(sign * told)) >= tolerance / 2:
                kept, gone = group[other], group[one]
                group = [kept if g == gone else g for g in group]
    return [[k for k, g in enumerate(group) if g == name] for name in dict.fromkeys(group)]


def _alike(one: ValueArea, other: ValueArea) -> bool:
    return one.steps * other.steps > 0 and abs(one.steps - other.steps) <= ALIKE_STEPS


def _between(one: ValueArea, other: ValueArea, covered: Mask, px_per_mm: float) -> tuple[NDArray[np.intp], ...] | None:
    """Pixels of the shortest bridge from one outline to the other; None when they are too far apart."""
    a, b = one.outline_mm, other.outline_mm
    apart = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    i, j = np.unravel_index(int(apart.argmin()), apart.shape)
    if apart[i, j] > NEAR_MM:
        return None
    bridge = np.zeros(covered.shape, np.uint8)
    ends = [tuple(int(v) for v in np.rint(p * px_per_mm - 0.5)) for p in (a[i], b[j])]
    cv2.line(bridge, ends[0], ends[1], 1, max(1, round(2 * px_per_mm)))
    return np.nonzero((bridge > 0) & ~covered)


def _surround(mask: Mask, difference: Map, px_per_mm: float) -> float:
    """Median difference in the ring round a passage; NaN where too little of it is known."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not rows.size:
        return float("nan")
    reach = int(np.ceil(_AROUND_MM * px_per_mm)) + 1
    part = np.s_[max(0, rows[0] - reach) : rows[-1] + reach + 1, max(0, columns[0] - reach) : columns[-1] + reach + 1]
    away = cv2.distanceTransform((~mask[part]).astype(np.uint8), cv2.DIST_L2, 3)
    ring = difference[part][(away >= _GAP_MM * px_per_mm) & (away <= _AROUND_MM * px_per_mm)]
    told = ring[np.isfinite(ring)]
    return float(np.median(told)) if told.size >= max(1.0, _LEAST_AROUND * ring.size) else float("nan")


def _border_doubt(area: ValueArea) -> float:
    """Plus or minus of an area, cm²: its border is known to a band along its length."""
    around = np.vstack([area.outline_mm, area.outline_mm[:1]])
    length = float(np.hypot(*np.diff(around, axis=0).T).sum())
    return length * _BORDER_MM / 100
