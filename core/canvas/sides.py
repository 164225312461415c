"""Which of several parallel edges are the canvas's own: its face, a margin left bare, the stretcher's side, a shadow.

Along each side of a rough outline every parallel edge in reach is an option. The face's edges meet: at a true corner
both have a step right up to it and neither runs on past it. A shadow's edges, or the far edge of the stretcher, meet
their neighbours with a gap. Edges with a second one inside them, at the same distance on all four sides, are those of
a canvas with a margin, and the outer ones count; on fewer sides the inner ones do.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.edge_picture import STEP_PX, EdgePicture, Points, support
from core.canvas.quads import BORDER_SUPPORT, shape_misfit
from core.canvas.trace import line_plainness

REACH = 0.07
"""How far parallel edges are looked for, as a share of the outline's width."""
_MOST_OPTIONS = 5
_TURNS = np.arange(-10.0, 10.1, 1.0)
_FAINTEST = 0.12
_BINS = 48
_WINDOW_PX = 14.0
_APART = 0.012
"""Outlines further apart than this share of the width are different answers."""
_TEMPER = 0.07
"""Score by which a choice is e times likelier. At this, the stated uncertainty holds in 87 % of 330 simulated photos,
and twice of it in 97 %; without other choices counted in, errors of 1-5 mm were stated as 0.1 mm."""


@dataclass(frozen=True)
class Settled:
    """The outline settled on. ``corners``: ``(4, 2)`` px of the edge picture.

    ``score``: how well its sides and corners hold. ``lead``: how far the best different choice of parallel edges is
    behind. ``support, joined, passing``: ``(4,)``, as in :class:`core.canvas.quads.Quads`. ``stray``: ``(4,)`` px each
    way, how far off a corner may be because another choice was the right one.
    """

    corners: Points
    score: float
    lead: float
    support: Points
    joined: Points
    passing: Points
    stray: Points


@dataclass(frozen=True)
class _Option:
    start: Points
    along: Points
    length: float
    plain: float
    shift: float
    inner_gap: float = 0.0
    """Distance to the next plain edge inside this one, 0 when there is none."""
    inner_plain: float = 0.0
    """How plain the plainest edge inside this one is, beside it."""


def settle(
    edges: EdgePicture, corners: Points, k1: float, aspect: float | None, cropped: NDArray[np.bool_] | None = None
) -> Settled:
    """Choose among the parallel edges around a rough outline ``(4, 2)`` px of the edge picture.

    ``cropped``: ``(4,)`` sides (top, right, bottom, left) that are the photo's border and stay as they are.
    """
    cropped = np.zeros(4, bool) if cropped is None else cropped
    straight = edges.straighten(corners, k1)
    width = float(np.linalg.norm(straight[2] - straight[0])) / np.sqrt(2)
    reach = float(np.round(REACH * width))
    options = [[_whole(straight, i)] if cropped[i] else _side_options(edges, straight, i, k1, reach) for i in range(4)]
    summed = [_summed(edges, group, k1, reach + 40, bool(c)) for group, c in zip(options, cropped, strict=True)]
    combos = np.stack(np.meshgrid(*[np.arange(len(group)) for group in options], indexing="ij"), axis=-1).reshape(-1, 4)
    found, plain, joined, passing = _evidence(options, summed, combos, reach + 40)
    at_border = cropped | np.roll(cropped, 1)
    passing[:, at_border] = 0.0
    misfit = shape_misfit(found, np.broadcast_to(cropped, combos.shape), aspect, 2 * edges.half_diagonal)
    score = (
        0.6 * plain.mean(axis=1) + 0.4 * plain.min(axis=1) + joined.mean(axis=1) + 0.3 * joined.min(axis=1)
        - 0.5 * passing.mean(axis=1) - 0.14 * np.log1p(misfit) + _margins(options, combos)
    )  # fmt: skip
    best = int(score.argmax())
    other = np.linalg.norm(found - found[best], axis=2).max(axis=1) > _APART * width
    lead = float(score[best] - score[other].max()) if other.any() else 1.0
    return Settled(
        edges.bend(found[best], k1),
        float(score[best]),
        min(lead, 1.0),
        plain[best],
        joined[best],
        passing[best],
        _stray(score - score[best], found - found[best]),
    )


def _stray(behind: Points, away: Points) -> Points:
    """RMS ``(4,)`` each way over all choices ``(n, 4, 2)``, each taken to be as likely as its score says."""
    chance = np.exp(behind / _TEMPER)
    return np.asarray(np.sqrt(chance @ (away**2).sum(axis=2) / (2 * chance.sum())))


def _whole(straight: Points, side: int) -> _Option:
    start, along = straight[side], straight[(side + 1) % 4] - straight[side]
    length = float(np.hypot(*along))
    return _Option(start, along / length, length, BORDER_SUPPORT, 0.0)


