"""A rendered still life: an enamel jug, three quinces and a linen cloth in window light. Lengths are centimetres.

Sphere tracing of signed distances (Hart 1996, The Visual Computer 12, 527-545), with soft shadows and ambient occlusion
sampled along the distances.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

CLOTH, WALL, JUG, HANDLE, STEM = 0, 1, 2, 3, 7
QUINCES = ((7.4, 4.1, 3.2, 4.1), (14.8, 3.6, -1.8, 3.6), (-17.5, 3.9, 3.6, 3.9))
"""Centre and radius of each; their part numbers are 4, 5, 6."""
JUG_AT = (-4.0, 0.0, -3.0)
PROFILE = (
    (0.0, 0.0),
    (5.2, 0.0),
    (5.9, 0.7),
    (7.3, 6.0),
    (7.6, 9.5),
    (6.9, 14.0),
    (5.0, 18.2),
    (4.3, 20.6),
    (5.1, 24.0),
)
EYE, LOOK_AT, VIEW_WIDTH = (2.0, 29.0, 88.0), (-0.6, 10.2, 0.0), 0.60
COLOURS = (
    (0.60, 0.575, 0.52), (0.105, 0.10, 0.092), (0.70, 0.68, 0.61), (0.70, 0.68, 0.61),
    (0.64, 0.44, 0.055), (0.58, 0.43, 0.075), (0.66, 0.40, 0.05), (0.10, 0.065, 0.03),
)  # fmt: skip
"""Albedo of each part, linear."""
KEY_LIGHT = np.float32([-0.62, 0.66, 0.42])


@dataclass(frozen=True)
class Rendered:
    """``linear``: ``(H, W, 3)`` light. ``part``: ``(H, W)``, the thing seen. ``lit``: ``(H, W)``, the key light."""

    linear: Array
    part: NDArray[np.uint8]
    lit: Array


def render(width: int, height: int, *, band: int = 60) -> Rendered:
    """Render in bands of rows, to keep memory small."""
    pieces = [_render_rows(width, height, top, min(top + band, height)) for top in range(0, height, band)]
    return Rendered(*(np.concatenate([piece[i] for piece in pieces]) for i in range(3)))


def _render_rows(width: int, height: int, top: int, bottom: int) -> tuple[Array, NDArray[np.uint8], Array]:
    eye, rays = _rays(width, height, top, bottom)
    points = _march(eye, rays)
    part = _distances(points).argmin(axis=0).astype(np.uint8)
    normal = _normals(points)
    lit = _key_visibility(points + 0.03 * normal)
    linear = _shade(points, normal, rays, part, lit)
    shape = (bottom - top, width)
    return linear.reshape(*shape, 3), part.reshape(shape), lit.reshape(shape)


def _rays(width: int, height: int, top: int, bottom: int) -> tuple[Array, Array]:
    eye = np.float32(EYE)
    forward = np.float32(LOOK_AT) - eye
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, np.float32([0, 1, 0]))
    right /= np.linalg.norm(right)
    up = np.cross(right, forward)
    x = (np.arange(width, dtype=np.float32) + 0.5) / width - 0.5
    y = (0.5 - (np.arange(top, bottom, dtype=np.float32) + 0.5) / height) * (height / width)
    v, u = np.meshgrid(y, x, indexing="ij")
    rays = forward + VIEW_WIDTH * (u[..., None] * right + v[..., None] * up)
    rays = rays.reshape(-1, 3)
    return eye, (rays / np.linalg.norm(rays, axis=1, keepdims=True)).astype(np.float32)


def _march(eye: Array, rays: Array) -> Array:
    travelled = np.full(len(rays), 55.0, dtype=np.float32)
    active = np.arange(len(rays))
    for _ in range(140):
        step = _distances(eye + rays[active] * travelled[active, None]).min(axis=0)
        travelled[active] += 0.8 * step
        active = active[(step > 0.004) & (travelled[active] < 200)]
        if not len(active):
            break
    return (eye + rays * travelled[:, None]).astype(np.float32)


def _distances(p: Array) -> Array:
    """Signed distance to each part, ``(8, n)``."""
    jug, handle = _jug(p)
    fruits = [_quince(p, quince) for quince in QUINCES]
    stems = np.minimum.reduce([_stem(p, quince) for quince in QUINCES])
    return np.stack([_cloth(p), _wall(p), jug, handle, *fruits, stems]).astype(np.float32)


def _wall(p: Array) -> Array:
    return p[:, 2] + 24.0


def _cloth(p: Array) -> Array:
    """A table under linen: its top carries folds, its front edge is rounded and the cloth falls from it in pleats."""
    x, y, z = p.T
    folds = 0.55 * _ridge(x * 0.93 - z * 0.36 + 12.5, 1.0) + 0.40 * _ridge(x * 0.8 + z * 0.6 - 12.0, 0.8)
    folds += 0.30 * _ridge(x * 0.5 - z * 0.87 + 1.0, 1.2) * (x > -30) + 0.06 * np.sin(0.9 * x + 0.4 * z)
    pleats = 0.5 * np.sin(0.55 * x + 0.6) * np.clip(-y / 4, 0, 1)
    front = z - 13.0 - pleats
    top = y - folds * np.clip((13.5 - z) / 3, 0, 1)
    q = np.maximum(np.stack([top + 0.8, front + 0.8]), 0)
    return np.minimum(np.maximum(top + 0.8, front + 0.8), 0) + np.hypot(*q) - 0.8


def _ridge(across: Array, width: float) -> Array:
    return np.exp(-((across / width) ** 2))


def _jug(p: Array) -> tuple[Array, Array]:
    x, y, z = (p - np.float32(JUG_AT)).T
    r = np.hypot(x, z)
    spout = np.exp(-((np.arctan2(z - 0.25 * r, -x) / 0.32) ** 2)) * np.clip((y - 18.5) / 5.5, 0, 1) ** 2
    body = _profile(r / (1 + 0.42 * spout), y) - 0.16
    solid = np.where((y > 0) & (y < 22), r - np.interp(y, *_PROFILE_BY_HEIGHT), 1.0)
    ring = np.hypot(np.hypot((x - 7.0) / 1.0, (y - 13.0) / 1.35) * 1.0 - 4.1, z) - 0.55
    return body * 0.85, np.maximum(ring * 0.7, -solid)


def _profile(r: Array, y: Array) -> Array:
    """Distance to the jug's profile curve in (r, y), looked up in a table with bilinear interpolation."""
    u = np.clip((r + 1.0) / _CELL, 0, _TABLE.shape[1] - 1.001)
    v = np.clip((y + 4.0) / _CELL, 0, _TABLE.shape[0] - 1.001)
    i, j = v.astype(np.int32), u.astype(np.int32)
    fv, fu = v - i, u - j
    near = _TABLE[i, j] * (1 - fu) + _TABLE[i, j + 1] * fu
    far = _TABLE[i + 1, j] * (1 - fu) + _TABLE[i + 1, j + 1] * fu
    beyond = np.hypot(r - np.clip(r, -1, 16.9), y - np.clip(y, -4, 29.9))
    return near * (1 - fv) + far * fv + beyond


