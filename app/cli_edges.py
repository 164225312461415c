"""``easelside edges``: which edges of a reference are to be hard, firm, soft or lost."""

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_parts import tell
from core.errors import PainterError
from core.size import Size, parse_size

if TYPE_CHECKING:
    from core.edge.brief import EdgeBrief, EyeSettings, FocalPoint

_ABOUT = """\
Measure the edges of a reference and plan them: hard, firm, soft or lost, from one or more focal points outward.

Into the folder go the plan over the faded picture (edges.png) and as a page to print (edges.pdf), the lines with their
kinds in millimetres (edges.json), and with a focal point the reference as the eye sees it that rests there (seen.png).
A plan makes no edge harder than the reference has it; without a focal point it is the reference's own."""

_EXAMPLES = """\
examples:
  easelside edges --reference jug.jpg --size 400x300mm --out edges --focus "150,120"
  easelside edges --reference jug.jpg --size 16x12in --out edges --focus "150,120,40" --focus "300,220" --wanted-hard 15
  easelside edges --reference jug.jpg --size 40x30cm --out edges --focus "150,120" --eye 100cm --paper A3"""

_UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}


def add_edges(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``edges`` command."""
    edges = commands.add_parser(
        "edges",
        help="edge plan of a reference: hard, firm, soft and lost",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    edges.add_argument("--reference", required=True, type=Path, metavar="REF", help="the photograph painted from")
    edges.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    edges.add_argument("--out", required=True, type=Path, metavar="DIR", help="the folder to write into")
    edges.add_argument(
        "--focus",
        action="append",
        default=[],
        metavar='"x,y[,radius]"',
        help="a focal point in mm on the canvas, and its radius, a tenth of the diagonal; may be given again",
    )
    edges.add_argument(
        "--wanted-hard", type=float, metavar="PERCENT", help="the share of edge length that you would like to be hard"
    )
    edges.add_argument(
        "--eye", metavar="DISTANCE", help="plan by what the eye sees from so far, such as 100cm; else by distance alone"
    )
    edges.add_argument("--strength", type=float, default=1.0, metavar="N", help="how strong its blur is, 0 to 3; 1")
    edges.add_argument("--paper", default="a4", metavar="NAME", help="a4, a3, letter or WxHmm; a4")
    edges.set_defaults(carry_out=carry_out)


def carry_out(chosen: argparse.Namespace) -> int:
    """Write the files and say how much is hard. Raises PainterError with a sentence."""
    from core.drawing.sheet_request import parse_paper
    from core.edges import measure_reference, plan_reference
    from core.edges_files import write_edges
    from core.photo import load_photo

    size, paper = parse_size(chosen.size), parse_paper(chosen.paper)
    brief = _brief(chosen, size)
    photo = load_photo(chosen.reference)
    measured = measure_reference(photo, size, progress=lambda share, doing: tell(0.6 * share, doing))
    plan = plan_reference(measured, brief)
    files = write_edges(
        measured, plan, chosen.out, paper=paper, tell=lambda share, doing: tell(0.7 + 0.3 * share, doing)
    )
    shares = [] if plan.budget.total_mm <= 0 else [f"{plan.budget.say_all()}."]
    print("\n".join([f"{plan.budget.say().removesuffix('.')}.", *shares, *measured.notes]))
    print(f"{len(files)} files: {chosen.out}")
    return 0


def _brief(chosen: argparse.Namespace, size: Size) -> "EdgeBrief":
    from core.edge.brief import EdgeBrief

    foci = tuple(focal_point(text, size) for text in chosen.focus)
    eye = None if chosen.eye is None else _eye(chosen.eye, chosen.strength)
    if eye is None and chosen.strength != 1.0:
        raise PainterError("--strength is of what the eye sees: give --eye with the distance it looks from.")
    if eye is not None and not foci:
        raise PainterError("The eye has to rest somewhere: give a focal point with --focus.")
    wanted = None if chosen.wanted_hard is None else chosen.wanted_hard / 100
    return EdgeBrief(size, foci, wanted_hard=wanted, eye=eye)


def focal_point(text: str, size: Size) -> "FocalPoint":
    """A focal point written ``x,y`` or ``x,y,radius``, mm. Raises PainterError with a sentence."""
    from core.edge.brief import FocalPoint, usual_radius_mm

    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not all(map(math.isfinite, numbers)):
        raise PainterError(f"--focus takes mm on the canvas as “x,y” or “x,y,radius”; “{text}” is not that.")
    x, y = numbers[:2]
    return FocalPoint(x, y, numbers[2] if len(numbers) == 3 else usual_radius_mm(size))


def _eye(text: str, strength: float) -> "EyeSettings":
    from core.edge.brief import EyeSettings

    written = text.strip().lower()
    unit = next((unit for unit in _UNITS_MM if written.endswith(unit)), "")
    try:
        distance = float(written.removesuffix(unit)) * _UNITS_MM[unit]
    except (ValueError, KeyError):
        raise PainterError(f"--eye takes a distance such as 100cm, 1.5m or 40in; “{text}” is not that.") from None
    return EyeSettings(distance, strength)
