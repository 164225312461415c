"""How well sharpness and glare of photos as they were shot are told, by two and three ways, on known truth.

    python -m tests.measure.rating [sharpness|real|glare]

Sharpness: simulated easels at 12 megapixels, and scikit-image's own photographs blurred and shaken by known amounts.
Glare: simulated canvases, high-key and bare ones among them, before walls, lamps and windows, at 3 megapixels.
"""

import sys
import time
from dataclasses import replace

import cv2
import numpy as np
import skimage.data
from numpy.typing import NDArray

from core.colorimetry import decode_srgb, encode_srgb
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.photo_rating import rate_photo
from core.rating_edges import SAMPLES, Profiles, read_across, region_mask, small_codes
from core.rating_glare import SMALL_PX, burnt_spots, glare_by_reference, glare_of_photo
from core.rating_sharpness import blur_of, sharpness, widths
from tests.measure.photo_blur import SIZE, painting, shaken
from tests.studio import references
from tests.studio.camera import Camera, Shot, canvas_coordinates, photograph, photograph_blank, stand_before
from tests.studio.painter import Painted

EASELS = (
    ("chelsea", 0, 0.8, None), ("chelsea", 0, 2.5, None), ("chelsea", 0, 6.0, None), ("coffee", 0, 0.8, None),
    ("coffee", 2, 0.8, None), ("coffee", 4, 0.8, None), ("coffee", 0, 4.0, None), ("rocket", 0, 3.0, None),
    ("astronaut", 0, 0.8, (10, 0)), ("astronaut", 0, 0.8, (14, 45)), ("chelsea", 0, 0.8, (20, 100)),
    ("chelsea", 4, 5.0, None),
)  # fmt: skip
"""Picture, blur of the paint in mm, of the lens in px, shake in px and degrees."""
REAL = ((0.0, None), (1.5, None), (3.0, None), (0.5, (9, 45)), (0.5, (12, 120)), (0.5, (8, 0)))
NAMES = ("chelsea", "astronaut", "coffee", "rocket")


def reblurred(profiles: Profiles) -> NDArray[np.float64]:
    """Sigma of every edge by the other way: how much its steepest place loses by more blur (Zhuo and Sim 2011)."""
    less, more, middle = 1.2, 3.6, SAMPLES // 2

    def steepest(sigma: float) -> NDArray[np.float64]:
        blurred = cv2.GaussianBlur(profiles.light, (0, 0), sigmaX=sigma, sigmaY=0.01, borderType=cv2.BORDER_REPLICATE)
        return np.abs(np.diff(blurred, axis=1))[:, middle - 9 : middle + 9].max(axis=1)

    ratio = np.maximum((steepest(less) / np.maximum(steepest(more), 1e-9)) ** 2, 1.0001)
    square = (more**2 - ratio * less**2) / (ratio - 1)
    return np.sqrt(np.maximum(square, 0.05)) * 2 * profiles.half_px / (SAMPLES - 1)


def _said(blur: tuple[float, float, float] | None) -> str:
    return "none" if blur is None else f"{blur[0]:5.2f} {blur[1]:5.2f} {np.degrees(blur[2]):4.0f}"


def show_sharpness(name: str, photo: Photo, corners: NDArray[np.float64] | None = None) -> None:
    began = time.process_time()
    found = sharpness(photo, corners, None if corners is None else SIZE)
    took = time.process_time() - began
    profiles = read_across(photo, corners)
    sigma, good = widths(profiles)
    kind, fit = "none" if found is None else found.kind, _said(blur_of(sigma[good], profiles.angle[good]))
    print(
        f"{name:46s} {kind:12s} fit {fit}   re-blurred {_said(blur_of(reblurred(profiles), profiles.angle))}",
        f"  {took:.2f} s",
        flush=True,
    )


def easels() -> None:
    for number, (name, soft, blur, shake) in enumerate(EASELS):
        corners = stand_before(np.random.default_rng(300 + number), SIZE.aspect, fill=0.85)
        setting = ("wall", "easel", "room", "light", "dark")[number % 5]
        camera = Camera(corners, blur_px=blur, exposure=0.8, setting=setting, seed=300 + number)
        shot = photograph(painting(name, soft_mm=float(soft)), camera)
        photo = load_photo_bytes((shot if shake is None else shaken(shot, *map(float, shake))).jpeg(), "canvas.jpg")
        told = f"{name} paint {soft} mm, lens {blur} px, shake {shake}"
        show_sharpness(told, photo)
        show_sharpness(f"{told}, corners", photo, np.asarray(corners))


