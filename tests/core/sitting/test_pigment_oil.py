"""What pigments take of oil."""

import pytest

from core.paint.tubes import tubes
from core.sitting.pigment_oil import PETTENKOFER, PIGMENTS, OilNeed, oil_need

# Parts of oil to 100 parts of pigment by weight: Pettenkofer, Über Ölfarbe, 1870, from memory.
PARTS = {
    "PW1": 12,
    "PW4": 14,
    "PG17": 15,
    "PY34": 19,
    "PR106": 25,
    "PR101": 31,
    "NR9": 62,
    "PY43": 66,
    "PG23": 100,
    "PB27": 106,
    "PBk9": 112,
    "PB28": 125,
    "PBr7": 181,
}


def test_more_oil_is_never_a_leaner_class() -> None:
    classes = [PIGMENTS[name].need.rank for name in sorted(PARTS, key=lambda name: PARTS[name])]
    assert classes == sorted(classes)
    assert set(classes) == {0, 1, 2}


@pytest.mark.parametrize("name", PARTS)
def test_classes_are_those_of_the_published_parts(name: str) -> None:
    parts = PARTS[name]
    assert PIGMENTS[name].source == PETTENKOFER
    assert oil_need(name) is (OilNeed.LITTLE if parts <= 25 else OilNeed.MUCH if parts >= 75 else OilNeed.MIDDLING)


@pytest.mark.parametrize(
    ("name", "need"),
    [
        ("PB15:3", OilNeed.MIDDLING),
        (" pbk 9 ", OilNeed.MUCH),
        ("PBr7 burnt umber", OilNeed.MUCH),
        ("PW06", OilNeed.LITTLE),
        ("PB154", None),
        ("PW", None),
        ("mine", None),
        ("", None),
    ],
)
def test_names_are_read_as_they_are_written(name: str, need: OilNeed | None) -> None:
    assert oil_need(name) is need


def test_umbers_siennas_and_carbon_blacks_are_fatter_than_lead_and_titanium_white() -> None:
    held = tubes()
    fat = ["raw umber", "burnt umber", "raw sienna", "burnt sienna", "ivory black", "lamp black"]
    for name in fat:
        (pigment,) = held[name].pigments
        assert oil_need(pigment) is OilNeed.MUCH
    assert oil_need("PW1") is oil_need("PW6") is OilNeed.LITTLE
