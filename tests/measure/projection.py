"""How surely a projection is measured, on known truth: ``python -m tests.measure.projection [pairs]``.

Pairs of 4-megapixel photographs: four canvases painted from real photographs, the projection 1-15 mm out, room light
5-50 % of the projector's, a hand that moved in between, each canvas found by its outline.
"""

import sys
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.drawing.projection import Projection
from core.drawing.projection_check import check_projection
from core.drawing.projection_marks import rendered_marks
from core.errors import PainterError
from core.photo import load_photo_bytes
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint
from tests.studio.projector import Projector

SIZE = Size(400, 300)
ROOM_LIGHT = (0.05, 0.1, 0.2, 0.35, 0.5)


def canvases() -> list[Painted]:
    return [
        paint(
            references.linear(references.pixels(name, SIZE, width=1600)), Displacement(SIZE), brushwork="texture",
            px_per_mm=4.0,
        )
        for name in references.NAMES
    ]  # fmt: skip


def error(seed: int, painted: list[Painted]) -> NDArray[np.float64]:
    """Found less true dx and dy of the four corners ``(4, 2)`` mm. Raises PainterError when there is no answer."""
    rng = np.random.default_rng(seed)
    fitted = Projection.fitted(SIZE, 1920, 1080)
    thrown = fitted.moved(fitted.corners_px + rng.uniform(-60, 60, (4, 2)))
    far, angle = rng.uniform(1, 15), rng.uniform(0, 2 * np.pi, 4)
    out = far * rng.uniform(0.5, 1, (4, 1)) * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    projector = Projector(thrown, out, ambient=ROOM_LIGHT[seed % 5])
    stand = stand_before(rng, SIZE.aspect, width=2400, height=1800)
    first = Camera(stand, width=2400, height=1800, k1=-0.03, setting="wall", seed=2 * seed)
    moved = np.array(first.corners) + rng.normal(0, 25, 2) + rng.normal(0, 4, (4, 2))
    second = replace(first, corners=tuple(map(tuple, moved)), seed=2 * seed + 1)
    sent = (np.zeros((1080, 1920), np.uint8), rendered_marks(thrown))
    dark, lit = (
        load_photo_bytes(projector.shoot(codes, painted[seed % 4], camera).jpeg(), "shot.jpg")
        for codes, camera in zip(sent, (first, second), strict=True)
    )
    found = check_projection(dark, lit, thrown).corners
    return np.array([[corner.dx_mm, corner.dy_mm] for corner in found]) - out


def main() -> None:
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    painted, errors = canvases(), []
    for seed in range(pairs):
        try:
            errors.append(error(seed, painted))
        except PainterError as refused:
            print(f"pair {seed}: {refused}")
    every = np.abs(np.array(errors))
    rms, most = float(np.sqrt((every**2).mean())), float(every.max())
    print(
        f"{len(errors)} of {pairs} pairs answered: RMS {rms:.3f} mm, 95 % within {np.percentile(every, 95):.3f}, "
        f"worst {most:.3f}"
    )


if __name__ == "__main__":
    main()
