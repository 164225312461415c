"""The flow of a picture's edges: which way they run at every place, and smoothing along that way.

The direction is the minor eigenvector of the smoothed colour structure tensor (Di Zenzo 1986, *A note on the gradient
of a multi-image*, CVGIP 33, 116-125; Kyprianidis and Döllner 2008, *Image abstraction by structure adaptive
filtering*), which plays the part of the edge tangent flow of Kang, Lee and Chui 2007, *Coherent line drawing*.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]
Picture = NDArray[np.float32]

_TRUNCATE = 2.0  # sigmas that smoothing along the flow reaches


def gradients(picture: Picture) -> tuple[Picture, Picture]:
    """Change per pixel of every channel in x and y: two arrays of the picture's shape ``(H, W, C)``.

    Scharr's kernel: its direction is truer than Sobel's.
    """
    across, down = (cv2.Scharr(picture, cv2.CV_32F, *way, scale=1 / 32) for way in ((1, 0), (0, 1)))
    return np.asarray(across, dtype=np.float32), np.asarray(down, dtype=np.float32)


def tensor(across: Picture, down: Picture) -> Picture:
    """The colour structure tensor ``(H, W, 3)``: xx, xy, yy, summed over the channels."""
    parts = (cv2.multiply(across, across), cv2.multiply(across, down), cv2.multiply(down, down))
    ones = np.ones((1, 3), dtype=np.float32)
    return np.asarray(cv2.merge([cv2.transform(part, ones) for part in parts]), dtype=np.float32)


def tangents(smoothed_tensor: Picture) -> Picture:
    """Unit vectors along the edges ``(H, W, 2)``; to the right where nothing has a direction."""
    xx, xy, yy = cv2.split(smoothed_tensor)
    # The major eigenvector has half the angle of (xx - yy, 2 xy); the minor one is a quarter turn on.
    _, angle = cv2.cartToPolar(xx - yy, 2.0 * xy)
    x, y = cv2.polarToCart(np.ones_like(angle), angle * np.float32(0.5))
    return np.asarray(cv2.merge([-y, x]), dtype=np.float32)


def strength(smoothed_tensor: Picture) -> Plane:
    """Change per pixel across the edge: root of the tensor's major eigenvalue, ``(H, W)``."""
    xx, xy, yy = cv2.split(smoothed_tensor)
    half = cv2.magnitude(np.float32(0.5) * (xx - yy), xy)
    return np.asarray(cv2.sqrt(np.float32(0.5) * (xx + yy) + half), dtype=np.float32)


def smoothed_along(picture: Picture, flow: Picture, sigma_px: float, *, step_px: float = 1.5) -> Picture:
    """The picture ``(H, W, C)`` smoothed along ``flow`` ``(H, W, 2)`` by a Gaussian of ``sigma_px``.

    A line integral along the flow, both ways from every pixel, as in Kang, Lee and Chui 2007.
    """
    height, width = picture.shape[:2]
    columns, rows = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    total = picture.copy()
    weight = 1.0
    for side in (1.0, -1.0):
        x, y = columns.copy(), rows.copy()
        way_x, way_y = (cv2.multiply(part, side * step_px) for part in cv2.split(flow))
        for step in range(1, max(1, round(_TRUNCATE * sigma_px / step_px)) + 1):
            x, y = cv2.add(x, way_x), cv2.add(y, way_y)
            # Whole pixels are near enough: the picture is smooth, and the places differ from pixel to pixel.
            at, none = cv2.convertMaps(x, y, cv2.CV_16SC2, nninterpolation=True)
            share = float(np.exp(-0.5 * (step * step_px / sigma_px) ** 2))
            seen = cv2.remap(picture, at, none, cv2.INTER_NEAREST, borderMode=cv2.BORDER_REPLICATE)
            cv2.scaleAdd(seen, share, total, total)
            weight += share
            onward_x, onward_y = cv2.split(
                cv2.remap(flow, at, none, cv2.INTER_NEAREST, borderMode=cv2.BORDER_REPLICATE)
            )
            # The flow has no sense of its own: it goes on the way that it came.
            turned = cv2.add(cv2.multiply(onward_x, way_x), cv2.multiply(onward_y, way_y)) < 0.0
            sense = np.where(turned, np.float32(-step_px), np.float32(step_px))
            way_x, way_y = cv2.multiply(onward_x, sense), cv2.multiply(onward_y, sense)
    return np.asarray(total * np.float32(1.0 / weight), dtype=np.float32)
