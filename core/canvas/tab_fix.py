"""From the corner tabs seen in a picture to the canvas's corners, and how surely.

One least-squares fit: the homography, the lens, and for each tab a small shift and turn, since paper moves and rulers
err, and what over-exposure or blur adds all round its black square. What is known beforehand of each of them counts as
one more reading, so that the uncertainty told follows from the fit itself.

Measured on 40 simulated photos (``python -m tests.measure.tabs``), tabs of 30 mm about a canvas of 400 × 300 mm, flat
and in its plane, the set-up from another photo with its corners exact. Canvas corners off, mm, in the median and in 95
of 100; then how many of the photos lie within the RMS told, and within twice:

===================  ===============================  ===============================
tabs                 12 megapixels                    1080p
===================  ===============================  ===============================
four                 0.002  0.007   100 %  100 %      0.007  0.021   100 %  100 %
three                0.004  0.032    97 %  100 %      0.018  0.240    84 %   99 %
two, opposite        0.008  0.063    96 %  100 %      0.050  0.396    82 %  100 %
two, adjacent        0.012  0.188    98 %  100 %      0.066  1.195    82 %   99 %
===================  ===============================  ===============================

The plain homography of all corners, with the lens known, gives 0.002 and 0.008 for four tabs, 0.003 and 0.070 for
three, 0.017 and 0.233 for two adjacent at 12 megapixels, and says nothing of how sure it is; without the lens 0.55 and
1.71, 0.76 and 2.66, 1.05 and 13.2. A lens left to the fit costs little (two adjacent: 0.016 and 0.209). From corners
snapped to the canvas's outline in the set-up photo four tabs give 0.004 and 0.013, at 1080p 0.064 and 0.351; from
distances by ruler 0.38 and 0.96.

A tab moved by 3 mm or more was left out in all of 32 photos with four tabs, and in 92 of 96 with three, never another
one; by 1 mm in 11 of 16 and in 16 of 48, and at 1080p it often goes unnoticed. Of two tabs it cannot be told which has
moved: by 10 mm all are refused, by 3 mm 42 of 48, by 1 mm 10 of 48.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm, project
from core.canvas.corners import NAMES
from core.canvas.distortion import LARGEST_K1, bend, straighten
from core.canvas.plumb_lines import PRIOR_K1
from core.canvas.tabs import FoundTab, TabSetup
from core.errors import CanvasError
from core.size import Size

Points = NDArray[np.float64]

LENS_SIGMA = 0.004
"""How well a lens is known that was read once from the canvas's own edges."""
_TURN_SPAN_MM = 20.0
"""A tab is off by its turn as far as by its shift at this distance from its middle."""
_MOST_MISFIT = 2.0
"""Weighed squares over their number, beyond which tabs do not agree; up to 1.2 where none has moved."""
_TWO_MISFIT = 4.0
"""The same beyond which two tabs, which can hardly contradict one another, are not gone by at all."""
_CLEARLY = 14.0
"""Weighed squares by which leaving one tab out is better than leaving another."""
_MOST_DOUBT_MM = 2.0
_TURNS, _FAR = 12, 0.05
"""The slopes are worked out anew after steps longer than this: they cost most of the time."""
_STEP = 1e-6
_MOVED = "The {} {} moved since the tabs were set up, and {} left out. Set the tabs up again when it suits you."
_DISAGREE = (
    "The corner tabs no longer lie as they were set up, and it cannot be told which of them has moved. Set them up "
    "again."
)


@dataclass(frozen=True, eq=False)
class TabFix:
    """Where the canvas lies in a picture, told by its tabs; named as in :class:`core.canvas.locate.CanvasFix`.

    ``corners_px``: ``(4, 2)`` float64 picture px, TL TR BR BL. ``k1``: the lens, with its standard deviation
    ``k1_sigma``. ``px_per_mm``: what the picture supports. ``uncertainty_mm``: RMS over the canvas. ``confidence``:
    0-1. ``tabs``: the canvas corners (0-3) whose tabs were gone by; ``left_out`` those that have moved. ``notes``:
    whole sentences for the painter.
    """

    corners_px: Points
    k1: float
    k1_sigma: float
    px_per_mm: float
    uncertainty_mm: float
    confidence: float
    tabs: tuple[int, ...]
    left_out: tuple[int, ...] = ()
    notes: tuple[str, ...] = field(default=())
    found_by: Literal["tabs"] = "tabs"


