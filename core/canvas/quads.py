"""Four-sided outlines made of the long lines of a photo, and how much each looks like a canvas."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.canvas.aspect import shape_error
from core.canvas.edge_picture import STEP_PX, EdgePicture, Points, support
from core.canvas.lines import Segments, long_lines

LINES_EACH_WAY = 16
SMALLEST_SHARE = 0.15
"""A canvas is at least this wide and high, as a share of the picture's diagonal."""
BORDER_SUPPORT = 0.45
"""A side that runs out of the photo is taken to be worth this much support: less than a side that is seen."""
_KEPT = 1200


@dataclass(frozen=True)
class Quads:
    """``n`` outlines. Sides in the order top, right, bottom, left; corners TL, TR, BR, BL.

    ``corners``: ``(n, 4, 2)`` straightened px about the centre, with lens ``k1`` ``(n,)``. ``support``: ``(n, 4)`` 0-1,
    edge along each side. ``joined``: ``(n, 4)``, whether both sides have edge right up to each corner;
    ``passing``: ``(n, 4)``, whether an edge runs on past it. ``misfit``: ``(n,)``, :func:`shape_error`.
    ``cropped``: ``(n, 4)`` bool, sides that are the photo's border. ``score``: ``(n,)``.
    """

    corners: Points
    k1: Points
    support: Points
    joined: Points
    passing: Points
    misfit: Points
    cropped: NDArray[np.bool_]
    score: Points


@dataclass(frozen=True)
class _Lines:
    """Lines one way: normals' angle and offset ``(m, 2)``, summed support ``(m, t + 1)``, which are the border."""

    lines: Points
    summed: Points
    border: NDArray[np.bool_]
    upright: bool

    @property
    def normal(self) -> Points:
        return np.stack([np.cos(self.lines[:, 0]), np.sin(self.lines[:, 0])], axis=1)

    @property
    def along(self) -> Points:
        """Down or to the right."""
        return np.asarray(self.normal[:, ::-1] * (np.array([-1, 1]) if self.upright else np.array([1, -1])))


def propose(edges: EdgePicture, pieces: Segments, k1: float, aspect: float | None) -> Quads | None:
    """The best outlines of one trial lens, or None when the photo has no long lines both ways.

    ``aspect``: width / height of the canvas, None when it is not known.
    """
    upright, level = (_lines(edges, pieces, k1, upright) for upright in (True, False))
    left, right = _pairs(upright, edges)
    top, bottom = _pairs(level, edges)
    if not len(left) or not len(top):
        return None
    which = np.indices((len(left), len(top))).reshape(2, -1)
    left, right, top, bottom = left[which[0]], right[which[0]], top[which[1]], bottom[which[1]]
    cross = _crossings(upright, level)
    corners = np.stack([cross[left, top], cross[right, top], cross[right, bottom], cross[left, bottom]], axis=1)
    sides = [
        _side(level, top, corners[:, 0], corners[:, 1], edges),
        _side(upright, right, corners[:, 1], corners[:, 2], edges),
        _side(level, bottom, corners[:, 3], corners[:, 2], edges),
        _side(upright, left, corners[:, 0], corners[:, 3], edges),
    ]
    cropped = np.stack([level.border[top], upright.border[right], level.border[bottom], upright.border[left]], axis=1)
    return _scored(edges, corners, k1, sides, cropped, aspect)


def _lines(edges: EdgePicture, pieces: Segments, k1: float, upright: bool) -> _Lines:
    found = long_lines(pieces, edges.half_diagonal, upright=upright, most=LINES_EACH_WAY)
    lines = np.concatenate([found, _border(edges, k1, upright)])
    border = np.arange(len(lines)) >= len(found)
    both = _Lines(lines, np.empty(0), border, upright)
    reach = edges.half_diagonal
    starts = both.normal * lines[:, 1:] - both.along * reach
    plain = support(edges, starts, both.along, np.full(len(lines), 2 * reach), k1).astype(np.float64)
    plain[border] = BORDER_SUPPORT
    return _Lines(lines, np.pad(np.cumsum(plain, axis=1), ((0, 0), (1, 0))), border, upright)


def _border(edges: EdgePicture, k1: float, upright: bool) -> Points:
    """The photo's two borders this way, straight through their ends, as angle and offset."""
    w, h = edges.width - 1.0, edges.height - 1.0
    ends = [[(0, 0), (0, h)], [(w, 0), (w, h)]] if upright else [[(0, 0), (w, 0)], [(0, h), (w, h)]]
    first, last = edges.straighten(np.array(ends), k1).transpose(1, 0, 2)
    along = last - first
    normal = along[:, ::-1] * (np.array([1, -1]) if upright else np.array([-1, 1]))
    normal /= np.hypot(normal[:, 0], normal[:, 1])[:, None]
    return np.stack([np.arctan2(normal[:, 1], normal[:, 0]), (normal * first).sum(axis=1)], axis=1)


