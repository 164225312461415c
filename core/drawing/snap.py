"""Bringing what is drawn by hand onto the edges of the reference, to a part of a pixel.

A stroke is shifted sideways as a whole row: of all ways across its samples' sideways places the one that keeps to
strong edges, turns little and strays little from the hand, found by dynamic programming (Viterbi 1967). Where no edge
is strong enough, staying where the hand was costs least.

The crest of an edge is the top of a parabola through the slopes across it. Two ways were measured on a rendered disc at
4 px/mm with noise of 0.1 value steps, largest error of single places: through the highest of samples 0.03 mm apart and
its two neighbours, 0.10 mm at a hard edge (sigma 0.2 mm, 3 steps) and 0.18 mm at a firm one (0.4 mm, 1.5 steps); by
least squares through seven over 0.9 mm, 0.02 and 0.07 mm, which is what is done. Strokes then keep within 0.02 and
0.07 mm. Of a soft edge (sigma 1.5 mm, 2 steps) the crest is found to about 0.3 mm (one sigma), 1 mm at worst.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

SCALE_MM = 0.3
"""Sigma of the blur the slopes are measured at; at least a pixel."""
STRONG = 0.35
"""Slope of an edge that is followed, value steps per mm: a step of half a value at ``SCALE_MM`` with room for noise,
and what is left of two steps at an edge about 2 mm soft."""
REACH_MM = 1.5

_SPACING_MM = 0.4  # between the samples of a stroke
_ACROSS = 24  # sideways places to each side
_CREST = 8  # sideways places over which a crest is the highest
_MOST_REWARD = 3.0  # an edge many times as strong does not pull more than this
_BENDING = 1.2  # cost of changing the sideways place, for (change / spacing) squared
_STRAYING = 0.6  # cost of a place at the end of the reach
_CHANGING = 2.0  # cost of beginning or ceasing to follow an edge
_WINDOW: Array = np.linspace(-0.45, 0.45, 7)  # mm about a crest, over which its top is sought
_ROUNDS = 3
_TANGENT_MM = 1.5  # over which a stroke's direction is judged


@dataclass(frozen=True, eq=False)
class Edges:
    """Slopes of value over the canvas: ``across``, ``down`` ``(H, W)`` float32, value steps per mm.

    Pixels lie as in :class:`core.canvas.flat.Flat`.
    """

    across: Picture
    down: Picture
    px_per_mm: float

    def at(self, places: Array) -> Array:
        """Slopes ``(..., 2)`` at places ``(..., 2)`` mm, linear between pixels; 0 off the canvas."""
        pixels = (places * self.px_per_mm - 0.5).astype(np.float32).reshape(len(places), -1, 2)
        both = [
            cv2.remap(part, pixels[..., 0], pixels[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
            for part in (self.across, self.down)
        ]
        return np.stack(both, axis=-1).reshape(places.shape).astype(np.float64)


def edges_of(value: Picture, px_per_mm: float, *, scale_mm: float = SCALE_MM) -> Edges:
    """The edges of a value picture ``(H, W)`` float32 Munsell value, laid flat; NaN counts as mid grey."""
    if value.ndim != 2 or not px_per_mm > 0:
        raise ValueError(f"A value picture is (H, W) with px_per_mm more than 0, not {value.shape}, {px_per_mm}.")
    sigma = max(scale_mm * px_per_mm, 1.0)
    smooth = cv2.GaussianBlur(
        np.nan_to_num(value, nan=5.0).astype(np.float32), (0, 0), sigma, borderType=cv2.BORDER_REPLICATE
    )
    across, down = (
        cv2.Sobel(smooth, cv2.CV_32F, x, y, ksize=1, scale=px_per_mm / 2.0, borderType=cv2.BORDER_REPLICATE)
        for x, y in ((1, 0), (0, 1))
    )
    return Edges(across, down, px_per_mm)


def snap_place(edges: Edges, x_mm: float, y_mm: float, *, reach_mm: float = REACH_MM) -> tuple[float, float]:
    """The place on the nearest strong edge within ``reach_mm``, mm; the same place where there is none.

    An edge counts for more the stronger it is, and the nearer.
    """
    here = np.array([x_mm, y_mm])
    step = 0.5 / edges.px_per_mm
    count = int(np.ceil(reach_mm / step))
    grid = np.arange(-count, count + 1) * step
    offsets = np.stack(np.meshgrid(grid, grid), axis=-1)
    away = np.linalg.norm(offsets, axis=-1)
    slope = edges.at(here + offsets)
    strength = np.linalg.norm(slope, axis=-1)
    direction = slope / np.maximum(strength, 1e-12)[..., None]
    beside = [np.linalg.norm(edges.at(here + offsets + sign * step * direction), axis=-1) for sign in (-1, 1)]
    crest = (strength >= beside[0]) & (strength > beside[1]) & (strength >= STRONG) & (away <= reach_mm)
    if not crest.any():
        return float(x_mm), float(y_mm)
    worth = _reward(strength) * (1.0 - 0.8 * away / reach_mm)
    best = np.unravel_index(int(np.where(crest, worth, -1.0).argmax()), crest.shape)
    place, along = here + offsets[best], direction[best]
    for _ in range(_ROUNDS):
        row = place + _WINDOW[:, None] * along
        place = place + _crest(np.abs(edges.at(row) @ along)[None])[0] * along
    return float(place[0]), float(place[1])


def snap_stroke(edges: Edges, points: Array, *, reach_mm: float = REACH_MM, closed: bool = False) -> Array:
    """A stroke ``(n, 2)`` mm drawn onto the edges near it, as ``(m, 2)`` evenly spaced points.

    Each point is shifted sideways by at most ``reach_mm``; where no edge is strong enough the stroke stays as drawn.
    A closed stroke goes on at its start. A stroke without length is given back as it is.
    """
    points = np.asarray(points, dtype=np.float64)
    around = np.concatenate([points, points[:1]]) if closed else points
    stroke = _even(around)
    if len(stroke) < 3:
        return points
    ring = stroke[:-1] if closed else stroke
    turns = 1 if not closed else 2  # of a ring the second round is kept, by when it no longer knows where it began
    normals = _normals(ring, closed=closed)
    rows = np.tile(np.arange(len(ring)), turns)
    spacing = float(np.linalg.norm(np.diff(stroke, axis=0), axis=1).mean())
    step = reach_mm / _ACROSS
    offsets: Array = np.arange(-_ACROSS, _ACROSS + 1) * np.float64(step)
    places = ring[:, None] + offsets[None, :, None] * normals[:, None]
    strength = _along(np.abs((edges.at(places) * normals[:, None]).sum(axis=-1)), closed=closed)
    follows = _best_way(strength[rows], offsets, spacing)[-len(ring) :]
    shift = np.zeros(len(ring))
    snapped = follows >= 0
    if snapped.any():
        shift[snapped] = _on_crests(edges, ring, normals, offsets[np.maximum(follows, 0)], closed=closed)[snapped]
    shift = _eased(shift, snapped, closed=closed)
    return np.asarray(ring + shift[:, None] * normals)


def _even(points: Array) -> Array:
    """Points at equal distances of about ``_SPACING_MM`` along a polyline, its ends with them."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    if run[-1] <= 0.0:
        return points[:1]
    at = np.linspace(0.0, run[-1], max(round(run[-1] / _SPACING_MM), 1) + 1)
    return np.stack([np.interp(at, run, points[:, axis]) for axis in (0, 1)], axis=1)


