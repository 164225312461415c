import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from core.errors import PainterError, PaintError
from core.paint import WAVELENGTHS, Paint
from core.paint.paint_box import PaintBox, merged, read_paint_box, start_box, write_paint_box
from core.paint.palette import Palette, palettes
from core.paint.tubes import Tube, as_told, tubes

numbers = arrays(np.float64, len(WAVELENGTHS), elements=st.floats(0, 1e3))
above = arrays(np.float64, len(WAVELENGTHS), elements=st.floats(1e-9, 1e3))


def mine(name: str = "yellow ochre", **changed: Any) -> Tube:
    k = np.linspace(0.5, 0.01, len(WAVELENGTHS))
    paint = Paint.of(k, np.full_like(k, 0.2), WAVELENGTHS, k1=np.linspace(0.01, 0.04, len(k)))
    return replace(tubes()["yellow ochre"], **{"name": name, "paint": paint, "basis": "own swatches", **changed})


def same(one: PaintBox, other: PaintBox) -> bool:
    told = [{name: as_told(tube) for name, tube in box.tubes.items()} for box in (one, other)]
    return told[0] == told[1] and list(one.tubes) == list(other.tubes) and one.palettes == other.palettes


def test_no_file_is_the_start_set(tmp_path: Path) -> None:
    box = read_paint_box(tmp_path / "paints.json")
    assert dict(box.tubes) == dict(tubes())
    assert box.palettes == palettes()
    assert box.own == ()
    assert list(tmp_path.iterdir()) == []


def test_round_trip(tmp_path: Path) -> None:
    file = tmp_path / "paints.json"
    box = start_box().with_tube(mine()).with_tube(mine("my grün", white=True, pigments=(), opacity="transparent"))
    box = box.with_palette(Palette("mine", ("my grün", "yellow ochre"))).without_palette("earths")
    write_paint_box(file, box)
    back = read_paint_box(file)
    assert same(back, box)
    assert [tube.name for tube in back.own] == ["yellow ochre", "my grün"]
    assert back.tubes["yellow ochre"].paint.k[0] == 0.5
    assert back.palettes[-1].white_among(back.tubes) == "my grün"
    assert list(tmp_path.iterdir()) == [file]
    assert "ultramarine" not in [each["name"] for each in json.loads(file.read_text("utf-8"))["tubes"]]


@given(k=numbers, s=above, k1=st.floats(0, 0.3), known=st.booleans())
@settings(max_examples=25, deadline=None)
def test_every_number_comes_back(tmp_path_factory: pytest.TempPathFactory, k, s, k1: float, known: bool) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path_factory.mktemp("box") / "paints.json"
    paint = Paint(k, s, WAVELENGTHS, np.array(k1), strength_known=known)
    box = start_box().with_tube(mine(paint=paint))
    write_paint_box(file, box)
    assert same(read_paint_box(file), box)


def test_own_tubes_lie_over_those_of_the_program() -> None:
    box = start_box().with_tube(mine("Yellow OCHRE"))
    assert list(box.tubes) == list(tubes())
    assert box.tubes["yellow ochre"].own
    assert box.tubes["yellow ochre"].basis == "own swatches"
    assert list(merged([mine("mine")]))[-1] == "mine"
    assert list(merged([mine("mine"), mine(" MINE"), mine("Raw Umber")])) == [*tubes(), "mine"]
    assert box.with_palette(Palette("x", ("Yellow Ochre", "PW6"))).palettes[-1].tubes == (
        "yellow ochre",
        "titanium white",
    )
    again = box.without_tube("yellow ochre")
    assert same(again, start_box())
    with pytest.raises(PaintError, match="no tube of your own"):
        again.without_tube("yellow ochre")


def test_a_tube_on_a_palette_stays() -> None:
    box = start_box().with_tube(mine("mine")).with_palette(Palette("p", ("mine", "titanium white")))
    with pytest.raises(PaintError, match="lies on the palette “p”"):
        box.without_tube("mine")
    assert "mine" not in box.without_palette("P").without_tube("mine").tubes


