"""``easelside strings``: strings in words and as JSON, the printed page, and what is said of wrong input."""

import json
from pathlib import Path

import pypdfium2
import pytest

from app.__main__ import main
from core.errors import PaintError
from core.paint.string_mix import parse_mix
from core.paint.tubes import tubes
from core.paint.value_string import value_string

MIX = "2 yellow ochre, 1 ivory black"


@pytest.fixture(autouse=True)
def _no_box_of_this_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_DATA_HOME", "APPDATA", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "nobody"))


def told(capsys: pytest.CaptureFixture[str], *options: str) -> dict:
    assert main(["strings", *options, "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out))


def test_each_step_is_said_with_its_value_and_warmth(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["strings", "--mix", MIX]) == 0
    said = capsys.readouterr().out
    assert said.startswith("2 yellow ochre, 1 ivory black, lighter with titanium white, darker with ivory black\n")
    string = value_string(parse_mix(MIX), tubes(), lighter={"titanium white": 1}, darker={"ivory black": 1})
    rows = [line for line in said.splitlines() if line.startswith("  value")]
    assert len(rows) == len(string.steps)
    for row, step in zip(rows, reversed(string.steps), strict=True):
        assert row.startswith(f"  value {step.asked:4g}  T {round(step.warmth):3d}  {step.say_parts()}")
    assert "Not reached: value 1." in said
    assert "scrap beside the reference" in said


def test_the_json_is_what_the_string_is(capsys: pytest.CaptureFixture[str]) -> None:
    data = told(capsys, "--mix", MIX, "--with", "zinc white", "--darker", "raw umber", "--values", "2.5,5,7.25,9.9")
    assert data["schema"] == 1
    (string,) = data["strings"]
    wanted = value_string(
        {"yellow ochre": 2, "ivory black": 1}, tubes(), lighter={"zinc white": 1}, darker={"raw umber": 1},
        values=[2.5, 5, 7.25, 9.9],
    )  # fmt: skip
    assert string["lighter"] == {"zinc white": 1}
    assert string["not_reached"] == list(wanted.left_out)
    assert len(string["steps"]) == len(wanted.steps) >= 2
    for row, step in zip(string["steps"], wanted.steps, strict=True):
        assert row["value"] == pytest.approx(step.asked, abs=0.002)
        assert row["parts"] == dict(step.whole)
        assert row["lab"] == pytest.approx(step.lab, abs=1e-3)
        assert row["warmth"] == pytest.approx(step.warmth, abs=0.01)
        assert sum(row["parts"].values()) <= 24


def test_a_second_string_stands_beside_at_the_same_values(capsys: pytest.CaptureFixture[str]) -> None:
    data = told(capsys, "--mix", MIX, "--with", "titanium white", "--against", "ivory black", "--values", "4,6,8")
    first, second = data["strings"]
    assert second["heading"] == "Ivory black"
    assert [each["value"] for each in data["warmer_by"]] == [4, 6, 8]
    for pair, one, other in zip(data["warmer_by"], first["steps"], second["steps"], strict=True):
        assert pair["warmth"] == pytest.approx(one["warmth"] - other["warmth"], abs=0.02)
        assert pair["warmth"] > 0  # common practice, no source
    assert main(["strings", "--mix", MIX, "--against", "ivory black", "--values", "4,6,8"]) == 0
    assert "2 yellow ochre, 1 ivory black is warmer than ivory black at every step" in capsys.readouterr().out


def test_even_steps_and_fewer_parts(capsys: pytest.CaptureFixture[str]) -> None:
    data = told(capsys, "--mix", MIX, "--steps", "5", "--parts", "8", "--against", "ivory black")
    (first, second) = data["strings"]
    assert len(first["steps"]) == 5
    assert [each["value"] for each in first["steps"]] == pytest.approx(
        [each["value"] for each in second["steps"]], abs=0.03
    )
    assert all(sum(step["parts"].values()) <= 8 for string in (first, second) for step in string["steps"])


def test_strings_of_light_and_shadow_meet_at_the_boundary(capsys: pytest.CaptureFixture[str]) -> None:
    options = ("--mix", "4 yellow ochre, 1 cadmium red", "--shadow", "ultramarine, burnt umber", "--boundary", "5")
    data = told(capsys, *options)
    light, shadow = data["strings"]
    assert [round(step["value"], 2) for step in light["steps"]] == [5, 6, 7, 8, 9]
    assert max(step["value"] for step in shadow["steps"]) == pytest.approx(5, abs=0.001)
    apart = light["steps"][0]["warmth"] - shadow["steps"][-1]["warmth"]
    assert data["boundary"] == {"value": 5.0, "warmer_by": pytest.approx(apart, abs=0.02)}
    assert main(["strings", *options]) == 0
    said = capsys.readouterr().out
    assert "Light: 4 yellow ochre, 1 cadmium red" in said
    assert f"At the boundary, value 5.0, the light's mix is {apart:.0f} warmer than the shadow's." in said


def test_a_palette_gives_its_own_white_and_black(capsys: pytest.CaptureFixture[str]) -> None:
    (string,) = told(capsys, "--mix", "yellow ochre", "--palette", "lead white, yellow ochre, Mars black")["strings"]
    assert (string["lighter"], string["darker"]) == ({"lead white": 1}, {"Mars black": 1})
    (string,) = told(capsys, "--mix", "raw umber", "--palette", "umber and white")["strings"]
    assert (string["lighter"], string["darker"]) == ({"titanium white": 1}, {})


def test_the_strings_are_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "strings.pdf"
    assert main(["strings", "--mix", MIX, "--against", "ivory black", "--out", str(out), "--paper", "a3"]) == 0
    assert f"The page: {out}" in capsys.readouterr().out
    document = pypdfium2.PdfDocument(out)
    words = " ".join(document[0].get_textpage().get_text_bounded().split())
    sides = sorted(side / 72 * 25.4 for side in document[0].get_size())
    document.close()
    assert sides == pytest.approx([297, 420], abs=0.1)
    assert "2 yellow ochre, 1 ivory black is warmer than ivory black" in words


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ((), "Say which mix to carry with --mix"),
        (("--mix", "moon dust"), "There is no tube “moon dust” here"),
        (("--mix", "0 yellow ochre"), "numbers above 0"),
        (("--mix", "-2 yellow ochre"), "numbers above 0"),
        (("--mix", "1e9 yellow ochre"), "Write parts as a number such as 2 or 0.5"),
        (("--mix", "½ yellow ochre"), "The parts of “½ yellow ochre” cannot be read"),
        (("--mix", "1½ yellow ochre"), "Write parts as a number such as 2 or 0.5"),
        (("--mix", "1/2 yellow ochre"), "Write parts as a number such as 2 or 0.5"),
        (("--mix", "2 x yellow ochre"), "Write parts as a number such as 2 or 0.5"),
        (("--mix", "2 umber"), "The nearest by name: raw umber, burnt umber. --list shows them all."),
        (("--mix", "2 PR101"), "Three tubes are PR101: transparent oxide red, Venetian red, Indian red. Name one."),
        (("--mix", "yellow ochre", "--with", "Venetian red"), "Venetian red is no lighter than the mix"),
        (("--mix", MIX, "--parts", "201"), "from 1 to 200 parts; 201 is not"),
        (("--mix", MIX, "--shadow", "raw umber", "--boundary", "5", "--steps", "0"), "leave out --against"),
        (("--mix", MIX, "--shadow", "raw umber", "--boundary", "5", "--values", ""), "leave out --against"),
        (("--mix", "99999 yellow ochre"), "up to 1000"),
        (("--mix", "2"), "does not say of which tube"),
        (("--mix", ", ,"), "A mix needs at least one tube"),
        (("--mix", "yellow ochre, PY43"), "names yellow ochre twice"),
        (("--mix", MIX, "--with", "raw umber"), "Raw umber is no lighter than the mix"),
        (("--mix", MIX, "--darker", "titanium white"), "Titanium white is no darker than the mix"),
        (("--mix", MIX, "--palette", "yellow ochre, ivory black"), "There is no white among these tubes"),
        (("--mix", MIX, "--palette", "umber and white"), "There is no tube “yellow ochre” here"),
        (("--mix", MIX, "--palette", "no such"), "There is no palette “no such” here"),
        (("--mix", MIX, "--steps", "1"), "from 2 to 20 steps; 1 is not"),
        (("--mix", MIX, "--steps", "5", "--values", "5"), "either the values"),
        (("--mix", MIX, "--values", "dark"), "--values takes Munsell values"),
        (("--mix", MIX, "--values", "nan"), "--values takes Munsell values"),
        (("--mix", MIX, "--values", "12"), "from 0, black, to 10, white"),
        (("--mix", MIX, "--parts", "0"), "from 1 to 200 parts; 0 is not"),
        (("--mix", MIX, "--boundary", "5"), "--shadow and --boundary go together"),
        (("--mix", MIX, "--shadow", "raw umber"), "--shadow and --boundary go together"),
        (("--mix", MIX, "--shadow", "raw umber", "--boundary", "12"), "from 0 to 10; 12 is not"),
        (("--mix", MIX, "--shadow", "raw umber", "--boundary", "5", "--steps", "4"), "leave out --against"),
        (("--mix", MIX, "--paper", "tiny"), "is not a paper"),
        (("--mix", MIX, "--out", "/none/strings.pdf"), "There is no folder “/none”"),
        (("--mix", MIX, "--values", "1", "--out", "page.pdf"), "No step of this string is reached"),
    ],
)
def test_wrong_input_gets_a_sentence(
    capsys: pytest.CaptureFixture[str], options: tuple[str, ...], sentence: str
) -> None:
    assert main(["strings", *options]) == 2
    heard = capsys.readouterr()
    assert sentence in heard.err
    assert "Traceback" not in heard.err
    assert heard.out == ""


