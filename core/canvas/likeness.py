"""How like the reference a possible canvas looks: it chooses between outlines and which way up, and never fits them."""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import homography, project
from core.canvas.edge_picture import EdgePicture, Points, opponent
from core.canvas.flat import Flat
from core.photo import Photo
from core.size import Size

Array = NDArray[np.float32]
Reference = Photo | Flat | NDArray[np.float32]
"""A photo, a flat picture, or linear light ``(H, W, 3)``: the reference, cropped to the canvas."""

_GRID = 40
_UPRIGHT_LEAD, _UPRIGHT_LEAST = 0.1, 0.3
CHANCE = 0.2
"""Likeness up to this is no sign: bare grounds and other pictures reach it by chance."""


def small_reference(reference: Reference) -> Array:
    """The reference on a coarse square grid, ``(40, 40, 3)``, ready to be compared."""
    if isinstance(reference, Photo):
        light = reference.reduced(4 * _GRID)
    else:
        light = np.asarray(reference.linear if isinstance(reference, Flat) else reference, dtype=np.float32)
    return np.asarray(cv2.resize(opponent(light), (_GRID, _GRID), interpolation=cv2.INTER_AREA))


def likeness(edges: EdgePicture, corners: Points, reference: Array) -> tuple[float, int]:
    """Correlation (-1 to 1) of the canvas within ``corners`` ``(4, 2)`` px with the reference, and how it stands.

    The second number is how many corners on the canvas's own top left lies (0: upright, 2: upside down).
    """
    unit = Size(100.0, 100.0)
    fine = 3 * _GRID
    x, y = np.meshgrid(*[(np.arange(fine) + 0.5) * 100 / fine] * 2)
    points = project(homography(corners, unit), np.stack([x, y], axis=-1)).astype(np.float32)
    seen = cv2.remap(
        edges.smooth, np.ascontiguousarray(points[..., 0]), np.ascontiguousarray(points[..., 1]), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    seen = cv2.resize(np.asarray(seen), (_GRID, _GRID), interpolation=cv2.INTER_AREA)
    each = [_correlation(seen, np.rot90(reference, -turn)) for turn in range(4)]
    best = int(np.argmax(each))
    turned = each[best] > max(each[0] + _UPRIGHT_LEAD, _UPRIGHT_LEAST)
    return (each[best], best) if turned else (each[0], 0)


def _correlation(seen: Array, reference: Array) -> float:
    """Mean over the channels, each without its slow change across the canvas, which is the light's."""
    shares = []
    for one, two in zip(cv2.split(seen), cv2.split(np.ascontiguousarray(reference)), strict=True):
        a, b = one - cv2.GaussianBlur(one, (0, 0), _GRID / 4), two - cv2.GaussianBlur(two, (0, 0), _GRID / 4)
        a, b = a - a.mean(), b - b.mean()
        shares.append(float((a * b).sum() / (np.sqrt((a * a).sum() * (b * b).sum()) + 1e-3)))
    return 0.6 * shares[0] + 0.2 * shares[1] + 0.2 * shares[2]
