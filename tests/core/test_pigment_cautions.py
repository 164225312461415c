"""What is said of pigments, beside the tubes that come with the program and what is known of their chemistry."""

import pytest

from assets.tube_figures import STAINS
from core.paint.tubes import tubes
from core.pigment_cautions import DUST_CAUTION, PIGMENT_CAUTIONS, SHEET, pigment_cautions


def keys(*pigments: str, name: str = "") -> list[str]:
    return [each.key for each in pigment_cautions(pigments, name)]


@pytest.mark.parametrize("name", tubes())
def test_every_tube_says_the_same_by_its_pigments(name: str) -> None:
    """So that a painter's own tube of a pigment is told of as the program's own is."""
    tube = tubes()[name]
    assert {each.say for each in pigment_cautions(tube.pigments, name)} == set(tube.cautions) - {STAINS}


@pytest.mark.parametrize(
    ("pigment", "word"),
    [
        # metals by the names of the compounds in the Colour Index, from memory
        ("PW1", "lead"), ("PR105", "lead"), ("PY41", "antimony"), ("PY34", "chromate"), ("PR104", "chromate"),
        ("PY34", "lead"), ("PY31", "chromate"), ("PY36", "chromate"), ("PR108", "cadmium"), ("PY35", "cadmium"),
        ("PY37", "cadmium"), ("PO20", "cadmium"), ("PO23", "mercury"), ("PO23", "cadmium"), ("PR106", "mercury"),
        ("PB28", "cobalt"), ("PB35", "cobalt"), ("PB36", "cobalt"), ("PG19", "cobalt"), ("PG50", "cobalt"),
        ("PV14", "cobalt"), ("PY40", "cobalt"), ("PG21", "arsenic"), ("PY39", "arsenic"), ("PV16", "manganese"),
        ("PB33", "manganese"), ("PB33", "barium"), ("PY53", "nickel"), ("PBr24", "antimony"), ("PG18", "chromium"),
        ("PW4", "brittle"), ("PB27", "acids"), ("PR83", "fades"),
    ],
)  # fmt: skip
def test_what_is_in_a_pigment_is_said(pigment: str, word: str) -> None:
    assert word in " ".join(each.say for each in pigment_cautions([pigment])).casefold()


def test_chromium_oxide_is_told_from_chromate() -> None:
    assert keys("PG17") == ["chromium"]
    assert "cancer" not in pigment_cautions(["PG18"])[0].say
    assert "cancer" in pigment_cautions(["PY34"])[0].say


def test_shade_case_and_blanks_do_not_count() -> None:
    for written in ("PR108", "pr108", " PR 108:1 ", "PR-108", "PR0108"):
        assert keys(written) == ["cadmium"]
    assert keys("PR10") == keys("PR1081") == ["dust"]


def test_a_pigment_counts_before_the_name_of_the_tube() -> None:
    assert keys("PR254", name="cadmium red") == ["dust"]
    assert keys(name="cadmium red") == ["cadmium"]
    assert keys(name="Cadmium Red Hue") == keys(name="cadmium-free red") == ["dust"]
    assert keys(name="  Flake   White ") == keys(name="lead-tin yellow") == ["lead"]
    assert keys("PBr7", name="raw umber") == ["manganese"]
    assert keys("PBr7", name="burnt sienna") == keys("PBr7") == ["dust"]


def test_dust_is_said_where_nothing_else_of_health_is_and_film_comes_last() -> None:
    assert keys() == keys("PB29") == keys("no such pigment") == ["dust"]
    assert keys("PW4") == ["dust", "brittle"]
    assert keys("PW4", "PR106", "PB29") == ["mercury", "brittle", "darkens"]


def test_every_sentence_is_whole_and_has_its_source() -> None:
    told = [*PIGMENT_CAUTIONS, DUST_CAUTION]
    assert len({each.key for each in told}) == len(told)
    for each in told:
        assert each.warn.endswith(".")
        assert each.say.count(".") <= 2
        assert each.source
        assert each.say.endswith(SHEET) != each.film
        assert not (each.film and each.poison)
        for pigment in each.pigments:
            assert each in pigment_cautions([pigment])
        for name in each.names:
            assert each in pigment_cautions([], name.title())
