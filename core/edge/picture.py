"""The edge plan drawn over the picture in faded greys: four kinds of line, and a ring about each focal point."""

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.develop import srgb_curve
from core.edge.brief import FocalPoint
from core.edge.plan import EdgePlan
from core.edge.styles import STYLES, LineStyle, dashed, strokes
from core.tone import grey_codes

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

FADED = 0.3
"""Share of a picture's darkness that is left under the lines."""
_PENS_ACROSS = 1500.0
"""A pen is this share of the picture's longer side, and no less than so much of a pixel."""
_LEAST_PEN_PX = 0.85
_FINE = 4
_FINER = 2
"""Times as many pixels are drawn on, so that thin lines differ in weight."""
_RING_GREY, _RIM_GREY = 0, 255
_RING_PENS, _RIM_PENS, _TICK_PENS = 1.4, 3.4, 10.0


def plan_picture(picture: Pixels, plan: EdgePlan, *, pen_px: float | None = None) -> Pixels:
    """``picture`` ``(H, W, 3)`` or ``(H, W)`` uint8 sRGB, which fills the canvas, faded, with the plan on it:
    ``(H, W, 3)`` uint8 sRGB. ``pen_px``: the thinnest line's width. ValueError for another shape or width."""
    ground = faded(picture)
    height, width = ground.shape
    pen = max(_LEAST_PEN_PX, max(height, width) / _PENS_ACROSS) if pen_px is None else pen_px
    if not pen > 0:
        raise ValueError(f"a pen of {pen} pixels draws nothing")
    size = plan.brief.size
    scale = _FINER * np.array([width / size.width_mm, height / size.height_mm])
    drawn = np.asarray(cv2.resize(ground, None, fx=_FINER, fy=_FINER, interpolation=cv2.INTER_NEAREST), dtype=np.uint8)
    for stroke in strokes(plan):
        _draw(drawn, stroke.points_mm * scale, STYLES[stroke.kind], _FINER * pen)
    for focus in plan.brief.foci:
        _ring(drawn, focus, scale, _FINER * pen)
    grey = np.asarray(cv2.resize(drawn, (width, height), interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return np.ascontiguousarray(np.repeat(grey[:, :, None], 3, axis=2))


def faded(picture: Pixels, left: float = FADED) -> Pixels:
    """A picture ``(H, W, 3)`` or ``(H, W)`` uint8 sRGB as light greys ``(H, W)`` uint8: ``left`` of its darkness is
    kept. ValueError for another shape."""
    pixels = np.asarray(picture)
    if pixels.dtype != np.uint8 or pixels.ndim not in (2, 3) or pixels.size == 0:
        raise ValueError(f"expected a picture of uint8, got {pixels.dtype} of shape {pixels.shape}")
    grey = pixels if pixels.ndim == 2 else grey_codes(np.ascontiguousarray(pixels), srgb_curve())
    codes = np.rint(255 - left * (255 - np.arange(256.0))).astype(np.uint8)
    return np.asarray(codes[grey])


def _draw(drawn: Pixels, points: Floats, style: LineStyle, pen: float) -> None:
    if style.gap and not style.dash:
        radius = round(max(1.0, style.width * pen / 2) * 2**_FINE)
        for dot in dashed(points, 0.0, style.gap * pen):
            x, y = _fixed(dot)[0, 0].tolist()
            cv2.circle(drawn, (x, y), radius, style.grey, -1, cv2.LINE_AA, _FINE)
        return
    # cv2 rounds the ends of a line, by half its width each.
    parts = dashed(points, (style.dash - style.width) * pen, (style.gap + style.width) * pen) if style.gap else [points]
    _lines(drawn, parts, style.width * pen, style.grey)


def _lines(drawn: Pixels, parts: Sequence[Floats], width: float, grey: int) -> None:
    """Anti-aliased polylines; cv2 draws them 1.4 pixels wide, or 3.4, 5.4 and so on: the nearest is taken."""
    wide = max(1, 2 * round((width - 1.4) / 2))
    cv2.polylines(drawn, [_fixed(part) for part in parts], False, grey, wide, cv2.LINE_AA, _FINE)


def _ring(drawn: Pixels, focus: FocalPoint, scale: Floats, pen: float) -> None:
    """A thin ring with four ticks inward and a cross at its middle, dark with a light rim."""
    turn = np.linspace(0, 2 * np.pi, 181)
    middle = np.array([focus.x_mm, focus.y_mm])
    ring = (middle + focus.radius_mm * np.stack([np.cos(turn), np.sin(turn)], axis=1)) * scale
    tick = min(_TICK_PENS * pen, 0.5 * focus.radius_mm * float(scale.min()))
    ways = np.array([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)])
    rims = [(middle + focus.radius_mm * way) * scale for way in ways]
    ticks = [np.stack([rim, rim - tick * way]) for rim, way in zip(rims, ways, strict=True)]
    cross = [np.stack([middle * scale - tick / 2 * way, middle * scale + tick / 2 * way]) for way in ways[:2]]
    for pens, grey in ((_RIM_PENS, _RIM_GREY), (_RING_PENS, _RING_GREY)):
        _lines(drawn, [ring, *ticks, *cross], pens * pen, grey)


def _fixed(points: Floats) -> NDArray[Any]:
    """Pixel positions (the first pixel's corner is 0) as cv2 takes them."""
    return np.asarray(np.rint((points - 0.5) * 2**_FINE).astype(np.int32).reshape(-1, 1, 2))
