"""Small scenes of known warmth, and known lights: quick, for what needs no painting."""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import (
    LUMINANCE,
    decode_srgb,
    encode_srgb,
    lab,
    lightness,
    luminance_of_value,
    rgb_from_xyz,
    warmth_of_lab,
    xyz_from_lab,
)
from core.disc import disc_of
from core.size import Size
from core.temperature.neutral import Balance, Source
from core.temperature.pins import RADIUS_MM
from core.temperature.warmth import TO_A, TO_B, warmth
from tests.published.libraries import colour
from tests.studio import references
from tests.studio.lamps import light_of
from tests.studio.painter import grid_mm

Picture = NDArray[np.float32]
BALANCED = Balance(source=Source.LIGHT, kelvin=0.0)
LAMPS = ((3000, 6500, 0.3), (3500, 7500, 0.2), (4000, 6500, 0.3), (3000, 6500, 0.05))
"""Kelvin of the one and the other, and how softly they run into each other, of half the picture."""


def of_warmth(lightness_map: NDArray[np.floating], warmth_map: NDArray[np.floating]) -> Picture:
    """Linear light ``(H, W, 3)`` of colours on the warm-cool axis."""
    stacked = np.stack(np.broadcast_arrays(lightness_map, TO_A * warmth_map, TO_B * warmth_map), axis=-1)
    return rgb_from_xyz(xyz_from_lab(stacked)).astype(np.float32)


def planck_rgb(kelvin: float) -> NDArray[np.float64]:
    x, y = colour.UCS_uv_to_xy(colour.temperature.CCT_to_uv_Ohno2013(np.array([kelvin, 0.0])))
    return rgb_from_xyz([x / y, 1.0, (1 - x - y) / y])


def daylight_rgb(kelvin: float) -> NDArray[np.float64]:
    x, y = colour.temperature.CCT_to_xy_CIE_D(kelvin)
    return rgb_from_xyz([x / y, 1.0, (1 - x - y) / y])


def white_balance_errors(kelvin: float) -> dict[str, NDArray[np.float32]]:
    """Gains a channel of a balance that many kelvin off 6500 K, to either side, in daylight and in lamplight."""
    answer = {}
    for name, light in (("daylight", daylight_rgb), ("blackbody", planck_rgb)):
        for off in (-kelvin, kelvin):
            gains = light(6500 + off) / light(6500)
            answer[f"{off:+.0f} K {name}"] = (gains / (gains @ LUMINANCE)).astype(np.float32)
    return answer


def mixed_light(size: Size, seed: int, shape: tuple[int, ...]) -> Picture:
    """A warm lamp against a cool window on the canvas, ``(H, W, 3)``."""
    x, y = grid_mm(size, shape[1] / size.width_mm)
    return light_of("mixed", seed, size, x.astype(np.float32), y.astype(np.float32))


@cache
def photographs() -> dict[str, Picture]:
    """Photographs that scikit-image carries, 800 pixels wide, taken as 400 mm across."""
    import skimage.data

    answer = {}
    for name in (*references.NAMES, "immunohistochemistry", "stereo_motorcycle"):
        picture = getattr(skimage.data, name)()
        picture = np.ascontiguousarray((picture[0] if isinstance(picture, tuple) else picture)[..., :3])
        height = round(800 * picture.shape[0] / picture.shape[1])
        answer[name] = references.linear(cv2.resize(picture, (800, height), interpolation=cv2.INTER_AREA))
    return answer


def two_lamps(picture: Picture, kind: int, *, seed: int) -> Picture:
    """The picture lit by two of the lamps from opposite sides, in a direction and at a border of the seed's."""
    one, other, soft = LAMPS[kind]
    rng = np.random.default_rng(seed)
    away = rng.uniform(0, 2 * np.pi)
    y, x = np.mgrid[-1 : 1 : complex(picture.shape[0]), -1 : 1 : complex(picture.shape[1])]
    share = 1 / (1 + np.exp(-(x * np.cos(away) + y * np.sin(away) - rng.uniform(-0.2, 0.2)) / soft))[..., None]
    lights = [planck_rgb(kelvin) for kelvin in (one, other)]
    between = np.sqrt(lights[0] * lights[1])
    lights = [light / between / ((light / between) @ LUMINANCE) for light in lights]
    return (picture * (share * lights[0] + (1 - share) * lights[1])).astype(np.float32)


