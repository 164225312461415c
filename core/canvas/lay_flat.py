"""Lay a photo flat on the canvas face, and bring the reference to the same grid."""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.corners import checked_corners
from core.canvas.flat import Flat
from core.errors import CanvasError
from core.photo import Photo
from core.size import Size
from core.tone import linear_of_codes
from core.words import as_share

__all__ = ["CanvasMap", "lay_flat", "reference_flat", "supported_px_per_mm"]

FINEST_PX_PER_MM = 12.0
MOST_PIXELS = 60_000_000
STRETCH_ALLOWED = 0.005
"""A reference may be stretched by this much to the canvas's shape; beyond it is cropped."""
_TILE = 256
_MESH = 16  # the map is worked out at every 16th sample: the lens bends by under 0.01 px between
_MOST_SAMPLES = 8
_REACH = 4  # photo pixels that the widest kernel needs beyond a tile


def supported_px_per_mm(corners_px: ArrayLike, size: Size, k1: float, width: int, height: int) -> float:
    """The resolution a photo supports: its pixels per mm where the canvas is seen smallest, in the worst direction.

    Finer than this, laying flat only enlarges somewhere. Corners and lens as for :class:`CanvasMap`.
    """
    canvas = CanvasMap(np.asarray(corners_px, dtype=np.float64), size, width, height, k1)
    return float(canvas.scales(grid_mm(size)).min())


def lay_flat(
    photo: Photo,
    corners_px: ArrayLike,
    size: Size,
    *,
    k1: float = 0.0,
    px_per_mm: float | None = None,
    finest_px_per_mm: float = FINEST_PX_PER_MM,
) -> Flat:
    """The canvas face in linear light, laid flat.

    ``corners_px``: ``(4, 2)`` photo px, TL TR BR BL, as they are in the photo. ``px_per_mm``: None for what the photo
    supports (:func:`supported_px_per_mm`), at most ``finest_px_per_mm``. Every flat pixel is the mean light of the part
    of the photo it covers (Catmull-Rom-like cubic samples, several to a pixel when the photo is the finer), so fine
    weave does not turn into moiré. Raises CanvasError for corners that cannot be a canvas.
    """
    canvas = CanvasMap(np.asarray(corners_px), size, photo.width, photo.height, k1)
    if px_per_mm is None:
        px_per_mm = min(float(canvas.scales(grid_mm(size)).min()), finest_px_per_mm)
    linear, seen = _resample(photo, canvas, px_per_mm)
    return Flat(linear, px_per_mm, size, None if seen.all() else seen)


def reference_flat(
    photo: Photo, size: Size, px_per_mm: float, *, crop: ArrayLike | None = None
) -> tuple[Flat, tuple[str, ...]]:
    """The reference on the canvas's grid, and notes: whole sentences on what had to be cropped.

    ``crop``: ``(4, 2)`` photo px, the corners of the part that belongs on the canvas; None for the whole photo. A shape
    within 0.5 % of the canvas's is stretched to it; any other is cropped about its centre, and a note says so.
    """
    if crop is None:
        right, bottom = photo.width - 0.5, photo.height - 0.5
        crop = [[-0.5, -0.5], [right, -0.5], [right, bottom], [-0.5, bottom]]
    corners, notes = _to_shape(checked_corners(crop, photo.width, photo.height), size)
    linear, seen = _resample(photo, CanvasMap(corners, size, photo.width, photo.height), px_per_mm)
    return Flat(linear, px_per_mm, size, None if seen.all() else seen), notes


def _to_shape(corners: NDArray[np.float64], size: Size) -> tuple[NDArray[np.float64], tuple[str, ...]]:
    """Corners trimmed about the centre to the canvas's shape."""
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    aspect = (sides[0] + sides[2]) / (sides[1] + sides[3])
    off = aspect / size.aspect - 1
    if abs(off) <= STRETCH_ALLOWED:
        return corners, ()
    kept = 1 / (1 + off) if off > 0 else 1 + off
    a, b = (1 - kept) / 2, (1 + kept) / 2
    box = [(a, 0), (b, 0), (b, 1), (a, 1)] if off > 0 else [(0, a), (1, a), (1, b), (0, b)]
    top_left, top_right, bottom_right, bottom_left = corners
    cut = [
        (1 - v) * ((1 - u) * top_left + u * top_right) + v * ((1 - u) * bottom_left + u * bottom_right) for u, v in box
    ]
    lost = "width" if off > 0 else "height"
    note = (
        f"The reference is not the canvas's shape ({size.in_cm()}): "
        f"{as_share(1 - kept, places=1)} of its {lost} was left out, "
        "half on each side. Crop it yourself to choose what to keep."
    )
    return np.array(cut), (note,)