def fix_by_tabs(
    found: Sequence[FoundTab], setup: TabSetup, *, lens_k1: float | None = None, lens_sigma: float = LENS_SIGMA
) -> TabFix:
    """The canvas of ``setup`` in the picture that the tabs were found in, by any two of them or more.

    ``lens_k1, lens_sigma``: the lens, where it is known, from the photo that the tabs were set up in or from an earlier
    fix by the same camera. None: it is read from the tabs themselves, which takes three or four of them; the
    uncertainty told grows by what they leave open.
    Raises CanvasError with a sentence for fewer than two tabs, or tabs that no longer lie as they were set up.
    """
    seen, notes = _usable(found, setup)
    prior = (0.0, PRIOR_K1) if lens_k1 is None else (float(lens_k1), max(lens_sigma, 1e-5))
    if not abs(prior[0]) < LARGEST_K1 - 0.001:
        raise CanvasError(f"A lens bend of k1 = {prior[0]:g} is not a camera's. Leave the lens out.")
    fit = _Fit.of(seen, setup, prior)
    left_out: tuple[int, ...] = ()
    doubt_mm = 0.0
    if fit.misfit > _MOST_MISFIT:
        fit, left_out, doubt_mm = _without_moved(fit, seen, setup, prior)
    if doubt_mm > _MOST_DOUBT_MM:
        raise CanvasError(_DISAGREE)
    if left_out:
        names = " and ".join(f"{NAMES[corner]} tab" for corner in left_out)
        notes.append(_MOVED.format(names, *(("has", "is") if len(left_out) == 1 else ("have", "are"))))
    if doubt_mm > 0:
        notes.append("The corner tabs do not quite agree with one another: the canvas is known less well.")
    canvas = CanvasMap(fit.corners_px, setup.size, fit.width, fit.height, fit.k1)
    return TabFix(
        corners_px=canvas.corners_px,
        k1=fit.k1,
        k1_sigma=fit.k1_sigma,
        px_per_mm=float(canvas.scales(grid_mm(setup.size)).min()),
        uncertainty_mm=float(np.hypot(np.hypot(fit.uncertainty_mm, doubt_mm), setup.canvas_mm)),
        confidence=0.5 if doubt_mm > 0 else 0.95 if len(fit.seen) < 3 else 0.99,
        tabs=tuple(tab.corner for tab in fit.seen),
        left_out=left_out,
        notes=tuple(notes),
    )


def _usable(found: Sequence[FoundTab], setup: TabSetup) -> tuple[list[FoundTab], list[str]]:
    """Tabs that are set up and seen once, in order; what is wrong with the others."""
    corners = [tab.corner for tab in found]
    twice = sorted({corner for corner in corners if corners.count(corner) > 1})
    notes = [
        f"Two {NAMES[corner]} tabs are in the picture, and both are left out. Take the spare one away."
        for corner in twice
    ]
    seen = [tab for tab in found if tab.corner in setup.tabs and tab.corner not in twice]
    if len({(tab.width, tab.height) for tab in seen}) > 1:
        raise CanvasError("The corner tabs come from different pictures. Look for them in one picture at a time.")
    if len(seen) >= 2:
        return sorted(seen, key=lambda tab: tab.corner), notes
    if twice:
        raise CanvasError(notes[0])
    raise CanvasError(
        f"{'No corner tab is' if not seen else 'Only one corner tab is'} to be seen, and two are needed. Clear the "
        "view of at least two tabs, or place the canvas's corners by hand."
    )


def _without_moved(
    whole: "_Fit", seen: list[FoundTab], setup: TabSetup, prior: tuple[float, float]
) -> tuple["_Fit", tuple[int, ...], float]:
    """The fit without the tabs that have moved, and which they are; or the whole fit, and how far off it may be, mm.

    The fewest are left out with which the rest agrees; where two choices fit about as well, none is taken. Raises
    CanvasError where two tabs are all there are, and disagree.
    """
    if len(seen) == 2 and whole.misfit > _TWO_MISFIT:
        raise CanvasError(_DISAGREE)
    doubt = whole.off_mm
    for count in range(1, len(seen) - 1):
        kept = [_Fit.of(list(each), setup, prior) for each in combinations(seen, len(seen) - count)]
        doubt = max([doubt, *(whole.apart_mm(fit) for fit in kept)])
        kept.sort(key=lambda fit: fit.misfit)
        best, next_best = kept[0].misfit, kept[1].misfit
        if best > _MOST_MISFIT:
            continue
        if (next_best - best) * kept[0].spare < _CLEARLY:
            break
        corners = {tab.corner for tab in kept[0].seen}
        return kept[0], tuple(tab.corner for tab in seen if tab.corner not in corners), 0.0
    return whole, (), doubt


