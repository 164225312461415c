"""The canvas followed from frame to frame by its edges, where it has no corner tabs.

The corners are set once. In each later frame the four sides are read across (:mod:`core.canvas.follow_sides`), near
where the last frame and the motion of the surround (:mod:`core.canvas.follow_flow`) let them be expected. The sides
tell where the canvas is; the surround only tells where to look, and carries what is covered. The painted picture tells
nothing, so that what is painted never moves the corners.

Measured on simulated sequences of 45 frames, 1080p, a canvas of 400 × 300 mm at 2.2 px/mm before a wall 450 mm behind
it, with a mast, side walls and staples (``python -m tests.measure.follow edges 1920``), corners set exactly; off, mm,
in the median, in 95 of 100, and at worst:

==============================  ======  ======  ======
still; a hand; gain steps        0.007   0.013   0.014
drift as of a hand               0.020   0.080   0.100
drift, a hand passing            0.022   0.082   0.137
painted over while it drifts     0.031   0.092   0.131
a painter over one side          0.007   0.012   0.013
the same while it drifts         0.030   1.139   1.718
a knock of 18 mm                 0.011   0.020   0.853
==============================  ======  ======  ======

At rest corners tremble by 0.002 mm RMS. About 10 ms of one thread a frame at 1080p, 20 where a side is covered and the
camera moves. With everything covered while the camera is knocked the last place is held, and wrong, until the view is
clear. Frames blurred by tens of px of motion (a knock of 55 mm) are told wrong for up to three frames, or held.

The other way, ORB features and the homography of most of them to a key frame alone, at 720p: still 0.001, 0.025, 0.072;
a hand passing while it drifts 0.186, 0.543, 0.761; painted over while it drifts 0.293, 3.668 and 29.2, with no answer
in half of the frames: it follows the picture. It is kept only to find the canvas again, where the sides then tell.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.corners import checked_corners
from core.canvas.distortion import bend, straighten
from core.canvas.follow_flow import KeyFrame, SurroundFlow, small_grey
from core.canvas.follow_sides import SideReader, SideReading
from core.canvas.follow_state import CornerState
from core.canvas.following import Followed
from core.errors import CanvasError
from core.frames.frame import Frame
from core.size import Size

Points = NDArray[np.float64]

HELD_S, SEARCH_EVERY_S, SEARCHES_AT_ONCE = 4.0, 0.2, 3
_GROWS_MM, _CARRIED = (5.0, 0.5), 0.3
"""What the uncertainty grows by in a second when not even the surround is to be read, and when it is; and as a share
of what the surround moves."""
_BASE_MM = 0.1
"""What following adds at best to how well the corners were set."""
_MOVES, _LEAST_MOVE_PX = 4.0, 0.12
_LEARNS, _MOST_GROWN = 0.01, 0.25
_KEY_EVERY_S = 10.0
_ENOUGH = 1.2
"""Shares of the sides that are read, summed, with which a place of the canvas is believed after a big move."""
_BIG_PX, _SETTLED_PX = 8.0, 1.0
"""A move after which more is asked for; what the sides may then lie off when they are read anew."""
_HOLD = "The canvas's edges are covered: the drawing stays where it was last seen. Step aside, or place the corners."


class EdgeFollower:
    """A :class:`core.canvas.following.Follower`. ``corners_px``: ``(4, 2)`` px in ``frame``, TL TR BR BL; kept as they
    lie about the canvas's edges. Raises CanvasError for corners that cannot be a canvas, or edges too faint to be
    read."""

    def __init__(self, size: Size, corners_px: ArrayLike, frame: Frame, *, lens_k1: float = 0.0) -> None:
        self._size, self._k1 = size, lens_k1
        self._shape = (frame.width, frame.height)
        corners = checked_corners(corners_px, *self._shape)
        self._start(corners, frame)
        reading = self._reader.read(frame, self._state.corners)
        if reading.sides < 3:
            raise CanvasError(
                "The canvas's edges are too faint in this picture to be followed. Give it a surround that is lighter "
                "or darker, or use corner tabs."
            )

    def _start(self, corners: Points, frame: Frame) -> None:
        straight = straighten(corners, self._k1, *self._shape)
        self._state = CornerState(straight, 0.05, self._size, *self._shape)
        self._reader = SideReader(self._size, straight, frame, self._k1)
        self._flow = SurroundFlow()
        grey, scale = small_grey(frame)
        self._flow.moved(grey, scale, corners)
        self._key, self._key_at = KeyFrame(grey, scale, corners), frame.taken
        self._step = np.zeros((4, 2))
        self._lost = False
        self._searched_at = -np.inf
        self._seen(frame.taken)

    def _seen(self, taken: float) -> None:
        self._seen_at = self._last_at = taken
        self._doubt_mm, self._failed = 0.0, 0

    def forget(self) -> None:
        """The canvas is looked for anew, by what it and its surround looked like."""
        self._lost, self._failed = True, 0

    def follow(self, frame: Frame) -> Followed | None:
        if (frame.width, frame.height) != self._shape:
            return None
        grey, scale = small_grey(frame)
        here = bend(self._state.corners, self._k1, *self._shape)
        moved = self._flow.moved(grey, scale, here)
        carried = None if moved is None else straighten(here @ moved[:, :2].T + moved[:, 2], self._k1, *self._shape)
        told = None if self._lost else self._by_sides(frame, carried)
        if told is None and self._may_search(frame.taken):
            found = self._key.found(grey)
            if found is not None:
                told = self._again(frame, straighten(found, self._k1, *self._shape))
        if told is None:
            return self._held(frame, carried)
        if told.sides == 4 and not self._step.any():
            self._learn(frame, grey, scale)
        self._lost = False
        self._seen(frame.taken)
        return self._answer("edges")

    def _may_search(self, taken: float) -> bool:
        if self._failed >= SEARCHES_AT_ONCE and taken - self._searched_at < SEARCH_EVERY_S:
            return False
        self._searched_at, self._failed = taken, self._failed + 1
        return True

    def _by_sides(self, frame: Frame, carried: Points | None) -> SideReading | None:
        """Near the first of the places it may have moved to where the sides are plainly to be read."""
        last = self._state.corners
        places = [last]
        if carried is not None:
            still = float(np.abs(carried - last).max()) < 0.5
            places = [last] if still else [carried, last]
        if self._step.any():
            places.append(last + self._step)
        best: tuple[float, Points, SideReading] | None = None
        for place in places:
            reading = self._reader.read(frame, place)
            worth = float(reading.shares.sum()) - 0.02 * float(np.abs(reading.shifts).max())
            if best is None or worth > best[0] + 0.1:
                best = worth, place, reading
            if worth > _ENOUGH * 2:
                break
        assert best is not None
        return self._joined(frame, best[1], best[2], 0.0 if carried is None else 1.0)

    def _again(self, frame: Frame, place: Points) -> SideReading | None:
        """After it was lost: only with three sides to be read."""
        try:
            checked_corners(place, *self._shape)
            reading = self._reader.read(frame, place)
        except (CanvasError, np.linalg.LinAlgError):
            return None
        if reading.sides < 3 or reading.shares.sum() < _ENOUGH:
            return None
        before = self._state
        self._state = CornerState(place, 3.0, self._size, *self._shape)
        told = self._joined(frame, place, reading, 0.0)
        if told is None:
            self._state = before
        return told

    def _joined(self, frame: Frame, place: Points, reading: SideReading, trust: float) -> SideReading | None:
        """The reading taken into the state; None where it is too little."""
        before = self._state
        far = float(np.abs(place - before.corners).max())
        most = self._shift(reading)
        big = max(far, most) > _BIG_PX
        least = 3 if big or (trust == 0.0 and np.abs(reading.shifts).max() > 1) else 2
        if reading.sides < least or reading.shares.sum() < (_ENOUGH if big else 0.5 * _ENOUGH):
            return None
        state = before.copied()
        moving = far > 0 or most > 0
        state.corners = place.copy()
        state.loosen(0.3 * far + 2 * most + 0.2 if moving else 0.0)
        state.tighten(reading.slopes, reading.off, reading.sigma)
        if most > 1.5 and _sound(state.corners, before.corners, self._shape):
            closer = self._reader.read(frame, state.corners, 4)
            if big and (closer.sides < 3 or closer.shares.sum() < _ENOUGH or np.abs(closer.shifts).max() > _SETTLED_PX):
                return None
            if closer.sides >= reading.sides:
                state.tighten(closer.slopes, closer.off, closer.sigma)
                reading = closer
        if not _sound(state.corners, before.corners, self._shape):
            return None
        self._state = state
        gone = state.corners - before.corners
        self._step = gone if moving else np.zeros((4, 2))
        return reading

    def _shift(self, reading: SideReading) -> float:
        """How far the sides have moved, px; 0 where that is no more than their scatter."""
        if not len(reading.off):
            return 0.0
        own = np.linalg.lstsq(reading.slopes / reading.sigma[:, None], reading.off / reading.sigma, rcond=0.02)[0]
        moved = reading.slopes @ own
        limit = max(_LEAST_MOVE_PX, _MOVES * float(np.median(reading.sigma)) / np.sqrt(len(reading.off) / 8))
        most = float(np.quantile(np.abs(moved), 0.9))
        return most if most > limit else 0.0

    def _learn(self, frame: Frame, grey: NDArray[np.uint8], scale: float) -> None:
        self._reader.learn(frame, self._state.corners, _LEARNS)
        if frame.taken - self._key_at > _KEY_EVERY_S:
            corners = bend(self._state.corners, self._k1, *self._shape)
            self._key, self._key_at = KeyFrame(grey, scale, corners), frame.taken

    def _held(self, frame: Frame, carried: Points | None) -> Followed | None:
        """Where it was last seen, carried along by the surround."""
        passed, self._last_at = max(frame.taken - self._last_at, 0.0), frame.taken
        self._step = np.zeros((4, 2))
        if self._lost or frame.taken - self._seen_at > HELD_S:
            self._lost = True
            return None
        moved = 0.0
        if carried is not None and _sound(carried, self._state.corners, self._shape):
            moved = float(np.abs(carried - self._state.corners).max())
            if moved > 0.5:
                self._state.corners = carried
                self._state.loosen(_CARRIED * moved)
        self._doubt_mm += passed * _GROWS_MM[carried is not None]
        return self._answer("held", _HOLD)

    def _answer(self, by: Literal["edges", "held"], say: str = "") -> Followed:
        own = float(np.hypot(_BASE_MM, self._state.uncertainty_mm())) + self._doubt_mm
        return Followed(bend(self._state.corners, self._k1, *self._shape), self._k1, own, by, (), say)


def _sound(corners: Points, before: Points, shape: tuple[int, int]) -> bool:
    """Whether these can be the corners a frame later: of about the same size, and in the picture."""
    try:
        checked_corners(corners, *shape)
    except CanvasError:
        return False
    now, then = (np.linalg.norm(np.roll(each, -1, axis=0) - each, axis=1) for each in (corners, before))
    return bool((np.abs(np.log(now / then)) < _MOST_GROWN).all())
