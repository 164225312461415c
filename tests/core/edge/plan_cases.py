"""Edge points along known lines, made without measuring, and pictures of values with known contours."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.edge.width import Edges

Floats = NDArray[np.float64]


def edges_along(
    points: Floats, *, closed: bool = False, sigma_mm: float = 0.2, contrast: float = 3.0, scale_mm: float = 0.5
) -> Edges:
    """Points ``(n, 2)`` mm of one edge, in their order, lighter to the left."""
    around = (
        np.concatenate([points[-1:], points, points[:1]])
        if closed
        else np.concatenate([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    )
    way = around[2:] - around[:-2]
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    each = np.ones(len(points))
    return Edges(
        x_mm=points[:, 0].copy(),
        y_mm=points[:, 1].copy(),
        nx=way[:, 1],
        ny=-way[:, 0],
        sigma_mm=sigma_mm * each,
        uncertainty_mm=0.1 * sigma_mm * each,
        contrast=contrast * each,
        scale_mm=scale_mm * each,
    )


def straight(start: Sequence[float], end: Sequence[float], *, step_mm: float = 0.5, **more: float) -> Edges:
    ends = np.array([start, end], dtype=np.float64)
    count = 1 + round(float(np.linalg.norm(ends[1] - ends[0])) / step_mm)
    share = np.linspace(0, 1, count)[:, None]
    return edges_along(ends[0] + share * (ends[1] - ends[0]), **more)  # type: ignore[arg-type]


def ring(x: float, y: float, radius: float, *, step_mm: float = 0.5, **more: float) -> Edges:
    turn = np.linspace(0, 2 * np.pi, round(2 * np.pi * radius / step_mm), endpoint=False)
    points = np.array([x, y]) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return edges_along(points, closed=True, **more)  # type: ignore[arg-type]


def together(*parts: Edges, seed: int | None = 0) -> Edges:
    """All points in one, in an order that tells nothing."""
    names = Edges.__dataclass_fields__
    whole = Edges(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})
    return whole if seed is None else whole.only(np.random.default_rng(seed).permutation(len(whole)))


def discs(
    width_mm: float, height_mm: float, px_per_mm: float, each: Sequence[tuple[float, float, float, float, float]]
) -> NDArray[np.float32]:
    """Munsell value of round forms on 4.0: x, y, radius and sigma in mm, and contrast in steps."""
    from scipy.special import ndtr

    x = (np.arange(round(width_mm * px_per_mm)) + 0.5) / px_per_mm
    y = (np.arange(round(height_mm * px_per_mm)) + 0.5) / px_per_mm
    value = np.full((len(y), len(x)), 4.0)
    for at_x, at_y, radius, sigma, contrast in each:
        away = np.hypot(x[None, :] - at_x, y[:, None] - at_y)
        value += contrast * ndtr((radius - away) / sigma)
    return value.astype(np.float32)
