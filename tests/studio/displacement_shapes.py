"""Shapes of known displacement beside the Gaussian bumps: waves, a swollen head, a random spline field."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from core.size import Size
from tests.studio.displacement import Displacement


def _inverse_over(truth: "Truth", x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    return truth.inverse_at(np.stack(np.meshgrid(x_mm, y_mm), axis=-1))


@dataclass(frozen=True)
class Waves:
    """A displacement of sine waves along each axis: ``(wavelength_mm, amplitude_mm, phase, turn of the direction)``."""

    size: Size
    waves: tuple[tuple[float, float, float, float], ...]

    def at(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        points = np.asarray(points_mm, dtype=np.float64)
        moved = np.zeros_like(points)
        for wavelength, amplitude, phase, turn in self.waves:
            along = points[..., 0] * np.cos(turn) + points[..., 1] * np.sin(turn)
            push = amplitude * np.sin(2 * np.pi * along / wavelength + phase)
            moved += push[..., None] * np.array([-np.sin(turn + 0.6), np.cos(turn + 0.6)])
        return moved

    inverse_at = Displacement.inverse_at
    inverse_over = _inverse_over


@dataclass(frozen=True)
class Radial:
    """A head painted too large or too small: points pushed outward from a centre, and back to nothing far away."""

    size: Size
    centre_mm: tuple[float, float]
    radius_mm: float
    largest_mm: float

    def at(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        away = np.asarray(points_mm, dtype=np.float64) - np.array(self.centre_mm)
        r = np.linalg.norm(away, axis=-1, keepdims=True) / self.radius_mm
        return np.asarray(self.largest_mm * np.sqrt(np.e) * (away / self.radius_mm) * np.exp(-(r**2) / 2))

    inverse_at = Displacement.inverse_at
    inverse_over = _inverse_over


@dataclass(frozen=True)
class Knots:
    """A random field of cubic splines over knots a stated distance apart."""

    size: Size
    values: NDArray[np.float64] = field(repr=False)
    spacing_mm: float

    def at(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        from scipy.ndimage import map_coordinates

        points = np.asarray(points_mm, dtype=np.float64)
        where = [points[..., 1] / self.spacing_mm + 2, points[..., 0] / self.spacing_mm + 2]
        return np.stack([map_coordinates(self.values[k], where, order=3, mode="nearest") for k in (0, 1)], axis=-1)

    inverse_at = Displacement.inverse_at
    inverse_over = _inverse_over


Truth = Displacement | Waves | Radial | Knots
