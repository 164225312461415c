"""Sheets of paper and acetate with drawings that are known exactly, and photographs of them."""

import io
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.spatial import cKDTree

from core.canvas.canvas_map import homography, project
from core.drawing.drawing import Drawing
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.size import Size
from core.tone import display_of_linear
from tests.studio.camera import Camera, photograph
from tests.studio.painter import Painted
from tests.studio.stand import stand_at

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

A4 = Size(297.0, 210.0)
PX_PER_MM = 10.0
_FINER = 2
INKS = {
    "black": (0.03, 0.03, 0.035), "pencil": (0.30, 0.30, 0.31), "hard pencil": (0.45, 0.45, 0.46),
    "red": (0.55, 0.10, 0.08), "blue": (0.10, 0.18, 0.50),
}  # fmt: skip
"""Reflectance in linear light: from memory; a soft pencil is darker, a hard one lighter than paper by about half."""


@dataclass(frozen=True)
class Stroke:
    """``points``: ``(n, 2)`` mm. ``shade``: one of INKS. Dashes are strokes of their own."""

    points: Array
    width_mm: float
    shade: str = "black"


def _spline(knots: Array, count: int, *, closed: bool) -> Array:
    knots = np.concatenate([knots, knots[:1]]) if closed else knots
    t = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(knots, axis=0), axis=1))]
    curve = CubicSpline(t, knots, bc_type="periodic" if closed else "natural")
    return np.asarray(curve(np.linspace(0.0, t[-1], count)))


def _inside(points: Array, size: Size, margin: float = 8.0) -> bool:
    return bool((points > margin).all() and (points < [size.width_mm - margin, size.height_mm - margin]).all())


def _curve(rng: np.random.Generator, at: Array) -> list[Array]:
    way = np.cumsum(rng.normal(0, 1, 2) * 3 + rng.normal(0, 14, (5, 2)), axis=0)
    return [_spline(at + way, 400, closed=False)]


def _closed(rng: np.random.Generator, at: Array) -> list[Array]:
    angle = np.linspace(0, 2 * np.pi, 7, endpoint=False)
    radius = rng.uniform(8, 35) * rng.uniform(0.75, 1.25, 7)
    return [_spline(at + radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1), 400, closed=True)]


def _polygon(rng: np.random.Generator, at: Array) -> list[Array]:
    count = int(rng.integers(3, 6))
    angle = rng.uniform(0, 6.3) + np.linspace(0, 2 * np.pi, count + 1)
    return [at + rng.uniform(6, 30) * np.stack([np.cos(angle), np.sin(angle)], axis=1)]


def _detail(rng: np.random.Generator, at: Array) -> list[Array]:
    angle = np.linspace(0, 2 * np.pi, 60)
    rings = [at + rng.uniform(1.5, 4) * np.stack([np.cos(angle), 0.6 * np.sin(angle)], axis=1)]
    zigzag = at + np.array([6.0, 0.0]) + np.stack([np.arange(7) * 1.8, 3.0 * (np.arange(7) % 2)], axis=1)
    return [*rings, zigzag]


def _dashes(rng: np.random.Generator, at: Array) -> list[Array]:
    way = np.array([np.cos(a := rng.uniform(0, 6.3)), np.sin(a)])
    return [at + way * np.array([[k], [k + 4.0]]) for k in np.arange(0, 42, 7.0)]


def _hatching(rng: np.random.Generator, at: Array) -> list[Array]:
    way = np.array([np.cos(a := rng.uniform(0, 6.3)), np.sin(a)])
    across = np.array([-way[1], way[0]])
    return [at + across * k * 2.5 + way * np.array([[0.0], [rng.uniform(12, 18)]]) for k in range(6)]


_SHAPES = (_curve, _curve, _curve, _closed, _closed, _polygon, _detail, _dashes, _hatching)


def random_strokes(rng: np.random.Generator, size: Size = A4, *, count: int = 14) -> list[Stroke]:
    """Curves, closed forms, polygons, small details, dashes and hatching, crossing one another; 0.3-1.2 mm wide."""
    strokes: list[Stroke] = []
    shade = str(rng.choice(["black", "pencil", "pencil", "hard pencil"]))
    made = 0
    while made < count:
        at = 10 + rng.uniform(0, 1, 2) * [size.width_mm - 20, size.height_mm - 20]
        parts = _SHAPES[made % len(_SHAPES)](rng, at)
        if all(_inside(part, size) for part in parts):
            width = float(rng.uniform(0.3, 1.2) if made % len(_SHAPES) < 6 else rng.uniform(0.3, 0.6))
            strokes += [Stroke(part, width, shade) for part in parts]
            made += 1
    return strokes