@dataclass(frozen=True, eq=False)
class _Fit:
    """``values``: the unknowns, scaled to about 1; ``covariance`` of them."""

    seen: list[FoundTab]
    model: "_Model"
    values: Points
    covariance: Points
    misfit: float
    left_px: Points

    @classmethod
    def of(cls, seen: list[FoundTab], setup: TabSetup, prior: tuple[float, float]) -> "_Fit":
        """Gauss-Newton from the homography of all corners."""
        model = _Model(seen, setup, prior)
        values = model.start()
        off = model.residuals(values)
        slopes = model.slopes(values, off)
        for _ in range(_TURNS):
            change = -np.linalg.lstsq(slopes, off, rcond=None)[0]
            values = model.within(values + change)
            off = model.residuals(values)
            most = float(np.abs(change).max())
            if most < 1e-5:
                break
            if most > _FAR:
                slopes = model.slopes(values, off)
        misfit = float(off @ off) / (8 * (len(seen) - 1))
        covariance = np.asarray(np.linalg.pinv(slopes.T @ slopes), dtype=np.float64) * max(misfit, 1.0)
        left = off[: 8 * len(seen)].reshape(len(seen), 4, 2) * model.sigma[:, None, None]
        return cls(seen, model, values, covariance, misfit, left)

    @property
    def spare(self) -> int:
        """How many more readings there are than the homography needs."""
        return 8 * (len(self.seen) - 1)

    @property
    def width(self) -> int:
        return self.model.width

    @property
    def height(self) -> int:
        return self.model.height

    @property
    def k1(self) -> float:
        return float(self.model.lens(self.values))

    @property
    def k1_sigma(self) -> float:
        return float(np.sqrt(self.covariance[8, 8])) * self.model.prior[1]

    @property
    def corners_px(self) -> Points:
        w, h = self.model.size.width_mm, self.model.size.height_mm
        return self.model.seen_at(self.values, np.array([[0, 0], [w, 0], [w, h], [0, h]]))

    @cached_property
    def off_mm(self) -> float:
        """How far the tabs are off from where the fit has them, RMS, mm: in the picture, and by their shifts."""
        shifts = self.model.shifts(self.values)[:, :2]
        per_mm = self._per_mm(self.values, np.concatenate(self.model.squares))
        scale = float(np.sqrt(np.abs(np.linalg.det(per_mm))).min())
        in_picture = float((self.left_px**2).sum(axis=2).mean()) / scale**2
        return float(np.sqrt(in_picture + (shifts**2).sum(axis=1).mean()))

    def apart_mm(self, other: "_Fit") -> float:
        """RMS over the canvas between where this fit and another one see it."""
        face = grid_mm(self.model.size, 5)
        px = other.model.seen_at(other.values, face) - self.model.seen_at(self.values, face)
        off = np.linalg.solve(self._per_mm(self.values, face), px[..., None])[..., 0]
        return float(np.sqrt((off**2).sum(axis=1).mean()))

    @cached_property
    def uncertainty_mm(self) -> float:
        """RMS over the canvas of what the unknowns leave open."""
        face = grid_mm(self.model.size, 5)
        at = self.model.seen_at(self.values, face)
        columns = []
        for unknown in range(9):
            other = self.values.copy()
            other[unknown] += _STEP
            columns.append((self.model.seen_at(other, face) - at) / _STEP)
        per_unknown = np.stack(columns, axis=-1)
        in_mm = np.linalg.solve(self._per_mm(self.values, face), per_unknown)
        spread = np.einsum("nij,jk,nik->n", in_mm, self.covariance[:9, :9], in_mm)
        return float(np.sqrt(max(float(spread.mean()), 0.0)))

    def _per_mm(self, values: Points, places: Points) -> Points:
        """``(n, 2, 2)``: px by canvas mm at places ``(n, 2)`` mm."""
        step = 0.01
        columns = [
            self.model.seen_at(values, places + d) - self.model.seen_at(values, places - d) for d in np.eye(2) * step
        ]
        return np.stack(columns, axis=-1) / (2 * step)


