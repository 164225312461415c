"""``easelside values``: value plan, first marks, order of work, grey pair and underpainting of a reference."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_parts import tell
from app.cli_reach import add_reach, keying_chosen, reach_chosen
from app.cli_sheets import parse_grid
from core.errors import PainterError
from core.size import parse_size
from core.words import as_share

if TYPE_CHECKING:
    from core.values import ValuesRequest, ValuesResult

_ABOUT = """\
Read the values of a reference: its value plan in a few steps, the first marks (the most certain darkest and lightest
areas), the order of work from them outward, the grey pair for printing, and an underpainting in one earth.

Values are Munsell values, 0 black to 10 white. Into the folder go PNG pictures at the canvas's scale, the plan's shapes
as SVG in millimetres, and as PDFs the grey pair and the pages of first marks and order of work."""

_EXAMPLES = """\
examples:
  easelside values --reference jug.jpg --size 400x300mm --out values
  easelside values --reference jug.jpg --size 16x12in --out values --steps 3 --best --smallest 4
  easelside values --reference jug.jpg --size 40x30cm --out values --boundaries 2.5,5,7.5 --earth "burnt sienna"
  easelside values --reference jug.jpg --size 40x30cm --out values --keying lights --darkest 1.8 --lightest 9.3
  easelside values --reference jug.jpg --size 40x30cm --out values --paper a3 --canvas-scale --grid 4x3"""

_MOST_SAID = 15


def add_values(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``values`` command."""
    values = commands.add_parser(
        "values",
        help="value plan, first marks, grey pair and underpainting of a reference",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    values.add_argument("--reference", required=True, type=Path, metavar="REF", help="the photograph painted from")
    values.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    values.add_argument("--out", required=True, type=Path, metavar="DIR", help="the folder to write into")
    plan = values.add_argument_group("the value plan")
    plan.add_argument("--steps", type=int, default=5, metavar="N", help="how many steps, 2 to 10; 5")
    plan.add_argument("--best", action="store_true", help="boundaries of best separation, instead of equal steps")
    plan.add_argument("--boundaries", metavar="V,V", help="boundaries of your own, Munsell values from dark to light")
    plan.add_argument("--smallest", type=float, default=1.0, metavar="CM2", help="smaller shapes are joined; 1 cm²")
    plan.add_argument("--squint", type=float, default=0.0, metavar="MM", help="blur first, by so many mm")
    plan.add_argument(
        "--mark", type=float, default=1.0, metavar="CM2", help="a first mark is at least this large; 1 cm²"
    )
    add_reach(values)
    prints = values.add_argument_group("pictures and print")
    prints.add_argument("--earth", default="raw umber", metavar="NAME", help="earth of the underpainting; raw umber")
    prints.add_argument("--paper", default="a4", metavar="NAME", help="a4, a3, letter or WxHmm; a4")
    prints.add_argument("--canvas-scale", action="store_true", help="grey pair at canvas scale, over several pages")
    prints.add_argument("--grid", metavar="WHAT", help="a squaring grid over the grey pair: 4x3, thirds, diagonals")
    values.set_defaults(carry_out=carry_out)


def carry_out(chosen: argparse.Namespace) -> int:
    """Write the files and say what was found. Raises PainterError with a sentence."""
    from core.drawing.sheet_request import parse_paper
    from core.value.underpainting import earth_named
    from core.values import run_values
    from core.values_files import write_values

    request = _request(chosen)
    earth, paper = earth_named(chosen.earth), parse_paper(chosen.paper)
    grid = None if chosen.grid is None else parse_grid(chosen.grid)
    result = run_values(request, progress=lambda share, doing: tell(0.5 * share, doing))
    files = write_values(
        result, chosen.out, earth=earth, paper=paper, fitted=not chosen.canvas_scale, squaring=grid,
        tell=lambda share, doing: tell(0.5 + 0.5 * share, doing),
    )  # fmt: skip
    print(
        "\n".join(
            [*_plan_said(result), *_marks_said(result), *_order_said(result), *_outside_said(result), *result.notes]
        )
    )
    print(f"{len(files)} files: {chosen.out}")
    return 0


def _request(chosen: argparse.Namespace) -> "ValuesRequest":
    from dataclasses import replace

    from core.values import Way, load_values_request

    if chosen.best and chosen.boundaries:
        raise PainterError("Give either --best or --boundaries.")
    moved = () if chosen.boundaries is None else _numbers(chosen.boundaries)
    way = Way.MOVED if moved else Way.BEST if chosen.best else Way.EQUAL
    for name, number, least in (("--smallest", chosen.smallest, 0.0), ("--squint", chosen.squint, 0.0)):
        if not least <= number <= 1000.0:
            raise PainterError(f"{name} is a number from 0 to 1000; {number:g} is not.")
    return replace(
        load_values_request(chosen.reference, parse_size(chosen.size)),
        way=way,
        count=chosen.steps,
        moved=moved,
        smallest_mm2=100.0 * chosen.smallest,
        squint_mm=chosen.squint,
        marks_mm2=100.0 * chosen.mark,
        reach=reach_chosen(chosen),
        keying=keying_chosen(chosen),
    )


def _numbers(text: str) -> tuple[float, ...]:
    try:
        return tuple(float(part) for part in text.split(","))
    except ValueError:
        raise PainterError(f"--boundaries takes Munsell values such as 2.5,5,7.5; “{text}” is not that.") from None


def _plan_said(result: "ValuesResult") -> list[str]:
    steps = result.steps
    ends = [0.0, *steps.boundaries.tolist(), 10.0]
    rows = [
        f"  step {k + 1}: value {low:.1f} to {high:.1f}, shown at {level:.1f}, {as_share(share)} of the picture"
        for k, (low, high, level, share) in enumerate(zip(ends, ends[1:], steps.levels, steps.shares, strict=False))
    ]
    return [f"Value plan, {steps.count} steps, {result.request.way.value}:", *rows]


def _marks_said(result: "ValuesResult") -> list[str]:
    from core.first_marks_print import mark_name, mark_words

    size, boundaries = result.request.size, result.steps.boundaries.tolist()
    rows = [f"  {mark_name(mark)}  {'. '.join(mark_words(mark, boundaries, size))}." for mark in result.marks]
    return ["First marks:", *rows]


def _order_said(result: "ValuesResult") -> list[str]:
    from core.first_marks_print import placed_words

    size, boundaries = result.request.size, result.steps.boundaries.tolist()
    shown = result.order[:_MOST_SAID]
    rows = [f"  {placed.number}  {'. '.join(placed_words(placed, boundaries, size))}." for placed in shown]
    left = len(result.order) - len(rows)
    return ["Order of work:", *rows, *([f"  and {left} more, smaller or less certain."] if left else [])]


def _outside_said(result: "ValuesResult") -> list[str]:
    found, reach = result.outside, result.request.reach
    said = [
        f"{as_share(share)} of the reference is {way} than the paint can be "
        f"(value {end:g} ± {reach.uncertainty:.1f}), "
        f"by up to {steps:.1f} steps."
        for share, steps, way, end in (
            (found.dark_share, found.dark_steps, "darker", reach.darkest),
            (found.light_share, found.light_steps, "lighter", reach.lightest),
        )
        if share >= 0.005
    ]
    if said and result.request.keying.name == "NONE":
        return [*said, "Keying it (--keying) keeps its relations."]
    return said
