"""The light that a projector sends: pictures and lines in the screen's pixels, on black.

Shares of light, brightness and the softened edges of lines are all worked in linear light, so that half a pixel covered
sends half the light. Measured at 1920 × 1080 on two busy cores, the best of twenty: 250 lines, 14 m in all, 5 ms at
0.3 and 0.8 mm and 9-12 ms at 2 mm; a picture of 2000 × 1500 px 32 ms, once its slide is made (80 ms from 12
megapixels).
"""

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import decode_srgb, encode_srgb
from core.drawing.drawing import Drawing
from core.drawing.projection import Points, Projection
from core.drawing.raster import RING_MM, fixed_points, stroked

FINEST_LINE_PX = 1.6
"""A line narrower than this on the screen is shown this wide: fainter, it would be lost on the canvas."""
_FULL = 65535
_LINE_TOLERANCE_PX = 0.3
_BEHIND = 0.05  # of the depth at the canvas's middle: nearer than this to the horizon nothing is drawn
_RING_SIDES = 24
_SHARPEST = 1.3  # slide pixels per screen pixel up to which a warp alone leaves nothing out


@dataclass(frozen=True, eq=False)
class Slide:
    """A picture over the whole canvas, ready to be thrown. ``light``: ``(h, w, 3)`` uint16 linear light, 65535 white.

    Pixel ``(row, column)`` is centred at ``((column + 0.5) / w, (row + 0.5) / h)`` of the canvas's width and height.
    """

    light: NDArray[np.uint16]

    @classmethod
    def of(cls, codes: NDArray[np.uint8], *, longest_px: int = 2400) -> "Slide":
        """Of sRGB codes ``(H, W, 3)`` or greys ``(H, W)`` uint8; shrunk to ``longest_px`` by the mean light."""
        if codes.dtype != np.uint8 or codes.ndim not in (2, 3) or codes.size == 0:
            raise ValueError(f"A picture is (H, W, 3) or (H, W) uint8, not {codes.shape} {codes.dtype}.")
        if codes.ndim == 2:
            codes = np.repeat(codes[..., None], 3, axis=2)
        light = np.asarray(cv2.LUT(np.ascontiguousarray(codes), _light_of_codes())).reshape(codes.shape)
        return cls(_shrunk(light, longest_px / max(codes.shape[:2])))


def rendered_picture(slide: Slide, projection: Projection, *, brightness: float = 1.0) -> NDArray[np.uint8]:
    """The slide thrown onto the canvas: sRGB codes ``(H, W, 3)`` uint8 of the screen, black around.

    ``brightness``: 0-1, the share of the light.
    """
    light = _no_finer(slide.light, projection)
    high, wide = light.shape[:2]
    size = projection.size
    to_mm = np.diag([size.width_mm / wide, size.height_mm / high, 1.0]) @ np.array(
        [[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]]
    )
    thrown = cv2.warpPerspective(
        light, projection.matrix @ to_mm, (projection.width, projection.height),
        flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0,
    )  # fmt: skip
    shown = cv2.LUT(thrown, _codes_of_light(_share(brightness)))
    return np.asarray(shown).reshape(projection.height, projection.width, 3)


def rendered_lines(
    drawing: Drawing,
    projection: Projection,
    *,
    weight_mm: float = 0.8,
    finest_px: float = FINEST_LINE_PX,
    brightness: float = 1.0,
    landmarks: bool = False,
) -> NDArray[np.uint8]:
    """The drawing as lines of light: grey sRGB codes ``(H, W)`` uint8 of the screen.

    ``weight_mm``: the lines' width on the canvas, at its middle; never under ``finest_px`` screen pixels.
    ``landmarks``: a small ring about each. What lies outside the canvas is drawn as far as the screen reaches.
    """
    tolerance = max(_LINE_TOLERANCE_PX / projection.px_per_mm, 0.01)
    chains = _chains(drawing, float(2.0 ** (np.floor(4 * np.log2(tolerance)) / 4)))
    if landmarks:
        chains = (*chains, *_rings(drawing))
    weight_px = max(weight_mm * projection.px_per_mm, finest_px)
    return rendered_chains(chains, projection, weight_px=weight_px, brightness=brightness)


