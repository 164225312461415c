"""Landmarks placed by hand on the canvas photo: the hand's number wins, and the drift near it is bent to agree.

A landmark placed by hand has the drift that the hand says, confidence 1. Around it, up to :func:`reach_mm`, the drift
field and the drift along lines go over smoothly from what was measured to what the hand says; beyond, nothing changes
at all. Landmarks that were measured and told hold the field where they are, so that one correction does not push a
neighbour about that nobody doubted. The bend is bounded: nowhere is it more than the largest correction, however near
two hands lie to each other, which interpolation by radial functions does not promise.

How far: Wendland's function (Wendland 1995, Adv. Comput. Math. 4, 389-396). Between several: inverse-distance weights
with an end (Franke and Little's, in Franke 1982, Math. Comp. 38, 181-200).

Measured on ten paintings whose drift is known (``python -m tests.measure.by_hand``; blocked in, soft, stylised, dabs,
one colour), the three to six landmarks known least placed by a hand that errs by 0.4 mm each way. Error of the field in
mm, median and 95th percentile, for three reaches; 40 units is kept:

    reach 20    to 15 mm from a hand: 0.34, 1.17 becomes 0.31, 0.95    15 to 40 mm: 0.32, 1.07 stays so
    reach 40    to 15 mm from a hand: 0.34, 1.17 becomes 0.32, 0.72    15 to 40 mm: 0.32, 1.07 becomes 0.31, 1.00
    reach 80    to 15 mm from a hand: 0.34, 1.17 becomes 0.37, 0.85    15 to 40 mm: 0.32, 1.07 becomes 0.32, 0.84

The whole drawing's part is fitted anew only when the hand's landmarks are many (:func:`whole_with_hands`): it is
measured from hundreds of places, which a few corrected landmarks do not outweigh.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift import CONFIDENT, Drift, LandmarkDrift, PointsDrift
from core.drawing.drift_whole import WholeDrift, fit_whole
from core.size import Size

Array = NDArray[np.float64]

HAND_PX = 2.0
"""How near a hand comes to the place it means, photo pixels under the glass (our judgement, no source)."""
HAND_LEAST_MM = 0.1
"""A painted mark is not found more nearly than this, however fine the photo."""
REACH = 40.0
"""Units (1 mm on a canvas of 400 × 300 mm) over which a correction dies away: the range over which the measuring
trusts a reading, too (``drift_passes.NEAR``)."""
MANY, MANY_SHARE, SPREAD_SHARE = 4, 0.5, 0.125
"""Hands are many when they are four or more (a similarity is fixed by two, and one of four may be a slip), at least
half of all landmarks told, and spread about their mean by an eighth of the canvas's diagonal or more."""


@dataclass(frozen=True)
class Hand:
    """Where a landmark lies on the painting by the painter's own eye, mm on the canvas; ``sigma_mm`` each way."""

    x_mm: float
    y_mm: float
    sigma_mm: float


def hand_sigma_mm(px_per_mm: float) -> float:
    """The standard deviation, each way, of a place set by hand on a photo of this many pixels per mm."""
    return max(HAND_PX / px_per_mm, HAND_LEAST_MM)


def reach_mm(size: Size) -> float:
    """How far from a landmark placed by hand the drift is bent."""
    return REACH * float(np.sqrt(size.width_mm * size.height_mm / (400 * 300)))


def corrected(drift: Drift, hands: Mapping[str, Hand]) -> Drift:
    """The drift with landmarks of these names where the hand put them. No hands: the very same drift."""
    if not any(mark.name in hands for mark in drift.landmarks):
        return drift
    landmarks, whole = corrected_landmarks(drift.landmarks, drift.whole, hands)
    bend = _Bend.of(drift, landmarks)
    height, width = drift.filled_dx_mm.shape
    columns, rows = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    shift, share = bend.at(np.column_stack([columns.ravel(), rows.ravel()]))
    dx, dy = (
        (filled + shift[:, axis].reshape(height, width)).astype(np.float32)
        for axis, filled in enumerate((drift.filled_dx_mm, drift.filled_dy_mm))
    )
    certain = np.maximum(drift.field_confidence, share.reshape(height, width).astype(np.float32))
    told = certain >= CONFIDENT
    return replace(
        drift,
        landmarks=landmarks,
        points=_bent_points(drift.points, bend),
        whole=whole,
        field_dx_mm=np.where(told, dx, np.float32(np.nan)),
        field_dy_mm=np.where(told, dy, np.float32(np.nan)),
        field_confidence=certain,
        filled_dx_mm=dx,
        filled_dy_mm=dy,
    )


def corrected_landmarks(
    landmarks: Sequence[LandmarkDrift], whole: WholeDrift, hands: Mapping[str, Hand]
) -> tuple[tuple[LandmarkDrift, ...], WholeDrift]:
    """The landmarks with the hand's numbers, and the whole drawing's part that goes with them.

    Landmarks without a hand keep what was measured; only what is local of it follows when the whole is fitted anew.
    """
    placed = tuple(_placed(mark, hands[mark.name]) if mark.name in hands else mark for mark in landmarks)
    fitted = whole_with_hands(placed, whole)
    return tuple(_with_local(mark, fitted) for mark in placed), fitted


