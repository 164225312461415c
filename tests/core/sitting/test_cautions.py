"""Which cautions are said of which work, and that none is said without its source."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sitting.cautions import (
    ALKYD,
    BRUSHES,
    CHILDREN,
    DEFER,
    FLAMES,
    FOOD,
    RAGS,
    SANDING,
    SANDING_POISON,
    SKIN,
    THICK,
    VAPOUR,
    VARNISH,
    WASTE,
    Caution,
    Place,
    Work,
    cautions_at,
    cautions_for,
)
from core.sitting.layer import Layer, Medium, Thickness

ALWAYS = {SKIN, FOOD, CHILDREN, RAGS, WASTE}
CADMIUM, COBALT, WHITE = ("cadmium red", ("PR108",)), ("cobalt blue", ("PB28",)), ("titanium white", ("PW6",))
TUBES = (CADMIUM, COBALT, WHITE, ("cadmium yellow", ("PY35",)), ("zinc white", ("PW4",)), ("Prussian blue", ("PB27",)))

works = st.builds(
    Work,
    mediums=st.lists(st.sampled_from(Medium), unique=True).map(tuple),
    tubes=st.lists(st.sampled_from(TUBES), unique=True).map(tuple),
    thicknesses=st.lists(st.sampled_from(Thickness), unique=True).map(tuple),
    cleaning=st.booleans(),
    sanding=st.booleans(),
    varnishing=st.booleans(),
)


def said(work: Work) -> set[Caution]:
    return set(cautions_for(work))


@settings(max_examples=60, deadline=None)
@given(works)
def test_each_is_said_when_it_applies_and_only_then(work: Work) -> None:
    told = cautions_for(work)
    assert len({(each.key, each.tubes) for each in told}) == len(told)
    assert set(told) >= ALWAYS
    lean = not work.cleaning and not work.varnishing and set(work.mediums) <= {Medium.STRAIGHT}
    applies = {
        VAPOUR: not lean,
        FLAMES: not lean,
        ALKYD: Medium.ALKYD in work.mediums,
        THICK: Thickness.THICK in work.thicknesses,
        SANDING: work.sanding,
        VARNISH: work.varnishing,
        BRUSHES: work.cleaning,
    }
    assert {each: each in told for each in applies} == applies
    places = [list(Place).index(each.place) for each in told]
    assert places == sorted(places)
    assert [each for place in Place for each in cautions_at(place, work)] == list(told)
    of_tubes = {name for each in cautions_at(Place.TUBES, work) for name in each.tubes}
    assert of_tubes == {name for name, _ in work.tubes} - {"titanium white"}


def test_fire_and_vapour_are_said_with_every_medium_that_may_hold_solvent() -> None:
    for medium, cleaning in product(Medium, (False, True)):
        work = Work((medium,), cleaning=cleaning)
        assert ({VAPOUR, FLAMES} <= said(work)) == (cleaning or medium is not Medium.STRAIGHT)
    assert {VAPOUR, FLAMES, RAGS} <= said(Work())


def test_dust_is_said_where_no_tube_is_told() -> None:
    assert [each.key for each in cautions_at(Place.TUBES, Work())] == ["dust"]


def test_a_pigment_is_told_once_with_all_its_tubes_the_poisonous_first() -> None:
    told = cautions_at(Place.TUBES, Work(tubes=TUBES))
    assert [each.key for each in told] == ["cadmium", "cobalt", "heat and acids", "brittle", "dust"]
    assert (
        told[0].line == "Cadmium red, cadmium yellow: holds cadmium: do not swallow it, spray it or breathe its dust."
    )
    assert told[0].title == "Cadmium"
    assert told[-1].tubes == ()
    assert told[-1].line == "Do not sand dry paint or breathe its dust."


def test_what_is_poisonous_is_not_rubbed_down() -> None:
    (wet, never) = cautions_at(Place.LAYER, Work(tubes=TUBES, sanding=True))
    assert wet == SANDING
    assert never.key == SANDING_POISON.key
    assert never.tubes == ("cadmium red", "cobalt blue", "cadmium yellow")
    assert never.line.startswith("Cadmium red, cobalt blue, cadmium yellow: do not rub it down at all")
    assert cautions_at(Place.LAYER, Work(tubes=(WHITE,), sanding=True)) == (SANDING,)


def test_the_work_of_layers() -> None:
    layers = [
        Layer(Medium.SOLVENT, Thickness.THIN, ("PBr7", "PW6")),
        Layer(Medium.ALKYD, Thickness.THICK, ("PW6", "PR108")),
        Layer(Medium.SOLVENT, Thickness.THIN),
    ]
    work = Work.of_layers(layers, [("raw umber", ("PBr7",)), WHITE], sanding=True)
    assert work == Work(
        (Medium.SOLVENT, Medium.ALKYD), (("raw umber", ("PBr7",)), WHITE, ("PR108", ("PR108",))),
        (Thickness.THIN, Thickness.THICK), sanding=True,
    )  # fmt: skip
    lines = [each.line for each in cautions_for(work)]
    assert any(line.startswith("Raw umber: holds manganese") for line in lines)
    assert any(line.startswith("PR108: holds cadmium") for line in lines)
    assert Work.of_layers([]) == Work()


@pytest.mark.parametrize(
    ("caution", "words"),
    [
        # NFPA, Safety with Oily Rags (2017): never pile; dry spread outdoors; then in a metal can with water
        (RAGS, ("heap", "flat outdoors", "under water", "metal can")),
        (VAPOUR, ("fresh air", "closed")),
        (FLAMES, ("no flame", "no smoking")),
        (WASTE, ("hazardous waste",)),
        (FOOD, ("eat, drink or smoke", "lips")),
        (CHILDREN, ("poison centre", "label")),
        (SKIN, ("gloves", "never with solvent")),
    ],
)
def test_what_matters_is_in_the_sentences(caution: Caution, words: tuple[str, ...]) -> None:
    assert all(word in caution.say for word in words)


def test_all_are_sentences_with_a_source_and_all_defer_to_the_label() -> None:
    work = Work(tuple(Medium), TUBES, tuple(Thickness), sanding=True, varnishing=True)
    for each in cautions_for(work):
        assert each.line.endswith(".")
        assert each.line[0].isupper()
        assert each.line.count(". ") <= 1
        assert each.title
        assert each.when
        assert any(word in each.source for word in ("NFPA", "CFR", "ASTM", "from memory", "no source"))
    assert all(word in DEFER for word in ("label", "safety data sheet", "rules where you live"))
