"""The command line: a file for each command; bad input gives one sentence and exit code 2."""

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NoReturn

from app.cli_edges import add_edges, focal_point
from app.cli_mix import add_mix
from app.cli_parts import points, tell
from app.cli_reach import add_reach, keying_chosen, reach_chosen
from app.cli_scan import add_scan
from app.cli_sheets import add_sheets
from app.cli_strings import add_strings
from app.cli_trace import add_trace
from app.cli_values import add_values
from core.errors import PainterError
from core.size import parse_size
from core.version import VERSION

if TYPE_CHECKING:
    from core.check import CheckRequest, CheckResult
    from core.check_light import KnownGrey

COMMANDS = ("check", "demo", "trace", "values", "edges", "mix", "strings", "scan", "sheets")
BAD_INPUT = 2
_GREY = "photo pixels and Munsell value of a neutral"

_ABOUT = """\
Easelside says where a painting in progress has strayed from the photograph it is painted from:
the drawing in millimetres on the canvas, the values in Munsell value steps, the edges in
millimetres from hard to lost, the temperature from warmer to cooler.

With no command it opens the window; a painting's folder or a photograph may be named."""

_CHECK = """\
Lay a photo of the canvas flat, compare it with the reference, and write what was found to DIR:

  check.json      the findings, in millimetres and value steps
  check.npz       maps on a 1 mm grid (values, drift, edges, warmth)
  check.pdf       the printed sheet: three pages to hang beside the easel
  canvas.png      the canvas laid flat, its light taken out
  drawing.png     the same with the drawing over it and the drift as arrows
  value.png       where it is too light or too dark, numbered as in the list
  grey.png        reference and canvas side by side in value steps
  edge.png        where its edges are too hard (heavy line) or too soft (dots)
  temperature.png where it is too warm (ochre) or too cool (blue) beside the rest
  light.png       the light that was taken out: how it falls, its colour, the exposure

The list to mend is printed, largest first. Steps are Munsell value steps: ten from black to white."""

_EXAMPLES = """\
examples:
  easelside check --reference jug.jpg --photo canvas.jpg --size 400x300mm --out check
  easelside check --reference jug.jpg --photo canvas.jpg --size 16x12in --drawing jug.svg \\
      --corners "412,380 3590,402 3611,2790 398,2764" --blank empty.jpg --out check
  easelside check --reference jug.jpg --photo canvas.jpg --size 400x300mm \\
      --lamp-moved lamp-left.jpg --lamp-moved lamp-right.jpg --out check"""


class _Parser(argparse.ArgumentParser):
    """Bad words on the command line are said in a sentence too."""

    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}. Try: {self.prog} --help", file=sys.stderr)
        sys.exit(BAD_INPUT)