def _side_options(edges: EdgePicture, straight: Points, side: int, k1: float, reach: float) -> list[_Option]:
    rough = _whole(straight, side)
    outward = np.array([rough.along[1], -rough.along[0]])
    places = np.linspace(0.02, 0.98, max(_BINS, int(rough.length / STEP_PX)))
    offsets = np.arange(-reach - 14, reach + 15)
    grid = rough.start + places[:, None, None] * rough.along * rough.length + offsets[:, None] * outward
    points = edges.bend(grid, k1)
    plain = line_plainness(edges.picture, points)
    offsets = offsets[1:-1]
    limit = np.array([edges.width, edges.height]) - 3
    plain[((points[:, 1:-1] <= 2) | (points[:, 1:-1] >= limit)).any(axis=-1)] = 0.0
    parts = np.array_split(np.arange(len(places)), _BINS)
    binned = np.stack([plain[part].mean(axis=0) for part in parts])
    lean = np.array([2 * places[part].mean() - 1 for part in parts])
    shifts = np.arange(-reach, reach + 0.1)
    index = np.rint(shifts[:, None, None] + _TURNS[:, None] * lean - offsets[0]).astype(int)
    mean = binned[np.arange(_BINS), index.clip(0, len(offsets) - 1)].mean(axis=2) - 0.004 * np.abs(_TURNS)
    best, turn = mean.max(axis=1), _TURNS[mean.argmax(axis=1)]
    peak = best >= cv2.dilate(best.astype(np.float32)[:, None], np.ones((5, 1), np.uint8))[:, 0] - 1e-6
    chosen = np.nonzero(peak & (best > _FAINTEST))[0]
    chosen = chosen[np.argsort(-best[chosen])][:_MOST_OPTIONS]
    found = [_shifted(rough, outward, float(shifts[i]), float(turn[i]), float(best[i])) for i in chosen]
    if not any(abs(option.shift) < 3 for option in found):
        found.append(rough)
    return _with_gaps(found)


def _shifted(rough: _Option, outward: Points, shift: float, turn: float, plain: float) -> _Option:
    start = rough.start + outward * (shift - turn)
    along = rough.along * rough.length + outward * 2 * turn
    length = float(np.hypot(*along))
    return _Option(start, along / length, length, plain, shift)


def _with_gaps(options: list[_Option]) -> list[_Option]:
    answer = []
    for option in options:
        inside = [o for o in options if option.shift - o.shift > 2.5 and o.plain > 0.5 * option.plain]
        gap = min((option.shift - o.shift for o in inside), default=0.0)
        plain = max((o.plain for o in inside), default=0.0) / option.plain
        answer.append(replace(option, inner_gap=gap, inner_plain=plain))
    return answer


def _margins(options: list[list[_Option]], combos: NDArray[np.intp]) -> Points:
    """What second edges inside the chosen ones say, ``(n,)``: for an even margin, against the stretcher's side."""
    gaps, plain = (
        np.stack([np.array([getattr(o, name) for o in group])[combos[:, i]] for i, group in enumerate(options)], axis=1)
        for name in ("inner_gap", "inner_plain")
    )
    even = (gaps.min(axis=1) > 0) & (gaps.max(axis=1) < 2 * gaps.min(axis=1) + 1)
    # A stretcher's side is as plain an edge within as without; a line of the picture seldom runs so all along.
    depth = np.where(plain > 0.75, 0.3, np.where(plain > 0, 0.1, 0.0)).sum(axis=1)
    return np.where(even, 0.5, -depth)


def _summed(edges: EdgePicture, group: list[_Option], k1: float, margin: float, cropped: bool) -> Points:
    """Running sums of support along each option, from ``margin`` px before its start, ``(m, t + 1)``."""
    along = np.stack([option.along for option in group])
    starts = np.stack([option.start for option in group]) - along * margin
    lengths = np.array([option.length for option in group]) + 2 * margin
    plain = support(edges, starts, along, lengths, k1).astype(np.float64)
    if cropped:
        plain[:] = BORDER_SUPPORT
    return np.pad(np.cumsum(plain, axis=1), ((0, 0), (1, 0)))


def _evidence(
    options: list[list[_Option]], summed: list[Points], combos: NDArray[np.intp], margin: float
) -> tuple[Points, Points, Points, Points]:
    """Corners ``(n, 4, 2)`` of each combination, its sides' support, and its corners' joined and passing."""
    starts = np.stack([np.stack([o.start for o in group])[combos[:, i]] for i, group in enumerate(options)], axis=1)
    along = np.stack([np.stack([o.along for o in group])[combos[:, i]] for i, group in enumerate(options)], axis=1)
    before_start, before = np.roll(starts, 1, axis=1), np.roll(along, 1, axis=1)
    area = before[..., 0] * along[..., 1] - before[..., 1] * along[..., 0]
    apart = starts - before_start
    ends = (apart[..., 0] * along[..., 1] - apart[..., 1] * along[..., 0]) / area  # along the side before the corner
    corners = before_start + ends[..., None] * before
    begins = ((corners - starts) * along).sum(axis=2)
    ends = np.roll(ends, -1, axis=1)

    def mean(side: int, a: Points, b: Points) -> Points:
        total, which = summed[side], combos[:, side]
        i, j = (np.rint((x + margin) / STEP_PX).clip(0, total.shape[1] - 1).astype(int) for x in (a, b))
        return np.asarray((total[which, j] - total[which, i]) / np.maximum(j - i, 1))

    w = _WINDOW_PX
    plain = np.stack([mean(i, begins[:, i] + 3, ends[:, i] - 3) for i in range(4)], axis=1)
    starting = np.stack([mean(i, begins[:, i] + 2, begins[:, i] + w) for i in range(4)], axis=1)
    ending = np.roll(np.stack([mean(i, ends[:, i] - w, ends[:, i] - 2) for i in range(4)], axis=1), 1, axis=1)
    earlier = np.stack([mean(i, begins[:, i] - w - 3, begins[:, i] - 3) for i in range(4)], axis=1)
    later = np.roll(np.stack([mean(i, ends[:, i] + 3, ends[:, i] + w + 3) for i in range(4)], axis=1), 1, axis=1)
    joined = 0.5 * np.minimum(starting, ending) + 0.25 * (starting + ending)
    return corners, plain, joined, 0.5 * (earlier + later)
