"""The other way of finding lines that suggestions were measured against: a flow-guided difference of Gaussians.

Kang, Lee and Chui 2007, *Coherent line drawing*, NPAR; with the parameters of Winnemöller, Kyprianidis and Olsen 2012,
*XDoG*, Computers & Graphics 36(6): k = 1.6, tau near 1. The dark bands it gives are thinned to their centre lines;
ranking, linking and fitting are the suggestion's own.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing import flow
from core.drawing.centrelines import centrelines
from core.drawing.suggest_edges import ALONG, FLOW_WIDTH, EdgeLine, Edges

Plane = NDArray[np.float32]

WIDER, TAU = 1.6, 0.99
DARK = 0.004  # of white


def fdog_edges(lab: Plane, *, sigma_px: float, faintest: float, spur_px: float, least: int) -> Edges:
    smooth = cv2.GaussianBlur(lab, (0, 0), sigma_px)
    loose = cv2.GaussianBlur(flow.tensor(*flow.gradients(smooth)), (0, 0), FLOW_WIDTH * sigma_px)
    along = flow.tangents(loose)
    across = _across(np.ascontiguousarray(lab[..., 0]) / 100, along, sigma_px)
    response = flow.smoothed_along(across, along, ALONG * sigma_px)
    lines = centrelines(response < -DARK, spur_px=spur_px)
    steep = flow.strength(flow.tensor(*flow.gradients(flow.smoothed_along(smooth, along, ALONG * sigma_px))))
    # Its lines lie on the dark side of an edge: they are ranked by the steepest place nearby.
    steep = cv2.dilate(steep, np.ones((3, 3), np.uint8), iterations=max(1, round(1.5 * sigma_px)))
    return Edges([EdgeLine(line.points, line.closed) for line in lines if len(line.points) >= least], steep)


def _across(light: Plane, along: Plane, sigma: float) -> Plane:
    """The difference of two Gaussians taken across the flow at every pixel."""
    height, width = light.shape
    columns, rows = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    nx, ny = -along[..., 1], along[..., 0]
    reach = int(np.ceil(2.5 * WIDER * sigma))
    offsets = np.arange(-reach, reach + 1)
    narrow, wide = (np.exp(-0.5 * (offsets / s) ** 2) for s in (sigma, WIDER * sigma))
    weights = narrow / narrow.sum() - TAU * wide / wide.sum()
    total = np.zeros_like(light)
    for offset, weight in zip(offsets, weights, strict=True):
        x, y = columns + np.float32(offset) * nx, rows + np.float32(offset) * ny
        total += np.float32(weight) * cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return total
