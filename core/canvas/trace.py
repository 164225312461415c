"""Trace the sides of a canvas in a photo to a fraction of a pixel, from a rough outline.

Along each side the light is sampled on short lines across it. The step from paint to background is looked for as one
smooth path through all of them (shift, turn and bow), so that strokes and weave, which jump from line to line, have
no say; then each line places its own step beside that path.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import bend, straighten
from core.photo import Photo
from core.tone import linear_of_codes

Array = NDArray[np.float32]
Points = NDArray[np.float64]
Sampler = Callable[[Points], Array]
"""Light ``(n, m, 3)`` at photo points ``(n, m, 2)``."""

END = 0.012
"""Share of a side left out at each end, where the other side's step is in reach."""
_OPPONENT = np.array([[0.3, 0.6, 0.1], [0.5, -0.5, 0.0], [0.25, 0.25, -0.5]], np.float32)
_ACROSS = np.array([0.27, 0.46, 0.27], np.float32)
_NEAR_PX = 2.5
_LEAST_PX = 8.0
"""Light is sampled at least this far to either side, so that a step has something to stand out from."""


@dataclass(frozen=True)
class Side:
    """One traced side. ``points``: ``(n, 2)`` photo px on the step, where there is one, in order.

    ``support``: ``(t,)`` 0-1, how plainly each sampled place along the side shows a step on the path.
    ``shift``: how far the path lies outside the rough line, px, in its middle.
    """

    points: Points
    support: Array
    shift: float


def photo_sampler(photo: Photo) -> Sampler:
    """Linear light of a photo at points of it, cubic between pixels."""

    def sample(points: Points) -> Array:
        limit = np.array([photo.width, photo.height])
        first = np.clip(np.floor(points.min(axis=(0, 1))).astype(int) - 3, 0, limit - 1)
        last = np.clip(np.ceil(points.max(axis=(0, 1))).astype(int) + 4, first + 1, limit)
        codes = np.ascontiguousarray(photo.codes[first[1] : last[1], first[0] : last[0]])
        return _at(linear_of_codes(codes, photo.curve), points - first, cv2.INTER_CUBIC)

    return sample


def picture_sampler(picture: Array) -> Sampler:
    """Light of a picture ``(h, w, 3)`` at points of it, linear between pixels."""
    return lambda points: _at(picture, points, cv2.INTER_LINEAR)