def _quince(p: Array, quince: tuple[float, ...]) -> Array:
    x, y, z = (p - np.float32(quince[:3])).T
    radius = quince[3]
    length = np.sqrt(x * x + y * y + z * z) + 1e-6
    around, rise = np.arctan2(z, x), y / length
    lumps = 0.035 * np.sin(3 * around + quince[0]) * (1 - rise**2) + 0.02 * np.sin(5 * around - quince[2])
    pear = 0.09 * rise**3 + 0.05 * rise - 0.16 * np.exp(-(((1 - rise) / 0.06) ** 2))
    return (length - radius * (1 + lumps + pear)) * 0.75


def _stem(p: Array, quince: tuple[float, ...]) -> Array:
    root = np.float32(quince[:3]) + np.float32([0.0, quince[3] * 0.9, 0.0])
    tip = root + np.float32([0.9, 1.5, 0.3])
    along = np.clip(((p - root) @ (tip - root)) / ((tip - root) @ (tip - root)), 0, 1)
    return np.linalg.norm(p - root - along[:, None] * (tip - root), axis=1) - 0.28


def _normals(p: Array) -> Array:
    h = np.float32(0.012)
    axes = np.eye(3, dtype=np.float32) * h
    slope = np.stack([_distances(p + a).min(axis=0) - _distances(p - a).min(axis=0) for a in axes], axis=1)
    return slope / (np.linalg.norm(slope, axis=1, keepdims=True) + 1e-9)


def _key_visibility(p: Array) -> Array:
    """Share of the window that a point sees: the narrowest clearance along the way, over the distance to it."""
    towards = KEY_LIGHT / np.linalg.norm(KEY_LIGHT)
    seen = np.ones(len(p), dtype=np.float32)
    t = np.full(len(p), 0.15, dtype=np.float32)
    for _ in range(46):
        d = _distances(p + towards * t[:, None])[[0, 2, 3, 4, 5, 6, 7]].min(axis=0)
        seen = np.minimum(seen, np.clip(0.5 + 0.5 * 9.0 * d / t, 0, 1))
        t += np.clip(0.8 * d, 0.12, 2.5)
    return seen * seen * (3 - 2 * seen)


def _occlusion(p: Array, normal: Array) -> Array:
    reach = (0.3, 0.9, 2.0, 4.0)
    shut = sum((h - _distances(p + normal * h).min(axis=0)) / h * 0.5**i for i, h in enumerate(reach))
    return np.clip(1 - 0.55 * np.asarray(shut), 0.08, 1)


def _shade(p: Array, normal: Array, rays: Array, part: NDArray[np.uint8], lit: Array) -> Array:
    towards = KEY_LIGHT / np.linalg.norm(KEY_LIGHT)
    albedo = _albedo(p, part)
    open_sky = _occlusion(p, normal)
    key = np.clip(normal @ towards, 0, 1) * lit
    fill = open_sky * (0.55 + 0.45 * normal[:, 1])
    light = key[:, None] * np.float32([1.18, 1.12, 1.02]) + fill[:, None] * np.float32([0.15, 0.165, 0.19])
    bounce = open_sky * np.clip(0.6 - normal[:, 1], 0, 1)
    light = light + bounce[:, None] * np.float32([0.085, 0.07, 0.05])
    mirror = rays - 2 * (rays * normal).sum(axis=1, keepdims=True) * normal
    return (albedo * light + _gloss(mirror, normal, rays, part, lit * open_sky)[:, None]).astype(np.float32)


