"""A painter who copies a reference with a known displacement, known value faults and visible brushwork."""

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, luminance_of_value, munsell_value
from core.size import Size
from tests.studio.displacement import Displacement

Picture = NDArray[np.float32]


@dataclass(frozen=True)
class ValueFault:
    """A passage painted ``steps`` Munsell values too light (+) or too dark (-): an ellipse on the canvas, mm."""

    x_mm: float
    y_mm: float
    radius_x_mm: float
    radius_y_mm: float
    steps: float
    soft_mm: float = 3.0

    def at(self, x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        r = np.hypot((x_mm - self.x_mm) / self.radius_x_mm, (y_mm - self.y_mm) / self.radius_y_mm)
        softness = self.soft_mm / min(self.radius_x_mm, self.radius_y_mm)
        return self.steps * np.clip((1 - r) / softness + 0.5, 0, 1)

    @property
    def area_cm2(self) -> float:
        return float(np.pi * self.radius_x_mm * self.radius_y_mm / 100)


@dataclass(frozen=True)
class Painted:
    """The painting and the truth about it. ``meant`` is the paint before brushwork (the truth for values)."""

    linear: Picture
    meant: Picture
    px_per_mm: float
    size: Size

    def true_value(self) -> NDArray[np.float64]:
        """Munsell value of the painting as it stands on a 1 mm grid, ``(height_mm, width_mm)``."""
        return munsell_value(_millimetres(self.linear, self.size) @ LUMINANCE)


def _millimetres(picture: Picture, size: Size) -> Picture:
    return cv2.resize(picture, (round(size.width_mm), round(size.height_mm)), interpolation=cv2.INTER_AREA)


def grid_mm(size: Size, px_per_mm: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Pixel-centre coordinates in mm, two ``(H, W)`` arrays."""
    w, h = round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm)
    x, y = np.meshgrid((np.arange(w) + 0.5) / px_per_mm, (np.arange(h) + 0.5) / px_per_mm)
    return x, y


def fault_map(faults: tuple[ValueFault, ...], size: Size, px_per_mm: float = 1.0) -> NDArray[np.float64]:
    """Sum of the faults in Munsell steps over the canvas."""
    x, y = grid_mm(size, px_per_mm)
    return sum((f.at(x, y) for f in faults), start=np.zeros_like(x))


def paint(
    reference: Picture,
    displacement: Displacement,
    *,
    faults: tuple[ValueFault, ...] = (),
    brushwork: str = "strokes",
    brushes_mm: tuple[float, ...] = (6.0, 3.0, 1.5, 0.8),
    px_per_mm: float = 5.0,
    seed: int = 0,
) -> Painted:
    """Paint ``reference`` (linear ``(H, W, 3)``, covering the canvas) with the given faults.

    ``brushwork``: ``none``, ``texture`` (streaks and noise over the picture) or ``strokes`` (built stroke by stroke,
    coarse to fine with ``brushes_mm``, each of one colour).
    """
    rng = np.random.default_rng(seed)
    size = displacement.size
    meant = _with_faults(_displaced(reference, displacement, px_per_mm), faults, size, px_per_mm)
    if brushwork == "none":
        return Painted(meant, meant, px_per_mm, size)
    if brushwork == "strokes":
        worked = _strokes(meant, px_per_mm, brushes_mm, rng)
        worked = worked * texture(worked.shape[:2], px_per_mm, rng, strength=0.02)
    else:
        worked = meant * _texture_alone(meant.shape[:2], px_per_mm, seed)
    return Painted(np.clip(worked, 0.002, 0.95).astype(np.float32), meant, px_per_mm, size)


def _displaced(reference: Picture, displacement: Displacement, px_per_mm: float) -> Picture:
    x, y = grid_mm(displacement.size, px_per_mm)
    should = displacement.inverse_over(x[0], y[:, 0])
    scale = np.array(
        [reference.shape[1] / displacement.size.width_mm, reference.shape[0] / displacement.size.height_mm]
    )
    source = (should * scale - 0.5).astype(np.float32)
    return cv2.remap(
        reference, source[..., 0], source[..., 1], cv2.INTER_CUBIC if scale[0] < px_per_mm else cv2.INTER_AREA,
        borderMode=cv2.BORDER_REFLECT_101,
    ).clip(0.002, 0.95)  # fmt: skip


def _with_faults(picture: Picture, faults: tuple[ValueFault, ...], size: Size, px_per_mm: float) -> Picture:
    if not faults:
        return picture
    y = np.maximum(picture @ LUMINANCE, 1e-4)
    target = luminance_of_value(np.clip(munsell_value(y) + fault_map(faults, size, px_per_mm), 0.3, 9.6))
    return (picture * (target / y)[..., None]).astype(np.float32)


def _strokes(meant: Picture, px_per_mm: float, brushes_mm: tuple[float, ...], rng: np.random.Generator) -> Picture:
    """Layers of strokes along the forms, coarse to fine; the fine ones only where the layer beneath is off."""
    encoded = np.sqrt(meant)
    canvas = cv2.GaussianBlur(encoded, (0, 0), 6 * px_per_mm)
    for width_mm in brushes_mm:
        sharp = cv2.GaussianBlur(encoded, (0, 0), 0.25 * width_mm * px_per_mm)
        angle = _stroke_direction(sharp, width_mm * px_per_mm)
        off = np.abs(cv2.GaussianBlur(canvas, (0, 0), 0.3 * width_mm * px_per_mm) - sharp).max(axis=2)
        spacing = max(2, round(0.55 * width_mm * px_per_mm))
        rows, cols = np.mgrid[0 : meant.shape[0] : spacing, 0 : meant.shape[1] : spacing].reshape(2, -1)
        wanted = off[rows, cols] > 0.02
        rows, cols = rows[wanted], cols[wanted]
        order = rng.permutation(len(rows))
        _lay(canvas, sharp, angle, (rows[order], cols[order]), width_mm * px_per_mm, rng)
    return canvas**2


def _stroke_direction(encoded: Picture, width_px: float) -> NDArray[np.float32]:
    grey = encoded.mean(axis=2)
    gx = cv2.Sobel(grey, cv2.CV_32F, 1, 0)
    gy = cv2.Sobel(grey, cv2.CV_32F, 0, 1)
    jxx, jyy, jxy = (cv2.GaussianBlur(m, (0, 0), width_px) for m in (gx * gx, gy * gy, gx * gy))
    return (0.5 * np.arctan2(2 * jxy, jxx - jyy) + np.pi / 2).astype(np.float32)


def _lay(
    canvas: Picture,
    colours: Picture,
    angle: NDArray[np.float32],
    where: tuple[NDArray[np.intp], NDArray[np.intp]],
    width_px: float,
    rng: np.random.Generator,
) -> None:
    rows, cols = where
    thickness = max(1, round(width_px))
    half = 1.6 * width_px
    theta = angle[rows, cols] + rng.normal(0, 0.15, len(rows))
    dx, dy = half * np.cos(theta), half * np.sin(theta)
    colour = colours[rows, cols] * (1 + rng.normal(0, 0.025, (len(rows), 1)))
    starts = np.stack([cols - dx, rows - dy], axis=1)
    ends = np.stack([cols + dx, rows + dy], axis=1)
    strokes = (np.rint(starts * 16).astype(int).tolist(), np.rint(ends * 16).astype(int).tolist(), colour.tolist())
    for start, end, tone in zip(*strokes, strict=True):
        cv2.line(canvas, start, end, tone, thickness, cv2.LINE_AA, 4)


@lru_cache(maxsize=4)
def _texture_alone(shape: tuple[int, int], px_per_mm: float, seed: int) -> Picture:
    """That of a picture painted without strokes, which many of one size share."""
    made = texture(shape, px_per_mm, np.random.default_rng(seed), strength=0.06)
    made.flags.writeable = False
    return made


def texture(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator, *, strength: float) -> Picture:
    """Bristle streaks, broken colour and the canvas weave (about 14 threads a cm), as a gain about 1."""
    noise = rng.normal(size=shape).astype(np.float32)
    streaks = cv2.GaussianBlur(noise, (0, 0), sigmaX=3.0 * px_per_mm, sigmaY=0.2 * px_per_mm)
    patches = cv2.GaussianBlur(rng.normal(size=shape).astype(np.float32), (0, 0), 1.5 * px_per_mm)
    x, y = np.arange(shape[1]) / px_per_mm, np.arange(shape[0])[:, None] / px_per_mm
    weave = np.sin(2 * np.pi * 1.4 * x) * np.sin(2 * np.pi * 1.4 * y)
    gain = strength * (streaks / streaks.std() + patches / patches.std()) + 0.015 * weave
    return (1 + gain)[..., None].astype(np.float32)