def test_the_better_way_is_the_nearer_one_and_rough_ones_are_said(capsys: pytest.CaptureFixture[str]) -> None:
    string = value_string(parse_mix("phthalo blue"), tubes(), lighter={"titanium white": 1}, most_parts=4)
    assert main(["strings", "--mix", "phthalo blue", "--palette", "phthalo blue, PW6", "--parts", "4"]) == 0
    rows = [line for line in capsys.readouterr().out.splitlines() if line.startswith("  value")]
    assert len(rows) == len(string.steps)
    for row, step in zip(rows, reversed(string.steps), strict=True):
        nearer = step.onward is not None and step.onward.difference < step.whole_difference
        assert ("   better " in row) == (step.whole_difference > 1 and nearer)
        assert ("rough" in row) == step.rough_either_way
    assert any("rough either way" in row for row in rows)


def test_steps_that_so_few_parts_do_not_tell_apart_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["strings", "--mix", MIX, "--parts", "1"]) == 0
    assert "those at 2, 3 and 4; or at 5 and 6; or at 7, 8 and 9. Allow more parts." in capsys.readouterr().out
    (string,) = told(capsys, "--mix", MIX, "--parts", "1")["strings"]
    assert string["alike"] == [[2, 3, 4], [5, 6], [7, 8, 9]]
    assert told(capsys, "--mix", MIX)["strings"][0]["alike"] == []


