"""The classes against the project's table of handbooks and a paint maker's guide, and every tube that comes along."""

import json
from pathlib import Path

import pytest

from core.sitting.drying_classes import PIGMENTS, WEHLTE, DryingClass, drying_class, pigment_drying

TUBES = Path(__file__).parents[3] / "assets" / "tubes.json"

HANDBOOK = {
    # Fast, about 2 days: umbers, raw sienna, lead whites, cobalt and Prussian blues
    DryingClass.FAST: ["PBr7 raw umber", "PBr7 burnt umber", "PBr7 raw sienna", "PW1", "PB28", "PB27"],
    # Medium, about 5: ochres, burnt sienna, ultramarine, viridian, synthetic iron oxides, titanium, zinc, cadmiums
    DryingClass.MEDIUM: ["PY43", "PBr7 burnt sienna", "PB29", "PG18", "PY42", "PR101", "PW6", "PW4", "PY35", "PR108"],
    # Slow: alizarin, quinacridones, arylides, many carbon blacks
    DryingClass.SLOW: ["PR83", "PV19", "PR122", "PY3", "PY74", "PBk6", "PBk7"],
}


@pytest.mark.parametrize(("wanted", "name"), [(each, name) for each, names in HANDBOOK.items() for name in names])
def test_the_class_is_that_of_the_handbooks(wanted: DryingClass, name: str) -> None:
    assert drying_class(name) is wanted


def test_every_tube_that_comes_along_has_a_class() -> None:
    for tube in json.loads(TUBES.read_text(encoding="utf-8"))["tubes"]:
        for name in tube["pigments"] or [""]:
            assert drying_class(name, tube["name"]) is not None, tube["name"]


def test_metals_that_hasten_and_hold_back() -> None:
    # Lead, cobalt and manganese hasten; vermilion holds back (Wehlte 1975)
    assert {drying_class(name) for name in ("PY41", "PB35", "PV16")} == {DryingClass.FAST}
    vermilion = pigment_drying("PR106")
    assert vermilion is not None
    assert vermilion.drying is DryingClass.SLOW
    assert vermilion.source == WEHLTE


@pytest.mark.parametrize("name", ["PBk9", "PBk6", "PW4", "PY35", "PR108", "PO20"])
def test_where_sources_differ_both_classes_are_kept(name: str) -> None:
    # Blacks, zinc and cadmiums: medium with some, slow with others
    told = pigment_drying(name)
    assert told is not None
    assert {told.drying, told.other} == {DryingClass.MEDIUM, DryingClass.SLOW}
    assert f"others have {told.other}" in told.say()


def test_the_earths_of_one_name_are_told_apart_by_the_tube() -> None:
    assert drying_class("PBr7", "Burnt Sienna") is DryingClass.MEDIUM
    assert drying_class("PBr7", "Raw  sienna") is DryingClass.FAST
    alone = pigment_drying("PBr7")
    assert alone is not None
    assert alone.other is DryingClass.MEDIUM


@pytest.mark.parametrize("name", ["pb15", "PB15:3", " PB 15 ", "PB-15", "PB15.3"])
def test_a_name_is_read_as_it_is_written_on_tubes(name: str) -> None:
    assert drying_class(name) is DryingClass.MEDIUM


@pytest.mark.parametrize("name", ["", "PB", "PB9999", "blue", "15", "XPB15", "PB15a", "lead"])
def test_what_is_not_known_has_no_class(name: str) -> None:
    assert drying_class(name) is None


def test_a_tube_without_a_pigment_name_is_found_by_its_own() -> None:
    assert drying_class("", "lead-tin yellow") is DryingClass.FAST
    assert drying_class("PV19", "lead-tin yellow hue") is DryingClass.SLOW


def test_ranks_rise_from_fast_to_slow() -> None:
    assert [each.rank for each in (DryingClass.FAST, DryingClass.MEDIUM, DryingClass.SLOW)] == [0, 1, 2]
    assert all(told.other is not told.drying for told in PIGMENTS.values())


def test_the_tubes_that_come_with_the_program_tell_the_same() -> None:
    """What the list of tubes says of each must not be another thing than its forecast is made from."""
    told = json.loads((Path(__file__).resolve().parents[3] / "assets" / "tubes.json").read_text())["tubes"]
    for tube in told:
        classes = [drying_class(pigment, tube["name"]) for pigment in tube["pigments"] or [tube["name"]]]
        assert tube["drying"] in classes, tube["name"]