def paper(size: Size, rng: np.random.Generator, *, texture: float = 0.02, px_per_mm: float = PX_PER_MM) -> Picture:
    """White paper with tooth, linear light ``(H, W, 3)``."""
    shape = (round(size.height_mm * px_per_mm), round(size.width_mm * px_per_mm))
    fine, coarse = (rng.standard_normal(shape, dtype=np.float32) for _ in range(2))
    tooth = cv2.GaussianBlur(fine, (0, 0), 0.15 * px_per_mm) * 0.3 * px_per_mm
    cloud = cv2.GaussianBlur(coarse, (0, 0), 1.0 * px_per_mm) * 2.0 * px_per_mm
    grey = 0.85 * (1 + texture * (tooth + 0.5 * cloud))
    return np.asarray(grey[..., None] * np.array([1.0, 0.985, 0.95]), dtype=np.float32)


def drawn(
    strokes: list[Stroke], sheet: Picture, size: Size, rng: np.random.Generator, *, grain: float = 0.3
) -> Painted:
    """Strokes on a sheet; ``grain``: how unevenly pencil takes on the paper's tooth, 0-1."""
    px_per_mm = sheet.shape[1] / size.width_mm
    answer = sheet.copy()
    for shade in sorted({stroke.shade for stroke in strokes}):
        cover = _cover([stroke for stroke in strokes if stroke.shade == shade], sheet.shape[:2], px_per_mm)
        if "pencil" in shade:
            tooth = cv2.GaussianBlur(rng.standard_normal(cover.shape, dtype=np.float32), (0, 0), 0.12 * px_per_mm)
            cover = cover * np.clip(1 - grain * (0.5 + tooth / tooth.std() * 0.5), 0.2, 1)
        answer += cover[..., None] * (np.float32(INKS[shade]) - answer)
    return Painted(answer, answer, px_per_mm, size)


def _cover(strokes: list[Stroke], shape: tuple[int, ...], px_per_mm: float) -> Picture:
    """Share of each pixel that the strokes cover; drawn finer and averaged."""
    fine = np.zeros((shape[0] * _FINER, shape[1] * _FINER), dtype=np.uint8)
    for stroke in strokes:
        points = np.rint((stroke.points * px_per_mm * _FINER - 0.5) * 16).astype(np.int32).reshape(-1, 1, 2)
        cv2.polylines(fine, [points], False, 255, max(1, round(stroke.width_mm * px_per_mm * _FINER)), cv2.LINE_AA, 4)
    small = cv2.resize(fine, (shape[1], shape[0]), interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.float32) / 255


def as_photo(
    painted: Painted, seed: int, *, width: int = 3264, height: int = 2448, **how: float
) -> tuple[Photo, Array]:
    """A hand-held photograph through JPEG, and the sheet's true corners: 2:1 uneven light, vignetting, noise."""
    rng = np.random.default_rng(seed)
    corners = stand_at(rng, painted.size, width=width, height=height, fill=0.85)
    camera = Camera(
        corners, width=width, height=height, light_ratio=2.0,
        light_from_deg=float(rng.uniform(0, 360)), vignetting=0.3, exposure=0.85, noise=0.008, seed=seed,
    )  # fmt: skip
    data = io.BytesIO(photograph(painted, camera).jpeg(88)).getvalue()
    return load_photo_bytes(data, "sheet.jpg"), np.array(corners)


def square_photo(painted: Painted) -> Photo:
    """What a flatbed scanner makes of it."""
    return Photo(display_of_linear(painted.linear), srgb_curve())


def hand_shadow(painted: Painted, soft_mm: float) -> Painted:
    """Half the light taken from a part of the sheet, over an edge ``soft_mm`` wide."""
    rows, columns = painted.linear.shape[:2]
    x, y = np.meshgrid(np.arange(columns) / painted.px_per_mm, np.arange(rows) / painted.px_per_mm)
    off = 0.8 * (x - 0.6 * x.max()) + 0.6 * (y - 0.5 * y.max()) + 8 * np.sin(y / 20)
    shade = 1 - 0.5 / (1 + np.exp(-4 * off / soft_mm))
    return replace(painted, linear=(painted.linear * shade[..., None]).astype(np.float32))