@dataclass(frozen=True)
class TwoFamilies:
    linear: Picture
    in_light: NDArray[np.bool_]
    difference: float


def two_families(seed: int, *, difference: float = 4.0, noise: float = 0.8) -> TwoFamilies:
    """Light and shadow of Munsell value 6.5 and 4 with passages and weave, light warmer by ``difference`` of T, and
    passages of many warmths in both. ``(240, 320)``, at 1 px/mm."""
    rng = np.random.default_rng(seed)

    def clouds(sigma: float) -> Picture:
        soft = cv2.GaussianBlur(rng.normal(size=(240, 320)).astype(np.float32), (0, 0), sigma)
        return soft / soft.std()

    in_light = clouds(rng.uniform(15, 35)) > 0
    told = 8 * clouds(rng.uniform(8, 20)) + np.where(in_light, difference, 0.0)
    value = np.where(in_light, 6.5, 4.0) + noise * clouds(4)
    return TwoFamilies(of_warmth(lightness(luminance_of_value(value)), told), in_light, difference)


def pixel_families(scene: TwoFamilies) -> float:
    """Plus or minus of the difference, were every pixel a sample of its own."""
    told = warmth(scene.linear)
    parts = told[scene.in_light], told[~scene.in_light]
    return float(1.645 * np.sqrt(sum(part.var() / part.size for part in parts)))


def broken_colour(seed: int, *, mark_mm: float, amount: float = 3.0, px_per_mm: float = 4.0) -> tuple[Picture, float]:
    """A passage of one T painted in marks that scatter by ``amount`` of T about it, photographed in 8 bits with grain:
    ``(400, 600, 3)``, and that T."""
    rng = np.random.default_rng(seed)
    shape, mark = (400, 600), mark_mm * px_per_mm
    light, true = rng.uniform(35, 75), float(rng.uniform(-12, 20))
    along = cv2.GaussianBlur(rng.normal(size=shape).astype(np.float32), (0, 0), sigmaX=1.5 * mark, sigmaY=0.4 * mark)
    turn = cv2.getRotationMatrix2D((300, 200), rng.uniform(0, 180), 1.5)
    marks = cv2.warpAffine(along, turn, shape[::-1], borderMode=cv2.BORDER_REFLECT)
    patches = cv2.GaussianBlur(rng.normal(size=shape).astype(np.float32), (0, 0), 0.5 * mark)
    picture = of_warmth(light + 3 * patches / patches.std(), true + amount * marks / marks.std())
    codes = 255 * encode_srgb(np.clip(picture, 0, 1)) + rng.normal(0, 1.5, picture.shape)
    return decode_srgb(np.clip(np.rint(codes), 0, 255) / 255).astype(np.float32), true


def pixel_uncertainty(linear: Picture, x_mm: float, y_mm: float) -> float:
    """Plus or minus of a disc's T, were every pixel a sample of its own."""
    disc = disc_of(linear, x_mm, y_mm, RADIUS_MM, px_per_mm=4.0)
    assert disc is not None
    told = warmth_of_lab(lab(disc.pixels))
    return float(1.645 * told.std() / np.sqrt(told.size))


def through_jpeg(linear: Picture, quality: int = 80) -> Picture:
    """The picture as a photograph of 8 bits hands it on."""
    import io

    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(np.rint(255 * encode_srgb(np.clip(linear, 0, 1))).astype(np.uint8)).save(
        held, "JPEG", quality=quality
    )
    return references.linear(np.asarray(Image.open(held).convert("RGB")))
