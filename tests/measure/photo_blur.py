"""How well the blur of a canvas photo is told, by lens, focus and shake, on paintings sharp and soft.

python -m tests.measure.photo_blur
"""

import time

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.lay_flat import lay_flat
from core.colorimetry import decode_srgb, encode_srgb
from core.edge.photo_blur import PhotoBlur, inner_blur, photo_blur, side_blur
from core.photo import load_photo_bytes
from core.size import Size
from tests.core.edge.cases import FLAT_PX_PER_MM
from tests.studio import references
from tests.studio.camera import Camera, Shot, photograph, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint

SIZE = Size(400, 300)
MAKING_PX_PER_MM = 6.0


def painting(name: str, *, soft_mm: float = 0.0, seed: int = 0) -> Painted:
    """A photograph as paint, all of it blurred first by ``soft_mm``."""
    picture = references.linear(references.pixels(name, SIZE, width=2400))
    if soft_mm:
        picture = cv2.GaussianBlur(picture, (0, 0), soft_mm * MAKING_PX_PER_MM)
    still = Displacement(SIZE)
    return paint(picture, still, brushwork="texture", px_per_mm=MAKING_PX_PER_MM, seed=seed)


def shaken(shot: Shot, length_px: float, angle_deg: float) -> Shot:
    """The same exposure with the camera moved evenly over so many pixels."""
    side = int(length_px) // 2 * 2 + 3
    kernel = np.zeros((side, side), np.float32)
    middle, turn = side // 2, np.radians(angle_deg)
    for at in np.linspace(-length_px / 2, length_px / 2, 201):
        kernel[round(middle + at * np.sin(turn)), round(middle + at * np.cos(turn))] += 1
    linear = decode_srgb(np.arange(256) / 255).astype(np.float32)[shot.pixels]
    light = cv2.filter2D(linear, -1, kernel / kernel.sum())
    return Shot(np.rint(255 * encode_srgb(np.clip(light, 0, 1))).astype(np.uint8), shot.camera)


def told(painted: Painted, blur_px: float, *, setting: str, seed: int, shake: tuple[float, float] | None = None):
    """What is told, the truth across and down in mm, and what the sides and the paint said."""
    corners = stand_before(np.random.default_rng(seed), SIZE.aspect, fill=0.85)
    camera = Camera(corners, blur_px=blur_px, exposure=0.8, setting=setting, seed=seed)
    shot = photograph(painted, camera)
    across = down = blur_px**2 + 1 / 12
    if shake is not None:
        shot = shaken(shot, *shake)
        turn = np.radians(shake[1])
        across += (shake[0] * np.cos(turn)) ** 2 / 12
        down += (shake[0] * np.sin(turn)) ** 2 / 12
    photo = load_photo_bytes(shot.jpeg(), "canvas.jpg")
    flat = lay_flat(photo, corners, SIZE, k1=0.0, px_per_mm=FLAT_PX_PER_MM)
    canvas = CanvasMap(np.asarray(corners), SIZE, photo.width, photo.height, 0.0)
    density = float(canvas.scales([(SIZE.width_mm / 2, SIZE.height_mm / 2)]).mean())
    began = time.process_time()
    found = photo_blur(photo, np.asarray(corners), 0.0, flat)
    took = time.process_time() - began
    truth: NDArray[np.float64] = np.sqrt([across, down]) / density
    return found, truth, [side_blur(photo, canvas, n) for n in range(4)], inner_blur(flat), took


def main() -> None:
    print("picture    paint mm  lens px  shake px,deg   true mm      told mm      known  sides               paint")
    cases = [("chelsea", 0.0, b, None) for b in (0.6, 1.5, 3.0, 5.0)]
    cases += [("coffee", 0.0, b, None) for b in (0.8, 2.0, 4.0)]
    cases += [("coffee", 2.0, b, None) for b in (0.8, 3.0)] + [("rocket", 1.0, 0.8, None)]
    cases += [("astronaut", 0.0, 0.8, s) for s in ((10.0, 0.0), (10.0, 90.0), (14.0, 45.0))]
    for number, (name, soft, blur, shake) in enumerate(cases):
        setting = ("wall", "easel", "room", "light", "dark")[number % 5]
        _print(
            name,
            soft,
            blur,
            shake,
            *told(painting(name, soft_mm=soft), blur, setting=setting, seed=number, shake=shake),
        )


def _print(name, soft, blur, shake, found: PhotoBlur, truth, sides, inner, took: float) -> None:
    print(
        f"{name:10s} {soft:7.1f} {blur:8.1f}  {shake!s:14s} {truth[0]:.2f} {truth[1]:.2f}   {found.across_mm:.2f} "
        f"{found.down_mm:.2f}   {found.known!s:5s}  {' '.join(f'{s:.2f}' for s in sides)}   "
        f"{inner[0]:.2f} {inner[1]:.2f}   {took:.2f} s",
        flush=True,
    )


if __name__ == "__main__":
    main()