def squared(sheet: Picture, size: Size, step_mm: float, *, both: bool = True, turn_deg: float = 0.0) -> Picture:
    """The sheet with a pale blue printed ruling of lines 0.3 mm wide; ``both``: squares."""
    px_per_mm = sheet.shape[1] / size.width_mm
    x, y = np.meshgrid(*(np.arange(count) / px_per_mm for count in sheet.shape[1::-1]))
    turn = np.radians(turn_deg)
    across = [y * np.cos(turn) - x * np.sin(turn)] + ([x * np.cos(turn) + y * np.sin(turn)] if both else [])
    off = np.min([np.abs((w + step_mm / 2) % step_mm - step_mm / 2) for w in across], axis=0)
    cover = 0.8 * np.clip(1.2 - off / 0.15, 0, 1)[..., None]
    return np.asarray(sheet + cover * (np.array([0.45, 0.6, 0.8]) - sheet), dtype=np.float32)


def weave(sheet: Picture, size: Size) -> Picture:
    """A toned canvas under clear acetate: threads 0.7 mm apart, 6 % lighter and darker."""
    px_per_mm = sheet.shape[1] / size.width_mm
    x, y = np.meshgrid(*(np.arange(count) / px_per_mm for count in sheet.shape[1::-1]))
    threads = np.sin(2 * np.pi * x / 0.7 + 0.3 * np.sin(y / 3)) * np.sin(2 * np.pi * y / 0.7 + 0.3 * np.sin(x / 4))
    return np.asarray(sheet * (1 + 0.06 * threads)[..., None] * np.array([0.8, 0.72, 0.6]), dtype=np.float32)


def reflections(painted: Painted) -> Painted:
    """A window's and a lamp's faint reflection on acetate."""
    rows, columns = painted.linear.shape[:2]
    x, y = np.meshgrid(np.arange(columns) / columns, np.arange(rows) / rows)
    light = 0.15 * np.exp(-((((x - 0.3) / 0.12) ** 2 + ((y - 0.3 - 0.3 * x) / 0.07) ** 2) ** 2))
    light += 0.1 * ((x > 0.7) & (x < 0.8))
    soft = cv2.GaussianBlur(light.astype(np.float32), (0, 0), 0.6 * painted.px_per_mm)
    return replace(painted, linear=painted.linear + soft[..., None])


def along(points: Array, step: float = 0.1) -> Array:
    """Points about ``step`` apart along a polyline ``(n, 2)``."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    places = np.linspace(0.0, run[-1], max(2, round(run[-1] / step) + 1))
    return np.stack([np.interp(places, run, points[:, axis]) for axis in (0, 1)], axis=1)


@dataclass(frozen=True)
class Recovery:
    """Shares of length, 0-1. ``found``: of the truth, with a line within the tolerance. ``false``: of what was found,
    with no truth there. ``longer``: length found over true length (doubled lines make it more than 1). ``off_mm``:
    root mean square distance of what is right."""

    found: float
    false: float
    longer: float
    off_mm: float


def recovery(drawing: Drawing, strokes: list[Stroke], within_mm: float = 0.4) -> Recovery:
    """How much of the strokes a drawing has, and how much besides."""
    truth = np.concatenate([along(stroke.points) for stroke in strokes])
    lines = drawing.polylines(0.01)
    got = np.concatenate([along(line) for line in lines]) if lines else np.full((1, 2), 1e6)
    missed, stray = cKDTree(got).query(truth)[0], cKDTree(truth).query(got)[0]
    right = stray[stray <= within_mm]
    return Recovery(
        float((missed <= within_mm).mean()),
        float((stray > within_mm).mean()),
        drawing.length_mm / sum(float(np.linalg.norm(np.diff(s.points, axis=0), axis=1).sum()) for s in strokes),
        float(np.sqrt((right**2).mean())) if len(right) else np.inf,
    )


def moved(strokes: list[Stroke], size: Size, corners_mm: Array) -> list[Stroke]:
    """The strokes where a sheet of ``size`` lies with its corners at ``corners_mm``."""
    matrix = homography(corners_mm, size)
    return [Stroke(project(matrix, stroke.points), stroke.width_mm, stroke.shade) for stroke in strokes]
