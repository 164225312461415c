"""Smooth known displacements of a painting from its drawing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RectBivariateSpline

from core.size import Size


@dataclass(frozen=True)
class Displacement:
    """d(p): where the painted point lies minus where it should be, in mm, for p in mm.

    A whole part (turn, scale about the canvas centre, then shift) and Gaussian bumps, each ``(x, y, dx, dy, radius)``.
    """

    size: Size
    shift_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    scale: float = 1.0
    bumps: tuple[tuple[float, float, float, float, float], ...] = ()

    def at(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Displacement ``(..., 2)`` at points ``(..., 2)``."""
        points = np.asarray(points_mm, dtype=np.float64)
        centre = np.array([self.size.width_mm, self.size.height_mm]) / 2
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        whole = self.scale * np.array([[c, -s], [s, c]])
        moved = (points - centre) @ whole.T + centre + np.array(self.shift_mm) - points
        for x, y, dx, dy, radius in self.bumps:
            fall = np.exp(-((points[..., 0] - x) ** 2 + (points[..., 1] - y) ** 2) / (2 * radius**2))
            moved = moved + fall[..., None] * np.array([dx, dy])
        return moved

    def inverse_at(self, painted_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where a painted point should have been: p with p + d(p) = q, by fixed-point iteration (d is gentle)."""
        painted = np.asarray(painted_mm, dtype=np.float64)
        should = painted - self.at(painted)
        for _ in range(12):
            should = painted - self.at(should)
        return should

    def inverse_over(self, x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """:meth:`inverse_at` of every place in the rows ``y_mm`` ``(H,)`` and columns ``x_mm`` ``(W,)``: ``(H, W, 2)``.

        Found on a grid of a tenth of the narrowest bump's radius, carried between by cubic splines (right to
        0.0001 mm), and made exact by a step of Newton's: the answer to the last digits, several times as quick.
        """
        if self == Displacement(self.size):
            return np.stack(np.meshgrid(x_mm, y_mm), axis=-1)
        step = min((radius for *_, radius in self.bumps), default=np.inf) / 10
        coarse = [
            np.linspace(line[0], line[-1], int(np.clip((line[-1] - line[0]) / step + 2, 6, max(6, len(line)))))
            for line in (x_mm, y_mm)
        ]
        painted = np.stack(np.meshgrid(*coarse), axis=-1)
        off = painted - self.inverse_at(painted)
        splines = [RectBivariateSpline(coarse[1], coarse[0], off[..., k]) for k in range(2)]
        wanted = np.stack(np.meshgrid(x_mm, y_mm), axis=-1)
        near = wanted - np.stack([spline(y_mm, x_mm) for spline in splines], axis=-1)
        wrong = wanted - near - self.at(near)
        # The slope of the inverse is that of what the splines carry: p = q - off(q).
        by_x, by_y = (np.stack([spline(y_mm, x_mm, dx=dx, dy=1 - dx) for spline in splines], axis=-1) for dx in (0, 1))
        return near + wrong - by_x * wrong[..., :1] - by_y * wrong[..., 1:]


def random_displacement(
    size: Size, rng: np.random.Generator, *, largest_mm: float = 4.0, bumps: int = 6
) -> Displacement:
    """Smooth local displacement whose largest length is ``largest_mm`` (bump radii 12-30 % of the long side)."""
    long_side = max(size.width_mm, size.height_mm)
    raw = tuple(
        (
            float(rng.uniform(0, size.width_mm)),
            float(rng.uniform(0, size.height_mm)),
            *(float(v) for v in rng.normal(size=2)),
            float(rng.uniform(0.12, 0.30) * long_side),
        )
        for _ in range(bumps)
    )
    rough = Displacement(size, bumps=raw)
    x, y = np.meshgrid(np.linspace(0, size.width_mm, 60), np.linspace(0, size.height_mm, 60))
    gain = largest_mm / np.linalg.norm(rough.at(np.stack([x, y], axis=-1)), axis=-1).max()
    return Displacement(size, bumps=tuple((x, y, dx * gain, dy * gain, r) for x, y, dx, dy, r in raw))
