"""``easelside mix``: which few tubes of a palette, in which parts, make a colour."""

import argparse
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from core.errors import PainterError

if TYPE_CHECKING:
    from core.paint.paint_box import PaintBox
    from core.paint.palette import Palette
    from core.paint.recipe import Recipe, Recipes
    from core.paint.recipe_reach import Beyond
    from core.paint.tubes import Tube

    Found = tuple[str, Recipes, Beyond]

_ABOUT = """\
Mix a colour from the tubes of a palette: a few recipes in small whole parts, the best first, each with its value, its
warmth T (a neutral is 0, higher is warmer) and how far it misses the colour wanted (CIEDE2000; under 1 it is as near
as can be seen). What the palette does not reach is said, and how many parts, or which tube more, would reach it."""

_EXAMPLES = """\
examples:
  easelside mix --target "#c9b79c" --palette "ochre, red, black and white"
  easelside mix --target "#c9b79c" --palette "yellow ochre, ivory black, titanium white" --tubes 3 --parts 8
  easelside mix --target "cheek=#c9796a" --target "jaw=#5b3a33" --palette "twelve tubes" --out mixes.pdf
  easelside mix --list"""

_WORTH = 5.0
"""CIEDE2000 that a recipe may miss more than the best one and be told in text; ours."""
_BOX = "a paint box with your own tubes and palettes; the one the window keeps"


