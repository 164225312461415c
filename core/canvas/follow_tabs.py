"""The canvas followed from frame to frame by its corner tabs.

Each tab is read where the last frame lets it be expected; all of the frame is searched only when fewer than two are
read so, and after some frames not more often than every
0.15 s. What the readings say is joined with the last well known place
(:mod:`core.canvas.follow_state`). Whether anything has moved is asked of the tabs one by one, against the scatter of
the corners within each: while most lie still the place is kept tight, and one that seems to move alone has something
before it; when most move, the place is loosened so far that the readings alone tell it, along the ways that a camera
can move.

Measured on simulated sequences of 45 frames, 1080p, tabs of 30 mm at 2.2 px/mm, set up in another frame with its
corners exact (``python -m tests.measure.follow tabs 1920``); corners off, mm, in the median, in 95 of 100, at worst:

=====================================  ======  ======  ======
still                                   0.001   0.002   0.005
still, one, two or three tabs covered   0.001   0.002   0.005
drift as of a hand                      0.003   0.020   0.040
drift, one covered                      0.011   0.213   0.333
drift, two adjacent covered             0.020   0.460   0.575
drift, two opposite covered             0.014   0.343   0.518
a knock of 18 mm                        0.001   0.002   0.032
a knock, two covered                    0.001   0.056   0.524
=====================================  ======  ======  ======

At rest corners tremble by 0.0003 mm RMS. No answer by tabs was off by 1 mm and three times what it told. From 5 to 7 ms
of one thread a frame, 20 where all of it is searched. With all covered while the camera is knocked the last place is
held, and wrong, until two tabs are seen. Without the motion of the frame before as a prediction two adjacent tabs in
drift were off by 1.0 mm in 95 of 100 (at 720p; with it 0.59).
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import project
from core.canvas.distortion import bend, straighten
from core.canvas.follow_state import CornerState, corner_slopes
from core.canvas.following import Followed
from core.canvas.tab_find import find_tabs, tab_near
from core.canvas.tab_fix import TabFix, fix_by_tabs
from core.canvas.tabs import FoundTab, TabSetup
from core.errors import CanvasError
from core.frames.frame import Frame
from core.photo import Photo

Points = NDArray[np.float64]

SEARCH_EVERY_S = 0.15
SEARCHES_AT_ONCE = 4
"""All of a frame is searched no more often than this while the tabs are lost, but for the first frames."""
HELD_S, ALONE_S = 4.0, 30.0
"""How long the last place is shown with no tab to be seen; with one that has not moved."""
_GROWS_MM = (0.5, 0.05)
"""What the uncertainty grows by in a second, with no tab to be seen, and with one that has not moved."""
_AGAIN_S = 3.0
"""So often all seen are weighed in full, which finds tabs that have been moved."""
_QUIETEST_PX, _MOVES = 0.015, 3.5
"""The least scatter of one reading; a tab's mean shift over its own scatter from which it moves."""
_STRAYS = 8
"""Frames after which a tab that lies elsewhere alone is weighed anew with the others."""
_LEARNS = 0.08
_MOST_LEFT_PX, _SHARP_PX = 0.6, 0.12
"""RMS beyond which readings do not agree with one place; readings worse than this teach nothing."""
_HOLD = "The corner tabs are covered: the drawing stays where the canvas was last seen. Clear the view of two tabs."