def rendered_chains(
    chains_mm: tuple[Points, ...], projection: Projection, *, weight_px: float, brightness: float = 1.0
) -> NDArray[np.uint8]:
    """Chains of points ``(n, 2)`` mm as lines of light ``weight_px`` wide: grey sRGB codes ``(H, W)`` uint8."""
    cover = stroked((projection.height, projection.width), _thrown(chains_mm, projection), weight_px)
    return lit(cover, brightness)


def lit(cover: NDArray[np.uint8], brightness: float = 1.0) -> NDArray[np.uint8]:
    """Grey sRGB codes of pixels covered by full light to so much: ``cover`` uint8, 255 all."""
    light = np.arange(256) / 255.0 * _share(brightness)
    return np.asarray(cv2.LUT(cover, np.rint(255 * encode_srgb(light)).astype(np.uint8).reshape(1, -1)))


def _thrown(chains_mm: tuple[Points, ...], projection: Projection) -> list[NDArray[np.int32]]:
    """Every chain in fixed-point screen pixels; cut where it runs behind the horizon of the projection."""
    if not chains_mm:
        return []
    points = np.concatenate(chains_mm)
    matrix = projection.matrix
    lifted = points @ matrix[:, :2].T + matrix[:, 2]
    middle = np.array([projection.size.width_mm / 2, projection.size.height_mm / 2, 1.0])
    before = lifted[:, 2] > _BEHIND * float(matrix[2] @ middle)
    fixed = fixed_points(lifted[:, :2] / np.where(before, lifted[:, 2], 1.0)[:, None])
    ends = np.cumsum([len(chain) for chain in chains_mm])[:-1]
    if before.all():
        return np.split(fixed, ends)
    runs: list[NDArray[np.int32]] = []
    for part, seen in zip(np.split(fixed, ends), np.split(before, ends), strict=True):
        pieces = np.split(part, np.flatnonzero(np.diff(seen)) + 1)
        shown = np.split(seen, np.flatnonzero(np.diff(seen)) + 1)
        runs += [piece for piece, kept in zip(pieces, shown, strict=True) if kept[0] and len(piece) > 1]
    return runs


@lru_cache(maxsize=4)
def _chains(drawing: Drawing, tolerance_mm: float) -> tuple[Points, ...]:
    return tuple(drawing.polylines(tolerance_mm))


def _rings(drawing: Drawing) -> tuple[Points, ...]:
    around = np.linspace(0.0, 2 * np.pi, _RING_SIDES + 1)
    ring = RING_MM * np.stack([np.cos(around), np.sin(around)], axis=1)
    return tuple(point + ring for point in drawing.landmark_points())


def _no_finer(light: NDArray[np.uint16], projection: Projection) -> NDArray[np.uint16]:
    """The slide with no more pixels than the screen can show, so that none is left out."""
    shown = projection.px_per_mm * projection.size.width_mm
    return _shrunk(light, shown / light.shape[1] if light.shape[1] > _SHARPEST * shown else 1.0)


def _shrunk(light: NDArray[np.uint16], share: float) -> NDArray[np.uint16]:
    if share >= 1.0:
        return light
    wide, high = (max(1, round(side * share)) for side in (light.shape[1], light.shape[0]))
    return np.asarray(cv2.resize(light, (wide, high), interpolation=cv2.INTER_AREA)).reshape(high, wide, 3)


def _share(brightness: float) -> float:
    return float(min(max(brightness, 0.0), 1.0))


@lru_cache(maxsize=1)
def _light_of_codes() -> NDArray[np.uint16]:
    return np.rint(_FULL * decode_srgb(np.arange(256) / 255)).astype(np.uint16).reshape(1, -1)


@lru_cache(maxsize=8)
def _codes_of_light(share: float) -> NDArray[np.uint8]:
    light = np.arange(_FULL + 1) / _FULL * share
    return np.rint(255 * encode_srgb(light)).astype(np.uint8).reshape(1, -1)