class _Model:
    """Where the tabs' corners are expected.

    Unknowns, in order: eight of the homography (in units of the canvas's and the picture's half diagonals, for numbers
    near 1), the lens, then shift, turn and growth of each tab; all but the homography in units of what is known of them
    beforehand.
    """

    def __init__(self, seen: list[FoundTab], setup: TabSetup, prior: tuple[float, float]) -> None:
        self.size: Size = setup.size
        self.prior = prior
        self.width, self.height = seen[0].width, seen[0].height
        self.squares = np.stack([setup.tabs[tab.corner] for tab in seen])
        self.read = np.stack([tab.corners_px for tab in seen])
        self.sigma = np.array([tab.sigma_px for tab in seen])
        self.placed = max(setup.placed_mm, 1e-3)
        shift, turn = np.full(len(seen), self.placed), np.full(len(seen), self.placed / _TURN_SPAN_MM)
        self.spans = np.column_stack([shift, shift, turn, [tab.grown_px for tab in seen]])
        out = self.read - self.read.mean(axis=1, keepdims=True)
        self.out = np.sqrt(2) * out / np.linalg.norm(out, axis=2, keepdims=True)
        self.about = self.squares - self.squares.mean(axis=1, keepdims=True)
        half_mm = np.array([self.size.width_mm, self.size.height_mm]) / 2
        half_px = np.array([self.width - 1, self.height - 1]) / 2
        mm, px = float(np.hypot(*half_mm)), float(np.hypot(*half_px))
        self._from_mm = np.array([[1 / mm, 0, -half_mm[0] / mm], [0, 1 / mm, -half_mm[1] / mm], [0, 0, 1]])
        self._to_px = np.array([[px, 0, half_px[0]], [0, px, half_px[1]], [0, 0, 1]])

    def start(self) -> Points:
        straight = straighten(self.read, self.prior[0], self.width, self.height).reshape(-1, 1, 2)
        unit = project(self._from_mm, self.squares.reshape(-1, 2)).reshape(-1, 1, 2)
        matrix, _ = cv2.findHomography(unit, project(np.linalg.inv(self._to_px), straight), 0)
        if matrix is None or not np.isfinite(matrix).all():
            raise CanvasError(_DISAGREE)
        return np.concatenate([np.asarray(matrix).ravel()[:8] / matrix[2, 2], np.zeros(1 + 4 * len(self.squares))])

    def within(self, values: Points) -> Points:
        """With the lens kept to what a lens can be."""
        kept = values.copy()
        limits = (np.array([-1, 1]) * (LARGEST_K1 - 0.001) - self.prior[0]) / self.prior[1]
        kept[8] = np.clip(kept[8], *limits)
        return kept

    def lens(self, values: Points) -> float:
        return float(np.clip(self.prior[0] + self.prior[1] * values[8], -LARGEST_K1, LARGEST_K1))

    def shifts(self, values: Points) -> Points:
        """``(n, 4)``: shift across and down of each tab, mm, its turn in radians, its growth in px."""
        return np.asarray(values[9:].reshape(-1, 4) * self.spans)

    def seen_at(self, values: Points, places_mm: Points) -> Points:
        """Picture px of places ``(..., 2)`` canvas mm."""
        matrix = self._to_px @ np.append(values[:8], 1.0).reshape(3, 3) @ self._from_mm
        return bend(project(matrix, places_mm), self.lens(values), self.width, self.height)

    def residuals(self, values: Points) -> Points:
        """Readings less what is expected, in standard deviations; then the unknowns that are known beforehand."""
        moved = self.shifts(values)
        turned = np.stack([-self.about[..., 1], self.about[..., 0]], axis=-1) * moved[:, None, 2:3]
        expected = self.seen_at(values, self.squares + moved[:, None, :2] + turned)
        expected = expected + moved[:, None, 3:] * self.out
        off = (expected - self.read) / self.sigma[:, None, None]
        return np.concatenate([off.ravel(), values[8:]])

    def slopes(self, values: Points, off: Points) -> Points:
        columns = []
        for unknown in range(len(values)):
            other = values.copy()
            other[unknown] += _STEP
            columns.append((self.residuals(other) - off) / _STEP)
        return np.stack(columns, axis=1)
