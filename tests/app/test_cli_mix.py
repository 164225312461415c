"""``easelside mix``: recipes in words and as JSON, the printed list, and what is said of wrong input."""

import json
from pathlib import Path

import pypdfium2
import pytest

from app.__main__ import main
from core.colorimetry import delta_e_2000
from core.paint import predict
from core.paint.paint_box import start_box, write_paint_box
from core.paint.palette import Palette, palette_named
from core.paint.recipe import recipe_of
from core.paint.spectrum import lab
from core.paint.target import Target
from core.paint.tubes import tubes
from tests.published.libraries import colour

FOUR = "titanium white, yellow ochre, cadmium red, ivory black"


@pytest.fixture(autouse=True)
def _no_box_of_this_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "APPDATA", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "nobody"))


def told(capsys: pytest.CaptureFixture[str], *options: str) -> dict:
    assert main(["mix", *options, "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out))


def test_recipes_are_said_with_what_they_miss(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "--target", "cheek=#c9796a", "--palette", "Twelve Tubes"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("cheek, #c9796a: value 5.8, T 36, Munsell ")
    assert "CIEDE2000  0." in said
    assert "as near as can be seen" in said
    assert "Cadmium red: holds cadmium" in said
    assert "approximate" in said
    assert "scrap beside the reference" in said


def test_the_json_is_what_mixing_tells(capsys: pytest.CaptureFixture[str]) -> None:
    """The mixture anew from K and S, its difference by colour-science."""
    data = told(capsys, "--target", "#c9796a", "--target", "jaw=#5b3a33", "--palette", FOUR)
    assert data["schema"] == 1
    assert data["palette"]["tubes"] == FOUR.split(", ")
    assert [each["name"] for each in data["targets"]] == ["#c9796a", "jaw"]
    paints = {name: tube.paint for name, tube in tubes().items()}
    for target in data["targets"]:
        wanted = Target.of_hex(target["srgb"])
        assert target["lab"] == pytest.approx(wanted.lab, abs=1e-3)
        assert target["recipes"]
        for recipe in target["recipes"]:
            mixed = lab(predict(paints, recipe["parts"]))
            assert recipe["lab"] == pytest.approx(mixed, abs=1e-3)
            away = float(colour.delta_E(mixed, wanted.lab, method="CIE 2000"))
            assert recipe["ciede2000"] == pytest.approx(away, abs=2e-3)
            assert set(recipe["parts"]) <= set(FOUR.split(", "))
    assert any("cadmium" in caution for caution in data["cautions"])


def test_how_many_tubes_and_parts_are_the_painters_to_choose(capsys: pytest.CaptureFixture[str]) -> None:
    for most_tubes, most_parts in ((1, 12), (2, 5), (3, 8), (4, 24)):
        data = told(
            capsys, "--target", "#a08070", "--palette", FOUR, "--tubes", str(most_tubes), "--parts", str(most_parts)
        )  # fmt: skip
        for recipe in data["targets"][0]["recipes"]:
            assert len(recipe["parts"]) <= most_tubes
            assert sum(recipe["parts"].values()) <= most_parts


def test_what_is_out_of_reach_is_said_with_the_tube_that_reaches_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "--target", "#4060b0", "--palette", "earths"]) == 0
    said = capsys.readouterr().out
    assert "do not reach this colour" in said
    assert "With one tube more:" in said
    data = told(capsys, "--target", "#4060b0", "--palette", "earths")["targets"][0]
    assert not data["reached"]
    assert data["further_tubes"][0]["tube"] not in palette_named("earths").tubes
    nearest = data["further_tubes"][0]["recipe"]
    assert float(delta_e_2000(nearest["lab"], data["lab"])) < min(each["ciede2000"] for each in data["recipes"])


def test_a_palette_without_a_white_mixes_what_needs_none(capsys: pytest.CaptureFixture[str]) -> None:
    mixed = recipe_of(Target.of_hex("#808080"), {"yellow ochre": 3, "ivory black": 2}, tubes())
    code = Target.of_lab(mixed.lab).hex
    dark = told(capsys, "--target", code, "--palette", "yellow ochre, ivory black")["targets"][0]
    assert dark["reached"]
    assert main(["mix", "--target", code, "--palette", "yellow ochre, ivory black"]) == 0
    assert "no white" not in capsys.readouterr().out
    for code, palette in (("#f0e0c0", "yellow ochre, ivory black"), ("#9a8a78", "burnt sienna, yellow ochre")):
        assert main(["mix", "--target", code, "--palette", palette]) == 0
        said = capsys.readouterr().out
        assert "no white" in said
        assert "own" not in [word.strip("“”") for word in said.split()]


def test_too_few_parts_or_tubes_are_said_before_the_palette_is_blamed(capsys: pytest.CaptureFixture[str]) -> None:
    limited = "ochre, black and white"
    for options, ask in (
        (("--target", "#c9b79c", "--parts", "1"), "Ask for --parts 12."),
        (("--target", "#f4efe6", "--parts", "4"), "Ask for --parts 12."),
        (("--target", "#c9b79c", "--tubes", "1"), "Ask for --tubes 3."),
    ):
        assert main(["mix", *options, "--palette", limited]) == 0
        said = capsys.readouterr().out
        assert "Not in so few " in said
        assert ask in said
        assert "With one tube more" not in said
    data = told(capsys, "--target", "#c9b79c", "--tubes", "1", "--palette", limited)["targets"][0]
    assert (data["reached_in_tubes"], data["reached_in_parts"]) == (3, None)
    assert data["note"].startswith("Not in so few tubes")


def test_single_tubes_have_a_heading_of_their_own(capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--target", "#d0a020", "--palette", "titanium white, ultramarine, ivory black", "--tubes", "1")
    assert main(["mix", *options]) == 0
    said = capsys.readouterr().out
    assert "Another tube, straight:" in said
    assert "With one tube more" not in said


def test_tubes_that_are_proposed_are_in_the_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--target", "#5b3a33", "--palette", "yellow ochre, ivory black")
    data = told(capsys, *options)
    assert "vermilion" in [each["tube"] for each in data["targets"][0]["further_tubes"]]
    assert any(each.startswith("Vermilion: holds mercury") for each in data["cautions"])
    assert main(["mix", *options]) == 0
    assert "Vermilion: holds mercury" in capsys.readouterr().out


@pytest.mark.parametrize("most", ["12", "24"])
def test_the_steps_of_a_mix_with_tints_are_in_the_json(capsys: pytest.CaptureFixture[str], most: str) -> None:
    options = ("--target", "#f4efe6", "--palette", "ochre, black and white", "--parts", most)
    found = told(capsys, *options)["targets"][0]["in_two_steps"]
    assert found["white"] == "titanium white"
    assert found["into_white"] == 9
    held = {}
    for name, count in found["then"].items():
        tint = name.removeprefix("tint of ")
        whole = {name: count} if tint == name else {tint: count / 10, found["white"]: 0.9 * count}
        held |= {each: held.get(each, 0) + part for each, part in whole.items()}
    shares = {name: part / sum(held.values()) for name, part in held.items()}
    total = sum(found["parts"].values())
    assert shares == pytest.approx({name: part / total for name, part in found["parts"].items()})
    assert sum(found["then"].values()) <= 24
    assert main(["mix", *options]) == 0
    assert "first 1 " in capsys.readouterr().out


def test_the_list_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "list.pdf"
    options = ("--target", "cheek=#c9796a", "--palette", FOUR, "--out", str(out), "--paper", "Letter")
    assert main(["mix", *options]) == 0
    assert f"The page: {out}" in capsys.readouterr().out
    document = pypdfium2.PdfDocument(out)
    words = document[0].get_textpage().get_text_bounded()
    size = document[0].get_size()
    document.close()
    assert size == pytest.approx((612, 792), abs=0.5)
    assert "cheek" in words
    assert "Tubes needed" in words


def test_tubes_and_palettes_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "--list"]) == 0
    said = capsys.readouterr().out
    assert all(name in said for name in tubes())
    assert "  earths\n      titanium white, yellow ochre," in said
    data = told(capsys, "--list")
    assert [each["name"] for each in data["tubes"]] == list(tubes())
    assert data["palettes"][0]["tubes"] == list(start_box().palettes[0].tubes)


