"""A simulated phone camera before an easel: known corners, lens, light, glare, noise and JPEG."""

import io
import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.studio.backgrounds import background, in_front
from tests.studio.painter import Painted

Picture = NDArray[np.float32]


@dataclass(frozen=True)
class Camera:
    """How the photograph was taken. Corners are where the canvas's corners land, in photo pixels (TL TR BR BL)."""

    corners: tuple[tuple[float, float], ...]
    width: int = 4000
    height: int = 3000
    k1: float = 0.0
    exposure: float = 1.0
    white_balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    light_ratio: float = 1.0
    """Brightest over darkest place of the light on the canvas."""
    light_from_deg: float = 200.0
    hot_spot: float = 0.0
    vignetting: float = 0.0
    glare: tuple[tuple[float, float, float], ...] = ()
    """Specular spots: (x_mm, y_mm, radius_mm)."""
    blur_px: float = 0.8
    noise: float = 0.004
    tone_contrast: float = 0.0
    """Strength of the S-shaped tone curve that phones put on (0: none)."""
    setting: str = "wall"
    """What stands behind: wall, easel, room, dark, light (a near-white wall) or frames (pictures and a window)."""
    seed: int = 0
    shadow_soft: float = 0.01
    """Blur of the shadow that the canvas throws, as a share of its width (0.001: a bare lamp)."""
    stretcher: tuple[float, float] = (0.0, 0.0)
    """How far the stretcher's back shows past the face, as a share of the canvas's width."""
    clamp: bool = False
    """Whether the easel's clamp and tray lap over the face a little."""


@dataclass(frozen=True)
class Shot:
    """The photograph as taken: encoded sRGB pixels ``(H, W, 3)`` uint8 and the camera that took it."""

    pixels: NDArray[np.uint8]
    camera: Camera

    def jpeg(self, quality: int = 92) -> bytes:
        buffer = io.BytesIO()
        Image.fromarray(self.pixels).save(buffer, "JPEG", quality=quality, subsampling=2)
        return buffer.getvalue()


def stand_before(
    rng: np.random.Generator,
    aspect: float,
    *,
    width: int = 4000,
    height: int = 3000,
    fill: float = 0.75,
    tilt: float = 0.04,
) -> tuple[tuple[float, float], ...]:
    """Corners of a canvas of this aspect (width / height) that fills about ``fill`` of the frame, hand-held."""
    scale = fill * min(width / aspect, height)
    half = np.array([aspect * scale, scale]) / 2
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=float)
    turn = rng.normal(0, 0.015)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    corners = (signs * half) @ spin.T * (1 + rng.uniform(-tilt, tilt, (4, 1)))
    centre = np.array([width, height]) / 2 + rng.uniform(-0.02, 0.02, 2) * np.array([width, height])
    return tuple((float(x), float(y)) for x, y in corners + centre)


def photograph(painted: Painted, camera: Camera) -> Shot:
    """Take the photograph."""
    rng = np.random.default_rng(camera.seed)
    x_mm, y_mm = canvas_coordinates(painted, camera)
    inside = _coverage(painted, x_mm, y_mm)
    px = painted.px_per_mm
    at = ((each * px - 0.5).astype(np.float32, copy=False) for each in (x_mm, y_mm))
    face = cv2.remap(_antialiased(painted, camera), *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    face *= light_on_canvas(painted, camera, x_mm, y_mm)[..., None]
    for gx, gy, radius in camera.glare:
        face += (1.6 * np.exp(-((((x_mm - gx) ** 2 + (y_mm - gy) ** 2) / (2 * radius**2)) ** 2)))[..., None].astype(
            np.float32
        )
    behind = background(camera, np.asarray(camera.corners), rng)
    face -= behind
    face *= inside[..., None]
    face += behind
    if camera.clamp:
        in_front(face, np.asarray(camera.corners))
    return replace_pixels(face, camera, rng)


def photograph_blank(painted: Painted, camera: Camera, *, reflectance: float = 0.88) -> Shot:
    """The same view of the empty primed canvas in the same light."""
    blank = np.full_like(painted.linear, reflectance)
    return photograph(replace(painted, linear=blank, meant=blank), replace(camera, glare=(), seed=camera.seed + 1))


def canvas_coordinates(painted: Painted, camera: Camera) -> tuple[Picture, Picture]:
    """Where on the canvas (mm) each photo pixel looks, two ``(H, W)`` arrays."""
    w, h = painted.size.width_mm, painted.size.height_mm
    face = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32)
    straight = straighten(np.asarray(camera.corners, dtype=np.float64), camera)
    to_mm = cv2.getPerspectiveTransform(straight.astype(np.float32), face)
    x, y = _straight_px(camera)
    z = to_mm[2, 0] * x + to_mm[2, 1] * y + to_mm[2, 2]
    x_mm = (to_mm[0, 0] * x + to_mm[0, 1] * y + to_mm[0, 2]) / z
    y_mm = (to_mm[1, 0] * x + to_mm[1, 1] * y + to_mm[1, 2]) / z
    return x_mm.astype(np.float32), y_mm.astype(np.float32)


