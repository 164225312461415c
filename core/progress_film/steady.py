"""How far one photo of a canvas lies from another of it, by what is painted: a shift of each corner in mm.

Both were laid flat by their own corners, which leaves them tenths of a millimetre apart, and that is seen when one
fades into the other. The shift is found in windows all over the canvas by the fine detail (brush marks and weave), so
that neither light nor glare counts for much. A window that was painted over, or whose form was moved, has another shift
or none: each counts by how near it lies to what most of them say. Corners with which the windows agree about as well as
with the best are left as they were placed.

Ways measured on known truth (``python -m tests.measure.progress_film 3 10``, seeds on which nothing was tuned): three
paintings in five stages at 3 megapixels, their corners 1.5 px or 0.4 mm out, at each stage a fifth to nearly half of
the canvas painted; RMS over the canvas between neighbours, on average and at worst, mm. As given 0.658, 1.023; the
correlation of the whole (Evangelidis and Psarakis 2008) 0.249, 0.593; a homography by consensus of the same windows
0.087, 0.289; this 0.055, 0.252. The canvas's own edges, as the program finds them, give 0.024, 0.043 where they are as
straight and clear as here; corners so found are left alone by this, at 0.024, 0.043. The worst is always the first
lay-in over bare ground, of which little is seen again; from one stage later on it is 0.02 at worst (seeds 0 to 2).
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.size import Size
from core.tone import luminance_of_linear

Map = NDArray[np.float32]
Floats = NDArray[np.float64]

FURTHEST_MM = 4.0
"""A window that is shifted by more than this was not shifted by its corners."""
_FINE_MM, _CLIP = 2.0, 0.15
_WINDOW_PX, _STRIDE_PX = 96, 48
_FEWEST, _LEAST_DETAIL, _LEAST_RESPONSE = 6, 0.004, 0.08
_CORNER_MM = 1.0
"""Corners are a millimetre out or so; this holds those that no window tells of."""
_WINDOW_MM = 0.06
_SCALES_MM = (0.12, 0.08, 0.05, 0.05, 0.05)
_AS_GOOD, _WELL_MM = 0.8, 0.03
"""Corners with which the windows agree this well beside the best are right as they were placed."""
_SAMPLES, _BEST = 400, 5
_CORNERS = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
_AGREED_MM = 0.1
_PRIOR = 0.01
_AGREEING = 0.12
"""Share of the windows that has to agree before the corners are moved."""


def corner_shifts(first: Flat, photo: Flat, *, leave: bool = True) -> Floats | None:
    """By how much the corners of ``photo`` have to be moved on the canvas face to lie as those of ``first`` do:
    ``(4, 2)`` mm, TL TR BR BL, or None when too little is the same in both. ``leave``: whether 0 is said of corners
    that are about as good as the best. ValueError when the pictures differ in shape."""
    if first.linear.shape != photo.linear.shape:
        raise ValueError(f"the two differ in shape: {first.linear.shape}, {photo.linear.shape}")
    places, shifts, response = _windows(fine_detail(first), fine_detail(photo), first.px_per_mm)
    if len(places) < _FEWEST:
        return None
    return _fitted(_between(places, first.size), shifts, response, leave)


def fine_detail(photo: Flat) -> Map:
    """``(H, W)`` float32: the fine part of the logarithm of luminance, each part of the picture as strong as the
    next."""
    log = np.log(np.maximum(luminance_of_linear(photo.linear), np.float32(2e-3)))
    fine = log - cv2.GaussianBlur(log, (0, 0), max(1.5, _FINE_MM * photo.px_per_mm))
    return np.asarray(np.clip(fine, -_CLIP, _CLIP), dtype=np.float32)


def _windows(first: Map, photo: Map, px_per_mm: float) -> tuple[Floats, Floats, Floats]:
    """Middles of windows ``(n, 2)`` mm, the shift of each ``(n, 2)`` mm, and how clear it is ``(n,)`` 0-1."""
    height, width = first.shape
    side = min(_WINDOW_PX, height, width)
    hann = np.asarray(cv2.createHanningWindow((side, side), cv2.CV_32F))
    found: list[tuple[float, ...]] = []
    for top in _starts(height, side):
        for left in _starts(width, side):
            part = np.s_[top : top + side, left : left + side]
            one, other = np.ascontiguousarray(first[part]), np.ascontiguousarray(photo[part])
            if min(float(one.std()), float(other.std())) < _LEAST_DETAIL:
                continue
            shift, response = cv2.phaseCorrelate(one, other, hann)
            if response >= _LEAST_RESPONSE and np.hypot(*shift) < FURTHEST_MM * px_per_mm:
                found.append((left + side / 2, top + side / 2, *shift, response * px_per_mm))
    table = np.array(found, dtype=np.float64).reshape(-1, 5) / px_per_mm
    return table[:, :2], table[:, 2:4], table[:, 4]


def _starts(length: int, side: int) -> NDArray[np.int_]:
    count = max(1, -(-(length - side) // _STRIDE_PX) + 1)
    return np.unique(np.linspace(0, length - side, count).astype(int))


def _fitted(between: Floats, shifts: Floats, clear: Floats, leave: bool) -> Floats | None:
    """Shifts of the corners ``(4, 2)`` from those of windows ``(n, 2)``, which lie :func:`_between` them.

    Fours of windows each have their say, the clear ones oftener; with the best of them the rest is settled.
    """
    weight = clear**2
    drawn = np.random.default_rng(0).choice(len(shifts), (_SAMPLES, 4), p=weight / weight.sum())
    guesses = _solved(between[drawn], shifts[drawn], np.ones(drawn.shape))
    near = _near(np.linalg.norm(shifts - _shifts(between, guesses), axis=2), _AGREED_MM)
    worth = near @ weight - _PRIOR * weight.sum() * (guesses**2).sum(axis=1)
    ends = [_settled(between, shifts, weight, guesses[best]) for best in np.argsort(worth)[-_BEST:]]
    corners, near = max(ends, key=lambda end: float(end[1] @ weight))
    as_placed = _near(np.linalg.norm(shifts, axis=1), _SCALES_MM[-1] + _WELL_MM)
    if leave and as_placed @ weight >= _AS_GOOD * (near @ weight):
        corners, near = np.zeros(8), as_placed
    agreeing = near > 0.25
    if agreeing.sum() < _FEWEST or agreeing.mean() < _AGREEING:
        return None
    return corners.reshape(4, 2)


def _between(places_mm: Floats, size: Size) -> Floats:
    """``(n, 2, 8)``: what each of the corners' shifts (x and y of TL TR BR BL) adds to the shift at a place.

    That of a homography that differs a little from none: to a few thousandths of a millimetre for shifts of 1 mm.
    """
    face = _CORNERS * (size.width_mm, size.height_mm)
    long = max(size.width_mm, size.height_mm)
    return _little_homography(places_mm / long) @ np.linalg.inv(_little_homography(face / long).reshape(8, 8))


def _little_homography(at: Floats) -> Floats:
    u, v = at[:, 0], at[:, 1]
    one, none = np.ones_like(u), np.zeros_like(u)
    across = [one, u, v, none, none, none, u * u, u * v]
    down = [none, none, none, one, u, v, u * v, v * v]
    return np.stack([np.stack(across, axis=-1), np.stack(down, axis=-1)], axis=1)


def _shifts(between: Floats, corners: Floats) -> Floats:
    """``(k, n, 2)`` of corners ``(k, 8)``."""
    return np.asarray((corners @ between.reshape(-1, 8).T).reshape(len(corners), -1, 2))


def _settled(between: Floats, shifts: Floats, weight: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """Corners ``(8,)`` that are settled on from a guess, and how near each window is to them, 0-1."""
    near = np.ones(len(shifts))
    for scale in _SCALES_MM:
        near = _near(np.linalg.norm(shifts - _shifts(between, corners[None])[0], axis=1), scale)
        corners = _solved(between[None], shifts[None], (near * weight)[None])[0]
    return corners, near


def _solved(between: Floats, shifts: Floats, weight: Floats) -> Floats:
    """Corners ``(k, 8)`` by least squares of ``(k, n, 2, 8)``, ``(k, n, 2)``, weights ``(k, n)``; held a little."""
    count = len(shifts)
    turned = np.swapaxes((between * weight[..., None, None]).reshape(count, -1, 8), 1, 2) / _WINDOW_MM**2
    right = turned @ shifts.reshape(count, -1, 1)
    normal = turned @ between.reshape(count, -1, 8) + np.eye(8) / _CORNER_MM**2
    return np.asarray(np.linalg.solve(normal, right)[..., 0])


def _near(off: Floats, scale: float) -> Floats:
    """Tukey's biweight of distances in mm."""
    return np.maximum(1 - (off / (3 * scale)) ** 2, 0.0) ** 2
