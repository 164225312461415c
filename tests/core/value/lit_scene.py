"""A small canvas of painted clouds in known light, with things on and beside it: quick, for what needs no brushwork."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix
from core.photo import Photo, load_photo_bytes
from core.size import Size
from tests.studio.camera import Camera, replace_pixels
from tests.studio.lamps import Lying, light_of, photograph_lit
from tests.studio.painter import Painted

SIZE = Size(200, 150)
PX_PER_MM = 2.0
CAMERA = Camera(
    ((330, 210), (875, 225), (868, 640), (322, 628)),
    width=1200,
    height=900,
    exposure=0.6,
    white_balance=(1.12, 1.0, 0.88),
    vignetting=0.15,
    blur_px=0.6,
    seed=4,
)


@dataclass(frozen=True)
class Scene:
    photo: Photo
    fix: CanvasFix
    canvas: Flat
    reference: Flat
    true_log: NDArray[np.float64]
    """Natural logarithm ``(h, w, 3)`` of the light, the camera's exposure and balance with it, on a 5 mm grid."""

    def to_px(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        place = CanvasMap(self.fix.corners_px, SIZE, self.photo.width, self.photo.height, self.fix.k1)
        x, y = place.mm_to_px((x_mm, y_mm))
        return float(x), float(y)


@lru_cache(maxsize=1)
def clouds() -> NDArray[np.float32]:
    """Soft forms of all values, ``(450, 600, 3)``."""
    rng = np.random.default_rng(11)
    forms = cv2.GaussianBlur(rng.normal(size=(450, 600)).astype(np.float32), (0, 0), 22)
    fine = cv2.GaussianBlur(rng.normal(size=(450, 600)).astype(np.float32), (0, 0), 2)
    value = 0.32 * np.exp(0.7 * forms / forms.std() + 0.08 * fine / fine.std())
    tint = np.stack([1 + 0.08 * forms / forms.std(), np.ones_like(forms), 1 - 0.08 * forms / forms.std()], axis=2)
    return np.clip(value[..., None] * tint, 0.02, 0.9).astype(np.float32)


def scene(
    lying: Sequence[Lying] = (),
    *,
    kind: str = "window",
    seed: int = 2,
    camera: Camera = CAMERA,
    bare: float | None = None,
) -> Scene:
    """The canvas photographed with things lying on and beside it, laid flat by its true corners."""
    picture = clouds()
    painted = Painted(picture, picture, 3.0, SIZE)
    shot = photograph_lit(painted, camera, kind, seed, lying, bare=bare)
    return _laid(shot.jpeg(), kind, seed, camera)


def _laid(jpeg: bytes, kind: str, seed: int, camera: Camera) -> Scene:
    photo = load_photo_bytes(jpeg, "canvas.jpg")
    corners = np.asarray(camera.corners, dtype=np.float64)
    fix = CanvasFix(corners, "given", camera.k1, 2.7, 0.1, 1.0)
    canvas = lay_flat(photo, corners, SIZE, k1=camera.k1, px_per_mm=PX_PER_MM)
    reference = cv2.resize(clouds(), canvas.linear.shape[1::-1], interpolation=cv2.INTER_AREA)
    x, y = np.meshgrid(np.arange(2.5, 200, 5, np.float32), np.arange(2.5, 150, 5, np.float32))
    at = CanvasMap(corners, SIZE, camera.width, camera.height, camera.k1).mm_to_px(np.stack([x, y], axis=-1))
    r2 = ((at - np.array([camera.width, camera.height]) / 2) ** 2).sum(axis=-1)
    r2 /= (np.hypot(camera.width, camera.height) / 2) ** 2
    light = light_of(kind, seed, SIZE, x, y) * (camera.exposure * (1 - camera.vignetting * r2))[..., None]
    return Scene(photo, fix, canvas, Flat(reference, PX_PER_MM, SIZE), np.log(light * np.array(camera.white_balance)))


def of_pixels(linear: NDArray[np.floating], camera: Camera = CAMERA) -> Photo:
    """A photo of any picture ``(H, W, 3)``, no canvas in it."""
    from dataclasses import replace

    seen = replace(camera, width=linear.shape[1], height=linear.shape[0])
    shot = replace_pixels(linear.astype(np.float32), seen, np.random.default_rng(3))
    return load_photo_bytes(shot.jpeg(), "photo.jpg")