def _at(picture: Array, points: Points, interpolation: int) -> Array:
    places = points.astype(np.float32)
    light = cv2.remap(
        picture,
        np.ascontiguousarray(places[..., 0]),
        np.ascontiguousarray(places[..., 1]),
        interpolation,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(light).reshape(*points.shape[:2], 3)


def trace_side(
    sample: Sampler,
    ends: Points,
    *,
    k1: float,
    width: int,
    height: int,
    reach_px: float,
    bow_px: float = 0.0,
    step_px: float = 2.0,
    stay: float = 0.001,
) -> Side:
    """Trace the side between two corners ``ends`` ``(2, 2)``, photo px; the canvas lies to its right on the way.

    The step is looked for up to ``reach_px`` to either side, with up to ``bow_px`` of bow beyond what ``k1`` explains.
    ``stay``: what each px away from the rough line counts against a path, in plainness (0-1).
    """
    straight = straighten(ends, k1, width, height)
    along = straight[1] - straight[0]
    length = float(np.hypot(*along))
    outward = np.array([along[1], -along[0]]) / length
    places = np.linspace(END, 1 - END, max(24, int(length / step_px)))
    wide = np.ceil(max(reach_px, _LEAST_PX)) + 2
    offsets = np.arange(-wide, wide + 1)
    grid = straight[0] + places[:, None, None] * along + offsets[None, :, None] * outward
    strength = _steps(sample(bend(grid, k1, width, height)))
    offsets = offsets[1:-1]
    path = _path(_plainness(strength), places, offsets, (reach_px, bow_px, stay))
    found, plain = _beside(strength, path - offsets[0])
    points = straight[0] + places[:, None] * along + (path + found)[:, None] * outward
    good = plain > 0.15
    return Side(bend(points[good], k1, width, height), plain, float(path[len(path) // 2]))


def line_plainness(picture: Array, points: Points) -> Array:
    """How plainly each place across a side shows a ridge of step, ``(t, d - 2)`` 0-1, at points ``(t, d, 2)``."""
    return plainness_across(_at(picture, points, cv2.INTER_LINEAR))


def plainness_across(light: Array) -> Array:
    """The same from light ``(t, d, 3)`` sampled across a side."""
    return _plainness(_steps(light))


def _steps(light: Array) -> Array:
    """Strength of the step in light across the side, ``(t, d - 2)``, from light ``(t, d, 3)``."""
    opponent = cv2.transform(light, _OPPONENT)
    smooth = cv2.sepFilter2D(opponent, cv2.CV_32F, _ACROSS, np.ones(5, np.float32) / 5)
    change = smooth[:, 2:] - smooth[:, :-2]
    return np.asarray(np.sqrt((change * change).sum(axis=2)), dtype=np.float32)


def _plainness(strength: Array) -> Array:
    """0-1: a step that is a ridge along the side and stands out from its own line across."""
    higher = np.maximum(np.pad(strength, ((0, 0), (1, 0)))[:, :-1], np.pad(strength, ((0, 0), (0, 1)))[:, 1:])
    usual = _usual(strength)[:, None]
    ridge = np.where(strength >= higher, strength, 0.0)
    plain = np.clip((ridge - 1.5 * usual) / (ridge + 3 * usual), 0, 1).astype(np.float32)
    return np.asarray(np.maximum(plain, 0.7 * cv2.dilate(plain, np.ones((1, 3)))))


def _usual(strength: Array) -> Array:
    """What strength is nothing special on each line across ``(t,)``; two steps side by side still stand out from it."""
    rank = int(0.35 * strength.shape[1])
    return np.asarray(np.partition(strength, rank, axis=1)[:, rank] + 0.25 * np.median(strength) + 1e-5)


def _path(plain: Array, places: Points, offsets: Points, limits: tuple[float, float, float]) -> Points:
    """Offset of the plainest smooth path at each place ``(t,)``."""
    reach, bow, stay = limits
    count = min(len(places), 96)
    rows = np.array_split(np.arange(len(places)), count)
    binned = np.stack([plain[part].mean(axis=0) for part in rows])
    u = np.array([2 * places[part].mean() - 1 for part in rows])
    shifts, turns, bows = (np.linspace(-most, most, 2 * int(np.ceil(most)) + 1) for most in (reach, reach, bow))
    turn, bent = (m.ravel() for m in np.meshgrid(turns, bows, indexing="ij"))
    shape = turn[:, None] * u + bent[:, None] * (1 - u * u)  # (forms, bins)
    best, answer = -1.0, (0.0, 0.0, 0.0)
    everywhere = np.arange(count)
    for shift in shifts:
        index = np.rint(shift + shape - offsets[0]).astype(int)
        inside = (index >= 0) & (index < len(offsets))
        score = (binned[everywhere, index.clip(0, len(offsets) - 1)] * inside).mean(axis=1)
        score -= stay * (np.abs(shift) + np.abs(turn) + 0.5 * np.abs(bent))
        first = int(score.argmax())
        if score[first] > best:
            best, answer = float(score[first]), (float(shift), float(turn[first]), float(bent[first]))
    u = 2 * places - 1
    return np.asarray(answer[0] + answer[1] * u + answer[2] * (1 - u * u))


def _beside(strength: Array, path: Points) -> tuple[Points, Array]:
    """Each line's own step beside the path: its distance from the path ``(t,)`` px, and how plain it is (0-1)."""
    count, width = strength.shape
    window = np.arange(-2, 3)
    index = (np.rint(path).astype(int)[:, None] + window).clip(1, width - 2)
    rows = np.arange(count)[:, None]
    near = strength[rows, index]
    # The flank of a stronger step outside the window is not this side's.
    ridge = (near >= strength[rows, index - 1]) & (near >= strength[rows, index + 1])
    peak = index[np.arange(count), np.where(ridge, near, -1.0).argmax(axis=1)]
    before, at, after = (strength[np.arange(count), peak + d] for d in (-1, 0, 1))
    curve = before - 2 * at + after
    with np.errstate(divide="ignore", invalid="ignore"):
        fine = np.where(curve < 0, 0.5 * (before - after) / curve, 0.0).clip(-0.5, 0.5)
    away = peak + fine - path
    usual = _usual(strength)
    plain = np.clip((at - 1.5 * usual) / (at + 3 * usual), 0, 1)
    plain = np.where((curve < 0) & (np.abs(away) < _NEAR_PX), plain, 0.0)
    return np.asarray(away, dtype=np.float64), plain.astype(np.float32)
