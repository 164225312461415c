"""A canvas with corner tabs beside it, photographed: a pinhole camera, a lens, hands and arms over parts of it.

Tabs are drawn exactly, which PDFium does not (it fills every pixel that a rectangle touches); that the printed page
shows the same is tested apart. Everything is grey: tabs are read by luminance.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.canvas.distortion import bend, straighten
from core.canvas.tabs import GREY_VALUES, MODULES, NEAREST, TAB_MM, grey_squares, tab_modules
from core.colorimetry import encode_srgb, luminance_of_value
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.size import Size
from core.tabs_page import PIECE_MM, square_at
from tests.studio import references

Floats = NDArray[np.float64]
Light = NDArray[np.float32]

CANVAS = Size(400, 300)
PIECE_PX_PER_MM = 14.0
"""60 px to a module."""
_COARSE = 8
_WALL = 0.35


@dataclass(frozen=True)
class Stuck:
    """A tab stuck on: ``out_mm`` of the square's nearest corner from the canvas's, sideways and up or down, both
    outward; ``turn_deg`` about its middle; ``behind_mm`` the canvas's face."""

    corner: int
    out_mm: tuple[float, float] = (12.0, 12.0)
    turn_deg: float = 0.0
    behind_mm: float = 0.0
    shown: bool = True


@dataclass(frozen=True)
class View:
    """Where the camera stands and how it sees. ``focal``: over the picture's diagonal. Degrees of the camera's turn
    about the canvas, sideways, up, and of its roll."""

    width: int = 4000
    height: int = 3000
    focal: float = 0.7
    fill: float = 0.7
    yaw_deg: float = 0.0
    pitch_deg: float = 0.0
    roll_deg: float = 0.0
    off: tuple[float, float] = (0.0, 0.0)
    k1: float = 0.0
    exposure: float = 0.8
    fall_off: float = 1.3
    blur_px: float = 0.9
    shake_px: float = 0.0
    shake_deg: float = 0.0
    noise: float = 0.004
    jpeg: int | None = 92
    seed: int = 0


@dataclass(frozen=True)
class Scene:
    """``covers``: polygons in canvas mm with their light: a hand, an arm, the painter. ``picture``: on the canvas."""

    size: Size = CANVAS
    tabs: tuple[Stuck, ...] = field(default_factory=lambda: tuple(Stuck(corner) for corner in range(4)))
    covers: tuple[tuple[tuple[tuple[float, float], ...], float], ...] = ()
    picture: str = "coffee"
    printed: float = 1.0
    """Size of the print over what it is meant to be."""


def corners_px(scene: Scene, view: View) -> Floats:
    """Where the canvas's corners are seen, ``(4, 2)``."""
    w, h = scene.size.width_mm, scene.size.height_mm
    return seen_at(scene, view, np.array([[0, 0, 0], [w, 0, 0], [w, h, 0], [0, h, 0]]))


def tab_px(scene: Scene, view: View, stuck: Stuck) -> Floats:
    """Where the corners of a tab's square are seen, ``(4, 2)``."""
    flat = tab_mm(scene, stuck)
    return seen_at(scene, view, np.column_stack([flat, np.full(4, stuck.behind_mm)]))


def tab_mm(scene: Scene, stuck: Stuck) -> Floats:
    """The corners of a tab's square, ``(4, 2)`` canvas mm."""
    own = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * TAB_MM
    return _on_canvas(scene, stuck, own)


def seen_at(scene: Scene, view: View, places: Floats) -> Floats:
    """Photo px ``(n, 2)`` of places ``(n, 3)`` canvas mm, z behind the face."""
    held = places @ _camera(scene, view).T[:3] + _camera(scene, view).T[3]
    return bend(held[:, :2] / held[:, 2:], view.k1, view.width, view.height)


def photograph(scene: Scene, view: View) -> Photo:
    """The photo as it comes from its file; with ``jpeg`` None, from the camera's own pixels."""
    codes = pixels(scene, view)
    if view.jpeg is None:
        return Photo(cv2.merge([codes] * 3), srgb_curve())
    held = io.BytesIO()
    Image.fromarray(codes).convert("RGB").save(held, "JPEG", quality=view.jpeg, subsampling=2)
    return load_photo_bytes(held.getvalue(), "tabs.jpg")


