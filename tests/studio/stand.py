"""Where a hand-held camera with a true perspective sees the canvas's corners."""

import numpy as np
from numpy.typing import NDArray

from core.size import Size


def stand_at(
    rng: np.random.Generator,
    size: Size,
    *,
    width: int = 4000,
    height: int = 3000,
    fill: float = 0.75,
    most_tilt_deg: float = 12.0,
    focal: float | None = None,
    k1: float = 0.0,
) -> tuple[tuple[float, float], ...]:
    """Corners (TL TR BR BL, photo px, bent by the lens) of a canvas that fills about ``fill`` of the frame.

    ``focal``: focal length over the frame's diagonal (0.6 is a phone's main camera: 26 mm over 43.3 mm).
    """
    focal = float(rng.uniform(0.6, 1.4)) if focal is None else focal
    diagonal = float(np.hypot(width, height))
    half = np.array([size.width_mm, size.height_mm]) / 2
    face = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    pitch, yaw = np.radians(rng.uniform(-most_tilt_deg, most_tilt_deg, 2))
    turned = face @ _turn(pitch, yaw, float(rng.normal(0, 0.015)))[:2]
    away = focal * diagonal * max(size.width_mm / (fill * width), size.height_mm / (fill * height))
    for _ in range(12):  # step back or forward until it fills the frame as asked
        seen = focal * diagonal * turned[:, :2] / (turned[:, 2:] + away)
        away *= float((np.ptp(seen, axis=0) / (fill * np.array([width, height]))).max())
    seen -= (seen.max(axis=0) + seen.min(axis=0)) / 2
    room = (1 - fill) / 2 * np.array([width, height])
    moved = seen + rng.uniform(-0.5, 0.5, 2) * room
    bent = moved * (1 + k1 * ((moved / (diagonal / 2)) ** 2).sum(axis=1, keepdims=True))
    centre = np.array([width - 1, height - 1]) / 2
    return tuple((float(x), float(y)) for x, y in bent + centre)


def _turn(pitch: float, yaw: float, roll: float) -> NDArray[np.float64]:
    cx, sx, cy, sy, cz, sz = (f(a) for a in (pitch, yaw, roll) for f in (np.cos, np.sin))
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    about_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    return np.asarray((about_z @ about_y @ about_x).T)
