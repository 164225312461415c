"""What stands behind the canvas: a wall, an easel, a cluttered room. Linear light, ``(H, W, 3)`` float32."""

from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from tests.studio.camera import Camera

Picture = NDArray[np.float32]
WOOD = (0.30, 0.19, 0.10)


def background(camera: "Camera", corners: NDArray[np.float64], rng: np.random.Generator) -> Picture:
    """The scene without the canvas's face, with the shadow that the canvas throws on it."""
    scene = _wall(camera.height, camera.width, rng)
    if camera.setting == "room":
        _clutter(scene, rng)
    if camera.setting in ("easel", "room"):
        _easel(scene, corners)
    if camera.setting == "dark":
        scene *= 0.12
    return scene * (1 - 0.45 * _shadow(scene.shape[:2], corners))[..., None]


def _wall(height: int, width: int, rng: np.random.Generator) -> Picture:
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    fall = 1 - 0.25 * x / width - 0.15 * y / height
    grain = cv2.resize(rng.normal(size=(height // 8, width // 8)).astype(np.float32), (width, height))
    tint = np.float32(rng.uniform(0.35, 0.6)) * np.float32([1.0, rng.uniform(0.93, 1.0), rng.uniform(0.82, 0.98)])
    return (fall * (1 + 0.02 * grain))[..., None] * tint


def _clutter(scene: Picture, rng: np.random.Generator) -> None:
    """Picture frames, books, a shelf, a window: rectangles and lines, some as straight and strong as the canvas."""
    height, width = scene.shape[:2]
    unit = min(height, width)
    for _ in range(45):
        centre = rng.uniform(0, 1, 2) * (width, height)
        box = (tuple(centre), tuple(rng.uniform(0.04, 0.3, 2) * unit), float(rng.choice([0, 0, 0, 4, -7, 12])))
        colour = tuple(float(c) for c in rng.uniform(0.02, 0.8) * rng.uniform(0.6, 1.0, 3))
        cv2.fillConvexPoly(scene, np.rint(cv2.boxPoints(box)).astype(np.int32), colour, cv2.LINE_AA)
    for _ in range(12):
        y = int(rng.uniform(0, height))
        cv2.line(
            scene,
            (0, y),
            (width, y + int(rng.normal(0, 40))),
            (0.05, 0.05, 0.06),
            int(rng.integers(3, 12)),
            cv2.LINE_AA,
        )


def _easel(scene: Picture, corners: NDArray[np.float64]) -> None:
    """A mast behind, a tray below and a clamp above that laps over the canvas's edge a little (as easels do)."""
    mid_top, mid_bottom = corners[:2].mean(axis=0), corners[2:].mean(axis=0)
    mast = int(0.06 * np.linalg.norm(corners[1] - corners[0]))
    cv2.line(scene, (int(mid_top[0]), 0), (int(mid_bottom[0]), scene.shape[0]), WOOD, mast, cv2.LINE_AA)
    left, right = corners[3] - (mast, 0), corners[2] + (mast, 0)
    drop = np.array([0, mast * 0.55])
    tray = np.rint([left + drop * 0.1, right + drop * 0.1, right + drop * 2, left + drop * 2]).astype(np.int32)
    cv2.fillConvexPoly(scene, tray, tuple(0.8 * c for c in WOOD), cv2.LINE_AA)
    for side in (corners[3] * 0.85 + corners[2] * 0.15, corners[2] * 0.85 + corners[3] * 0.15):
        cv2.line(scene, tuple(side.astype(int).tolist()), (int(side[0]), scene.shape[0]), WOOD, mast, cv2.LINE_AA)


def _shadow(shape: tuple[int, int], corners: NDArray[np.float64]) -> NDArray[np.float32]:
    mask = np.zeros((shape[0] // 4, shape[1] // 4), dtype=np.float32)
    side = np.linalg.norm(corners[1] - corners[0])
    moved = (corners + np.array([0.02, 0.03]) * side) / 4
    cv2.fillConvexPoly(mask, np.rint(moved).astype(np.int32), 1.0)
    return cv2.resize(cv2.GaussianBlur(mask, (0, 0), 0.01 * side / 4 + 1), (shape[1], shape[0]))