def real() -> None:
    rng = np.random.default_rng(55)
    for name in (*NAMES, "retina"):
        pixels = getattr(skimage.data, name)()[..., :3]
        for blur, shake in REAL:
            light = decode_srgb(np.arange(256) / 255).astype(np.float32)[pixels]
            light = cv2.GaussianBlur(light, (0, 0), blur) if blur else light
            light = light + rng.normal(0, 0.004, light.shape) * np.sqrt(np.clip(light, 0, 1) + 0.01)
            shot = Shot(np.rint(255 * encode_srgb(np.clip(light, 0, 1))).astype(np.uint8), Camera(()))
            shot = shot if shake is None else shaken(shot, *map(float, shake))
            show_sharpness(f"{name} blurred {blur} px, shaken {shake}", load_photo_bytes(shot.jpeg(), "real.jpg"))


def glare_cases(seed: int) -> list[tuple[str, Painted, Camera, bool]]:
    """Name, painting, camera and whether the canvas is bare."""
    rng = np.random.default_rng(seed)
    paintings = {name: painting(name) for name in NAMES}
    light = paintings["coffee"].linear / paintings["coffee"].linear.max()
    high_key = replace(paintings["coffee"], linear=(0.35 + 0.55 * light).astype(np.float32))
    cases = []
    for number in range(19):
        bare, high = number >= 16, number in range(12, 16)
        name = "bare" if bare else "high key" if high else NAMES[number % 4]
        spots = rng.uniform((30, 30), (370, 270), (1 + number % 3, 2))
        radii = rng.choice([5.0, 10.0, 20.0, 30.0], len(spots))
        glare = tuple((*map(float, at), float(r)) for at, r in zip(spots, radii, strict=True))
        camera = Camera(
            stand_before(rng, SIZE.aspect, fill=0.8, width=2000, height=1500),
            width=2000,
            height=1500,
            exposure=float(rng.uniform(0.55, 1.0)) if not bare else (0.8, 1.1, 1.4)[number - 16],
            glare=glare if number % 2 == 0 and not bare else (),  # type: ignore[arg-type]
            seed=seed + number,
            setting=("wall", "easel", "room", "light", "dark", "frames")[number % 6],
            tone_contrast=0.3 * (number % 3 == 0),
            blur_px=0.7,
            light_ratio=1.5,
        )
        cases.append((name, high_key if high else paintings.get(name, paintings["coffee"]), camera, bare))
    return cases


def glare(seed: int = 77) -> None:
    print("share: true, whatever is burnt out, by the photo, with corners, by the reference; recall, precision, where")
    for name, painted, camera, bare in glare_cases(seed):
        shot = photograph_blank(painted, camera) if bare else photograph(painted, camera)
        photo, corners = load_photo_bytes(shot.jpeg(), "canvas.jpg"), np.asarray(camera.corners)
        small = small_codes(photo, SMALL_PX)
        inside = region_mask(small.shape, photo, corners)
        strong, weak = (_true_glare(painted, camera, least, small.shape[:2]) & inside for least in (0.3, 0.03))
        alone, _ = glare_of_photo(photo)
        told, where = glare_of_photo(photo, corners)
        line = [
            strong.sum() / inside.sum(),
            (burnt_spots(small.min(axis=2)) > 0)[inside].mean(),
            alone.share,
            told.share,
        ]
        if name in NAMES:
            reference = Photo(references.pixels(name, SIZE, width=1600), srgb_curve())
            line.append(glare_by_reference(photo, corners, SIZE, reference)[0].share)
        began = time.process_time()
        rate_photo(photo, corners_px=corners, size=SIZE)
        took = time.process_time() - began
        right = f"{(where & strong).sum() / max(strong.sum(), 1):.2f} {(where & weak).sum() / max(where.sum(), 1):.2f}"
        shares = " ".join(f"{each:.3f}" for each in line)
        print(f"{name:10s} {camera.setting:7s} {shares:32s}  {right}  {told.where}  {took:.2f} s", flush=True)


def _true_glare(painted: Painted, camera: Camera, least: float, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Where glare adds more than ``least``, as reflectance, in a small copy of this shape."""
    x, y = canvas_coordinates(painted, camera)
    light = np.zeros(x.shape, np.float32)
    for gx, gy, radius in camera.glare:
        light += 1.6 * np.exp(-((((x - gx) ** 2 + (y - gy) ** 2) / (2 * radius**2)) ** 2))
    return cv2.resize((light > least).astype(np.float32), shape[::-1], interpolation=cv2.INTER_AREA) > 0.5


if __name__ == "__main__":
    parts = {"sharpness": easels, "real": real, "glare": glare}
    for part in sys.argv[1:] or parts:
        parts[part]()
