"""A canvas in the light of a window, a lamp or both, and things on and beside it: cards, a chart, bare ground."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.size import Size
from tests.studio.backgrounds import background
from tests.studio.camera import Camera, Shot, canvas_coordinates, replace_pixels
from tests.studio.painter import Painted

Picture = NDArray[np.float32]
KINDS = ("vignetting", "window", "lamp", "mixed")
"""Even light and a lens that falls off; one window; the hot spot of a near lamp; a warm lamp against a cool window."""
WARM, COOL = (1.25, 1.0, 0.72), (0.86, 1.0, 1.18)


@dataclass(frozen=True)
class Lying:
    """A flat thing in the plane of the canvas: its upper left corner and size in mm, turned about its middle, and the
    share of the light that it sends back ``(h, w, 3)``."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    reflectance: Picture
    turn_deg: float = 0.0

    @property
    def corners_mm(self) -> NDArray[np.float64]:
        """``(4, 2)``: top left, top right, bottom right, bottom left."""
        half = np.array([self.width_mm, self.height_mm]) / 2
        a = np.radians(self.turn_deg)
        turn = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
        signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        return np.asarray((signs * half) @ turn + (self.x_mm, self.y_mm) + half)


def card(x_mm: float, y_mm: float, side_mm: float, reflectance: float, turn_deg: float = 0.0) -> Lying:
    return Lying(x_mm, y_mm, side_mm, side_mm, np.full((8, 8, 3), reflectance, np.float32), turn_deg)


def light_of(kind: str, seed: int, size: Size, x_mm: Picture, y_mm: Picture, *, ratio: float = 2.0) -> Picture:
    """The light of one of ``KINDS`` where the plane of the canvas is ``x_mm, y_mm``: ``(H, W, 3)``, about 1."""
    rng = np.random.default_rng(9000 + seed)
    away = float(rng.uniform(0, 2 * np.pi))
    if kind == "vignetting":
        return np.ones((*x_mm.shape, 3), np.float32)
    one = _from(away, 1.35 if kind == "lamp" else ratio, size, x_mm, y_mm)
    if kind == "window":
        return np.repeat(one[..., None], 3, axis=-1)
    if kind == "lamp":
        at = rng.uniform(0.25, 0.75, 2) * (size.width_mm, size.height_mm)
        wide = float(rng.uniform(0.16, 0.24)) * size.width_mm
        spot = np.exp(-((x_mm - at[0]) ** 2 + (y_mm - at[1]) ** 2) / (2 * wide**2)) * rng.uniform(0.25, 0.4)
        return np.repeat((one * (1 + spot))[..., None], 3, axis=-1).astype(np.float32)
    other = _from(away + np.pi + float(rng.normal(0, 0.3)), ratio, size, x_mm, y_mm)
    share = float(rng.uniform(0.45, 0.65))
    mixed = share * one[..., None] * np.float32(WARM) + (1 - share) * other[..., None] * np.float32(COOL)
    return np.asarray(mixed, dtype=np.float32)


def _from(angle: float, ratio: float, size: Size, x_mm: Picture, y_mm: Picture) -> Picture:
    """Light from a source off to one side and before the canvas, by the inverse square and the cosine of its slant;
    its brightest over its darkest place on the canvas is ``ratio``."""
    far = 1.1 * max(size.width_mm, size.height_mm)
    at = np.array([size.width_mm, size.height_mm]) / 2 + far * np.array([np.cos(angle), np.sin(angle)])

    def strength(x: NDArray[np.floating], y: NDArray[np.floating]) -> NDArray[np.floating]:
        return (1 + ((x - at[0]) ** 2 + (y - at[1]) ** 2) / far**2) ** -1.5

    edge = np.linspace(0, 1, 21)
    on_face = strength(*np.meshgrid(edge * size.width_mm, edge * size.height_mm))
    power = np.log(ratio) / np.log(on_face.max() / on_face.min())
    middle = float(np.exp(np.log(on_face).mean()))
    return np.asarray((strength(x_mm, y_mm) / middle) ** power, dtype=np.float32)


def photograph_lit(
    painted: Painted,
    camera: Camera,
    kind: str,
    light_seed: int,
    lying: Sequence[Lying] = (),
    *,
    bare: float | None = None,
) -> Shot:
    """Take the photograph with the canvas and the things in one light; ``bare``: the empty canvas, reflecting so."""
    rng = np.random.default_rng(camera.seed)
    x_mm, y_mm = canvas_coordinates(painted, camera)
    px = painted.px_per_mm
    scene = background(camera, np.asarray(camera.corners), rng)
    corners = np.asarray(camera.corners)
    face = painted.linear if bare is None else np.full_like(painted.linear, bare)
    scale = px * painted.size.width_mm / float(np.linalg.norm(corners[1] - corners[0]))
    if scale > 1:
        face = cv2.GaussianBlur(face, (0, 0), 0.4 * scale)
    canvas = Lying(0, 0, painted.size.width_mm, painted.size.height_mm, face)
    to_px = CanvasMap(corners, painted.size, camera.width, camera.height, camera.k1)
    for thing in (canvas, *lying):
        _lay(scene, thing, to_px, x_mm, y_mm)
    light = light_of(kind, light_seed, painted.size, x_mm, y_mm)
    for gx, gy, radius in camera.glare:
        lamp = 1.6 * np.exp(-((((x_mm - gx) ** 2 + (y_mm - gy) ** 2) / (2 * radius**2)) ** 2))
        scene += lamp[..., None].astype(np.float32) / light
    return replace_pixels(scene * light, camera, rng)


def _lay(scene: Picture, thing: Lying, to_px: CanvasMap, x_mm: Picture, y_mm: Picture) -> None:
    """Lay a thing over the scene, its edges a pixel soft; only the part of the photo where it lies is worked on."""
    outline = to_px.mm_to_px(thing.corners_mm)
    low = np.maximum(np.floor(outline.min(axis=0)).astype(int) - 3, 0)
    high = np.ceil(outline.max(axis=0)).astype(int) + 4
    part = np.s_[low[1] : high[1], low[0] : high[0]]
    a = np.radians(thing.turn_deg)
    dx = x_mm[part] - (thing.x_mm + thing.width_mm / 2)
    dy = y_mm[part] - (thing.y_mm + thing.height_mm / 2)
    u = dx * np.cos(a) + dy * np.sin(a) + thing.width_mm / 2
    v = -dx * np.sin(a) + dy * np.cos(a) + thing.height_mm / 2
    h, w = thing.reflectance.shape[:2]
    picture = cv2.remap(
        thing.reflectance,
        (u * w / thing.width_mm - 0.5).astype(np.float32),
        (v * h / thing.height_mm - 0.5).astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    px_per_mm = float(to_px.scales(thing.corners_mm.mean(axis=0)[None]).mean())
    inside_x = np.clip(np.minimum(u, thing.width_mm - u) * px_per_mm + 0.5, 0, 1)
    inside_y = np.clip(np.minimum(v, thing.height_mm - v) * px_per_mm + 0.5, 0, 1)
    cover = (inside_x * inside_y)[..., None].astype(np.float32)
    scene[part] += cover * (picture - scene[part])
