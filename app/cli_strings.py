"""``easelside strings``: one mix carried through steps of value, or two beside each other."""

import argparse
import json
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from app.cli_mix import add_shared, foot, listed, opened, palette_of, told_list
from core.errors import PainterError

if TYPE_CHECKING:
    from core.paint.string_pairs import FamilyStrings
    from core.paint.tubes import Tube
    from core.paint.value_string import Mix, StringStep, ValueString

    Strings = list[tuple[str, ValueString]]

_ABOUT = """\
Carry a mix through steps of value, lighter with one mix and darker with another, and say the warmth T of each step
(a neutral is 0, higher is warmer). With --against a second mix is carried through the same values beside it; with
--shadow and --boundary the mix is that of the light family, carried up from the boundary, and the shadow family's is
carried down from it.

Parts are by weight. Values that a mix cannot be carried to are said and left out."""

_EXAMPLES = """\
examples:
  easelside strings --mix "2 yellow ochre, 1 ivory black" --with "titanium white" --steps 9
  easelside strings --mix "2 yellow ochre, 1 ivory black" --against "ivory black" --out greys.pdf
  easelside strings --mix "4 yellow ochre, 1 cadmium red" --darker "2 burnt umber, 1 ultramarine" --values "2,3.5,5"
  easelside strings --mix "4 yellow ochre, 1 cadmium red" --shadow "1 ultramarine, 1 burnt umber" --boundary 5"""

_WHITE, _BLACK = "titanium white", "ivory black"