def _resample(photo: Photo, canvas: CanvasMap, px_per_mm: float) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    size = canvas.size
    columns, rows = round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm)
    if min(columns, rows) < 1 or columns * rows > MOST_PIXELS:
        raise CanvasError(
            f"A canvas of {size.in_cm()} cannot be laid flat at {px_per_mm:g} pixels per mm. "
            "Choose fewer pixels per mm."
        )
    ratio = float(canvas.scales(grid_mm(size)).max()) / px_per_mm
    samples = int(np.clip(np.ceil(ratio - 0.3), 1, _MOST_SAMPLES))
    linear, seen = np.empty((rows, columns, 3), np.float32), np.ones((rows, columns), bool)
    for top, left in _tiles(rows, columns):
        part = np.s_[top : min(top + _TILE, rows), left : min(left + _TILE, columns)]
        mesh = _mesh(canvas, px_per_mm, part, samples)
        shape = (part[0].stop - top, part[1].stop - left)
        fine = _sample(photo, mesh, (shape[0] * samples, shape[1] * samples))
        linear[part] = fine if samples == 1 else cv2.resize(fine, shape[::-1], interpolation=cv2.INTER_AREA)
        if _beyond(photo, mesh).any():
            beyond = _between(_beyond(photo, mesh), (shape[0] * samples, shape[1] * samples))
            seen[part] = cv2.resize(beyond, shape[::-1], interpolation=cv2.INTER_AREA) <= 0
    return linear, seen


def _tiles(rows: int, columns: int) -> Iterator[tuple[int, int]]:
    return ((top, left) for top in range(0, rows, _TILE) for left in range(0, columns, _TILE))


def _mesh(canvas: CanvasMap, px_per_mm: float, part: tuple[slice, slice], samples: int) -> NDArray[np.float64]:
    """Photo px ``(m, n, 2)`` of a coarse mesh over a tile; node i lies at fine sample (i - 0.5) times _MESH - 0.5."""
    nodes = []
    for rows in part:
        count = -(-(rows.stop - rows.start) * samples // _MESH) + 2
        nodes.append((rows.start * samples + (np.arange(count) - 0.5) * _MESH) / (samples * px_per_mm))
    y, x = np.meshgrid(*nodes, indexing="ij")
    return canvas.mm_to_px(np.stack([x, y], axis=-1))


def _between(mesh: NDArray[np.float32], shape: tuple[int, int]) -> NDArray[np.float32]:
    """A mesh ``(m, n)`` made ``shape`` fine samples, linear between its nodes."""
    full = cv2.resize(mesh, (mesh.shape[1] * _MESH, mesh.shape[0] * _MESH), interpolation=cv2.INTER_LINEAR)
    # cv2.resize puts node i at fine sample (i + 0.5) _MESH - 0.5: the first node lies before the tile.
    return np.asarray(full)[_MESH : _MESH + shape[0], _MESH : _MESH + shape[1]]


def _sample(photo: Photo, mesh: NDArray[np.float64], shape: tuple[int, int]) -> NDArray[np.float32]:
    """Linear light ``(*shape, 3)`` of the photo at the fine samples of a tile."""
    limit = np.array([photo.width, photo.height])
    first = np.clip(np.floor(mesh.min(axis=(0, 1))) - _REACH, 0, limit - 1).astype(int)
    last = np.clip(np.ceil(mesh.max(axis=(0, 1))) + _REACH + 1, first + 1, limit).astype(int)
    codes = np.ascontiguousarray(photo.codes[first[1] : last[1], first[0] : last[0]])
    # Counted from the tile's own corner, float32 places are good to a thousandth of a pixel.
    local = (mesh - first).astype(np.float32)
    map_x, map_y = (_between(np.ascontiguousarray(local[..., axis]), shape) for axis in (0, 1))
    source = linear_of_codes(codes, photo.curve)
    light = cv2.remap(source, map_x, map_y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(light).reshape(*shape, 3)


def _beyond(photo: Photo, mesh: NDArray[np.float64]) -> NDArray[np.float32]:
    """How far mesh nodes lie outside the photo, px (``<= 0``: inside), ``(m, n)``."""
    most = np.array([photo.width, photo.height]) - 0.5
    outside: NDArray[np.float64] = np.maximum(-0.5 - mesh, mesh - most).max(axis=-1) - 0.01
    return outside.astype(np.float32)