def test_palettes_are_put_in_place_of_each_other() -> None:
    box = start_box().with_palette(Palette("mine", ("raw umber",))).with_palette(Palette("Mine", ("raw sienna",)))
    assert len(box.palettes) == len(palettes()) + 1
    assert box.palettes[-1] == Palette("Mine", ("raw sienna",))
    with pytest.raises(PaintError, match="no palette “x”"):
        box.without_palette("x")
    one = PaintBox(tubes(), palettes()[:1])
    with pytest.raises(PaintError, match="only palette"):
        one.without_palette(one.palettes[0].name)
    with pytest.raises(PaintError, match="sky paint"):
        box.with_palette(Palette("x", ("sky paint",)))
    with pytest.raises(PaintError, match="two palettes"):
        PaintBox(tubes(), (Palette("a", ("raw umber",)), Palette("A ", ("raw umber",))))
    with pytest.raises(PaintError, match="one name"):
        PaintBox({"x": mine()}, ())


def test_the_palettes_of_the_program_can_always_be_had_again() -> None:
    box = start_box().with_palette(Palette("mine", ("raw umber",)))
    assert same(box.with_start_palettes(), box)
    fewer = box.without_palette("earths").without_palette(palettes()[0].name)
    assert same(fewer.with_start_palettes(), box)
    one = PaintBox(tubes(), (Palette("mine", ("raw umber",)), Palette("EARTHS", ("raw umber",))))
    again = one.with_start_palettes()
    assert again.palettes == (*palettes(), Palette("mine", ("raw umber",)))
    assert same(again.with_start_palettes(), again)


def test_a_palette_of_the_program_keeps_its_name() -> None:
    assert PaintBox.is_start_palette(" Earths")
    assert not start_box().is_start_palette("mine")
    with pytest.raises(PaintError, match=r"“earths” comes with the program\. Give yours another name\."):
        start_box().with_palette(Palette("Earths ", ("raw umber",)))
    back = start_box().without_palette("earths").with_palette(palettes()[3])
    assert back.palettes[-1] == palettes()[3]


@pytest.mark.parametrize(
    ("tube", "said"),
    [
        (lambda: mine("Titanium white"), "serves as a white and this tube does not"),
        (lambda: mine("ivory black", white=True), "serves as a black|serve as a white"),
        (lambda: mine("ultramarine", white=True), "does not serve as a white"),
        (lambda: mine("ultramarine", black=True), "does not serve as a black"),
        (lambda: mine("ochre, mine"), "comma"),
        (lambda: mine("ochre\nmine"), "line break"),
        (lambda: mine("ochre\x07"), "does not show"),
        (lambda: mine("ochre \ud800"), "does not show"),
        (lambda: mine("o" * 61), "longer than 60"),
        (lambda: mine("  "), "no name"),
        (
            lambda: mine("clear", paint=Paint(np.zeros(36), np.zeros(36), WAVELENGTHS, np.array(0.02))),
            "neither absorbs",
        ),
        (
            lambda: mine("huge", paint=Paint(np.full(36, 1e308), np.ones(36), WAVELENGTHS, np.array(0.02))),
            "larger than",
        ),
    ],
)
def test_a_tube_that_would_do_harm_is_refused(tube: Callable[[], Tube], said: str) -> None:
    with pytest.raises(PaintError, match=said):
        start_box().with_tube(tube())
    assert start_box().with_tube(mine("ochre of mine")).own


def told() -> dict[str, Any]:
    return {
        "paint_box": 1,
        "wavelengths_nm": WAVELENGTHS.tolist(),
        "tubes": [as_told(replace(mine(), own=True))],
        "palettes": [{"name": "p", "tubes": ["yellow ochre"]}],
    }


def changed(**keys: Any) -> Callable[[dict[str, Any]], None]:
    return lambda held: held.update(keys)


def on_tube(**keys: Any) -> Callable[[dict[str, Any]], None]:
    return lambda held: held["tubes"][0].update(keys)


