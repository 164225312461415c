"""The canvas's four sides read in a frame: how far the step at its edge has moved, place by place along each.

What lies to either side of the edge in the frame that the corners were set in is kept, as how steeply the light rises
across it. A side wall seen at an angle, staples and a faint edge are then no more than other shapes of this slope, and
corners set a little beside the edge stay beside it. In a later frame the step nearest to the same shift that most of
the side has is taken, and places where there is none, or a much stronger one, are left out: a hand, an arm.

At a likeness of 0.7 and a wider slope, painting over the picture moved a drifting canvas by up to 0.7 mm (720p, 95 in
100); at 0.85 and the narrower one that is used, by 0.25 mm.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import homography, project
from core.canvas.distortion import bend
from core.canvas.follow_state import corner_slopes, face_corners
from core.frames.frame import Frame
from core.photo import srgb_curve
from core.size import Size
from core.tone import linear_of_codes, luminance_of_linear

Points = NDArray[np.float64]
Light = NDArray[np.float32]

PLACES = 64
"""Along each side."""
KEPT_PX, REACH_PX, STEP_PX = 5, 14, 0.5
"""Half of what is kept of the slope across an edge; how far it is looked for; its steps, px."""
_ALIKE, _FAINT = 0.85, 0.03
"""Likeness of a place's slope to what was kept from which it counts, and the least rise of light over the lightest."""
_LEAST_SHARE, _NEAR_PX, _LEAST_PX = 0.22, 1.5, 0.03
_SHARED = 1.7
"""Neighbouring places share pixels: about three count as one."""
_TURNS_PX = np.arange(-4.0, 4.1, 1.0)


@dataclass(frozen=True, eq=False)
class SideReading:
    """``slopes`` ``(m, 8)``, ``off`` ``(m,)`` px, ``sigma`` ``(m,)``: readings across the sides for
    :meth:`core.canvas.follow_state.CornerState.tighten`. ``shares``: ``(4,)`` of the places of each side that were
    read. ``shifts``: ``(4,)`` px, the middle one of each side."""

    slopes: Points
    off: Points
    sigma: Points
    shares: Points
    shifts: Points

    @property
    def sides(self) -> int:
        """How many sides were read well."""
        return int((self.shares > _LEAST_SHARE).sum())