def _pairs(lines: _Lines, edges: EdgePicture) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Indices of all pairs far enough apart to be opposite sides, the left or upper one first."""
    first, second = np.triu_indices(len(lines.lines), 1)
    main = 0 if lines.upright else 1
    place = lines.lines[:, 1] / lines.normal[:, main]
    swap = place[first] > place[second]
    first, second = np.where(swap, second, first), np.where(swap, first, second)
    apart = place[second] - place[first] > SMALLEST_SHARE * 2 * edges.half_diagonal
    return first[apart], second[apart]


def _crossings(upright: _Lines, level: _Lines) -> Points:
    """Where every upright line meets every level one, ``(m, n, 2)``."""
    a, b = upright.normal[:, None], level.normal[None]
    p, q = upright.lines[:, 1][:, None], level.lines[:, 1][None]
    area = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return np.stack([(p * b[..., 1] - a[..., 1] * q) / area, (a[..., 0] * q - p * b[..., 0]) / area], axis=-1)


def _side(lines: _Lines, which: NDArray[np.intp], first: Points, last: Points, edges: EdgePicture) -> Points:
    """Support of sides on ``lines``, ``(n, 5)``: whole, near each end, beyond each end."""
    along = lines.along[which]
    start = (first * along).sum(axis=1) + edges.half_diagonal
    end = (last * along).sum(axis=1) + edges.half_diagonal
    near = np.maximum(0.05 * (end - start), 6.0)
    top = lines.summed.shape[1] - 1

    def mean(a: Points, b: Points) -> Points:
        i, j = (np.rint(x / STEP_PX).clip(0, top).astype(int) for x in (a, b))
        return np.asarray((lines.summed[which, j] - lines.summed[which, i]) / np.maximum(j - i, 1))

    beyond = near + 4
    parts = (
        mean(start, end), mean(start, start + near), mean(end - near, end), mean(start - beyond, start - 4),
        mean(end + 4, end + beyond),
    )  # fmt: skip
    return np.stack(parts, axis=1)


def _scored(
    edges: EdgePicture,
    corners: Points,
    k1: float,
    sides: list[Points],
    cropped: NDArray[np.bool_],
    aspect: float | None,
) -> Quads:
    top, right, bottom, left = sides
    along = np.stack([side[:, 0] for side in sides], axis=1)
    best = np.argsort(-(along.mean(axis=1) + along.min(axis=1)))[:_KEPT]
    top, right, bottom, left = (side[best] for side in sides)
    corners, along, cropped = corners[best], along[best], cropped[best]
    # near end 1 or 2 (columns), past end 3 or 4, of the two sides at each corner
    ends = ((left, 1, top, 1), (right, 1, top, 2), (right, 2, bottom, 2), (left, 2, bottom, 1))
    joined = np.stack([np.minimum(a[:, i], b[:, j]) for a, i, b, j in ends], axis=1)
    passing = np.stack([np.maximum(a[:, i + 2], b[:, j + 2]) for a, i, b, j in ends], axis=1)
    at_border = cropped | np.roll(cropped, 1, axis=1)
    passing[at_border] = 0.0
    misfit = shape_misfit(corners, cropped, aspect, 2 * edges.half_diagonal)
    score = (
        0.4 * along.mean(axis=1) + 0.4 * along.min(axis=1) + 0.2 * joined.mean(axis=1) + 0.1 * joined.min(axis=1)
        - 0.15 * passing.mean(axis=1) - 0.08 * np.log1p(misfit)
        + 0.3 * size_merit(share_of_picture(corners, edges))
    )  # fmt: skip
    return Quads(corners, np.full(len(best), k1), along, joined, passing, misfit, cropped, score)


def share_of_picture(corners: Points, edges: EdgePicture) -> Points:
    """Area of quads ``(n, 4, 2)`` over the picture's, ``(n,)``."""
    one, two = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    return np.asarray(0.5 * np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / (edges.width * edges.height))


def size_merit(share: Points) -> Points:
    """What its share of the picture's area says for an outline, up to 1: a canvas is photographed to fill the frame."""
    side = np.sqrt(share)
    return np.asarray(np.minimum(side / 0.6, 1.0) - 3.0 * np.maximum(0.42 - side, 0.0))


def shape_misfit(corners: Points, cropped: NDArray[np.bool_], aspect: float | None, diagonal: float) -> Points:
    """:func:`shape_error`'s misfit, where a cropped side leaves only "too wide" or "too high" to be held against it."""
    if aspect is None:
        return np.full(len(corners), 1.0)
    off, misfit = shape_error(corners, aspect, diagonal)
    wide, high = cropped[:, [1, 3]].any(axis=1), cropped[:, [0, 2]].any(axis=1)
    one_way = np.where(wide & ~high, np.maximum(off, 0), np.where(high & ~wide, np.maximum(-off, 0), 0)) / 0.03
    return np.asarray(np.where(wide | high, 1.0 + one_way**2, misfit))


def together(parts: list[Quads]) -> Quads:
    """The outlines of several trial lenses in one."""
    names = Quads.__dataclass_fields__
    return Quads(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})