def add_mix(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``mix`` command."""
    mix = commands.add_parser(
        "mix",
        help="which tubes in which parts make a colour",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    mix.add_argument(
        "--target",
        action="append",
        default=[],
        metavar="[NAME=]#HEX",
        help="the colour wanted as an sRGB code, and what it is; may be given again",
    )
    mix.add_argument("--palette", metavar="NAME|TUBES", help="a palette by its name, or tubes with commas between")
    mix.add_argument("--tubes", type=int, default=4, metavar="N", help="at most so many tubes in a mix, 1 to 4; 4")
    mix.add_argument("--parts", type=int, default=12, metavar="N", help="at most so many parts in all, 1 to 24; 12")
    add_shared(mix, "the mixing list")
    mix.set_defaults(carry_out=carry_out)


def add_shared(command: argparse.ArgumentParser, what: str) -> None:
    """What both commands of the paint take."""
    command.add_argument("--box", type=Path, metavar="FILE", help=_BOX)
    command.add_argument("--list", action="store_true", help="show the tubes and palettes there are")
    command.add_argument("--json", action="store_true", help="print JSON instead of text")
    command.add_argument("--out", type=Path, metavar="PDF", help=f"write {what} as a page to print")
    command.add_argument("--paper", default="a4", metavar="NAME", help="a4, a3, letter or WxHmm; a4")


def carry_out(chosen: argparse.Namespace) -> int:
    """Find the recipes and tell them. Raises PainterError with a sentence."""
    from core.drawing.sheet_request import parse_paper
    from core.mix_pages import used_tubes
    from core.mixes import mixes_as_json, proposed

    box = opened(chosen.box)
    if chosen.list:
        return told_list(box, as_json=chosen.json)
    if not chosen.target:
        raise PainterError("Say which colour is wanted with --target, such as --target “#c9b79c”.")
    palette, paper = palette_of(chosen.palette, box), parse_paper(chosen.paper)
    found = [_found(each, palette, box, chosen) for each in chosen.target]
    used = used_tubes(proposed(found), box.tubes)
    if chosen.out is not None:
        _printed(found, chosen.out, box.tubes, paper)
    if chosen.json:
        print(json.dumps(mixes_as_json(palette, found, used), indent=1, ensure_ascii=False))
        return 0
    print("\n\n".join("\n".join([*_said(*each, box.tubes), *_without_white(each, palette, box)]) for each in found))
    print("\n".join(["", *foot(used, chosen.out)]))
    return 0


def opened(file: Path | None) -> "PaintBox":
    """The painter's box: the file given, or what the window keeps. Raises PainterError with a sentence."""
    from app.machine import PAINT_BOX_FILE, usual_folder
    from core.paint.paint_box import read_paint_box

    if file is not None and not file.exists():
        raise PainterError(f"There is no paint box “{file}”. Look whether the name is right.")
    return read_paint_box(usual_folder() / PAINT_BOX_FILE if file is None else file)


def palette_of(text: str | None, box: "PaintBox") -> "Palette":
    """A palette by its name, or of the tubes named. Raises PainterError with a sentence."""
    from core.paint.palette import parse_palette
    from core.paint.tubes import SeveralTubesError, UnknownTubeError

    if text is None:
        raise PainterError("Say what to mix from with --palette: a palette’s name, or tubes with commas between.")
    wanted = text.strip().casefold()
    named = next((each for each in box.palettes if each.name.casefold() == wanted), None)
    if named is not None:
        return named
    try:
        return parse_palette(text, among=box.tubes)
    except SeveralTubesError:
        raise
    except UnknownTubeError as trouble:
        if "," in text:
            raise listed(trouble) from None
    names = "; ".join(each.name for each in box.palettes)
    raise PainterError(f"There is no palette “{text}” here. Choose from {names}; or name tubes with commas between.")


def listed(trouble: PainterError) -> PainterError:
    """What is said of a tube that is not known, with where all of them are shown."""
    return PainterError(f"{trouble} --list shows them all.")


def told_list(box: "PaintBox", *, as_json: bool) -> int:
    """Print the tubes and palettes."""
    from core.mix_pages import tube_words

    if as_json:
        told = {
            "tubes": [
                {"name": tube.name, "pigments": list(tube.pigments), "opacity": tube.opacity, "drying": tube.drying,
                 "lightfastness": tube.lightfastness, "white": tube.white, "black": tube.black,
                 "basis": tube.basis, "cautions": list(tube.cautions)}
                for tube in box.tubes.values()
            ],
            "palettes": [{"name": each.name, "tubes": list(each.tubes)} for each in box.palettes],
        }  # fmt: skip
        print(json.dumps(told, indent=1, ensure_ascii=False))
        return 0
    wide = max(len(name) for name in box.tubes)
    rows = [f"  {name:<{wide}}  {tube_words(tube)}" for name, tube in box.tubes.items()]
    palettes = [f"  {each.name}\n      {', '.join(each.tubes)}" for each in box.palettes]
    print("\n".join(["Tubes:", *rows, "", "Palettes:", *palettes]))
    return 0


def foot(used: "Sequence[Tube]", out: Path | None) -> list[str]:
    """Cautions of the tubes used, what to hold of the colours, and where the page is."""
    from core.mix_pages import HONEST, cautions_of

    return [*cautions_of(used), "", HONEST, *([f"The page: {out}"] if out is not None else [])]


def _found(text: str, palette: "Palette", box: "PaintBox", chosen: argparse.Namespace) -> "Found":
    from core.paint.recipe import recipes_for
    from core.paint.recipe_reach import what_would_reach
    from core.paint.target import Target

    name, _, code = text.rpartition("=")
    target = Target.of_hex(code)
    most = {"most_tubes": chosen.tubes, "most_parts": chosen.parts}
    held = palette.held(box.tubes)
    recipes = recipes_for(target, held, **most)
    return name.strip() or target.hex, recipes, what_would_reach(recipes, held, box.tubes, **most)


def _said(name: str, recipes: "Recipes", beyond: "Beyond", tubes: "Mapping[str, Tube]") -> list[str]:
    from core.paint.recipe_tints import in_steps

    target = recipes.target
    label = name if name == target.hex else f"{name}, {target.hex}"
    lines = [f"{label}: value {target.value:.1f}, T {_whole(target.warmth)}, Munsell {recipes.best.target_munsell}"]
    if beyond.tinted is not None:
        steps = in_steps(beyond.tinted.parts, tubes)
        lines += [*_rows([beyond.tinted]), *([f"    {steps.say()}"] if steps is not None else [])]
    lines += _rows([each for each in recipes.recipes if each.delta_e <= recipes.best.delta_e + _WORTH])
    said = beyond.say(recipes)
    more = (("--tubes", beyond.in_tubes), ("--parts", beyond.in_parts))
    ask = " ".join(f"{option} {count}" for option, count in more if count is not None)
    lines += [f"{said} Ask for {ask}." if ask else said] if said else []
    further = [each.recipe for each in beyond.further]
    for heading, alone in (("With one tube more:", False), ("Another tube, straight:", True)):
        rows = [recipe for recipe in further if (len(recipe.parts) == 1) == alone]
        lines += [heading, *_rows(rows)] if rows else []
    return lines


def _without_white(found: "Found", palette: "Palette", box: "PaintBox") -> list[str]:
    """That the palette has no white, where the colour needs one."""
    from core.paint.palette import without_white

    _, recipes, beyond = found
    if recipes.reached or palette.white_among(box.tubes) is not None:
        return []
    needed = any(box.tubes[each.name].white for each in beyond.further) and "no white" not in recipes.note
    return [without_white(palette)] if needed else []


def _rows(recipes: "Sequence[Recipe]") -> list[str]:
    wide = max(len(_parts(recipe.parts)) for recipe in recipes)
    return [
        f"  {_parts(recipe.parts):<{wide}}   value {recipe.value:.1f}, T {_whole(recipe.warmth):>3}, "
        f"CIEDE2000 {recipe.delta_e:4.1f}: {recipe.miss}"
        for recipe in recipes
    ]


def _parts(parts: Mapping[str, int]) -> str:
    from core.paint.value_string import say_mix

    return say_mix(parts)


def _whole(warmth: float) -> str:
    from core.mix_pages import whole_warmth

    return whole_warmth(warmth)


def _printed(found: "Sequence[Found]", out: Path, tubes: "Mapping[str, Tube]", paper: Any) -> None:
    from core.mix_page import Entry, mixing_list_page

    entries = [Entry.of(name, beyond.tinted or recipes.best, tubes) for name, recipes, beyond in found]
    mixing_list_page(out, entries, tubes=tubes, paper=paper)
