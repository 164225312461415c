"""Edges of a colour picture as thin lines: gradients along the flow, thinned across it, linked, between pixels."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing import flow
from core.drawing.thinning import thinned
from core.drawing.ways import Way, smoothed, ways_along

Array = NDArray[np.float64]
Plane = NDArray[np.float32]
Picture = NDArray[np.float32]

ALONG = 4.0
"""Smoothing along the flow, in units of the smoothing across it."""
FLOW_WIDTH = 2.0
"""The flow's own smoothing, in the same units."""
MOST_TURN_DEG = 50.0


@dataclass(frozen=True, eq=False)
class EdgeLine:
    """``points``: ``(n, 2)`` float64 x, y in pixels, about a pixel apart; ``closed`` as in :class:`Way`."""

    points: Array
    closed: bool


@dataclass(frozen=True, eq=False)
class Edges:
    """``lines``: all that were found. ``steep``: ``(H, W)`` change of colour per pixel across the flow."""

    lines: list[EdgeLine]
    steep: Plane


def edges_at(lab: Picture, *, sigma_px: float, faintest: float, spur_px: float, least: int) -> Edges:
    """Every edge of a CIELAB picture ``(H, W, 3)`` float32 at the scale ``sigma_px``.

    ``faintest``: colour difference per pixel below which nothing is an edge. ``spur_px``: side branches shorter than
    this are left out; ``least``: so are lines of fewer pixels. The gradient is Canny's (1986, *A computational approach
    to edge detection*, PAMI 8(6)), of a picture that was first smoothed along its own flow, so that a weak long edge
    outlives noise that a strong short one does not.
    """
    smooth = np.asarray(cv2.GaussianBlur(lab, (0, 0), sigma_px), dtype=np.float32)
    loose = cv2.GaussianBlur(flow.tensor(*flow.gradients(smooth)), (0, 0), FLOW_WIDTH * sigma_px)
    along = flow.tangents(np.asarray(loose, dtype=np.float32))
    smooth = flow.smoothed_along(smooth, along, ALONG * sigma_px)
    steep = flow.strength(flow.tensor(*flow.gradients(smooth)))
    crest, offset = _crests(steep, along, faintest)
    skeleton = thinned(_without_specks(crest, least))
    depth = np.ones(steep.shape, dtype=np.float32)
    ways = ways_along(skeleton, depth, spur_px=spur_px, most_turn_deg=MOST_TURN_DEG)
    return Edges([_line(way, offset) for way in ways if len(way.points) >= least], steep)


def _crests(steep: Plane, along: Picture, faintest: float) -> tuple[NDArray[np.bool_], Picture]:
    """Where it is steepest across the flow ``(H, W)`` bool, and how far in x and y from the pixel's centre that is, by
    the parabola through three samples ``(H, W, 2)``."""
    height, width = steep.shape
    columns, rows = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    nx, ny = -along[..., 1], along[..., 0]
    ahead, behind = (
        cv2.remap(steep, columns + side * nx, rows + side * ny, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for side in (np.float32(1.0), np.float32(-1.0))
    )
    crest = (steep >= ahead) & (steep > behind) & (steep > faintest)
    bend = 2.0 * steep - ahead - behind
    off = np.clip(0.5 * (ahead - behind) / np.maximum(bend, np.float32(1e-6)), -0.5, 0.5) * crest
    return crest, np.stack([off * nx, off * ny], axis=-1)


def _without_specks(mask: NDArray[np.bool_], least: int) -> NDArray[np.bool_]:
    """The connected parts of at least ``least`` pixels."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    kept = np.asarray(stats)[:, cv2.CC_STAT_AREA] >= least
    kept[0] = False
    return np.asarray(kept[labels])


def _line(way: Way, offset: Picture) -> EdgeLine:
    column, row = np.rint(way.points).astype(np.int64).T
    points = way.points + offset[row, column]
    return EdgeLine(smoothed(points, closed=way.closed), way.closed)