def test_which_string_of_light_and_shadow_ends_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["strings", "--mix", "4 yellow ochre, 1 cadmium red", "--shadow", "burnt umber", "--boundary", "5"]) == 0
    )
    assert "The shadow’s string goes from 1.8 to " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "mix"),
    [
        ("2 yellow ochre, 1 ivory black", {"yellow ochre": 2, "ivory black": 1}),
        ("Yellow Ochre", {"yellow ochre": 1}),
        ("1.5 parts of PY43, .5 part pw6", {"yellow ochre": 1.5, "titanium white": 0.5}),
        ("3yellow ochre,", {"yellow ochre": 3}),
    ],
)
def test_mixes_are_read_as_painters_write_them(text: str, mix: dict[str, float]) -> None:
    assert parse_mix(text) == mix


def test_a_mix_is_of_the_tubes_that_lie_out() -> None:
    out = {"raw umber": tubes()["raw umber"]}
    assert parse_mix("raw umber", out) == {"raw umber": 1}
    with pytest.raises(PaintError, match="Choose from raw umber"):
        parse_mix("yellow ochre", out)


def test_help_shows_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["strings", "--help"]) == 0
    said = capsys.readouterr().out
    assert "1 to 200" in said
    assert "examples:" in said
    assert 'easelside strings --mix "2 yellow ochre, 1 ivory black" --with "titanium white" --steps 9' in said
