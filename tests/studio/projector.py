"""A simulated projector before a simulated canvas: the light it adds to the room's own, out by a known amount."""

from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import homography, project
from core.colorimetry import decode_srgb
from core.drawing.projection import Points, Projection
from core.size import Size
from tests.studio.camera import Camera, Shot, photograph
from tests.studio.painter import Painted, grid_mm


@dataclass(frozen=True, eq=False)
class Projector:
    """``out_mm``: ``(4, 2)``, how far the projected corners fall from the canvas's own, x right, y down.

    ``ambient``: the room's light as a share of the projector's white. ``blur_mm``: its focus. ``leak``: of its black.
    """

    projection: Projection
    out_mm: Points
    ambient: float = 0.2
    blur_mm: float = 0.4
    leak: float = 0.002

    def light(self, codes: NDArray[np.uint8], painted: Painted) -> NDArray[np.float32]:
        """What the screen's codes ``(H, W)`` throw onto the canvas, ``(H, W)`` on the painting's own grid, 1 white."""
        at = self._screen_px(painted.size, painted.px_per_mm)
        sent = decode_srgb(codes / 255).astype(np.float32) * (1 - self.leak) + self.leak
        fallen = cv2.remap(sent, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
        return np.asarray(cv2.GaussianBlur(fallen, (0, 0), self.blur_mm * painted.px_per_mm))

    @lru_cache(maxsize=2)  # noqa: B019 a projector shines on one painting, with two or three pictures
    def _screen_px(self, canvas: Size, px_per_mm: float) -> NDArray[np.float32]:
        """Which screen pixel lights each place of the painting's grid, ``(H, W, 2)``."""
        size = self.projection.size
        face = np.array([[0, 0], [size.width_mm, 0], [size.width_mm, size.height_mm], [0, size.height_mm]])
        # meant mm to fallen mm; the projector's own optics are this after the inverse of the screen's corners.
        self_out = homography(face + self.out_mm, size)
        meant = project(np.linalg.inv(self_out), np.stack(grid_mm(canvas, px_per_mm), axis=-1))
        return np.asarray(self.projection.mm_to_px(meant).astype(np.float32))

    def shoot(self, codes: NDArray[np.uint8], painted: Painted, camera: Camera, *, peak: float = 0.9) -> Shot:
        """A photograph of the canvas while the screen shows ``codes``; exposed so that white paint would read ``peak``
        under all of the light that falls anywhere."""
        light = self.light(codes, painted) + self.ambient
        lit = (painted.linear * light[..., None]).astype(np.float32)
        exposure = peak / float(np.percentile(lit, 99.5))
        return photograph(replace(painted, linear=lit, meant=lit), replace(camera, exposure=exposure))