def whole_with_hands(landmarks: Sequence[LandmarkDrift], whole: WholeDrift) -> WholeDrift:
    """The whole drawing's part: as measured, or fitted to all landmarks told once those by hand are many."""
    told = [mark for mark in landmarks if mark.by_hand or mark.confidence >= CONFIDENT]
    hands = [mark for mark in told if mark.by_hand]
    if len(hands) < MANY or len(hands) < MANY_SHARE * len(told):
        return whole
    size = whole.size
    at = np.array([(mark.x_mm, mark.y_mm) for mark in hands])
    spread = float(np.sqrt(((at - at.mean(axis=0)) ** 2).sum(axis=1).mean()))
    if spread < SPREAD_SHARE * np.hypot(size.width_mm, size.height_mm):
        return whole
    places = np.array([(mark.x_mm, mark.y_mm) for mark in told])
    moved = np.array([(mark.dx_mm, mark.dy_mm) for mark in told])
    certain = np.array([1 / mark.sigma_mm**2 for mark in told])
    information = np.stack([certain, np.zeros_like(certain), certain], axis=-1)
    return fit_whole(places, moved, information, size, places=float(len(told)))


def _placed(mark: LandmarkDrift, hand: Hand) -> LandmarkDrift:
    return replace(
        mark,
        dx_mm=hand.x_mm - mark.x_mm,
        dy_mm=hand.y_mm - mark.y_mm,
        confidence=1.0,
        sigma_mm=hand.sigma_mm,
        by_hand=True,
    )


def _with_local(mark: LandmarkDrift, whole: WholeDrift) -> LandmarkDrift:
    shared = whole.at(np.array([mark.x_mm, mark.y_mm]))
    return replace(mark, local_dx_mm=mark.dx_mm - float(shared[0]), local_dy_mm=mark.dy_mm - float(shared[1]))


@dataclass(frozen=True)
class _Bend:
    """``places`` ``(n, 2)`` mm that are known, the ``correction`` ``(n, 2)`` mm at each, and which are ``by_hand``;
    the others hold the field as it is."""

    places: Array
    correction: Array
    by_hand: NDArray[np.bool_]
    reach: float

    @classmethod
    def of(cls, drift: Drift, landmarks: Sequence[LandmarkDrift]) -> "_Bend":
        known = [mark for mark in landmarks if mark.by_hand or mark.confidence >= CONFIDENT]
        places = np.array([(mark.x_mm, mark.y_mm) for mark in known], dtype=np.float64).reshape(-1, 2)
        wanted = np.array([(mark.dx_mm, mark.dy_mm) for mark in known], dtype=np.float64).reshape(-1, 2)
        by_hand = np.array([mark.by_hand for mark in known])
        correction = np.where(by_hand[:, None], wanted - _sampled(drift, places), 0.0)
        return cls(places, correction, by_hand, reach_mm(drift.size))

    def at(self, points_mm: Array) -> tuple[Array, Array]:
        """The correction ``(n, 2)`` mm at points, and how far it is the hand's, 0-1 ``(n,)``."""
        count = len(points_mm)
        apart, total, pull = np.ones(count), np.zeros(count), np.zeros((count, 2))
        for place, correction, by_hand in zip(self.places, self.correction, self.by_hand, strict=True):
            away = np.hypot(*(points_mm - place).T)
            near = np.flatnonzero(away < self.reach)
            if by_hand:
                apart[near] *= 1 - _wendland(away[near] / self.reach)
            weight = ((self.reach - away[near]) / np.maximum(away[near], 1e-6)) ** 2
            total[near] += weight
            pull[near] += weight[:, None] * correction
        share = 1 - apart
        return share[:, None] * pull / np.maximum(total, 1e-300)[:, None], share


def _wendland(r: Array) -> Array:
    """1 at 0, smooth, 0 from 1 on."""
    return np.asarray((1 - r) ** 4 * (4 * r + 1))


def _sampled(drift: Drift, points_mm: Array) -> Array:
    """The filled field ``(n, 2)`` at points, linear between its cells."""
    height, width = drift.filled_dx_mm.shape
    scale = np.array([width / drift.size.width_mm, height / drift.size.height_mm])
    at = (points_mm * scale - 0.5).astype(np.float32).reshape(-1, 1, 2)
    fields = (drift.filled_dx_mm, drift.filled_dy_mm)
    values = [cv2.remap(f, at, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE) for f in fields]
    return np.column_stack([np.asarray(value, dtype=np.float64).reshape(-1) for value in values])


def _bent_points(points: PointsDrift, bend: _Bend) -> PointsDrift:
    shift, share = bend.at(points.points_mm)
    return replace(
        points,
        drift_mm=points.drift_mm + shift,
        confidence=np.maximum(points.confidence, share),
        firm_drift_mm=points.firm_drift_mm + (shift * points.firm_direction).sum(axis=1),
        firm_confidence=np.maximum(points.firm_confidence, share),
    )
