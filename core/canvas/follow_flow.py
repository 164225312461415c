"""How the surround of the canvas has moved since the last frame, and where the canvas may lie after it was lost.

Neither tells where the canvas is: the wall behind it moves otherwise than its face does. They say where its sides are
looked for.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.frames.frame import Frame

Points = NDArray[np.float64]
Grey = NDArray[np.uint8]

LOOKED_AT_PX = 700
_MOST, _FEWEST, _EVERY = 120, 40, 20
_RING = (1.03, 1.6)
"""The surround: what lies within these times the canvas, about its middle."""
_BACK_PX, _AGREE_PX = 0.5, 0.8
_LEAST_ALIKE = 12
_WINDOW = (15, 15)


class SurroundFlow:
    """Points about the canvas, followed there and back (Kalal, Mikolajczyk and Matas 2010, ICPR, 2756-2759)."""

    def __init__(self) -> None:
        self._last: Grey | None = None
        self._points = np.zeros((0, 1, 2), np.float32)
        self._age = 0

    def moved(self, grey: Grey, scale: float, corners: Points) -> Points | None:
        """``(2, 3)`` frame px from the last frame to this one, of most points; None where too few agree.

        ``grey``: :func:`small_grey` of this frame; ``corners``: ``(4, 2)`` frame px in the last one.
        """
        last, self._last = self._last, grey
        if last is None:
            return None
        if len(self._points) < _FEWEST or self._age >= _EVERY:
            self._points, self._age = _surround(last, corners * scale), 0
        self._age += 1
        if len(self._points) < 6:
            return None
        nothing = np.zeros_like(self._points)
        there, found, _ = cv2.calcOpticalFlowPyrLK(last, grey, self._points, nothing, winSize=_WINDOW, maxLevel=3)
        back, _, _ = cv2.calcOpticalFlowPyrLK(grey, last, there, nothing.copy(), winSize=_WINDOW, maxLevel=3)
        apart = np.abs(back - self._points).reshape(-1, 2).max(axis=1)
        good = (np.asarray(found).ravel() > 0) & (apart < _BACK_PX)
        here, self._points = self._points[good], np.asarray(there)[good].reshape(-1, 1, 2)
        if len(here) < 6:
            return None
        matrix, agree = cv2.estimateAffinePartial2D(here, self._points, ransacReprojThreshold=_AGREE_PX)
        if matrix is None or agree.mean() < 0.5:
            return None
        answer = np.asarray(matrix, dtype=np.float64)
        answer[:, 2] /= scale
        return answer


class KeyFrame:
    """A frame in which the canvas was known, to find it again by features of it and of its surround (ORB: Rublee and
    others 2011, ICCV, 2564-2571)."""

    def __init__(self, grey: Grey, scale: float, corners: Points) -> None:
        self._orb = cv2.ORB.create(500)
        self._scale, self._corners = scale, corners
        self._points, self._words = self._orb.detectAndCompute(grey, None)

    def found(self, grey: Grey) -> Points | None:
        """Corners ``(4, 2)`` frame px, about; None where too little looks the same."""
        points, words = self._orb.detectAndCompute(grey, None)
        if words is None or self._words is None:
            return None
        pairs = cv2.BFMatcher(cv2.NORM_HAMMING, crossCheck=True).match(self._words, words)
        if len(pairs) < _LEAST_ALIKE:
            return None
        here = np.array([self._points[pair.queryIdx].pt for pair in pairs])
        there = np.array([points[pair.trainIdx].pt for pair in pairs])
        matrix, agree = cv2.findHomography(here, there, cv2.RANSAC, 2.0)
        if matrix is None or int(agree.sum()) < _LEAST_ALIKE:
            return None
        seen = cv2.perspectiveTransform((self._corners * self._scale).reshape(1, 4, 2), matrix)
        return np.asarray(seen, dtype=np.float64).reshape(4, 2) / self._scale


def small_grey(frame: Frame) -> tuple[Grey, float]:
    """The green codes of a small copy ``(h, w)``, and its scale. Halved again and again: a third of the time that one
    third takes, and a quarter of that of all three channels."""
    grey = np.asarray(cv2.extractChannel(frame.codes, 1))
    while grey.shape[1] > LOOKED_AT_PX:
        grey = np.asarray(cv2.resize(grey, (grey.shape[1] // 2, grey.shape[0] // 2), interpolation=cv2.INTER_AREA))
    return grey, grey.shape[1] / frame.width


def _surround(grey: Grey, corners: Points) -> NDArray[np.float32]:
    mask = np.zeros(grey.shape, np.uint8)
    middle = corners.mean(axis=0)
    for times, shade in zip(reversed(_RING), (255, 0), strict=True):
        cv2.fillPoly(mask, [np.rint(middle + times * (corners - middle)).astype(np.int32)], shade)
    points = cv2.goodFeaturesToTrack(grey, _MOST, 0.01, 6, mask=mask)
    return np.zeros((0, 1, 2), np.float32) if points is None else np.asarray(points, np.float32).reshape(-1, 1, 2)