def _normals(ring: Array, *, closed: bool) -> Array:
    """Unit vectors ``(n, 2)`` across a row of even points, its direction judged over ``_TANGENT_MM``."""
    half = max(1, round(_TANGENT_MM / _SPACING_MM / 2))
    index = np.arange(len(ring))
    if closed:
        ahead, behind = ring[(index + half) % len(ring)], ring[index - half]
    else:
        ahead, behind = ring[np.minimum(index + half, len(ring) - 1)], ring[np.maximum(index - half, 0)]
    along = ahead - behind
    length = np.linalg.norm(along, axis=1, keepdims=True)
    along = np.where(length > 1e-9, along / np.maximum(length, 1e-9), np.array([1.0, 0.0]))
    return np.stack([-along[:, 1], along[:, 0]], axis=1)


def _best_way(strength: Array, offsets: Array, spacing: float) -> NDArray[np.int64]:
    """Which sideways place ``(n,)`` each sample of ``(n, k)`` strengths takes; -1 where it stays."""
    count = len(offsets)
    gain = _reward(_only_crests(strength)) - 1.0 - _STRAYING * np.square(offsets / offsets[-1])
    bend = _BENDING * np.square((offsets[:, None] - offsets[None, :]) / spacing)
    cost = np.full((count + 1, count + 1), _CHANGING)  # the last state is staying
    cost[:count, :count] = bend
    cost[-1, -1] = 0.0
    gain = np.concatenate([gain, np.zeros((len(gain), 1))], axis=1)
    score, came = gain[0], np.zeros(gain.shape, dtype=np.int64)
    for row in range(1, len(gain)):
        ways = score[:, None] - cost
        came[row] = ways.argmax(axis=0)
        score = ways[came[row], np.arange(count + 1)] + gain[row]
    chosen = np.empty(len(gain), dtype=np.int64)
    chosen[-1] = int(score.argmax())
    for row in range(len(gain) - 1, 0, -1):
        chosen[row - 1] = came[row, chosen[row]]
    return np.where(chosen == count, -1, chosen)