def run(arguments: Sequence[str]) -> int:
    """Carry out one command; give back the exit code (0 done, 2 bad input, 130 stopped by the keyboard)."""
    try:
        chosen = _parser().parse_args(arguments)
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else BAD_INPUT
    command: Callable[[argparse.Namespace], int] = chosen.carry_out
    try:
        return command(chosen)
    except PainterError as trouble:
        print(f"easelside: {trouble}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("easelside: stopped; nothing half-written was kept.", file=sys.stderr)
        return 130


def open_window(arguments: Sequence[str]) -> int:
    """Open the window on the painting or photograph named, if any."""
    parser = _Parser(prog="easelside", description=_ABOUT)
    parser.add_argument("--demo", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("paths", nargs="*")
    try:
        chosen = parser.parse_args(arguments)
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else BAD_INPUT
    from app.window import run as run_window

    return run_window(chosen.paths, demo=chosen.demo)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="easelside", description=_ABOUT, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--version", action="version", version=f"easelside {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _add_check(commands)
    demo = commands.add_parser("demo", help="check the demo painting", description="Check the demo painting.")
    demo.add_argument("--out", required=True, type=Path, metavar="DIR", help="folder to write to")
    demo.add_argument("--json", action="store_true", help="print check.json instead of the list")
    demo.set_defaults(carry_out=_demo)
    add_trace(commands)
    add_values(commands)
    add_edges(commands)
    add_mix(commands)
    add_strings(commands)
    add_scan(commands)
    add_sheets(commands)
    return parser


def _add_check(commands: "argparse._SubParsersAction[_Parser]") -> None:
    check = commands.add_parser(
        "check",
        help="compare a photo of the canvas with the reference",
        description=_CHECK,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("--reference", required=True, type=Path, metavar="REF", help="the photograph painted from")
    check.add_argument("--photo", required=True, type=Path, metavar="CANVAS", help="the photo of the canvas")
    check.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    check.add_argument("--out", required=True, type=Path, metavar="DIR", help="folder to write to; made if missing")
    check.add_argument("--drawing", type=Path, metavar="SVG", help="the line drawing, with landmarks, in mm")
    check.add_argument(
        "--corners",
        metavar='"x,y x,y x,y x,y"',
        help="the canvas's corners in photo pixels: top left, top right, bottom right, bottom left",
    )
    check.add_argument(
        "--blank", type=Path, help="a photo of the empty canvas in the same light, best from the same place"
    )
    _add_light(check)
    add_reach(check)
    check.add_argument("--steps", type=int, default=10, metavar="N", help="value steps of the grey pictures, 2 to 10")
    check.add_argument(
        "--focus",
        action="append",
        default=[],
        metavar='"x,y[,radius]"',
        help="hold the edges against a plan: a focal point in mm on the canvas, and its radius; may be given again",
    )
    check.add_argument("--json", action="store_true", help="print check.json instead of the list")
    check.set_defaults(carry_out=_check)


def _add_light(check: argparse.ArgumentParser) -> None:
    check.add_argument(
        "--lamp-moved",
        action="append",
        default=[],
        type=Path,
        metavar="PHOTO",
        help="a photo of the canvas in the same state with the lamp moved, which takes the glare out; found by its "
        "outline; may be given again",
    )
    light = check.add_argument_group("greys of known value in the canvas photo, in the plane of the canvas")
    light.add_argument("--card", action="append", default=[], metavar="x,y=V", help=f"{_GREY} card; may be given again")
    light.add_argument("--ground", action="append", default=[], metavar="x,y=V", help=f"{_GREY} patch of bare ground")
    light.add_argument("--chart", action="store_true", help="a colour chart of 24 patches lies beside the canvas")


def _check(chosen: argparse.Namespace) -> int:
    from core.check import load_request
    from core.check_glare import LampMoved
    from core.edge.brief import EdgeBrief
    from core.photo import load_photo

    size = parse_size(chosen.size)
    corners = None if chosen.corners is None else points(chosen.corners, 4, "--corners")
    foci = tuple(focal_point(text, size) for text in chosen.focus)
    request = load_request(
        reference=chosen.reference,
        photo=chosen.photo,
        size=size,
        drawing=chosen.drawing,
        corners_px=corners,
        blank=chosen.blank,
        steps=chosen.steps,
        greys=(*_greys(chosen.card, "card"), *_greys(chosen.ground, "ground")),
        chart=chosen.chart,
        lamp_moved=tuple(LampMoved(load_photo(file)) for file in chosen.lamp_moved),
        keying=keying_chosen(chosen),
        reach=reach_chosen(chosen),
        edge_brief=EdgeBrief(size, foci) if foci else None,
    )
    return _carry_out(request, chosen)


def _greys(given: Sequence[str], kind: Literal["card", "ground"]) -> "tuple[KnownGrey, ...]":
    """Places written ``x,y=V``: photo pixels, and the Munsell value there. Raises PainterError with a sentence."""
    from core.check_light import KnownGrey

    found = []
    for text in given:
        place, _, number = text.partition("=")
        try:
            value = float(number)
        except ValueError:
            raise PainterError(
                f"--{kind} takes a place in photo pixels and the Munsell value there, such as 412,380=8; “{text}” is "
                "not that."
            ) from None
        x, y = points(place, 1, f"--{kind}")[0]
        found.append(KnownGrey(x, y, value, kind))
    return tuple(found)


def _demo(chosen: argparse.Namespace) -> int:
    from core.demo import demo_request

    return _carry_out(demo_request(), chosen)


def _carry_out(request: "CheckRequest", chosen: argparse.Namespace) -> int:
    from core.check import run_check
    from core.check_files import as_json, write_check

    result = run_check(request, progress=None if chosen.json else tell)
    written = write_check(result, chosen.out)
    if chosen.json:
        print(json.dumps(as_json(result), indent=1))
        return 0
    print(summary(result))
    print(f"\nThe printed sheet: {written.sheet}")
    return 0


def summary(result: "CheckResult") -> str:
    """The list to mend and how sure it is, as lines of text."""
    lines = [f"{n:3d}. {finding.say}" for n, finding in enumerate(result.mend, start=1)]
    if not lines:
        lines = ["Nothing to mend was found."]
    return "\n".join(["To mend, largest first:", *lines, "", *result.certainty])
