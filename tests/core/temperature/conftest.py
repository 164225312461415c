"""Known truths that several tests look at: made once."""

import pytest

from tests.core.temperature.cases import Case, WarmthFault, make, make_square_on, recipe_of

FAULTS = (
    WarmthFault(110, 90, 45, 30, -9.0),
    WarmthFault(300, 210, 30, 42, 11.0),
    WarmthFault(60, 250, 24, 20, 12.0, soft_mm=5),
    WarmthFault(330, 60, 20, 18, -13.0),
    WarmthFault(200, 170, 40, 25, -8.0),
)
"""Together 12 % of a 400 x 300 mm canvas."""


@pytest.fixture(scope="session")
def photographed() -> Case:
    """Stroke by stroke, through the whole camera at 2000 x 1500, in 2:1 light with a cast of 15 %, as a JPEG."""
    recipe = recipe_of(
        40, reference="chelsea", size_mm=(400.0, 300.0), brushwork="strokes", light_ratio=2.0, vignetting=0.25,
        width=2000, glare=1, exposure=0.7,
    )  # fmt: skip
    return make(recipe, FAULTS, px_per_mm=2.0)


@pytest.fixture(scope="session")
def near_lamp() -> Case:
    """Another picture, with the hot spot of a lamp close by, seen squarely."""
    recipe = recipe_of(
        41, reference="astronaut", size_mm=(400.0, 300.0), brushwork="texture", light_ratio=1.6, hot_spot=0.35,
        glare=2, exposure=0.6,
    )  # fmt: skip
    return make_square_on(recipe, FAULTS)


@pytest.fixture(scope="session")
def right() -> Case:
    """Painted without a fault of temperature, its forms up to 3 mm out of place."""
    recipe = recipe_of(
        42, reference="coffee", size_mm=(400.0, 300.0), brushwork="texture", glare=0, exposure=0.6, largest_mm=3.0
    )
    return make_square_on(recipe, ())
