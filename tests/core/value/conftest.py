"""Known truths that several tests look at: made once."""

import pytest

from tests.core.value.cases import Case, Recipe, make, make_square_on
from tests.studio.painter import ValueFault

FAULTS = (
    ValueFault(110, 90, 45, 30, -0.8),
    ValueFault(300, 210, 30, 42, 1.3),
    ValueFault(60, 250, 24, 20, 1.8, soft_mm=5),
    ValueFault(330, 60, 18, 18, -1.6),
    ValueFault(200, 170, 40, 25, -1.1),
)
"""Together 12 % of a 400 x 300 mm canvas."""


@pytest.fixture(scope="session")
def photographed() -> Case:
    """Stroke by stroke, through the whole camera at 2000 x 1500, in 2:1 light with a cast of 15 %, as a JPEG."""
    recipe = Recipe(
        3, reference="chelsea", faults=FAULTS, light_ratio=2.0, vignetting=0.25, width=2000, glare=1, exposure=0.8
    )
    return make(recipe, px_per_mm=2.0)


@pytest.fixture(scope="session")
def near_lamp() -> Case:
    """Another picture, with the hot spot of a lamp close by, seen squarely."""
    recipe = Recipe(
        8, reference="coffee", faults=FAULTS, light_ratio=1.6, hot_spot=0.35, brushwork="texture", glare=2, exposure=0.7
    )
    return make_square_on(recipe)


@pytest.fixture(scope="session")
def right() -> Case:
    """Painted without a fault of value, its forms up to 3 mm out of place."""
    return make_square_on(Recipe(4, reference="astronaut", faults=(), brushwork="texture", glare=0))
