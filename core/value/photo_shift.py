"""One photo of a painting brought onto another of the same painting, to a fraction of a pixel.

Both were laid flat by their own corners, which leaves them up to a millimetre apart. The shift is found in windows all
over the canvas (phase correlation of the fine detail, so that neither light nor glare counts for much), and a
homography is fitted robustly to the windows, since that is all that wrong corners can do.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.tone import luminance_of_linear
from core.value.light_grid import Map, clipped

_PX_PER_MM = 2.0
_WINDOW_PX = 96
_STRIDE_PX = 64
_FURTHEST_MM = 6.0
_FINE_PX = 4.0
_FEWEST = 6
_GOOD_RESPONSE = 0.08
_ROUNDS = 3


def shifted_onto(first: Flat, photo: Flat) -> tuple[Flat, float]:
    """``photo`` moved onto ``first`` (same shape), and by how many mm at most; unmoved where they cannot be matched."""
    scale = min(1.0, _PX_PER_MM / first.px_per_mm)
    per_mm = first.px_per_mm * scale
    wanted = _detail(first, scale)
    matrix = np.eye(3)
    for _ in range(_ROUNDS):
        detail = _detail(photo, scale)
        shape = wanted.shape[::-1]
        moved = cv2.warpPerspective(detail, matrix, shape, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
        step = _step(wanted, np.asarray(moved), per_mm)
        if step is None:
            break
        matrix = matrix @ step
    whole = np.diag([1 / scale, 1 / scale, 1.0])
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    # Pixel centres lie at whole numbers; scaling keeps the picture's outer edge, half a pixel before the first.
    to_full = np.linalg.inv(half) @ whole @ half
    full = to_full @ matrix @ np.linalg.inv(to_full)
    height, width = first.linear.shape[:2]
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float64)
    lifted = np.column_stack([corners, np.ones(4)]) @ full.T
    by = float(np.linalg.norm(lifted[:, :2] / lifted[:, 2:] - corners, axis=1).max() / first.px_per_mm)
    if by == 0.0:
        return photo, 0.0
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    linear = cv2.warpPerspective(photo.linear, full, (width, height), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    seen = np.ones((height, width), np.uint8) if photo.seen is None else photo.seen.astype(np.uint8)
    kept = cv2.warpPerspective(seen, full, (width, height), flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP)
    return Flat(np.maximum(linear, 0.0), photo.px_per_mm, photo.size, np.asarray(kept) > 0), by


def _detail(photo: Flat, scale: float) -> Map:
    """Fine detail of the logarithm of luminance, each part of the picture as strong as the next, 0 where clipped."""
    size = (round(photo.linear.shape[1] * scale), round(photo.linear.shape[0] * scale))
    small = cv2.resize(photo.linear, size, interpolation=cv2.INTER_AREA)
    log = np.log(np.maximum(luminance_of_linear(np.asarray(small)), 2e-3))
    fine = log - cv2.GaussianBlur(log, (0, 0), _FINE_PX)
    fine = np.clip(fine, -0.15, 0.15)
    burnt = cv2.dilate(clipped(np.asarray(small)).astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
    return np.asarray(np.where(burnt, np.float32(0), fine), dtype=np.float32)


def _step(wanted: Map, moved: Map, per_mm: float) -> NDArray[np.float64] | None:
    """Homography that takes places of ``wanted`` to those of ``moved``, or None when too little matches."""
    places, shifts = _window_shifts(wanted, moved, per_mm)
    if len(places) < _FEWEST:
        return None
    if len(places) < 2 * _FEWEST:
        answer = np.eye(3)
        answer[:2, 2] = np.median(shifts, axis=0)
        return answer
    matrix, kept = cv2.findHomography(
        places.reshape(-1, 1, 2), (places + shifts).reshape(-1, 1, 2), cv2.RANSAC, 0.35, maxIters=2000
    )
    if matrix is None or np.asarray(kept).sum() < _FEWEST:
        return None
    return np.asarray(matrix, dtype=np.float64)


def _window_shifts(wanted: Map, moved: Map, per_mm: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    height, width = wanted.shape
    side = min(_WINDOW_PX, height, width)
    hann = np.asarray(cv2.createHanningWindow((side, side), cv2.CV_32F))
    places, shifts = [], []
    for top in range(0, height - side + 1, _STRIDE_PX):
        for left in range(0, width - side + 1, _STRIDE_PX):
            part = np.s_[top : top + side, left : left + side]
            one, other = np.ascontiguousarray(wanted[part]), np.ascontiguousarray(moved[part])
            if one.std() < 0.004 or other.std() < 0.004:
                continue
            shift, response = cv2.phaseCorrelate(one, other, hann)
            if response >= _GOOD_RESPONSE and np.hypot(*shift) < _FURTHEST_MM * per_mm:
                places.append((left + (side - 1) / 2, top + (side - 1) / 2))
                shifts.append(shift)
    return np.array(places, dtype=np.float64).reshape(-1, 2), np.array(shifts, dtype=np.float64).reshape(-1, 2)
