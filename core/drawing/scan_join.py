"""Broken strokes joined: where one goes straight on as another across a short gap, or one comes round to its start."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing.sampling import sampled

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

GAP_MM, TURN_DEG = 0.8, 40.0
"""Ends this near are joined when neither has to turn by more to reach the other."""
FAINT_GAP_MM, FAINT_TURN_DEG = 4.0, 20.0
"""Farther ends, when the gap between them is darker than the bare sheet: the pencil lifted but did not leave."""
TRACE = 0.35
"""... by this share of the darkness from which a place may be ink."""
_LOOK_BACK_MM = 2.5
_LEAST_RING_MM = 6.0
_TOUCHING_MM = 0.25  # where the way from end to end says nothing


@dataclass(frozen=True, eq=False)
class Stroke:
    """``points``: ``(n, 2)`` mm; the last of a ``closed`` one goes on to the first. ``width_mm``: how broad it is."""

    points: Array
    closed: bool
    width_mm: float

    @property
    def length_mm(self) -> float:
        """Length along it, mm."""
        ring = np.concatenate([self.points, self.points[:1]]) if self.closed else self.points
        return float(np.linalg.norm(np.diff(ring, axis=0), axis=1).sum())


def joined(strokes: Sequence[Stroke], trace: Picture, px_per_mm: float) -> list[Stroke]:
    """The strokes, those that are one line made one, the straightest and nearest first.

    ``trace``: ``(H, W)`` float32, darkness as a share of that from which a place may be ink.
    """
    from scipy.spatial import cKDTree

    loose = [stroke for stroke in strokes if not stroke.closed]
    whole = [stroke for stroke in strokes if stroke.closed]
    if not loose:
        return whole
    tips = np.array([end for stroke in loose for end in (stroke.points[0], stroke.points[-1])])
    ways = np.array([way for s in loose for way in (_outward(s.points), _outward(s.points[::-1]))])
    choices = []
    for a, b in cKDTree(tips).query_pairs(FAINT_GAP_MM):
        if a // 2 == b // 2 and loose[a // 2].length_mm < _LEAST_RING_MM:
            continue
        cost = _cost(tips[b] - tips[a], ways[a], ways[b])
        if cost is not None and (cost < 1.0 or _traced(tips[a], tips[b], trace, px_per_mm)):
            choices.append((cost, a, b))
    partner: dict[int, int] = {}
    for _, a, b in sorted(choices):
        if a not in partner and b not in partner:
            partner |= {a: b, b: a}
    return whole + _rows(loose, partner)


def _cost(gap: Array, out: Array, other_out: Array) -> float | None:
    """How unlikely two ends are one line: under 1 for near ones, 1 and more where a trace is needed, None for never."""
    away = float(np.hypot(*gap))
    across = min(float(out @ gap), -float(other_out @ gap)) / max(away, 1e-9)
    straight = across if away > _TOUCHING_MM else -float(out @ other_out)
    if away <= GAP_MM and straight > np.cos(np.radians(TURN_DEG)):
        return 0.5 * away / GAP_MM + 0.49 * (1.0 - straight)
    return 1.0 + away if straight > np.cos(np.radians(FAINT_TURN_DEG)) else None


def _traced(one: Array, other: Array, trace: Picture, px_per_mm: float) -> bool:
    """Whether the gap between two ends is darker than the bare sheet for all but a little of its length."""
    share = np.linspace(0.0, 1.0, max(3, round(float(np.hypot(*(other - one))) / 0.1)))[1:-1, None]
    seen = sampled(trace, (one + share * (other - one)) * px_per_mm - 0.5)
    return bool((seen > TRACE).mean() > 0.75)


def _outward(points: Array) -> Array:
    """Unit vector out of a line at its first point."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    way = points[0] - points[min(int(np.searchsorted(run, _LOOK_BACK_MM)), len(run) - 1)]
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9))


def _rows(loose: Sequence[Stroke], partner: dict[int, int]) -> list[Stroke]:
    """Follow the partners from end to end; what is left over goes round."""
    answer, left = [], set(range(len(loose)))
    starts = [end for end in range(2 * len(loose)) if end not in partner]
    for start in starts + list(range(0, 2 * len(loose), 2)):
        if start // 2 not in left:
            continue
        row = [start]
        left.discard(start // 2)
        while (onward := partner.get(row[-1] ^ 1)) is not None and onward // 2 in left:
            row.append(onward)
            left.discard(onward // 2)
        parts = [loose[end // 2] for end in row]
        points = np.concatenate(
            [part.points[:: 1 if end % 2 == 0 else -1] for part, end in zip(parts, row, strict=True)]
        )
        width = np.average([part.width_mm for part in parts], weights=[part.length_mm for part in parts])
        answer.append(Stroke(points, onward == start, float(width)))
    return answer