def add_strings(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``strings`` command."""
    strings = commands.add_parser(
        "strings",
        help="a mix carried through steps of value",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    strings.add_argument("--mix", metavar="MIX", help='the mix, such as "2 yellow ochre, 1 ivory black"')
    strings.add_argument("--palette", metavar="NAME|TUBES", help="mix from these tubes only; else from all there are")
    strings.add_argument(
        "--with", "--lighter", dest="lighter", metavar="MIX", help="what makes it lighter; the palette's white"
    )
    strings.add_argument("--darker", metavar="MIX", help="what makes it darker; the palette's black")
    strings.add_argument("--steps", type=int, metavar="N", help="so many even steps from end to end, 2 to 20")
    strings.add_argument("--values", metavar="V,V", help="Munsell values wanted, 0 to 10; 1 to 9")
    strings.add_argument("--against", metavar="MIX", help="a second mix to carry through the same values")
    strings.add_argument("--shadow", metavar="MIX", help="the mix of the shadow family; needs --boundary")
    strings.add_argument("--boundary", type=float, metavar="V", help="Munsell value between light and shadow, 0 to 10")
    strings.add_argument(
        "--parts", type=int, default=24, metavar="N", help="at most so many parts in a step, 1 to 200; 24"
    )
    add_shared(strings, "the strings")
    strings.set_defaults(carry_out=carry_out)


def carry_out(chosen: argparse.Namespace) -> int:
    """Make the strings and tell them. Raises PainterError with a sentence."""
    from core.drawing.sheet_request import parse_paper
    from core.mix_pages import used_tubes
    from core.mixes import strings_as_json

    box = opened(chosen.box)
    if chosen.list:
        return told_list(box, as_json=chosen.json)
    _agree(chosen)
    paper = parse_paper(chosen.paper)
    tubes = box.tubes if chosen.palette is None else palette_of(chosen.palette, box).held(box.tubes)
    families = _families(chosen, tubes) if chosen.shadow is not None else None
    strings = _of_families(families) if families is not None else _strings(chosen, tubes)
    used = used_tubes((step.parts for _, string in strings for step in string.steps), tubes)
    notes = _notes(strings, families)
    if chosen.out is not None:
        from core.string_page import StringPage, write_string_page

        title = "Light and shadow" if families is not None else "Value string" if len(strings) == 1 else "Value strings"
        write_string_page(chosen.out, StringPage(strings, tubes, notes, paper, title))
    if chosen.json:
        print(json.dumps(strings_as_json(strings, used, families), indent=1, ensure_ascii=False))
        return 0
    said = ["\n".join(_said(heading, string)) for heading, string in strings]
    print("\n\n".join([*said, *notes]))
    print("\n".join(["", *foot(used, chosen.out)]))
    return 0


def _agree(chosen: argparse.Namespace) -> None:
    """Options that go together, and those that do not."""
    if not chosen.mix:
        raise PainterError("Say which mix to carry with --mix, such as --mix “2 yellow ochre, 1 ivory black”.")
    if (chosen.shadow is None) != (chosen.boundary is None):
        raise PainterError("--shadow and --boundary go together: the shadow's mix, and the value it begins at.")
    if chosen.shadow is not None and any(each is not None for each in (chosen.against, chosen.steps, chosen.values)):
        raise PainterError("With --shadow the steps begin at --boundary: leave out --against, --steps and --values.")


def _strings(chosen: argparse.Namespace, tubes: "Mapping[str, Tube]") -> "Strings":
    from core.paint.value_string import say_mix, value_string

    mix, values = _mix(chosen.mix, tubes), _values(chosen.values)
    against = None if chosen.against is None else _mix(chosen.against, tubes)
    lighter, darker = _pair(chosen, mix, tubes)
    first = value_string(
        mix, tubes, lighter=lighter, darker=darker, values=values, steps=chosen.steps, most_parts=chosen.parts
    )
    strings = [(_capital(say_mix(mix)), first)]
    if against is not None:
        lighter, darker = _pair(chosen, against, tubes)
        wanted = values if chosen.steps is None else [step.asked for step in first.steps]
        second = value_string(against, tubes, lighter=lighter, darker=darker, values=wanted, most_parts=chosen.parts)
        strings.append((_capital(say_mix(against)), second))
    return strings


def _families(chosen: argparse.Namespace, tubes: "Mapping[str, Tube]") -> "FamilyStrings":
    from core.paint.string_pairs import family_strings

    lighter, darker = _lighter(chosen, tubes), _darker(chosen, tubes)
    light, shadow = _mix(chosen.mix, tubes), _mix(chosen.shadow, tubes)
    return family_strings(
        light, shadow, tubes, boundary=chosen.boundary, lighter=lighter, darker=darker or shadow,
        most_parts=chosen.parts,
    )  # fmt: skip


def _of_families(families: "FamilyStrings") -> "Strings":
    return [
        (f"Light: {families.light.name}", families.light),
        (f"Shadow: {families.shadow.name}", families.shadow),
    ]


def _pair(chosen: argparse.Namespace, mix: "Mix", tubes: "Mapping[str, Tube]") -> "tuple[Mix, Mix | None]":
    """What carries the mix up and down. The usual black is left out where it is no darker than the mix."""
    from core.paint.value_string import value_of_mix

    darker = _darker(chosen, tubes)
    if chosen.darker is None and darker is not None and value_of_mix(darker, tubes) >= value_of_mix(mix, tubes):
        darker = None
    return _lighter(chosen, tubes), darker


def _mix(text: str, tubes: "Mapping[str, Tube]") -> "Mix":
    from core.paint.string_mix import parse_mix
    from core.paint.tubes import SeveralTubesError, UnknownTubeError

    try:
        return parse_mix(text, tubes)
    except SeveralTubesError:
        raise
    except UnknownTubeError as trouble:
        raise listed(trouble) from None


def _lighter(chosen: argparse.Namespace, tubes: "Mapping[str, Tube]") -> "Mix":
    if chosen.lighter is not None:
        return _mix(chosen.lighter, tubes)
    white = _first(tubes, _WHITE, "white")
    if white is None:
        raise PainterError("There is no white among these tubes to make the mix lighter. Say with what: --with.")
    return {white: 1.0}


def _darker(chosen: argparse.Namespace, tubes: "Mapping[str, Tube]") -> "Mix | None":
    if chosen.darker is not None:
        return _mix(chosen.darker, tubes)
    black = _first(tubes, _BLACK, "black")
    return None if black is None else {black: 1.0}


def _first(tubes: "Mapping[str, Tube]", usual: str, serves: str) -> str | None:
    """The usual tube, or the first that serves so."""
    return usual if usual in tubes else next((name for name, tube in tubes.items() if getattr(tube, serves)), None)


def _values(text: str | None) -> list[float] | None:
    if text is None:
        return None
    try:
        values = [float(part) for part in text.split(",")]
    except ValueError:
        values = [math.nan]
    if not all(map(math.isfinite, values)):
        raise PainterError(f"--values takes Munsell values such as 2,3.5,5; “{text}” is not that.")
    return values


def _notes(strings: "Strings", families: "FamilyStrings | None") -> list[str]:
    from core.paint.string_pairs import say_beside

    if families is not None:
        return [families.say()]
    return [say_beside(strings[0][1], strings[1][1])] if len(strings) > 1 else []


def _said(heading: str, string: "ValueString") -> list[str]:
    from core.paint.value_string import say_mix

    ways = [
        f"{word} with {say_mix(mix)}" for word, mix in (("lighter", string.lighter), ("darker", string.darker)) if mix
    ]
    lines = [f"{heading}{', ' if ways else ''}{', '.join(ways)}"]
    lines += _rows(string, string.steps)
    return [*lines, *(said for said in (string.say_left_out(), string.say_alike()) if said)]


def _rows(string: "ValueString", steps: "Sequence[StringStep]") -> list[str]:
    from core.mix_pages import whole_warmth
    from core.paint.value_string import say_value

    wide = max((len(step.say_parts()) for step in steps), default=0)
    rows = []
    for step in reversed(steps):
        onward = string.say_onward(step)
        way = "better" if step.better_onward else "or"
        more = f"   {way} {onward}" if onward else ""
        more += ("; rough either way" if onward else "   rough") if step.rough_either_way else ""
        at = f"value {say_value(step.asked):>4}  T {whole_warmth(step.warmth):>3}"
        rows.append(f"  {at}  {step.say_parts():<{wide}}{more}".rstrip())
    return rows


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
