import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import PaintError
from core.paint.palette import MOST_TUBES, Palette, palette_named, palettes, parse_palette, without_white
from core.paint.tubes import tubes

names = st.lists(st.sampled_from(list(tubes())), min_size=1, max_size=MOST_TUBES, unique=True)


def test_the_start_set() -> None:
    assert palettes()[0] == Palette("ochre, black and white", ("yellow ochre", "ivory black", "titanium white"))
    assert len({each.name for each in palettes()}) == len(palettes()) >= 5
    for palette in palettes():
        assert list(palette.held()) == list(palette.tubes)
        assert palette.white == "titanium white"
    assert {len(each.tubes) for each in palettes()} >= {2, 3, 4, 7, 9, 12}


def test_what_a_palette_leaves_out_it_leaves_out() -> None:
    said = " ".join(
        caution.casefold()
        for tube in palette_named("no lead, cadmium or cobalt").held().values()
        for caution in tube.cautions
    )
    assert not any(metal in said for metal in ("lead", "cadmium", "cobalt", "mercury", "antimony"))


def test_white_and_black() -> None:
    palette = Palette("dark", ("burnt umber", "Mars black", "ivory black"))
    assert (palette.white, palette.black) == (None, "Mars black")
    assert palettes()[0].black == "ivory black"
    with pytest.raises(PaintError, match=r"“dark” has no white.*Add titanium white"):
        palette.needed_white()
    assert without_white(palette).count(".") == 2
    assert Palette("zinc", ("ultramarine", "zinc white", "titanium white")).needed_white() == "zinc white"
    assert Palette("mine", ("my white",)).white is None
    assert Palette("loud", ("Titanium WHITE ", "IVORY black")).white == "titanium white"
    assert list(Palette("loud", ("Titanium WHITE ",)).held()) == ["titanium white"]


@pytest.mark.parametrize(
    ("name", "held", "said"),
    [
        (" ", ("ultramarine",), "needs a name"),
        ("none", (), "has no tubes"),
        ("twice", ("ultramarine", "raw umber", "Ultramarine "), "“ultramarine” twice"),
        ("many", tuple(list(tubes())[: MOST_TUBES + 1]), "has 25 tubes.*24 at most"),
    ],
)
def test_what_is_no_palette(name: str, held: tuple[str, ...], said: str) -> None:
    with pytest.raises(PaintError, match=said):
        Palette(name, held)


def test_unknown_tubes_are_told_with_the_nearest_there_are() -> None:
    for wrong in (lambda: Palette.of("x", ["sky ochre"]), lambda: Palette("x", ("sky ochre",)).held()):
        with pytest.raises(PaintError, match=r"sky ochre.*yellow ochre"):
            wrong()


def test_found_by_name() -> None:
    assert palette_named(" EARTHS ").name == "earths"
    own = (Palette("mine", ("ultramarine",)),)
    assert palette_named("Mine", own) is own[0]
    with pytest.raises(PaintError, match=r"Choose from mine\."):
        palette_named("earths", own)


def test_parsed() -> None:
    assert parse_palette("Yellow Ochre,  ivory black , PW6,").tubes == ("yellow ochre", "ivory black", "titanium white")
    with pytest.raises(PaintError, match=r"^This palette has no tubes"):
        parse_palette(" , ")
    with pytest.raises(PaintError, match=r"^This palette has “titanium white” twice"):
        parse_palette("titanium white, PW6")
    with pytest.raises(PaintError, match="Four tubes are PBr7"):
        parse_palette("PBr7")


@given(names)
@settings(max_examples=30, deadline=None)
def test_written_with_commas_and_parsed_back(held: list[str]) -> None:
    told = parse_palette(", ".join(each.upper() for each in held), "some")
    assert told == Palette("some", tuple(held))
    assert list(told.held()) == held