def pixels(scene: Scene, view: View, still: Light | None = None, seed: int | None = None) -> NDArray[np.uint8]:
    """sRGB codes ``(H, W)`` uint8. ``still``: the light of the scene, where it was made before; ``seed``: of noise."""
    rng = np.random.default_rng(view.seed if seed is None else seed)
    light = light_of(scene, view) if still is None else still
    grain = rng.standard_normal(light.shape, dtype=np.float32)
    light = light + np.float32(view.noise) * np.sqrt(np.clip(light, 0, 1) + np.float32(0.01)) * grain
    steps = np.rint(4095 * np.sqrt(np.clip(light, 0, 1))).astype(np.uint16)
    table = np.rint(255 * encode_srgb(np.linspace(0, 1, 4096) ** 2)).astype(np.uint8)
    return np.asarray(table[steps])


def light_of(scene: Scene, view: View) -> Light:
    """Light on the sensor ``(H, W)``, before its noise."""
    rng = np.random.default_rng(view.seed + 1)
    light = np.full((view.height, view.width), _WALL, np.float32)
    light *= 1 + 0.03 * cv2.resize(rng.normal(size=(60, 80)).astype(np.float32), (view.width, view.height))
    _lay(light, scene, view, _painting(scene), _face_corners(scene), 0.0, finer=1)
    for stuck in scene.tabs:
        if stuck.shown:
            own = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * np.array(PIECE_MM) - np.array(square_at(stuck.corner))
            _lay(light, scene, view, _piece(stuck.corner), _on_canvas(scene, stuck, own), stuck.behind_mm)
    for polygon, tone in scene.covers:
        flat = np.array(polygon)
        outline = seen_at(scene, view, np.column_stack([flat, np.full(len(flat), -30.0)]))
        mask = np.zeros(light.shape, np.uint8)
        cv2.fillPoly(mask, [np.rint(outline).astype(np.int32)], 255)
        light[mask > 0] = tone
    x = np.linspace(-0.5, 0.5, view.width, dtype=np.float32)
    light *= np.float32(view.exposure) * np.exp(np.float32(np.log(view.fall_off)) * x)
    if view.shake_px:
        light = cv2.filter2D(light, -1, _shake(view.shake_px, view.shake_deg), borderType=cv2.BORDER_REPLICATE)
    return np.asarray(cv2.GaussianBlur(light, (0, 0), view.blur_px) if view.blur_px else light)


def hand(
    at: tuple[float, float], width_mm: float = 70.0, tone: float = 0.3
) -> tuple[tuple[tuple[float, float], ...], float]:
    """A hand and its arm that come in from below right and end at a place, canvas mm."""
    x, y = at
    arm = ((x, y), (x + 0.5 * width_mm, y - 0.25 * width_mm), (x + 620, y + 560), (x + 620 - width_mm, y + 640))
    return (*arm, (x - 0.15 * width_mm, y + 0.4 * width_mm)), tone


def painter_over(from_x: float, tone: float = 0.06) -> tuple[tuple[tuple[float, float], ...], float]:
    """The painter's back over everything right of a place, canvas mm."""
    return ((from_x, -300), (700, -300), (700, 600), (from_x - 40, 600)), tone


def random_view(
    rng: np.random.Generator, *, width: int = 4000, height: int = 3000, seed: int = 0, k1: float = 0.0
) -> View:
    """A photo taken by hand."""
    return View(
        width, height, focal=float(rng.uniform(0.6, 1.1)), fill=float(rng.uniform(0.52, 0.66)),
        yaw_deg=float(rng.uniform(-9, 9)), pitch_deg=float(rng.uniform(-7, 7)), roll_deg=float(rng.normal(0, 1.5)),
        off=(float(rng.uniform(-0.03, 0.03)), float(rng.uniform(-0.03, 0.03))), k1=k1,
        exposure=float(rng.uniform(0.35, 1.15)), fall_off=float(rng.uniform(1.0, 1.8)),
        blur_px=float(rng.uniform(0.6, 1.5)), noise=float(rng.uniform(0.003, 0.012)), seed=seed,
    )  # fmt: skip