class SideReader:
    """``corners``: ``(4, 2)`` straight px in the frame they were set in."""

    def __init__(self, size: Size, corners: Points, frame: Frame, k1: float) -> None:
        self._size, self._k1 = size, k1
        along = (np.arange(PLACES) + 0.5) / PLACES * 0.96 + 0.02
        face = face_corners(size)
        sides = np.roll(face, -1, axis=0) - face
        self._along = 2 * along - 1
        self._mm = face[:, None] + along[:, None] * sides[:, None]
        light = self._light(frame, corners, KEPT_PX + 1)
        self._key = _rises(light)
        self._brightest = max(float(np.quantile(light, 0.95)), 0.02)

    def read(self, frame: Frame, corners: Points, reach_px: int = REACH_PX) -> SideReading:
        """Near ``corners`` ``(4, 2)`` straight px."""
        seen = _rises(self._light(frame, corners, KEPT_PX + 1 + reach_px))
        alike = _likeness(seen, self._key, _FAINT * self._brightest)
        found = [self._side(alike[side], reach_px) for side in range(4)]
        slopes = corner_slopes(corners, self._size, self._mm.reshape(-1, 2)).reshape(4, PLACES, 2, 8)
        out = _outward(corners)
        rows, off, sigma = [], [], []
        for side, (places, shift) in enumerate(found):
            if len(places) >= _LEAST_SHARE * PLACES:
                rows.append(np.einsum("k,nkj->nj", out[side], slopes[side, places]))
                off.append(shift)
                spread = 1.4826 * float(np.median(np.abs(shift - np.median(shift) - _lean(self._along[places], shift))))
                sigma.append(np.full(len(places), _SHARED * max(spread, _LEAST_PX)))
        return SideReading(
            np.concatenate(rows) if rows else np.zeros((0, 8)),
            np.concatenate(off) if off else np.zeros(0),
            np.concatenate(sigma) if sigma else np.zeros(0),
            np.array([len(places) / PLACES for places, _ in found]),
            np.array([float(np.median(shift)) if len(shift) else 0.0 for _, shift in found]),
        )

    def learn(self, frame: Frame, corners: Points, share: float) -> None:
        """What the edges look like now, a small share of it: the picture changes as it is painted."""
        now = _rises(self._light(frame, corners, KEPT_PX + 1))
        self._key += np.float32(share) * (now - self._key)

    def _light(self, frame: Frame, corners: Points, half_px: int) -> Light:
        """Luminance across each side from inside outwards, ``(4, PLACES, n)``, n at steps of ``STEP_PX``."""
        on_side = project(homography(corners, self._size), self._mm)
        steps = np.arange(-half_px, half_px + STEP_PX / 2, STEP_PX)
        straight = on_side[:, :, None] + steps[:, None] * _outward(corners)[:, None, None]
        at = bend(straight, self._k1, frame.width, frame.height).astype(np.float32)
        at = at.reshape(4 * PLACES, len(steps), 2)
        codes = cv2.remap(frame.codes, at, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
        light = luminance_of_linear(linear_of_codes(np.asarray(codes), srgb_curve(256)))
        return light.reshape(4, PLACES, len(steps))

    def _side(self, alike: Light, reach_px: int) -> tuple[NDArray[np.intp], Points]:
        """Places of one side and their shifts, px outward. ``alike``: ``(PLACES, n)`` by shift."""
        shifts = np.arange(-reach_px, reach_px + STEP_PX / 2, STEP_PX)
        support = np.where(alike > _ALIKE, alike, 0.0)
        wide = np.maximum(support, np.maximum(np.roll(support, 1, axis=1), np.roll(support, -1, axis=1)))
        index = np.arange(len(shifts))
        best = (-np.inf, 0.0, 0)
        for turn in _TURNS_PX:
            bent = np.rint(turn * self._along / STEP_PX).astype(int)
            total = wide[np.arange(PLACES)[:, None], (index + bent[:, None]).clip(0, len(shifts) - 1)].sum(axis=0)
            total = total - 0.15 * np.abs(shifts) - 0.15 * abs(turn)
            if total.max() > best[0]:
                best = (float(total.max()), turn, int(total.argmax()))
        middle = shifts[best[2]] + best[1] * self._along
        near = np.abs(shifts - middle[:, None]) <= _NEAR_PX
        at = np.where(near, alike, -1.0).argmax(axis=1).clip(1, len(shifts) - 2)
        every = np.arange(PLACES)
        left, top, right = alike[every, at - 1], alike[every, at], alike[every, at + 1]
        curve = left - 2 * top + right
        part = np.where(curve < -1e-6, 0.5 * (left - right) / np.where(curve < -1e-6, curve, -1.0), 0.0)
        good = (top > _ALIKE) & (top >= left) & (top >= right) & (np.abs(part) <= 1)
        shift = shifts[at] + STEP_PX * part
        places = np.nonzero(good)[0]
        return _in_line(self._along, shift.astype(np.float64), places)


def _in_line(along: Points, shift: Points, places: NDArray[np.intp]) -> tuple[NDArray[np.intp], Points]:
    """Those that lie on one straight line."""
    for _ in range(3):
        if len(places) < 6:
            break
        some = shift[places]
        off = np.abs(some - np.median(some) - _lean(along[places], some))
        places = places[off < max(3.0 * 1.4826 * float(np.median(off)), 0.05)]
    return places, shift[places]


def _lean(along: Points, shift: Points) -> Points:
    """What a straight line through the shifts adds to their middle."""
    about = along - along.mean()
    slope = float((about * (shift - np.median(shift))).sum() / max(float((about**2).sum()), 1e-9))
    return np.asarray(slope * about)


def _outward(corners: Points) -> Points:
    ways = np.roll(corners, -1, axis=0) - corners
    return np.asarray(np.stack([ways[:, 1], -ways[:, 0]], axis=1) / np.hypot(ways[:, 0], ways[:, 1])[:, None])


def _rises(light: Light) -> Light:
    """How steeply light rises, ``(4, PLACES, n - 4)``, over 2 px across and three places along."""
    wide = light[..., 4:] - light[..., :-4]
    soft = wide.copy()
    soft[:, 1:-1] = (wide[:, :-2] + wide[:, 1:-1] + wide[:, 2:]) / 3
    return soft


def _likeness(seen: Light, key: Light, faint: float) -> Light:
    """``(4, PLACES, shifts)``: correlation of what was kept with what is seen, most weight on the edge itself."""
    n = key.shape[-1]
    weight = np.exp(-0.5 * (np.linspace(-1, 1, n) / 0.35) ** 2).astype(np.float32)
    windows = np.lib.stride_tricks.sliding_window_view(seen, n, axis=-1)
    kept = key * weight
    both = np.matmul(windows, kept[..., None])[..., 0]
    own = np.sqrt((kept * key).sum(axis=-1))[..., None]
    theirs = np.sqrt(np.matmul(windows**2, weight))
    gain = theirs / np.maximum(own, 1e-9)
    usual = float(np.median(gain.max(axis=-1)))
    plain = (own > faint) & (theirs > 0.3 * usual * own) & (theirs < 3 * max(usual, 0.3) * own)
    return np.where(plain, both / np.maximum(own * theirs, 1e-9), np.float32(0.0))