def test_the_painters_own_palettes_are_known(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    box = tmp_path / "box.json"
    write_paint_box(box, start_box().with_palette(Palette("mine", ("zinc white", "raw umber"))))
    data = told(capsys, "--target", "#808080", "--palette", "mine", "--box", str(box))
    assert data["palette"] == {"name": "mine", "tubes": ["zinc white", "raw umber"]}
    assert main(["mix", "--target", "#808080", "--palette", "mine"]) == 2


def test_a_tube_goes_by_its_pigment(capsys: pytest.CaptureFixture[str]) -> None:
    data = told(capsys, "--target", "#808080", "--palette", "pw6, PBk9")
    assert data["palette"]["tubes"] == ["titanium white", "ivory black"]
    assert told(capsys, "--target", "#f6f6f0", "--palette", "PW6")["palette"]["tubes"] == ["titanium white"]


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ((), "Say which colour is wanted with --target"),
        (("--target", "#808080"), "Say what to mix from with --palette"),
        (("--target", "#80808", "--palette", FOUR), "“#80808” is no colour code"),
        (("--target", "red", "--palette", FOUR), "“red” is no colour code"),
        (("--target", "cheek=", "--palette", FOUR), "is no colour code"),
        (("--target", "#808080", "--palette", "earth"), "There is no palette “earth” here. Choose from ochre, black"),
        (("--target", "#808080", "--palette", "moon dust, PW6"), "There is no tube “moon dust” here. Look in"),
        (("--target", "#808080", "--palette", "PW6, titanium white"), "This palette has “titanium white” twice"),
        (("--target", "#808080", "--palette", ""), "has no tubes"),
        (("--target", "#808080", "--palette", "PR101"), "Three tubes are PR101"),
        (("--target", "#808080", "--palette", "PW6, yelow ochre"), "The nearest by name: yellow ochre. --list shows"),
        (("--target", "#808080", "--palette", FOUR, "--tubes", "0"), "1 to 4 tubes, and 0 is not"),
        (("--target", "#808080", "--palette", FOUR, "--tubes", "five"), "invalid int value: 'five'"),
        (("--target", "#808080", "--palette", FOUR, "--parts", "25"), "1 to 24 parts, and 25 is not"),
        (("--target", "#808080", "--palette", FOUR, "--paper", "tiny"), "is not a paper"),
        (("--target", "#808080", "--palette", FOUR, "--out", "/none/list.pdf"), "There is no folder “/none”"),
        (("--target", "#808080", "--palette", FOUR, "--box", "/none.json"), "There is no paint box “/none.json”"),
    ],
)
def test_wrong_input_gets_a_sentence(
    capsys: pytest.CaptureFixture[str], options: tuple[str, ...], sentence: str
) -> None:
    assert main(["mix", *options]) == 2
    heard = capsys.readouterr()
    assert sentence in heard.err
    assert "Traceback" not in heard.err
    assert heard.out == ""


def test_help_shows_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mix", "--help"]) == 0
    said = capsys.readouterr().out
    assert "examples:" in said
    assert 'easelside mix --target "#c9b79c"' in said
