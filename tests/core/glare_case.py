"""A small painting photographed twice with the lamp moved: each photo with glare, corners and light of its own."""

from dataclasses import replace
from functools import cache

from core.photo import Photo, load_photo_bytes
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, paint

Spots = tuple[tuple[float, float, float], ...]
"""Specular spots: x, y and radius, mm."""
SIZE = Size(200, 150)
HERE = ((150.0, 110.0), (1062.0, 118.0), (1055.0, 790.0), (143.0, 800.0))
THERE = ((170.0, 95.0), (1050.0, 110.0), (1061.0, 770.0), (150.0, 780.0))
FIRST, SECOND = ((60.0, 50.0, 7.0), (150.0, 105.0, 9.0)), ((110.0, 110.0, 8.0), (35.0, 120.0, 6.0))
BOTH = (100.0, 60.0, 6.0)


@cache
def painted(name: str = "chelsea") -> Painted:
    encoded = references.pixels(name, SIZE, width=800)
    return paint(references.linear(encoded), Displacement(SIZE), brushwork="texture", px_per_mm=4.0)


@cache
def jpeg(glare: Spots, corners: tuple[tuple[float, float], ...] = HERE, of: str = "chelsea") -> bytes:
    """A photo of the painting ``of`` a picture with glare; from ``THERE`` the light is another too."""
    camera = Camera(corners, width=1200, height=900, exposure=0.7, light_ratio=1.3, glare=glare, seed=len(of))
    if corners is THERE:
        camera = replace(camera, light_from_deg=20.0, white_balance=(1.05, 1.0, 0.92), seed=9)
    return photograph(painted(of), camera).jpeg()


@cache
def shot(glare: Spots, corners: tuple[tuple[float, float], ...] = HERE, of: str = "chelsea") -> Photo:
    return load_photo_bytes(jpeg(glare, corners, of), f"{of}.jpg")
