"""Stretches of edges that are too hard, too soft or right, each with its figures, its words and its weight."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.photo_blur import PhotoBlur
from core.edge.scale import Floats
from core.edge.width import Edges

Ints = NDArray[np.intp]

TOLERANCE_MM, TOLERANCE_SHARE = 0.5, 0.5
"""How far an edge may be off the reference, on a canvas of the usual size and as a share of its sigma; ours."""
HARDER = 0.8
"""An edge can be hardened by less than it can be softened: by so much of the tolerance."""
FAR = 2.0
"""Times the tolerance from which an edge is at fault though it is of the right kind."""
LONGEST_MM, SHORTEST_MM = 20.0, 7.0
"""Of a stretch, on a canvas of the usual size."""
_BRIDGED = 2
_TOLD_MM = 0.05
_NARROW_MM, _WIDE_MM, _LEAST_FAR, _MOST_FAR = 0.25, 12.0, 0.4, 2.0
_LEAST_MM = 3.0
_USUAL_CONTRAST, _USUAL_LENGTH_MM, _NEAR_MM, _FAR_WEIGHT = 3.0, 20.0, 150.0, 0.4


class Verdict(StrEnum):
    """Of a stretch of an edge."""

    HARD = "too hard"
    SOFT = "too soft"
    RIGHT = "right"


@dataclass(frozen=True)
class Stretch:
    """A stretch of an edge. ``x_mm, y_mm``: its middle on the reference; ``canvas_x_mm``, ``canvas_y_mm``: in the
    painting. ``canvas_mm`` is infinite where no step is left. ``planned``: the planned kind, or the reference's own
    where ``by_plan`` is False. ``uncertainty_mm``: of the canvas's sigma beside the reference's, nine in ten.
    ``contrast``: Munsell steps. ``weight``: by how far off, contrast, length and distance from the
    nearest focal point.
    ``path_mm`` ``(m, 2)``: how it runs in the painting."""

    x_mm: float
    y_mm: float
    canvas_x_mm: float
    canvas_y_mm: float
    length_mm: float
    reference_mm: float
    canvas_mm: float
    uncertainty_mm: float
    planned: EdgeKind
    by_plan: bool
    verdict: Verdict
    contrast: float
    weight: float
    bounds: EdgeBounds
    path_mm: Floats = field(compare=False, repr=False)

    @property
    def lost(self) -> bool:
        return bool(np.isinf(self.canvas_mm))

    def away_mm(self, x_mm: float, y_mm: float) -> float:
        """How far a place is from it, on the canvas."""
        return float(np.hypot(self.path_mm[:, 0] - x_mm, self.path_mm[:, 1] - y_mm).min())

    def apart_mm(self, other: "Stretch") -> float:
        """How near another comes to it, on the canvas."""
        return float(np.min(np.linalg.norm(self.path_mm[:, None] - other.path_mm[None], axis=2)))

    def say(self) -> str:
        """Such as ``too soft: 2.4 ± 0.4 mm, planned hard (under 0.5 mm)``."""
        planned = f"planned {self.planned}" if self.by_plan else f"{self.planned} in the reference"
        within = bounds_words(self.planned, self.bounds) if self.by_plan else f"{self.reference_mm:.1f} mm"
        if self.lost:
            now = "lost, no edge can be seen"
        elif self.canvas_mm < _TOLD_MM:
            now = f"under {2 * _TOLD_MM:.1f} mm"
        else:
            now = f"{self.canvas_mm:.1f} ± {max(0.1, self.uncertainty_mm):.1f} mm"
        return f"{self.verdict}: {now}, {planned} ({within})"


def bounds_words(kind: EdgeKind, bounds: EdgeBounds) -> str:
    """Such as ``under 0.5 mm``, ``0.5 to 1.5 mm`` or ``4 mm and more``."""
    low, high = ends_of(kind, bounds)
    if low == 0:
        return f"under {_mm(high)} mm"
    return f"{_mm(low)} mm and more" if np.isinf(high) else f"{_mm(low)} to {_mm(high)} mm"


def _mm(bound: float) -> str:
    return f"{bound:.2g}"


def ends_of(kind: EdgeKind, bounds: EdgeBounds) -> tuple[float, float]:
    """The least and the most sigma of a kind, mm."""
    ends = (0.0, bounds.hard_mm, bounds.firm_mm, bounds.soft_mm, float("inf"))
    number = list(EdgeKind).index(kind)
    return ends[number], ends[number + 1]


def stretches_of(
    places: Edges,
    line: Ints,
    moved: tuple[Floats, Floats],
    canvas: tuple[Floats, Floats],
    *,
    plan: Ints,
    bounds: EdgeBounds,
    blur: PhotoBlur | None,
    foci_mm: Sequence[tuple[float, float]],
    scale: float,
) -> tuple[tuple[Stretch, ...], tuple[Stretch, ...]]:
    """Stretches of ``places``, which lie in their order on the lines ``line`` ``(n,)``; and the faults among them
    whole, however long, the heaviest first.

    ``canvas``: sigma and its ±, each ``(n,)``. ``plan`` ``(n,)``: numbers into EdgeKind, -1 without. ``scale``: how
    many times the usual canvas this one is across; lengths and tolerances go with it.
    """
    ends = np.array([0.0, bounds.hard_mm, bounds.firm_mm, bounds.soft_mm, np.inf])
    own = np.searchsorted(ends[1:4], places.sigma_mm, side="right")
    kind = np.where(plan >= 0, plan, own)
    sigma, doubt = canvas
    both = np.hypot(doubt, np.where(plan >= 0, 0.0, places.uncertainty_mm))
    judged = _verdicts(places, (sigma, doubt, both), (kind, own, plan), ends, scale)
    if blur is not None:
        hidden = blur.hides(bounds.hard_mm, places.nx, places.ny)
        judged[(judged == _RIGHT) & (kind == 0) & hidden] = _UNKNOWN

    def made(run: Ints) -> Stretch:
        return _stretch(places, run, moved, canvas, both, judged, plan, bounds, foci_mm, scale)

    whole = list(_runs(judged, plan, line, places, max(SHORTEST_MM * scale, _LEAST_MM)))
    parts = [made(part) for run, length in whole for part in _parted(run, length / scale)]
    faults = [made(run) for run, _ in whole if judged[run].max() != _RIGHT]
    faults = [each for each in faults if each.verdict is not Verdict.RIGHT]
    return tuple(parts), tuple(sorted(faults, key=lambda each: -each.weight))


_RIGHT, _SOFT, _HARD, _UNKNOWN = 0, 1, 2, 3
_VERDICTS = {_RIGHT: Verdict.RIGHT, _SOFT: Verdict.SOFT, _HARD: Verdict.HARD}


def _verdicts(
    places: Edges,
    canvas: tuple[Floats, Floats, Floats],
    kinds: tuple[Ints, Ints, Ints],
    ends: Floats,
    scale: float,
) -> Ints:
    """``canvas``: sigma, its ±, and that beside the reference's; ``kinds``: wanted, the reference's own, planned."""
    (sigma, doubt, both), (kind, own, plan), reference = canvas, kinds, places.sigma_mm
    tolerance = np.hypot(TOLERANCE_MM * scale, TOLERANCE_SHARE * reference)
    low, high = ends[kind], ends[kind + 1]
    other = (plan >= 0) & (kind != own)
    lost = np.isinf(sigma)
    with np.errstate(invalid="ignore"):
        softer, harder = np.where(lost, np.inf, sigma - reference), np.where(lost, -np.inf, reference - sigma)
        soft = (sigma - doubt > high) & (other | (softer > np.maximum(tolerance, both)))
        hard = (sigma + doubt < low) & (other | (harder > np.maximum(HARDER * tolerance, both)))
        soft |= ~other & (softer > np.maximum(FAR * tolerance, both)) & np.isfinite(high)
        hard |= ~other & ~lost & (harder > np.maximum(FAR * HARDER * tolerance, both))
    answer = np.where(soft, _SOFT, np.where(hard, _HARD, _RIGHT))
    answer[np.isnan(sigma)] = _UNKNOWN
    return answer


def _runs(judged: Ints, plan: Ints, line: Ints, places: Edges, shortest_mm: float) -> Iterator[tuple[Ints, float]]:
    """Places of one verdict and planned kind in their order along one line, short gaps bridged; and its length, mm."""
    if not len(judged):
        return
    judged = _bridged(judged, plan, line)
    change = (np.diff(judged) != 0) | (np.diff(plan) != 0) | (np.diff(line) != 0)
    for run in np.split(np.arange(len(judged)), np.flatnonzero(change) + 1):
        if judged[run[0]] == _UNKNOWN or len(run) < 2:
            continue
        step = np.hypot(np.diff(places.x_mm[run]), np.diff(places.y_mm[run]))
        length = float(step.sum()) * len(run) / (len(run) - 1)
        if length >= shortest_mm:
            yield run, length


def _parted(run: Ints, length: float) -> list[Ints]:
    return np.array_split(run, max(1, int(np.ceil(length / LONGEST_MM))))


def _bridged(judged: Ints, plan: Ints, line: Ints) -> Ints:
    """Gaps of a place or two within one verdict taken into it."""
    judged = judged.copy()
    for size in range(1, _BRIDGED + 1):
        first = np.arange(1, len(judged) - size)
        after = first + size
        same = (
            (judged[first - 1] == judged[after]) & (line[first - 1] == line[after]) & (plan[first - 1] == plan[after])
        )
        for start in first[same & (judged[first] != judged[first - 1])]:
            judged[start : start + size] = judged[start - 1]
    return judged


def _stretch(
    places: Edges,
    run: Ints,
    moved: tuple[Floats, Floats],
    canvas: tuple[Floats, Floats],
    both: Floats,
    judged: Ints,
    plan: Ints,
    bounds: EdgeBounds,
    foci_mm: Sequence[tuple[float, float]],
    scale: float,
) -> Stretch:
    middle = int(run[len(run) // 2])
    sigma = canvas[0][run]
    known = ~np.isnan(sigma)
    step = np.hypot(np.diff(places.x_mm[run]), np.diff(places.y_mm[run]))
    spacing = float(np.median(step)) if len(step) else 1.0
    length, contrast = float(step.sum()) + spacing, float(np.median(places.contrast[run]))
    reference = float(np.median(places.sigma_mm[run]))
    found = float(np.quantile(sigma[known], 0.5, method="nearest"))
    by_plan = bool(plan[middle] >= 0)
    planned = list(EdgeKind)[plan[middle]] if by_plan else bounds.kind(reference)
    verdicts = judged[run][judged[run] != _UNKNOWN]
    weight = _how_far(found, ends_of(planned, bounds) if by_plan else (reference, reference))
    weight *= (
        contrast / _USUAL_CONTRAST * np.sqrt(length / _USUAL_LENGTH_MM / scale) * _nearness(places, run, foci_mm, scale)
    )
    return Stretch(
        x_mm=float(places.x_mm[middle]),
        y_mm=float(places.y_mm[middle]),
        canvas_x_mm=float(moved[0][middle]),
        canvas_y_mm=float(moved[1][middle]),
        length_mm=length,
        reference_mm=reference,
        canvas_mm=found,
        uncertainty_mm=float(np.median(both[run][known])),
        planned=planned,
        by_plan=by_plan,
        verdict=_VERDICTS[int(np.bincount(verdicts).argmax())],
        contrast=contrast,
        weight=float(weight),
        bounds=bounds,
        path_mm=np.stack([moved[0][run], moved[1][run]], axis=1),
    )


def _how_far(sigma_mm: float, wanted_mm: tuple[float, float]) -> float:
    """How many times too wide or too narrow, in powers of e: at least ``_LEAST_FAR``, at most ``_MOST_FAR``."""
    low, high = (max(end, _NARROW_MM) for end in wanted_mm)
    wide = min(max(sigma_mm, _NARROW_MM), _WIDE_MM)
    off = np.log(wide / high) if wide > high else np.log(low / wide)
    return float(np.clip(off, _LEAST_FAR, _MOST_FAR))


def _nearness(places: Edges, run: Ints, foci_mm: Sequence[tuple[float, float]], scale: float) -> float:
    """1 at a focal point, less far from all, on average over the stretch; 1 everywhere without one."""
    if not foci_mm:
        return 1.0
    away = np.min([np.hypot(places.x_mm[run] - x, places.y_mm[run] - y) for x, y in foci_mm], axis=0)
    return float(np.mean(_FAR_WEIGHT + (1 - _FAR_WEIGHT) * np.exp(-((away / (_NEAR_MM * scale)) ** 2))))