def _straight_px(camera: Camera) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """Where each photo pixel would be without the lens, two ``(H, W)``; a row and a column where it bends nothing."""
    x, y = np.arange(camera.width, dtype=np.float32), np.arange(camera.height, dtype=np.float32)
    if camera.k1:
        points = straighten(np.stack(np.meshgrid(x, y), axis=-1), camera)
        return points[..., 0], points[..., 1]
    along, down = (straighten(np.stack([each, each], axis=-1), camera) for each in (x, y))
    return along[None, :, 0], down[:, None, 1]


def straighten(points_px: NDArray[np.floating], camera: Camera) -> NDArray[np.floating]:
    """Undo the lens: the x_straight with x_photo = c + (x_straight - c)(1 + k1 r^2), r in half-diagonals."""
    centre = np.array([(camera.width - 1) / 2, (camera.height - 1) / 2], dtype=points_px.dtype)
    half_diagonal = np.hypot(camera.width, camera.height) / 2
    offset = (points_px - centre) / points_px.dtype.type(half_diagonal)
    r2 = (offset**2).sum(axis=-1, keepdims=True)
    scale = np.ones_like(r2)
    for _ in range(8 if camera.k1 else 0):
        bend = scale * scale
        bend *= camera.k1
        bend *= r2
        bend += 1
        np.divide(1, bend, out=scale)
    return scale * offset * half_diagonal + centre


def light_on_canvas(painted: Painted, camera: Camera, x_mm: Picture, y_mm: Picture) -> Picture:
    """The light field, ``(H, W)``, mean about 1 over the canvas."""
    w, h = painted.size.width_mm, painted.size.height_mm
    u, v = x_mm / w - 0.5, y_mm / h - 0.5
    a = math.radians(camera.light_from_deg)
    across = (u * math.cos(a) + v * math.sin(a)) / (abs(math.cos(a)) / 2 + abs(math.sin(a)) / 2)
    light = np.exp(0.5 * math.log(camera.light_ratio) * across)
    if camera.hot_spot:
        light *= 1 + camera.hot_spot * np.exp(-((u + 0.15) ** 2 + (v + 0.2) ** 2) / (2 * 0.18**2))
    return np.asarray(light, dtype=np.float32)


def replace_pixels(scene: Picture, camera: Camera, rng: np.random.Generator) -> Shot:
    """Exposure, vignetting, optics, noise and encoding: from light in the scene to the photo's pixels."""
    light = np.asarray(scene, dtype=np.float32) * _exposure(camera)
    light *= np.float32(camera.white_balance)
    if camera.blur_px:
        light = cv2.GaussianBlur(light, (0, 0), camera.blur_px)
    grain = rng.standard_normal(light.shape, dtype=np.float32)
    root = np.clip(light, 0, 1)
    root += np.float32(0.01)
    np.sqrt(root, out=root)
    root *= np.float32(camera.noise)
    grain *= root
    light += grain
    encoded = encoded_srgb(np.clip(light, 0, 1, out=light))
    if camera.tone_contrast:
        curve = encoded * encoded * (3 - 2 * encoded)
        encoded = encoded + camera.tone_contrast * (curve - encoded)
    encoded *= 255
    return Shot(np.rint(encoded, out=encoded).astype(np.uint8), camera)


def _exposure(camera: Camera) -> NDArray[np.floating] | float:
    """What each pixel gets of the scene's light, ``(H, W, 1)``; one number where the lens does not fall off."""
    if not camera.vignetting:
        return camera.exposure
    x, y = np.arange(camera.width, dtype=np.float32), np.arange(camera.height, dtype=np.float32)[:, None]
    r2 = ((x - camera.width / 2) ** 2 + (y - camera.height / 2) ** 2) / (camera.width**2 + camera.height**2) * 4
    return (camera.exposure * (1 - camera.vignetting * r2))[..., None]


def encoded_srgb(light: Picture) -> Picture:
    """IEC 61966-2-1 in single precision, which is enough for 8 bits and five times as quick."""
    encoded = cv2.pow(light, 1 / 2.4)
    encoded *= 1.055
    encoded -= np.float32(0.055)
    dark = light <= 0.0031308
    encoded[dark] = 12.92 * light[dark]
    return np.asarray(encoded)


def _antialiased(painted: Painted, camera: Camera) -> Picture:
    corners = np.asarray(camera.corners)
    photo_px_per_mm = np.linalg.norm(corners[1] - corners[0]) / painted.size.width_mm
    ratio = painted.px_per_mm / photo_px_per_mm
    return cv2.GaussianBlur(painted.linear, (0, 0), 0.4 * ratio) if ratio > 1 else painted.linear


def _coverage(painted: Painted, x_mm: Picture, y_mm: Picture) -> Picture:
    """Share of each photo pixel that the canvas covers (one-pixel ramp at its edges)."""
    step_x, step_y = np.abs(np.diff(x_mm[0, :2]))[0], np.abs(np.diff(y_mm[:2, 0]))[0]
    in_x = np.clip(np.minimum(x_mm, painted.size.width_mm - x_mm) / step_x + 0.5, 0, 1)
    in_y = np.clip(np.minimum(y_mm, painted.size.height_mm - y_mm) / step_y + 0.5, 0, 1)
    return np.asarray(in_x * in_y, dtype=np.float32)
