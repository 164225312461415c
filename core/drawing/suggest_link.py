"""Lines mended: faint tails cut off, small gaps closed, rings closed, doubles left out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SIDEWAYS_DEG, _CLOSING_DEG = 45.0, 75.0
"""Two ends are one line when neither has to turn by more to reach the other; a line's own two ends may turn more."""
_STRAIGHT_DEG, _FAR, _SHARE = 20.0, 2.5, 0.35
"""Ends that hardly turn may be this many times farther apart, but no farther than this share of the shorter piece."""
_LOOK_BACK_MM, _LOOK_BACK_POINTS = 4.0, 60
_TOUCHING_MM = 0.3
_UNLIKE = 4.0
"""Pieces of which one is this many times stronger are not one line."""
_STEP_MM, _AIM = 0.3, 0.3


@dataclass(frozen=True, eq=False)
class Piece:
    """Part of an edge that counts. ``points``: ``(n, 2)`` mm. ``score``: ``(n,)`` contrast. ``soft``: ``(n,)`` bool,
    whether it looks like a shadow's edge there."""

    points: Array
    score: Array
    soft: NDArray[np.bool_]
    closed: bool

    @property
    def length_mm(self) -> float:
        """Length along the piece, mm."""
        around = np.concatenate([self.points, self.points[:1]]) if self.closed else self.points
        return float(np.linalg.norm(np.diff(around, axis=0), axis=1).sum())

    def part(self, index: NDArray[np.int64]) -> "Piece":
        """The open piece of the points chosen."""
        return Piece(self.points[index], self.score[index], self.soft[index], False)

    @property
    def turned(self) -> "Piece":
        """The same piece from its other end."""
        return Piece(self.points[::-1], self.score[::-1], self.soft[::-1], self.closed)