def _reward(strength: Array) -> Array:
    """1 at ``STRONG``, rising ever more slowly to ``_MOST_REWARD``: no edge is reason to leave the hand far."""
    times = strength / STRONG
    return np.asarray(_MOST_REWARD * times / (times + _MOST_REWARD - 1.0))


def _only_crests(strength: Array) -> Array:
    """Strengths ``(n, k)`` that fall off beside their crest, however soft the edge."""
    most = cv2.dilate(strength.astype(np.float32), np.ones((1, 2 * _CREST + 1), np.uint8))
    return np.asarray(strength * np.power(strength / np.maximum(most, 1e-9), 4))


def _along(strength: Array, *, closed: bool) -> Array:
    """Strengths ``(n, k)`` averaged with those of the samples beside, which quiets the noise."""
    padded = np.pad(strength, ((2, 2), (0, 0)), mode="wrap" if closed else "edge")
    count = len(strength)
    return np.asarray(sum(w * padded[k : k + count] for k, w in enumerate((0.1, 0.24, 0.32, 0.24, 0.1))))


def _on_crests(edges: Edges, ring: Array, normals: Array, shift: Array, *, closed: bool) -> Array:
    """The sideways shift ``(n,)`` to the crest of the slope beside each chosen place."""
    for _ in range(_ROUNDS):
        rows = shift[:, None] + _WINDOW
        places = ring[:, None] + rows[..., None] * normals[:, None]
        shift = shift + _crest(_along(np.abs((edges.at(places) * normals[:, None]).sum(axis=-1)), closed=closed))
    return shift


def _crest(rows: Array) -> Array:
    """Where the parabola of least squares through samples ``(n, k)`` at ``_WINDOW`` has its top, mm from the middle.

    At most the end of the window; where the parabola has no top, the end that is higher.
    """
    square = np.square(_WINDOW) - np.square(_WINDOW).mean()
    tilt, bend = rows @ _WINDOW / (_WINDOW @ _WINDOW), rows @ square / (square @ square)
    top = np.where(bend < 0.0, -tilt / np.where(bend < 0.0, 2.0 * bend, 1.0), np.sign(tilt) * _WINDOW[-1])
    return np.asarray(np.clip(top, _WINDOW[0], _WINDOW[-1]))


def _eased(shift: Array, snapped: NDArray[np.bool_], *, closed: bool) -> Array:
    """Shifts smoothed along the stroke, so that it neither shakes with the noise nor jumps where an edge ends."""
    if not snapped.any():
        return shift
    for _ in range(2):
        padded = np.pad(shift, 1, mode="wrap") if closed else np.pad(shift, 1, mode="edge")
        shift = (padded[:-2] + 2.0 * shift + padded[2:]) / 4.0
    return shift
