"""Known truths that several tests look at: made once."""

import pytest

from tests.core import three_paintings
from tests.core.three_paintings import ELLIPSES, SOFT_MM
from tests.core.value.cases import Case, Recipe, make, make_square_on
from tests.studio.painter import ValueFault

STEPS = (-0.8, 1.3, 1.8, -1.6, -1.1)
FAULTS = tuple(ValueFault(*at, off, soft) for at, off, soft in zip(ELLIPSES, STEPS, SOFT_MM, strict=True))


@pytest.fixture(scope="session")
def photographed() -> Case:
    recipe = Recipe(3, reference="chelsea", faults=FAULTS, exposure=0.8)
    return make(three_paintings.photographed(recipe), px_per_mm=2.0)


@pytest.fixture(scope="session")
def near_lamp() -> Case:
    recipe = Recipe(8, reference="coffee", faults=FAULTS, exposure=0.7)
    return make_square_on(three_paintings.near_lamp(recipe))


@pytest.fixture(scope="session")
def right() -> Case:
    return make_square_on(three_paintings.right(Recipe(4, reference="astronaut", faults=())))
