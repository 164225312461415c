"""``easelside sheets``: a drawing printed at true size, on as few sheets of paper as hold it."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_parts import tell
from app.printing.words import sheets_said
from core.errors import PainterError
from core.size import parse_size

if TYPE_CHECKING:
    from core.drawing.sheet import SheetRequest
    from core.drawing.squaring import Squaring

_ABOUT = """\
Print a drawing at true size on as few sheets of paper as hold it, to be joined and traced or pricked onto the canvas.

The first page is the mounting plan: a map of the sheets and how they are joined. Every sheet has a ruler to check the
printer by, its name, its neighbours' names, and marks to cut and join by. Sheets are named as a map's squares are:
columns by letters, rows by numbers. Sheets with nothing on them are left out."""

_EXAMPLES = """\
examples:
  easelside sheets jug.svg --size 400x300mm --out sheets.pdf
  easelside sheets jug.svg --size 16x12in --out sheets.pdf --paper letter --whole-canvas --grid 4x3,diagonals
  easelside sheets jug.svg --size 40x30cm --out film.pdf --paper a3 --film --mirror
  easelside sheets jug.svg --size 400x300mm --png jug.png --dpi 300 --layer contour --layer "inner form"

Print at actual size (100 %), never fitted to the page."""


def add_sheets(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the command to the command line's."""
    sheets = commands.add_parser(
        "sheets",
        help="print a drawing at true size on sheets of paper",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    sheets.add_argument("drawing", type=Path, metavar="DRAWING.svg", help="the line drawing, with landmarks, in mm")
    sheets.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    out = sheets.add_argument_group("what is written, at least one of these")
    out.add_argument("--out", type=Path, metavar="PDF", help="the plan and the sheets")
    out.add_argument("--png", type=Path, metavar="FILE", help="the whole canvas as one picture")
    out.add_argument("--svg", type=Path, metavar="FILE", help="the drawing in mm: the layers chosen, mirrored if asked")
    paper = sheets.add_argument_group("paper")
    paper.add_argument("--paper", default="a4", metavar="NAME", help="a5, a4, a3, a2, letter or WxHmm; a4 if not given")
    paper.add_argument("--overlap", type=float, default=10.0, metavar="MM", help="shown by both of two sheets; 10")
    paper.add_argument("--margin", type=float, default=6.0, metavar="MM", help="what the printer leaves white; 6")
    paper.add_argument(
        "--whole-canvas", action="store_true", help="the whole canvas with its edge, not only the drawing"
    )
    look = sheets.add_argument_group("what is drawn")
    look.add_argument("--mirror", action="store_true", help="mirrored, for tracing from the back; words stay readable")
    look.add_argument("--film", action="store_true", help="for clear film: black only, thin lines, no tints")
    look.add_argument("--dots", action="store_true", help="landmarks as pricking dots with their names")
    look.add_argument(
        "--grid", metavar="WHAT", help="a squaring grid: 4x3 cells, halves, thirds, diagonals, or several with commas"
    )
    look.add_argument("--layer", action="append", metavar="NAME", help="only lines of this layer; may be given again")
    look.add_argument("--weight", type=float, default=0.5, metavar="MM", help="width of a contour; 0.5")
    look.add_argument("--dpi", type=float, default=300.0, metavar="N", help="dots per inch of the picture; 300")
    sheets.set_defaults(carry_out=carry_out)


def carry_out(chosen: argparse.Namespace) -> int:
    """Write what was asked for and say what it is. Raises PainterError with a sentence."""
    from core.drawing.sheet import write_picture, write_sheets

    if not (chosen.out or chosen.png or chosen.svg):
        raise PainterError("Say what is to be written: --out sheets.pdf, --png picture.png or --svg drawing.svg.")
    request = _request(chosen)
    for note in (*request.drawing.notes, *_missing_layers(request)):
        print(f"Note: {note}", file=sys.stderr)
    if chosen.out:
        sheets = write_sheets(chosen.out, request, tell=tell)
        print("\n".join([f"{sheets_said(sheets)[:-1]}: {chosen.out}", *sheets.notes]))
    if chosen.png:
        width, height = write_picture(chosen.png, request, dpi=chosen.dpi)
        print(f"The whole canvas, {width} × {height} pixels at {chosen.dpi:g} dpi: {chosen.png}")
    if chosen.svg:
        _write_svg(chosen.svg, request)
        print(f"The drawing in mm: {chosen.svg}")
    return 0


def _request(chosen: argparse.Namespace) -> "SheetRequest":
    from core.drawing.sheet import SheetRequest, parse_paper
    from core.drawing.svg_read import read_drawing

    return SheetRequest(
        read_drawing(chosen.drawing, parse_size(chosen.size)),
        paper=parse_paper(chosen.paper),
        margin_mm=chosen.margin,
        overlap_mm=chosen.overlap,
        line_weight_mm=chosen.weight,
        layers=None if chosen.layer is None else tuple(chosen.layer),
        mirrored=chosen.mirror,
        film=chosen.film,
        dots=chosen.dots,
        squaring=None if chosen.grid is None else parse_grid(chosen.grid),
        whole_canvas=chosen.whole_canvas,
    )


def _missing_layers(request: "SheetRequest") -> list[str]:
    there = {line.layer.casefold() for line in request.drawing.lines}
    missing = [name for name in request.layers or () if name.casefold() not in there]
    return [f"the drawing has no layer “{name}”." for name in missing if len(missing) < len(request.layers or ())]


def parse_grid(text: str) -> "Squaring":
    """A grid such as ``4x3``, ``thirds`` or ``4x3,diagonals``. Raises PainterError when it is none."""
    from core.drawing.squaring import Squaring

    columns = rows = 0
    whole: dict[str, bool] = {}
    for part in text.casefold().replace("×", "x").split(","):
        word = part.strip()
        across, by, down = word.partition("x")
        if word in {"halves", "thirds", "diagonals"}:
            whole[word] = True
        elif by and across.strip().isdecimal() and down.strip().isdecimal() and int(across) and int(down):
            columns, rows = int(across), int(down)
        else:
            raise PainterError(
                f"“{text}” is not a grid. Write cells such as 4x3, or halves, thirds or diagonals, with commas between."
            )
    return Squaring(columns=columns, rows=rows, **whole)


def _write_svg(path: Path, request: "SheetRequest") -> None:
    from core.drawing.sheet import chosen_drawing
    from core.drawing.svg_write import write_drawing

    write_drawing(path, chosen_drawing(request))
