"""Every line there is in the demo's still life: those of its drawing, and what the drawing leaves out.

Left out there: where the light leaves each form, the window in the enamel, and the table's rounded front edge.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from assets.make_demo import FOLDER, SIZE
from core.drawing.drawing import Drawing, Line
from core.drawing.svg_read import read_drawing
from tests.studio.still_life import EYE, LOOK_AT, VIEW_WIDTH, render

Array = NDArray[np.float64]

STEP_MM = 0.5
SPECK_MM = 15.0  # the drawing has small rings about single highlights


def drawn() -> dict[str, Array]:
    """The drawing's lines by layer, points every half millimetre ``(n, 2)`` mm."""
    drawing = read_drawing(FOLDER / "drawing.svg", SIZE)
    layers: dict[str, list[Line]] = {}
    for line in drawing.lines:
        if line.length_mm > SPECK_MM:
            layers.setdefault(line.layer, []).append(line)
    return {layer: Drawing(SIZE, tuple(lines)).sampled(STEP_MM).points for layer, lines in layers.items()}


def left_out() -> Array:
    """Points ``(n, 2)`` mm, about 1 mm apart."""
    seen = render(round(SIZE.width_mm), round(SIZE.height_mm))
    masks = [seen.lit > share for share in (0.1, 0.5, 0.9)] + [seen.part == part for part in range(8)]
    masks.append(seen.linear.min(axis=2) > 0.85)
    return np.concatenate([*(_border(mask) for mask in masks), *_table_edge()])


def _border(mask: NDArray[np.bool_]) -> Array:
    change = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_GRADIENT, np.ones((2, 2), np.uint8))
    rows, columns = np.nonzero(change)
    return np.stack([columns, rows], axis=1).astype(np.float64)  # between a pixel and its left and upper neighbours


def _table_edge() -> list[Array]:
    """Where the cloth's top begins to round, 0.8 cm before its front, and where it hangs straight."""
    x = np.linspace(-36, 36, 1000)
    pleats = 0.5 * np.sin(0.55 * x + 0.6) * 0.2
    return [_seen(np.stack([x, 0 * x, 0 * x + 12.2], axis=1)), _seen(np.stack([x, 0 * x - 0.8, 13.0 + pleats], axis=1))]


def _seen(points: Array) -> Array:
    """Where points ``(n, 3)`` of the still life, cm, are on the canvas."""
    eye = np.array(EYE)
    forward = np.array(LOOK_AT) - eye
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, forward)
    off = points - eye
    depth = off @ forward * VIEW_WIDTH
    across, rise = off @ right / depth, off @ up / depth
    return np.stack([(across + 0.5) * SIZE.width_mm, 0.5 * SIZE.height_mm - rise * SIZE.width_mm], axis=1)