class TabFollower:
    """A :class:`core.canvas.following.Follower`. ``lens_k1``: where the lens is known; None: from the first three tabs
    that are seen at once."""

    def __init__(self, setup: TabSetup, lens_k1: float | None) -> None:
        self._setup, self._given_k1 = setup, lens_k1
        self.forget()

    def forget(self) -> None:
        self._k1 = self._given_k1
        self._state: CornerState | None = None
        self._shape: tuple[int, int] | None = None
        self._step = np.zeros((4, 2))
        self._bias: dict[int, Points] = {}
        self._strays: dict[int, int] = {}
        self._read_last: set[int] = set()
        self._noise_px = 0.05
        self._base_mm = 0.0
        self._known: tuple[int, ...] = ()
        self._left_out: tuple[int, ...] = ()
        self._note = ""
        self._fixed_at = self._searched_at = -np.inf
        self._seen(-np.inf)

    def follow(self, frame: Frame) -> Followed | None:
        if self._shape != (frame.width, frame.height):
            if self._shape is not None:
                self.forget()
            self._shape = (frame.width, frame.height)
        photo = frame.photo()
        if self._state is None:
            return self._begun(photo, frame.taken)
        read = self._read(photo, self._expected(self._state.corners + self._step))
        if len(read) < 2 and np.abs(self._step).max() > 1.0:
            read = max(read, self._read(photo, self._expected(self._state.corners)), key=len)
        if len(read) >= 2:
            told = self._told(read, frame.taken)
            return told if told is not None else self._begun(photo, frame.taken)
        return self._begun(photo, frame.taken, read)

    # ---- where the tabs are looked for

    def _expected(self, corners: Points) -> dict[int, Points]:
        """Where each tab's square is expected, frame px, with the corners at ``(4, 2)`` straight px."""
        assert self._state is not None
        assert self._shape is not None
        moved = self._state.copied()
        moved.corners = corners
        try:
            matrix = moved.matrix
        except np.linalg.LinAlgError:
            return {}
        return {
            corner: bend(project(matrix, square), self._k1 or 0.0, *self._shape) + self._bias.get(corner, 0.0)
            for corner, square in self._setup.tabs.items()
            if corner not in self._left_out
        }

    def _read(self, photo: Photo, expected: dict[int, Points]) -> list[FoundTab]:
        found = []
        for corner, four in expected.items():
            if np.isfinite(four).all() and (four.min() > 0) and (four.max(axis=0) < (photo.width, photo.height)).all():
                tab = tab_near(photo, corner, four, known=corner in self._read_last)
                if tab is not None:
                    found.append(tab)
        self._read_last = {tab.corner for tab in found}
        return found

    # ---- with nothing known, or too little seen

    def _begun(self, photo: Photo, taken: float, read: list[FoundTab] | None = None) -> Followed | None:
        """By a search of all of the frame, when it is time for one; else held, or nothing."""
        found = list(read or ())
        if self._failed < SEARCHES_AT_ONCE or taken - self._searched_at >= SEARCH_EVERY_S:
            self._searched_at = taken
            self._failed += 1
            found = list(find_tabs(photo))
            told = self._by_all(found, taken)
            if told is not None:
                return told
        return self._held(found, taken)

    def _by_all(self, found: list[FoundTab], taken: float) -> Followed | None:
        """With two tabs of more that are known, the place before still tells part."""
        own = [tab for tab in found if tab.corner in self._setup.tabs and tab.corner not in self._left_out]
        once = len({tab.corner for tab in own}) == len(own)
        if once and self._state is not None and 2 <= len(own) < len(self._known):
            told = self._told(own, taken)
            if told is not None:
                return told
        try:
            fix = fix_by_tabs(found, self._setup, lens_k1=self._k1)
        except CanvasError as trouble:
            self._note = str(trouble) if len({tab.corner for tab in own}) > 1 else ""
            return None
        self._take(fix, taken)
        return self._answer("tabs", fix.tabs)

    def _take(self, fix: TabFix, taken: float) -> None:
        """A fix by itself; what came before is forgotten."""
        assert self._shape is not None
        two = len(fix.tabs) < 3
        if self._k1 is None and not two:
            self._k1 = fix.k1
        corners = straighten(fix.corners_px, self._k1 or 0.0, *self._shape)
        sigma_px = fix.uncertainty_mm * fix.px_per_mm if two else 0.05
        self._state = CornerState(corners, sigma_px, self._setup.size, *self._shape)
        self._base_mm = self._setup.canvas_mm if two else fix.uncertainty_mm
        self._bias, self._strays, self._known = {}, {}, fix.tabs
        self._left_out, self._note = fix.left_out, " ".join(fix.notes)
        self._step = np.zeros((4, 2))
        self._seen(taken)
        self._fixed_at = taken

    def _seen(self, taken: float) -> None:
        self._seen_at = self._last_at = taken
        self._blind_s = self._doubt_mm = 0.0
        self._failed = 0

    def _held(self, found: list[FoundTab], taken: float) -> Followed | None:
        if self._state is None:
            return None
        alone = [tab for tab in found if tab.corner in self._setup.tabs and tab.corner not in self._left_out][:1]
        passed, self._last_at = max(taken - self._last_at, 0.0), taken
        if alone:
            off = self._off(alone[0]).mean(axis=0)
            moved = float(np.hypot(*off)) > max(2 * _MOVES * self._noise_px, 0.3)
            corner = alone[0].corner
            self._strays[corner] = self._strays.get(corner, 0) + 1 if moved else 0
        else:
            self._blind_s += passed
        self._doubt_mm += passed * _GROWS_MM[bool(alone)]
        gone = any(count > 2 for count in self._strays.values()) and bool(alone)
        if gone or self._blind_s > HELD_S or taken - self._seen_at > ALONE_S:
            k1 = self._k1
            self.forget()
            self._k1 = k1
            self._shape = None
            return None
        self._step[:] = 0.0
        return self._answer("held", (), self._note or _HOLD)

    # ---- with two tabs or more

    def _off(self, tab: FoundTab) -> Points:
        """``(4, 2)`` px by which a tab's corners lie beyond where they are expected."""
        assert self._state is not None
        assert self._shape is not None
        seen = straighten(tab.corners_px, self._k1 or 0.0, *self._shape)
        return np.asarray(seen - project(self._state.matrix, self._setup.tabs[tab.corner]))

    def _told(self, read: list[FoundTab], taken: float) -> Followed | None:
        """None where the tabs do not agree with one place of the canvas."""
        assert self._state is not None
        corners = {tab.corner for tab in read}
        if corners > set(self._known) or (len(corners) > 2 and taken - self._fixed_at > _AGAIN_S):
            told = self._anew(read, taken, keep=corners <= set(self._known))
            if told is not None:
                return told
        before = self._state
        off = self._best_off(read)
        movers = self._movers(off)
        moving = len(movers) >= 2
        if len(movers) == 1:
            self._strays[movers[0]] = self._strays.get(movers[0], 0) + 1
            if self._strays[movers[0]] > _STRAYS:
                return None
        else:
            self._strays = {}
        used = [tab for tab in read if moving or tab.corner not in movers]
        if not self._join(
            used, 2 * max(float(np.hypot(*each.mean(axis=0))) for each in off.values()) if moving else 0.0
        ):
            self._state = before
            return None
        gone = self._state.corners - before.corners
        self._step = gone if moving or np.abs(gone).max() > 0.1 else np.zeros((4, 2))
        self._learn(used, moving)
        self._seen(taken)
        return self._answer("tabs", tuple(tab.corner for tab in used), self._note)

    def _best_off(self, read: list[FoundTab]) -> dict[int, Points]:
        """What the tabs lie off from the last place, or from where its motion would have gone on to, which is then
        taken for the state: whichever is less."""
        assert self._state is not None
        here, gone_on = self._state, self._state.copied()
        gone_on.corners = here.corners + self._step
        answers = []
        for state in (here, gone_on):
            self._state = state
            answers.append({tab.corner: self._off(tab) - self._bias.get(tab.corner, 0.0) for tab in read})
        lengths = [sum(float(np.hypot(*off.mean(axis=0))) for off in each.values()) for each in answers]
        best = int(self._step.any() and lengths[1] < lengths[0])
        self._state = (here, gone_on)[best]
        return answers[best]

    def _movers(self, off: dict[int, Points]) -> list[int]:
        means = {corner: each.mean(axis=0) for corner, each in off.items()}
        scatter = float(np.sqrt(np.mean([((off[c] - means[c]) ** 2).sum() / 6 for c in off])))
        movers = [c for c, mean in means.items() if np.hypot(*mean) > _MOVES * 0.7 * self._noise_px]
        if len(movers) < 2:
            self._noise_px += _LEARNS * (float(np.clip(scatter, _QUIETEST_PX, 0.5)) - self._noise_px)
        return movers

    def _join(self, used: list[FoundTab], motion_px: float) -> bool:
        """The readings joined with what was known; whether they agree with one place."""
        assert self._state is not None
        prior = self._state.copied()
        prior.loosen(motion_px)
        state = prior
        places = np.concatenate([self._setup.tabs[tab.corner] for tab in used])
        held = np.concatenate([np.broadcast_to(self._bias.get(tab.corner, 0.0), (4, 2)) for tab in used]).ravel()
        scatter = [max(self._noise_px, tab.sigma_px if motion_px else 0.3 * tab.sigma_px) for tab in used]
        sigma = np.repeat(scatter, 8)
        for _ in range(3 if motion_px > 1.0 else 1):
            self._state = state
            slopes = corner_slopes(state.corners, self._setup.size, places)
            off = np.concatenate([self._off(tab) for tab in used]).ravel() - held
            gone = (state.corners - prior.corners).ravel()
            state = prior.copied()
            try:
                state.tighten(slopes, off + slopes @ gone, sigma)
            except np.linalg.LinAlgError:
                return False
        self._state = state
        left = np.concatenate([self._off(tab) for tab in used]).ravel() - held
        return bool(np.sqrt(np.mean(left**2)) < _MOST_LEFT_PX + 2 * max(tab.sigma_px for tab in used))

    def _learn(self, used: list[FoundTab], moving: bool) -> None:
        """What of the tabs' own places and print is off, from what all that are known leave over among themselves: so
        that the canvas does not jump when one of them is covered."""
        assert self._state is not None
        if len(used) < 3 or len(used) != len(self._known):
            return
        places = np.concatenate([self._setup.tabs[tab.corner] for tab in used])
        slopes = corner_slopes(self._state.corners, self._setup.size, places)
        off = np.concatenate([self._off(tab) for tab in used]).ravel()
        left = (off - slopes @ np.linalg.lstsq(slopes, off, rcond=None)[0]).reshape(-1, 4, 2)
        share = _LEARNS / 3 if moving else _LEARNS
        for tab, each in zip(used, left, strict=True):
            if tab.sigma_px < _SHARP_PX:
                known = self._bias.get(tab.corner)
                self._bias[tab.corner] = each if known is None else known + share * (each - known)

    def _anew(self, read: list[FoundTab], taken: float, *, keep: bool) -> Followed | None:
        """All weighed in full: taken when more tabs are seen than before or one has been moved."""
        self._fixed_at = taken
        try:
            fix = fix_by_tabs(read, self._setup, lens_k1=self._k1)
        except CanvasError:
            return None
        if keep and fix.left_out == self._left_out:
            return None
        if keep and not fix.left_out:
            return None
        self._take(fix, taken)
        return self._answer("tabs", fix.tabs, self._note)

    def _answer(self, by: Literal["tabs", "held"], tabs: tuple[int, ...], say: str = "") -> Followed:
        assert self._state is not None
        assert self._shape is not None
        own = self._state.uncertainty_mm()
        k1 = self._k1 or 0.0
        return Followed(
            bend(self._state.corners, k1, *self._shape),
            k1,
            float(np.hypot(self._base_mm, own)) + self._doubt_mm,
            by,
            tabs,
            say,
        )