WRONG: dict[str, tuple[Callable[[dict[str, Any]], Any], str]] = {
    "newer": (changed(paint_box=2), "another version of Easelside"),
    "older": (changed(paint_box=0), "another version"),
    "no number": (changed(paint_box=True), "not a paint box"),
    "no schema": (lambda held: held.pop("paint_box"), "not a paint box"),
    "no tubes": (lambda held: held.pop("tubes"), "“tubes” is missing"),
    "no palettes": (changed(palettes=[]), "no palette"),
    "tubes a text": (changed(tubes="ochre"), "not a list"),
    "other light": (changed(wavelengths_nm=[400, 500]), "other wavelengths"),
    "two alike": (lambda held: held["tubes"].append(held["tubes"][0]), "two tubes of one name"),
    "stranger": (changed(palettes=[{"name": "p", "tubes": ["sky paint"]}]), "no tube “sky paint” here"),
    "doubled": (changed(palettes=[{"name": "p", "tubes": ["raw umber", "raw umber"]}]), "twice"),
    "palette a text": (changed(palettes=[{"name": "p", "tubes": "raw umber"}]), "no list"),
    "no name": (on_tube(name=" "), "empty"),
    "name a number": (on_tube(name=3), "empty"),
    "short": (on_tube(k=[1.0, 2.0]), "each of the 36 wavelengths"),
    "texts": (on_tube(s=["1"] * 36), "each of the 36 wavelengths"),
    "yes and no": (on_tube(s=[True] * 36), "each of the 36 wavelengths"),
    "below 0": (on_tube(k=[-1.0] * 36), "not below 0"),
    "not a number": (on_tube(k=[float("nan")] * 36), "not below 0"),
    "without bound": (on_tube(s=[float("inf")] * 36), "not below 0"),
    "mirror": (on_tube(k1=[0.5] * 36, k2=0.6), "surface"),
    "no surface": (on_tube(k2=None), "surface"),
    "nothing": (on_tube(k=[0] * 36, s=[0.0] * 36), "neither absorbs nor scatters"),
    "huge": (on_tube(k=[1e308] * 36), "larger than those of any paint"),
    "long": (on_tube(k=[10**400] * 36), "larger than those of any paint"),
    "long white": (on_tube(s=[10**400] * 36), "larger than those of any paint"),
    "long surface": (on_tube(k1=[10**400] * 36), "surface"),
    "long inner": (on_tube(k2=10**400), "surface"),
    "deep": (on_tube(k=[[1.0]] * 36), "each of the 36 wavelengths"),
    "comma": (on_tube(name="ochre, mine"), "comma"),
    "two lines": (on_tube(name="ochre\nmine"), "line break"),
    "pigment in two": (on_tube(pigments=["PY43,PR101"]), "comma"),
    "long name": (on_tube(name="o" * 61), "longer than 60"),
    "opacity": (on_tube(opacity="foggy"), "how opaque"),
    "drying": (on_tube(drying=["fast"]), "how opaque"),
    "white": (on_tube(white="no"), "neither yes nor no"),
    "sources": (on_tube(sources=[1]), "sources"),
    "missing": (lambda held: held["tubes"][0].pop("basis"), "“basis” is missing"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_file_is_told_and_left_alone(tmp_path: Path, name: str) -> None:
    change, said = WRONG[name]
    held = told()
    change(held)
    file = tmp_path / "paints.json"
    file.write_text(json.dumps(held), encoding="utf-8")
    before = file.read_bytes()
    with pytest.raises(PaintError, match=said) as raised:
        read_paint_box(file)
    assert not any(word in str(raised.value) for word in ("float", "int too", "object is", "NoneType"))
    assert "left as it is" in str(raised.value) or "left as it was" in str(raised.value)
    assert file.read_bytes() == before


def test_the_file_that_those_are_made_of_is_right(tmp_path: Path) -> None:
    file = tmp_path / "paints.json"
    file.write_text(json.dumps(told()), encoding="utf-8")
    assert read_paint_box(file).palettes == (Palette("p", ("yellow ochre",)),)


@pytest.mark.parametrize(
    "data", [b"", b"[", b"[]", b"null", b"7", b"\xff\xfe\x00{", b'{"paint_box": 1', b"[" * 100_000, b'"' * 5]
)
def test_damaged_files(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "paints.json"
    file.write_bytes(data)
    with pytest.raises(PaintError, match=r"cannot be read.*move it away"):
        read_paint_box(file)
    assert file.read_bytes() == data


def test_every_cut_of_a_good_file_is_damaged(tmp_path: Path) -> None:
    file = tmp_path / "paints.json"
    write_paint_box(file, start_box().with_tube(mine()))
    whole = file.read_bytes().rstrip()
    for cut in range(0, len(whole), 397):
        file.write_bytes(whole[:cut])
        with pytest.raises(PaintError):
            read_paint_box(file)


def test_a_folder_is_no_paint_box(tmp_path: Path) -> None:
    with pytest.raises(PaintError, match="cannot be opened"):
        read_paint_box(tmp_path)
    with pytest.raises(PainterError):
        write_paint_box(tmp_path, start_box())


def test_what_cannot_be_written_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "paints.json"
    write_paint_box(file, start_box())
    before = file.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("core.whole_file.os.fsync", full)
    with pytest.raises(PainterError, match="disk is full"):
        write_paint_box(file, start_box().with_tube(mine()))
    assert file.read_bytes() == before
    assert list(tmp_path.iterdir()) == [file]
