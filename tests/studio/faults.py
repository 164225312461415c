"""Passages painted wrongly at random: ellipses on the canvas that do not touch."""

import numpy as np

Ellipse = tuple[float, float, float, float, float, float]
"""Centre x and y, radii x and y, the amount it is off by, and how soft its border is; mm but for the amount."""


def random_ellipses(
    rng: np.random.Generator,
    size_mm: tuple[float, float],
    *,
    share: float,
    smallest_mm2: float,
    margin: float,
    amounts: tuple[float, float],
) -> tuple[Ellipse, ...]:
    """Eight at most, together about ``share`` of the canvas, their centres ``margin`` of it or more from its edges.

    Each is off by one of ``amounts`` (smallest and largest), up or down.
    """
    width, height = size_mm
    left, made = share * width * height, list[Ellipse]()
    for _ in range(200):
        if left < smallest_mm2 or len(made) == 8:
            break
        area = min(left, float(np.exp(rng.uniform(np.log(smallest_mm2), np.log(12000)))))
        shape = float(np.exp(rng.uniform(-0.5, 0.5)))
        radius = float(np.sqrt(area / np.pi))
        ellipse = (
            float(rng.uniform(margin, 1 - margin) * width),
            float(rng.uniform(margin, 1 - margin) * height),
            radius * shape,
            radius / shape,
            float(rng.choice([-1, 1]) * rng.uniform(*amounts)),
            float(rng.uniform(2, 6)),
        )
        if all(_apart(ellipse, other) for other in made):
            made.append(ellipse)
            left -= area
    return tuple(made)


def _apart(one: Ellipse, other: Ellipse) -> bool:
    reach = max(one[2:4]) + max(other[2:4]) + 12
    return bool(np.hypot(one[0] - other[0], one[1] - other[1]) > reach)
