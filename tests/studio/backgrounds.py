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
    if camera.setting == "light":
        scene *= np.float32(0.78 / scene.mean())
    if camera.setting == "frames":
        _frames(scene, corners, camera, rng)
    scene *= (1 - 0.45 * _shadow(scene.shape[:2], corners, camera.shadow_soft))[..., None]
    if any(camera.stretcher):
        _stretcher(scene, corners, camera, rng)
    return scene


def in_front(scene: Picture, corners: NDArray[np.float64]) -> None:
    """A clamp over the middle of the upper edge and a lip of the tray over two places of the lower one."""
    side = np.linalg.norm(corners[1] - corners[0])
    for share, (a, b), lap in ((0.5, (0, 1), 0.02), (0.25, (3, 2), 0.008), (0.75, (3, 2), 0.008)):
        x, y = corners[a] * (1 - share) + corners[b] * share
        half, inward = 0.03 * side, lap * side * (1 if a == 0 else -1)
        away = -0.05 * side * (1 if a == 0 else -1)
        box = [(x - half, y + away), (x + half, y + away), (x + half, y + inward), (x - half, y + inward)]
        cv2.fillConvexPoly(scene, np.rint(box).astype(np.int32), tuple(0.7 * c for c in WOOD), cv2.LINE_AA)


def _wall(height: int, width: int, rng: np.random.Generator) -> Picture:
    x, y = np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32)[:, None]
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


def _frames(scene: Picture, corners: NDArray[np.float64], camera: "Camera", rng: np.random.Generator) -> None:
    """A window and framed pictures behind and beside the canvas, bowed by the same lens."""
    height, width = scene.shape[:2]
    unit = min(height, width)
    for kind in ("window", "frame", "frame", "frame", "frame", "shelf"):
        centre = rng.uniform(0, 1, 2) * (width, height)
        half = rng.uniform(0.1, 0.35, 2) * unit if kind != "shelf" else np.array([0.6 * width, 0.012 * unit])
        layers = {"window": (1.0, 0.95, 0.47), "frame": (1.0, 0.86, 0.7), "shelf": (1.0,)}[kind]
        for number, share in enumerate(layers):
            tone = float(rng.uniform(0.6, 0.9) if kind == "window" and number else rng.uniform(0.03, 0.75))
            box = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (half * share) + centre
            _bowed_box(scene, box, camera.k1, tuple(tone * c for c in rng.uniform(0.75, 1.0, 3)))


def _bowed_box(scene: Picture, box: NDArray[np.float64], k1: float, colour: tuple[float, ...]) -> None:
    """A polygon of straight sides (corners as they would be without a lens), filled as the lens shows it."""
    along = np.linspace(0, 1, 60)[:, None]
    outline = np.concatenate([a + along * (b - a) for a, b in zip(box, np.roll(box, -1, axis=0), strict=True)])
    centre, half_diagonal = _middle(scene)
    r2 = (((outline - centre) / half_diagonal) ** 2).sum(axis=1, keepdims=True)
    bent = centre + (outline - centre) * (1 + k1 * r2)
    cv2.fillPoly(scene, [np.rint(bent * 16).astype(np.int32)], colour, cv2.LINE_AA, 4)


def _middle(scene: Picture) -> tuple[NDArray[np.float64], float]:
    height, width = scene.shape[:2]
    return np.array([width - 1, height - 1]) / 2, float(np.hypot(width, height)) / 2


def _stretcher(scene: Picture, corners: NDArray[np.float64], camera: "Camera", rng: np.random.Generator) -> None:
    """The canvas's sides, seen where the camera stands off its axis."""
    centre, half_diagonal = _middle(scene)
    face = offset = (corners - centre) / half_diagonal
    for _ in range(12):
        face = offset / (1 + camera.k1 * (face**2).sum(axis=1, keepdims=True))
    face = face * half_diagonal + centre
    back = face + np.array(camera.stretcher) * np.linalg.norm(face[1] - face[0])
    for first in range(4):
        pair = [first, (first + 1) % 4]
        tone = float(rng.uniform(0.25, 0.75))
        _bowed_box(scene, np.concatenate([face[pair], back[pair[::-1]]]), camera.k1, (tone, tone, 0.93 * tone))


def _shadow(shape: tuple[int, int], corners: NDArray[np.float64], soft: float = 0.01) -> NDArray[np.float32]:
    mask = np.zeros((shape[0] // 4, shape[1] // 4), dtype=np.float32)
    side = np.linalg.norm(corners[1] - corners[0])
    moved = (corners + np.array([0.02, 0.03]) * side) / 4
    cv2.fillConvexPoly(mask, np.rint(moved).astype(np.int32), 1.0)
    return cv2.resize(cv2.GaussianBlur(mask, (0, 0), soft * side / 4 + 100 * soft), (shape[1], shape[0]))
