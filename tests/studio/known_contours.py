"""Rendered scenes whose outlines are known: smooth forms over one another, shaded, textured, casting soft shadows."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import rgb_from_xyz, xyz_from_lab
from core.size import Size

Array = NDArray[np.float64]

SIZE = Size(400, 300)
LEAST_DIFFERENCE = 22.0  # CIE 1976, between any two forms
_FINER = 2  # drawn this many times finer, then averaged


@dataclass(frozen=True)
class Scene:
    """``linear``: ``(H, W, 3)`` float32. ``contours``: ``(n, 2)`` mm, the visible outlines, a point every 0.5 mm."""

    linear: NDArray[np.float32]
    contours: Array


def scene(seed: int, *, px_per_mm: float = 4.0, forms: int = 9, texture: float = 1.2, noise: float = 0.8) -> Scene:
    """``texture``: standard deviation of a grain of 0.5 mm, in L*. ``noise``: the camera's, about 2 % each."""
    random = np.random.default_rng(seed)
    px = px_per_mm * _FINER
    width, height = round(SIZE.width_mm * px), round(SIZE.height_mm * px)
    x, y = np.meshgrid((np.arange(width) + 0.5) / px, (np.arange(height) + 0.5) / px)
    ground = np.array([62.0, 4.0, 10.0])
    lab = ground + np.stack([14 * (x / SIZE.width_mm - 0.5) - 8 * (y / SIZE.height_mm - 0.5), 0 * x, 0 * x], axis=-1)
    top, outlines, colours = np.zeros((height, width), int), [], [ground]
    for number in range(1, forms + 1):
        centre, radius = random.uniform([40, 40], [360, 260]), random.uniform(22, 52)
        outline = _outline(random, centre, radius)
        inside = np.zeros((height, width), np.uint8)
        cv2.fillPoly(inside, [np.rint((outline * px - 0.5) * 16).astype(np.int32)], 1, cv2.LINE_8, 4)
        cast = np.roll(inside, (round(6 * px), round(8 * px)), (0, 1)).astype(np.float32)
        lab[..., 0] -= 14 * cv2.GaussianBlur(cast, (0, 0), 4 * px)
        colours.append(_colour(random, colours))
        towards_light = np.clip(-0.7 * ((x - centre[0]) + (y - centre[1])) / radius, -1.2, 1.2)
        lab = np.where(inside[..., None] > 0, colours[-1] + towards_light[..., None] * [9.0, 0, 0], lab)
        top[inside > 0] = number
        outlines.append(outline)
    grain = cv2.GaussianBlur(random.normal(size=(height, width)), (0, 0), 0.5 * px)
    lab[..., 0] += texture * grain / grain.std()
    linear = np.clip(rgb_from_xyz(xyz_from_lab(lab)), 0, 1).astype(np.float32)
    linear = cv2.GaussianBlur(linear, (0, 0), 0.3 * px)
    linear = cv2.resize(linear, None, fx=1 / _FINER, fy=1 / _FINER, interpolation=cv2.INTER_AREA)
    linear *= 1 + 0.02 * noise * random.normal(size=linear.shape)
    linear += 0.002 * noise * random.normal(size=linear.shape)
    return Scene(np.clip(linear, 0, 1).astype(np.float32), _visible(outlines, top, px))


def _outline(random: np.random.Generator, centre: Array, radius: float) -> Array:
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    reach = radius * np.ones_like(angle)
    for wave in range(2, 6):
        reach += radius * random.normal(0, 0.22 / wave) * np.cos(wave * angle + random.uniform(0, 2 * np.pi))
    stretch = random.uniform(0.7, 1.3)
    return centre + np.stack([reach * np.cos(angle) * stretch, reach * np.sin(angle) / stretch], axis=1)


def _colour(random: np.random.Generator, others: list[Array]) -> Array:
    while True:
        colour = random.uniform([25, -35, -40], [88, 45, 60])
        if min(np.linalg.norm(colour - other) for other in others) > LEAST_DIFFERENCE:
            return colour


def _visible(outlines: list[Array], top: NDArray[np.int64], px: float) -> Array:
    """Points along the outlines that no later form hides, 2 mm and more inside the picture."""
    found = []
    for number, outline in enumerate(outlines, start=1):
        around = np.concatenate([outline, outline[:1]])
        run = np.r_[0, np.linalg.norm(np.diff(around, axis=0), axis=1).cumsum()]
        places = np.arange(0.25, run[-1], 0.5)
        points = np.stack([np.interp(places, run, around[:, axis]) for axis in (0, 1)], axis=1)
        points = points[((points > 2) & (points < [SIZE.width_mm - 2, SIZE.height_mm - 2])).all(axis=1)]
        column, row = (points * px).astype(int).T
        found.append(points[top[row, column] <= number])
    return np.concatenate(found)