def random_tabs(rng: np.random.Generator, *, corners: Sequence[int] = range(4)) -> tuple[Stuck, ...]:
    """Stuck on by eye: beyond the corner or beside it, a little turned."""
    return tuple(
        Stuck(
            corner,
            (float(rng.uniform(9, 22)), float(rng.uniform(9, 22) if rng.random() < 0.5 else rng.uniform(-42, -32))),
            float(rng.normal(0, 2.0)),
        )
        for corner in corners
    )


def _shake(length_px: float, way_deg: float) -> Light:
    """The kernel of an even move of the camera."""
    side = int(length_px) // 2 * 2 + 3
    kernel = np.zeros((side, side), np.float32)
    middle, turn = side // 2, np.radians(way_deg)
    for at in np.linspace(-length_px / 2, length_px / 2, 401):
        x, y = middle + at * np.cos(turn), middle + at * np.sin(turn)
        column, row = int(x), int(y)
        for dy, dx in np.ndindex(2, 2):
            kernel[row + dy, column + dx] += (1 - abs(x - column - dx)) * (1 - abs(y - row - dy))
    return np.asarray(kernel / kernel.sum(), dtype=np.float32)


def _camera(scene: Scene, view: View) -> Floats:
    """``(3, 4)``: canvas mm to straight px, homogeneous."""
    w, h = scene.size.width_mm, scene.size.height_mm
    yaw, pitch, roll = np.radians([view.yaw_deg, view.pitch_deg, view.roll_deg])
    about_y = np.array([[np.cos(yaw), 0, np.sin(yaw)], [0, 1, 0], [-np.sin(yaw), 0, np.cos(yaw)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(pitch), -np.sin(pitch)], [0, np.sin(pitch), np.cos(pitch)]])
    about_z = np.array([[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    turn = about_z @ about_x @ about_y
    focal_px = view.focal * np.hypot(view.width, view.height)
    per_mm = view.fill * min(view.width / w, view.height / h)
    inside = np.array([[focal_px, 0, (view.width - 1) / 2], [0, focal_px, (view.height - 1) / 2], [0, 0, 1]])
    away = np.array([view.off[0] * view.width / per_mm, view.off[1] * view.height / per_mm, focal_px / per_mm])
    shift = away - turn @ np.array([w / 2, h / 2, 0])
    return np.asarray(inside @ np.column_stack([turn, shift]))


def _on_canvas(scene: Scene, stuck: Stuck, own: Floats) -> Floats:
    """Canvas mm of places ``(n, 2)`` of a tab's own mm."""
    w, h = scene.size.width_mm, scene.size.height_mm
    face = np.array([[0, 0], [w, 0], [w, h], [0, h]])[stuck.corner]
    outward = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])[stuck.corner]
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * TAB_MM
    turn = np.radians(stuck.turn_deg)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    middle = face + outward * np.array(stuck.out_mm) - square[NEAREST[stuck.corner]] + TAB_MM / 2
    return np.asarray(scene.printed * (own - TAB_MM / 2) @ spin.T + middle)


def _face_corners(scene: Scene) -> Floats:
    w, h = scene.size.width_mm, scene.size.height_mm
    return np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=float)