def strong_parts(piece: Piece, *, faintest: float, share: float, gap: int, least: int) -> list[Piece]:
    """The parts of a piece where its score is at least ``faintest`` and ``share`` of what it usually is where strong.

    Weak places of up to ``gap`` points between strong ones stay; parts of fewer than ``least`` points are left out.
    """
    level = max(faintest, share * float(np.sort(piece.score)[(3 * len(piece.score)) // 4]))
    strong = piece.score >= level
    if strong.all():
        return [piece] if len(strong) >= least else []
    if not strong.any():
        return []
    index = np.arange(len(strong))
    if piece.closed:  # begin in the longest weak stretch
        index = np.roll(index, -int(np.flatnonzero(~strong & np.roll(strong, -1))[0]) - 1)
    at = np.flatnonzero(strong[index])
    cuts = np.flatnonzero(np.diff(at) > gap + 1)
    begins, ends = np.r_[at[0], at[cuts + 1]], np.r_[at[cuts], at[-1]]
    if piece.closed and len(begins) == 1 and len(index) - (ends[0] - begins[0] + 1) <= gap:
        return [piece]
    return [piece.part(index[b : e + 1]) for b, e in zip(begins, ends, strict=True) if e - b + 1 >= least]


def linked(pieces: Sequence[Piece], *, gap_mm: float) -> list[Piece]:
    """Open pieces joined where one goes on as another across a gap of at most ``gap_mm``, and closed where one comes
    round to its own start; the straightest and nearest first."""
    from scipy.spatial import cKDTree

    loose = [piece for piece in pieces if not piece.closed]
    whole = [piece for piece in pieces if piece.closed]
    if not loose:
        return whole
    tips, ways = _tips(loose)
    partner: dict[int, int] = {}
    near = cKDTree(tips).query_pairs(_FAR * gap_mm, output_type="ndarray").reshape(-1, 2)
    for a, b in _choices(loose, tips, ways, near, gap_mm):
        if a not in partner and b not in partner:
            partner |= {a: b, b: a}
    return whole + _rows(loose, partner)


def _choices(
    loose: Sequence[Piece], tips: Array, ways: Array, near: NDArray[np.int64], gap_mm: float
) -> list[tuple[int, int]]:
    """Which of the pairs of ends ``near`` ``(m, 2)`` each other may be one line, the nearest and straightest first."""
    lengths = np.array([piece.length_mm for piece in loose])
    strength = np.array([piece.score.mean() for piece in loose])
    a, b = near.T
    one, other = a // 2, b // 2
    gap = tips[b] - tips[a]
    away = np.linalg.norm(gap, axis=1)
    ahead, back = (ways[a] * gap).sum(axis=1), -(ways[b] * gap).sum(axis=1)
    bent = np.minimum(ahead, back) / np.maximum(away, 1e-9)
    straight = np.where(away > _TOUCHING_MM, bent, -(ways[a] * ways[b]).sum(axis=1))
    most = np.where(one == other, _CLOSING_DEG, _SIDEWAYS_DEG)
    most = np.where(away > gap_mm, _STRAIGHT_DEG, most)
    alike = np.abs(np.log(strength[one] / strength[other])) < np.log(_UNLIKE)
    small = np.where(away > gap_mm, away < _SHARE * np.minimum(lengths[one], lengths[other]), True)
    round_ = (one != other) | (lengths[one] > 4.0 * np.maximum(away, 1.0))
    fits = alike & small & round_ & (straight >= np.cos(np.radians(most)))
    order = np.argsort((away / gap_mm - straight)[fits], kind="stable")
    return [(int(i), int(j)) for i, j in near[fits][order]]


def _tips(pieces: Sequence[Piece]) -> tuple[Array, Array]:
    """The first and last point of every piece ``(2 n, 2)``, and the unit vectors out of the piece there."""
    tips = np.array([end for piece in pieces for end in (piece.points[0], piece.points[-1])])
    back = np.array([_back(points) for piece in pieces for points in (piece.points, piece.points[::-1])])
    ways = tips - back
    return tips, ways / np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-9)


def _back(points: Array) -> Array:
    """The first of the points that is far enough from the first one to tell its direction."""
    near = points[:_LOOK_BACK_POINTS]
    far = ((near - near[0]) ** 2).sum(axis=1) >= _LOOK_BACK_MM**2
    return np.asarray(near[int(far.argmax())] if far.any() else near[-1])


def _rows(loose: Sequence[Piece], partner: dict[int, int]) -> list[Piece]:
    answer, left = [], set(range(len(loose)))
    open_starts = [end for end in range(2 * len(loose)) if end not in partner]
    for start in open_starts + list(range(0, 2 * len(loose), 2)):
        if start // 2 not in left:
            continue
        row, following = [start], partner.get(start ^ 1)
        left.discard(start // 2)
        while following is not None and following // 2 in left:
            row.append(following)
            left.discard(following // 2)
            following = partner.get(following ^ 1)
        parts = [loose[end // 2] if end % 2 == 0 else loose[end // 2].turned for end in row]
        answer.append(
            Piece(
                np.concatenate([part.points for part in parts]),
                np.concatenate([part.score for part in parts]),
                np.concatenate([part.soft for part in parts]),
                following == start,
            )
        )
    return answer


def met(pieces: Sequence[Piece], *, reach_mm: float) -> list[Piece]:
    """Open pieces led on to the line that they all but run into, within ``reach_mm`` straight ahead of their ends."""
    from scipy.spatial import cKDTree

    if len(pieces) < 2:
        return list(pieces)
    every = np.concatenate([piece.points for piece in pieces])
    owner = np.repeat(np.arange(len(pieces)), [len(piece.points) for piece in pieces])
    tips, ways = _tips(pieces)
    ahead = np.arange(1.0, reach_mm / _STEP_MM + 1.0) * _STEP_MM
    away, nearest = cKDTree(every).query(tips[:, None] + ahead[:, None] * ways[:, None])
    hit = (away < _STEP_MM + _AIM * ahead) & (owner[nearest] != np.arange(len(tips))[:, None] // 2)
    first = hit.argmax(axis=1)
    answer = []
    for number, piece in enumerate(pieces):
        before, after = (
            every[nearest[end, first[end : end + 1]]] if hit[end].any() and not piece.closed else every[:0]
            for end in (2 * number, 2 * number + 1)
        )
        index = np.clip(np.arange(-len(before), len(piece.points) + len(after)), 0, len(piece.points) - 1)
        points = np.concatenate([before, piece.points, after])
        answer.append(Piece(points, piece.score[index], piece.soft[index], piece.closed))
    return answer


def not_doubled(pieces: Sequence[Piece], others: Sequence[Piece], *, within_mm: float, least: int) -> list[Piece]:
    """The parts of ``pieces`` that none of the ``others`` already draws: farther than ``within_mm`` from every point of
    theirs that is at least half as strong."""
    from scipy.spatial import cKDTree

    if not others or not pieces:
        return list(pieces)
    tree = cKDTree(np.concatenate([other.points for other in others]))
    strength = np.concatenate([other.score for other in others])
    answer = []
    for piece in pieces:
        away, nearest = tree.query(piece.points, distance_upper_bound=within_mm)
        drawn = np.isfinite(away)
        drawn[drawn] = strength[nearest[drawn]] >= 0.5 * piece.score[drawn]
        free = Piece(piece.points, np.where(drawn, 0.0, piece.score), piece.soft, piece.closed)
        answer += strong_parts(free, faintest=1e-9, share=0.0, gap=2, least=least)
    return answer
