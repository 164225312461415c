"""Known truths that several tests look at: made once."""

import pytest

from tests.core import three_paintings
from tests.core.temperature.cases import Case, WarmthFault, make, make_square_on, recipe_of
from tests.core.three_paintings import ELLIPSES, SOFT_MM

AMOUNTS = (-9.0, 11.0, 12.0, -13.0, -8.0)
FAULTS = tuple(WarmthFault(*at, off, soft) for at, off, soft in zip(ELLIPSES, AMOUNTS, SOFT_MM, strict=True))


@pytest.fixture(scope="session")
def photographed() -> Case:
    recipe = recipe_of(40, reference="chelsea", exposure=0.7)
    return make(three_paintings.photographed(recipe), FAULTS, px_per_mm=2.0)


@pytest.fixture(scope="session")
def near_lamp() -> Case:
    recipe = recipe_of(41, reference="astronaut", exposure=0.6)
    return make_square_on(three_paintings.near_lamp(recipe), FAULTS)


@pytest.fixture(scope="session")
def right() -> Case:
    return make_square_on(three_paintings.right(recipe_of(42, reference="coffee", exposure=0.6)), ())