def _lay(
    light: Light, scene: Scene, view: View, texture: Light, corners: Floats, behind: float, finer: int = 3
) -> None:
    """A flat picture between four corners ``(4, 2)`` canvas mm laid into the light; each pixel is the mean of
    ``finer`` × ``finer`` places in it."""
    edge = np.concatenate(
        [
            a + np.linspace(0, 1, 9)[:, None] * (b - a)
            for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
        ]
    )
    outline = seen_at(scene, view, np.column_stack([edge, np.full(len(edge), behind)]))
    low = np.clip(np.floor(outline.min(axis=0)).astype(int) - 2, 0, [view.width, view.height])
    high = np.clip(np.ceil(outline.max(axis=0)).astype(int) + 3, 0, [view.width, view.height])
    if (high <= low).any():
        return
    wide, tall = (high - low).tolist()
    rows, columns = texture.shape
    at_x, at_y = _texture_px(scene, view, corners, behind, (columns, rows), (low, wide, tall), finer)
    seen = cv2.remap(texture, at_x - 0.5, at_y - 0.5, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    step_x, step_y = (float(np.abs(np.diff(at, axis=axis)).mean()) for at, axis in ((at_x, 1), (at_y, 0)))
    inside = np.clip(np.minimum(at_x, columns - at_x) / step_x + 0.5, 0, 1)
    inside *= np.clip(np.minimum(at_y, rows - at_y) / step_y + 0.5, 0, 1)
    share, tone = (cv2.resize(each, (wide, tall), interpolation=cv2.INTER_AREA) for each in (inside, seen * inside))
    part = light[low[1] : high[1], low[0] : high[0]]
    part[:] = part * (1 - share) + tone


def _texture_px(
    scene: Scene,
    view: View,
    corners: Floats,
    behind: float,
    texture: tuple[int, int],
    box: tuple[NDArray[np.int_], int, int],
    finer: int,
) -> tuple[Light, Light]:
    """Where in the texture each place of a part of the photo looks, two ``(h, w)``; straight lines between every
    ``_COARSE`` places, of which each is exact."""
    low, wide, tall = box
    camera = _camera(scene, view)
    flat = np.column_stack([camera[:, 0], camera[:, 1], camera[:, 3] + behind * camera[:, 2]])
    outline = np.array([[0, 0], [texture[0], 0], texture, [0, texture[1]]], dtype=np.float32)
    to_texture = cv2.getPerspectiveTransform(corners.astype(np.float32), outline) @ np.linalg.inv(flat)
    x = np.arange(0, wide * finer + _COARSE, _COARSE)
    y = np.arange(0, tall * finer + _COARSE, _COARSE)
    places = np.stack(np.meshgrid((x + 0.5) / finer - 0.5, (y + 0.5) / finer - 0.5), axis=-1) + low
    straight = straighten(places, view.k1, view.width, view.height)
    lifted = straight @ to_texture[:, :2].T + to_texture[:, 2]
    at = lifted[..., :2] / lifted[..., 2:]
    fine_x = np.arange(wide * finer, dtype=np.float32) / _COARSE
    fine_y = np.arange(tall * finer, dtype=np.float32)[:, None] / _COARSE
    grid = np.broadcast_to(fine_x, (len(fine_y), len(fine_x))), np.broadcast_to(fine_y, (len(fine_y), len(fine_x)))
    # In double precision: remap's own weights have 1/32 of a place.
    return tuple(_between(at[..., axis], *grid) for axis in range(2))


def _between(coarse: Floats, x: Light, y: Light) -> Light:
    """Straight lines between the coarse places, along rows and then along columns."""
    column, row = x[0].astype(int), y[:, 0].astype(int)
    part_x, part_y = (x[0] - column)[None], (y[:, 0] - row)[:, None]
    along = coarse[:, column] * (1 - part_x) + coarse[:, column + 1] * part_x
    return np.asarray(along[row] * (1 - part_y) + along[row + 1] * part_y, dtype=np.float32)


@cache
def _painted(name: str, width: float, height: float) -> Light:
    picture = references.linear(references.pixels(name, Size(width, height), width=1200))
    return np.asarray(picture @ np.float32([0.2126, 0.7152, 0.0722]), dtype=np.float32)


def _painting(scene: Scene) -> Light:
    return _painted(scene.picture, scene.size.width_mm, scene.size.height_mm)


@cache
def _piece(corner: int) -> Light:
    """One tab with its white and its greys, exact to the pixel; ink is not quite black and paper not quite white."""
    wide, tall = (round(side * PIECE_PX_PER_MM) for side in PIECE_MM)
    light = np.ones((tall, wide), np.float32)
    left, top = (round(at * PIECE_PX_PER_MM) for at in square_at(corner))
    side = round(TAB_MM * PIECE_PX_PER_MM / MODULES)
    modules = np.repeat(np.repeat(tab_modules(corner), side, axis=0), side, axis=1)
    light[top : top + len(modules), left : left + len(modules)] = modules
    for value, grey in zip(GREY_VALUES, grey_squares(corner), strict=True):
        x0, y0 = np.rint(grey[0] * PIECE_PX_PER_MM + (left, top)).astype(int)
        x1, y1 = np.rint(grey[2] * PIECE_PX_PER_MM + (left, top)).astype(int)
        light[y0:y1, x0:x1] = luminance_of_value(value)
    return np.asarray(0.04 + 0.82 * light, dtype=np.float32)
