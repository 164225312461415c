"""The three paintings that the questions of value and of temperature are asked of, with faults of either kind."""

from dataclasses import replace

from tests.core.value.cases import Recipe

ELLIPSES = ((110, 90, 45, 30), (300, 210, 30, 42), (60, 250, 24, 20), (330, 60, 18, 18), (200, 170, 40, 25))
"""Centre and radii of the faults, mm: together 12 % of a 400 x 300 mm canvas."""
SOFT_MM = (3, 3, 5, 3, 3)


def photographed(recipe: Recipe) -> Recipe:
    """Stroke by stroke, through the whole camera at 2000 x 1500, in 2:1 light with a cast of 15 %, as a JPEG."""
    return replace(
        recipe, size_mm=(400.0, 300.0), brushwork="strokes", light_ratio=2.0, vignetting=0.25, width=2000, glare=1
    )


def near_lamp(recipe: Recipe) -> Recipe:
    """Another picture, with the hot spot of a lamp close by, seen squarely."""
    return replace(recipe, size_mm=(400.0, 300.0), brushwork="texture", light_ratio=1.6, hot_spot=0.35, glare=2)


def right(recipe: Recipe) -> Recipe:
    """Painted without a fault, its forms up to 3 mm out of place."""
    return replace(recipe, size_mm=(400.0, 300.0), brushwork="texture", largest_mm=3.0, glare=0)