def _gloss(mirror: Array, normal: Array, rays: Array, part: NDArray[np.uint8], seen: Array) -> Array:
    """The window mirrored in enamel (sharp, four panes) and, faintly, in quince skin."""
    towards = KEY_LIGHT / np.linalg.norm(KEY_LIGHT)
    side = np.cross(towards, np.float32([0, 1, 0]))
    side /= np.linalg.norm(side)
    u, v = mirror @ side, mirror @ np.cross(side, towards)
    pane = np.clip((0.17 - np.abs(u)) / 0.03, 0, 1) * np.clip((0.24 - np.abs(v)) / 0.03, 0, 1)
    pane *= np.clip((np.abs(u) - 0.012) / 0.012, 0, 1) * np.clip((np.abs(v) - 0.012) / 0.012, 0, 1)
    facing = mirror @ towards > 0
    fresnel = 0.04 + 0.96 * np.clip(1 + (rays * normal).sum(axis=1), 0, 1) ** 5
    enamel = np.isin(part, (JUG, HANDLE))
    fruit = (part >= 4) & (part <= 6)
    waxy = 0.10 * np.clip(mirror @ towards, 0, 1) ** 14
    return seen * (np.where(enamel & facing, pane * (0.55 + fresnel), 0) + np.where(fruit, waxy, 0)) + np.where(
        enamel, 0.10 * fresnel, 0
    )


def _albedo(p: Array, part: NDArray[np.uint8]) -> Array:
    x, y, z = p.T
    albedo = np.float32(COLOURS)[part]
    weave = 0.02 * np.sin(21.0 * x + 0.7 * z) * np.sin(23.0 * z + 19.0 * y)
    stripe = (np.abs(z + 0.10 * x - 9.0) < 0.55) | (np.abs(z + 0.10 * x - 10.6) < 0.22)
    stripe &= y > -0.9
    cloth = part == CLOTH
    albedo = np.where(cloth[:, None], albedo * (1 + weave[:, None]), albedo)
    albedo = np.where((cloth & stripe)[:, None], np.float32([0.11, 0.16, 0.27]), albedo)
    rim = (part == JUG) & (y > 23.25)
    outer_handle = (part == HANDLE) & (np.abs(z - JUG_AT[2]) < 0.18)
    albedo = np.where((rim | outer_handle)[:, None], np.float32([0.025, 0.05, 0.17]), albedo)
    worn = np.sin(1.7 * x + 2) + np.sin(2.9 * x - 1.1 * y + 0.4) + np.sin(4.3 * x + 2.2 * y)
    chips = (part == JUG) & (y < 1.7 - 0.5 * np.abs(y - 0.8)) & (worn > 1.75)
    albedo = np.where(chips[:, None], np.float32([0.035, 0.03, 0.03]), albedo)
    plaster = 1 + 0.10 * np.sin(0.11 * x + 0.5) * np.sin(0.13 * y + 1) + 0.05 * np.sin(0.37 * x - 0.23 * y) - 0.006 * x
    albedo = np.where((part == WALL)[:, None], albedo * plaster[:, None], albedo)
    blush = np.clip(0.5 + 0.5 * np.sin(0.9 * x + 1.3 * y + 0.7 * z), 0, 1)[:, None]
    fruit = ((part >= 4) & (part <= 6))[:, None]
    return np.where(fruit, albedo * (1 - 0.22 * blush * np.float32([0.5, 0.2, 1.0])), albedo)


_CELL = 0.05


def _profile_table() -> tuple[Array, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    knots = np.array(PROFILE)
    s = np.r_[0, np.cumsum(np.linalg.norm(np.diff(knots, axis=0), axis=1))]
    fine = np.linspace(0, s[-1], 160)
    curve = np.stack([np.interp(fine, s, knots[:, i]) for i in range(2)], axis=1)
    smooth = curve.copy()
    for _ in range(30):
        smooth[1:-1] = 0.5 * smooth[1:-1] + 0.25 * (smooth[:-2] + smooth[2:])
    r, y = np.meshgrid(np.arange(-1, 17, _CELL), np.arange(-4, 30, _CELL))
    nearest = np.full(r.shape, np.inf)
    for a, b in pairwise(smooth):
        d = b - a
        t = np.clip(((r - a[0]) * d[0] + (y - a[1]) * d[1]) / (d @ d), 0, 1)
        nearest = np.minimum(nearest, np.hypot(r - a[0] - t * d[0], y - a[1] - t * d[1]))
    rising = smooth[:, 1] > 0.2
    return nearest.astype(np.float32), (smooth[rising, 1], smooth[rising, 0])


_TABLE, _PROFILE_BY_HEIGHT = _profile_table()
