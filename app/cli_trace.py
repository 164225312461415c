"""``easelside trace``: suggested lines of a reference, as SVG in millimetres."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from core.errors import PainterError
from core.size import parse_size

if TYPE_CHECKING:
    from core.drawing.drawing import Drawing

_ABOUT = """\
Propose a line drawing of the reference, in millimetres on the canvas, to be corrected by hand.

It finds where colours and values meet, keeps what is strong and long, and leaves texture and noise out. The SVG opens
in any vector program and in Easelside, and can be given to easelside check as its drawing."""

_EXAMPLES = """\
examples:
  easelside trace --reference jug.jpg --size 400x300mm --out jug.svg
  easelside trace --reference jug.jpg --size 16x12in --amount 0.25 --out outlines.svg --png outlines.png

--amount goes from 0, only what is strongest, to 1, all that was found. A larger amount only ever adds lines."""

PICTURE_PX = 2400
PAPER, INK_MM = 255, 0.5


def add_trace(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``trace`` command."""
    trace = commands.add_parser(
        "trace",
        help="suggest the lines of a reference, as a drawing",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    trace.add_argument("--reference", required=True, type=Path, metavar="REF", help="the photograph painted from")
    trace.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    trace.add_argument("--out", required=True, type=Path, metavar="SVG", help="the drawing to write")
    trace.add_argument("--amount", type=float, default=0.5, metavar="A", help="how many lines, 0 to 1 (0.5)")
    trace.add_argument("--png", type=Path, metavar="FILE", help="also a picture of the lines, black on white")
    trace.set_defaults(carry_out=_trace)


def _trace(chosen: argparse.Namespace) -> int:
    from core.canvas.lay_flat import reference_flat
    from core.drawing.suggest import suggest_lines, working_px_per_mm
    from core.drawing.svg_write import write_drawing
    from core.photo import load_photo

    size = parse_size(chosen.size)
    if not 0.0 <= chosen.amount <= 1.0:
        raise PainterError(f"--amount is a number from 0 to 1; {chosen.amount:g} is not.")
    flat, notes = reference_flat(load_photo(chosen.reference), size, working_px_per_mm(size))
    suggestion = suggest_lines(flat)
    drawing = suggestion.drawing(chosen.amount)
    for note in notes:
        print(note)
    if not suggestion.lines:
        raise PainterError(
            f"No line was found in “{chosen.reference.name}”: it is even all over. Choose a photograph with more in it."
        )
    write_drawing(chosen.out, drawing)
    if chosen.png is not None:
        _save_picture(chosen.png, drawing)
    count = len(drawing.lines)
    lines = "1 line" if count == 1 else f"{count} lines"
    print(f"{lines} of {len(suggestion.lines)} found, {drawing.length_mm / 10:.0f} cm together: {chosen.out}")
    return 0


def _save_picture(path: Path, drawing: "Drawing") -> None:
    import numpy as np

    from core.drawing.raster import lines_over
    from core.photo import save_png

    px_per_mm = PICTURE_PX / max(drawing.size.width_mm, drawing.size.height_mm)
    shape = (round(drawing.size.height_mm * px_per_mm), round(drawing.size.width_mm * px_per_mm), 3)
    paper = np.full(shape, PAPER, dtype=np.uint8)
    ink_mm = INK_MM * max(drawing.size.width_mm, drawing.size.height_mm) / 400.0
    save_png(path, lines_over(paper, drawing, px_per_mm, colour=(0, 0, 0), line_weight_mm=ink_mm), px_per_mm=px_per_mm)
