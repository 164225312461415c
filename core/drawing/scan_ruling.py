"""Ruled and squared paper: lines at equal distances right across the sheet, found and taken out of the darkness."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

NARROWEST_MM, WIDEST_MM = 3.0, 14.0
STRIP_MM = 20.0
"""A strip's median along the rule has the ruling, which runs through, and not the drawing, which crosses it."""
RESEMBLANCE, STRIPS = 0.3, 0.6
"""How much a strip must be like itself one spacing on (autocorrelation), and in what share of the strips."""
LINE_MM = 0.7
"""Half the breadth beside each ruled line in which its darkness is taken out."""
DARKER = 1.3
"""What is darker than this many times a ruled line, is drawn on it."""
FAINTEST = 0.01


@dataclass(frozen=True, eq=False)
class Ruling:
    """``spacing_mm``: from line to line. ``upright``: whether its lines run from top to bottom."""

    spacing_mm: float
    upright: bool


def without_ruling(darkness: Picture, px_per_mm: float) -> tuple[Picture, tuple[Ruling, ...]]:
    """The darkness ``(H, W)`` without a printed ruling, and what there was of one."""
    answer, found = darkness, []
    for upright in (False, True):
        plain, spacing = _level(answer.T if upright else answer, px_per_mm)
        if spacing is not None:
            answer = plain.T if upright else plain
            found.append(Ruling(spacing, upright))
    return np.ascontiguousarray(answer), tuple(found)


def _level(dark: Picture, px_per_mm: float) -> tuple[Picture, float | None]:
    """The same for lines that run from left to right; their spacing in mm, or None when there are none."""
    count = max(3, round(dark.shape[1] / (STRIP_MM * px_per_mm)))
    strips = np.array_split(dark, count, axis=1)
    rows = np.stack([np.median(strip[:, :: max(1, strip.shape[1] // 80)], axis=1) for strip in strips])
    rows = np.clip(rows - np.median(rows, axis=1, keepdims=True), 0.0, 0.5).astype(np.float64)
    spacing = _spacing(rows, px_per_mm)
    if spacing is None:
        return dark, None
    answer = dark.copy()
    place = np.arange(rows.shape[1])
    turn = np.exp(-2j * np.pi * place / spacing)
    begin = 0
    for strip, row in zip(strips, rows, strict=True):
        phase = -np.angle((row * turn).sum()) / (2.0 * np.pi) * spacing
        printed = _printed(row, place - phase, spacing, LINE_MM * px_per_mm).astype(np.float32)[:, None]
        part = np.s_[:, begin : begin + strip.shape[1]]
        # Ink over a printed line takes its share of what light the line leaves.
        answer[part] = 1.0 - (1.0 - answer[part]) / (1.0 - printed)
        begin += strip.shape[1]
    return answer, spacing / px_per_mm


def _printed(row: Array, place: Array, spacing: float, reach_px: float) -> Array:
    """What of a strip's medians ``(H,)`` is printed: near the ruled lines, and no darker than most of them are."""
    number = np.rint(place / spacing).astype(np.int64)
    near = np.abs(place - number * spacing) <= reach_px
    darkest = np.zeros(number.max() - number.min() + 1)
    np.maximum.at(darkest, number[near] - number.min(), row[near])
    return np.where(near, np.minimum(row, DARKER * np.median(darkest)), 0.0)


def _spacing(rows: Array, px_per_mm: float) -> float | None:
    """The distance in pixels at which most strips ``(n, H)`` repeat themselves."""
    least, most = round(NARROWEST_MM * px_per_mm), min(round(WIDEST_MM * px_per_mm), rows.shape[1] // 6)
    if most <= least or np.quantile(rows, 0.99) < FAINTEST:
        return None
    smooth = np.stack([np.convolve(row, np.ones(3) / 3.0, "same") for row in rows])
    smooth -= smooth.mean(axis=1, keepdims=True)
    power = np.maximum((smooth**2).sum(axis=1), 1e-12)
    alike = np.stack([(smooth[:, lag:] * smooth[:, :-lag]).sum(axis=1) / power for lag in range(least, most)])
    share = (alike > RESEMBLANCE).mean(axis=1)
    if share.max() < STRIPS:
        return None
    # Two spacings on it is as alike: of what is nearly the best, the shortest.
    mean = alike.mean(axis=1)
    good = np.flatnonzero((share >= STRIPS) & (mean > 0.85 * mean[share >= STRIPS].max()))
    near = good[good <= good[0] + 0.3 * px_per_mm]
    coarse = least + int(near[np.argmax(mean[near])])
    fine = np.linspace(coarse - 1.5, coarse + 1.5, 301)
    waves = np.exp(-2j * np.pi * np.arange(rows.shape[1])[:, None] / fine)
    return float(fine[np.argmax(np.abs(smooth @ waves).sum(axis=0))])
