"""``easelside scan``: a photo or scan of a drawing on paper or acetate, as SVG in millimetres."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli_parts import points, tell
from app.scanning.words import how_sure, lines_said, where_said
from core.errors import PainterError
from core.size import Size, parse_size

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from core.drawing.scan import Scan
    from core.photo import Photo

_ABOUT = """\
Read the lines of a drawing on paper or acetate from a photo or scan of it, in millimetres on the canvas.

The sheet is laid flat by its corners, the light and a printed ruling are taken out, and smooth curves are fitted to
what was drawn. Without --corners the sheet's outline is looked for. The SVG opens in any vector program and in
Easelside, and can be given to easelside check as its drawing."""

_EXAMPLES = """\
examples:
  easelside scan acetate.jpg --size 400x300mm --out jug.svg
  easelside scan sketch.jpg --size 16x12in --sheet a4 --out jug.svg
  easelside scan sketch.png --size 400x300mm --sheet a4 --flatbed --place fill --out jug.svg
  easelside scan sketch.jpg --size 40x30cm --sheet 24x18cm --corners 412,380 3590,402 3611,2790 398,2764 \\
      --shift=-30,12 --out jug.svg

Corners are top left, top right, bottom right, bottom left, in photo pixels. A sheet may lie or stand: it is taken to
stand as the shape between its corners does."""

_TURNS = (0, 90, 180, 270)


def add_scan(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the ``scan`` command."""
    scan = commands.add_parser(
        "scan",
        help="read a drawing on paper from a photo or scan",
        description=_ABOUT,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    scan.add_argument("photo", type=Path, metavar="PHOTO", help="the photo or scan of the drawing")
    scan.add_argument("--size", required=True, metavar="WxH", help="canvas size, such as 400x300mm, 40x30cm, 16x12in")
    scan.add_argument("--out", required=True, type=Path, metavar="SVG", help="the drawing to write")
    sheet = scan.add_argument_group("the sheet the drawing is on")
    sheet.add_argument(
        "--sheet", metavar="NAME", help="a5, a4, a3, a2, letter or WxHmm; the canvas's size if not given"
    )
    sheet.add_argument(
        "--corners", nargs="+", metavar="x,y", help="the sheet's four corners in photo pixels; else they are looked for"
    )
    sheet.add_argument("--flatbed", action="store_true", help="the picture shows the sheet and nothing else")
    sheet.add_argument(
        "--turn", type=int, default=0, choices=_TURNS, metavar="DEG",
        help="turn the photo clockwise so that the drawing stands: 90, 180 or 270",
    )  # fmt: skip
    place = scan.add_argument_group("where it lies on the canvas")
    place.add_argument(
        "--place", choices=("middle", "fill"), default="middle",
        help="in the middle in its own size, or as large as the canvas holds; middle",
    )  # fmt: skip
    place.add_argument(
        "--shift",
        default="0,0",
        metavar="x,y",
        help="then so many mm to the right and down; --shift=-30,12 for the left",
    )
    scan.set_defaults(carry_out=carry_out)


def carry_out(chosen: argparse.Namespace) -> int:
    """Write the drawing and say what it is. Raises PainterError with a sentence."""
    from core.drawing.scan_place import corners_on
    from core.drawing.scan_shape import shape_doubt
    from core.drawing.svg_write import write_drawing
    from core.photo import load_photo

    canvas = parse_size(chosen.size)
    wanted = canvas if chosen.sheet is None else _sheet(chosen.sheet)
    shift = points(chosen.shift, 1, "--shift")[0]
    if chosen.flatbed and chosen.corners:
        raise PainterError("Give either --corners or --flatbed: a flatbed's picture is the sheet, corners and all.")
    given = points(" ".join(chosen.corners), 4, "--corners") if chosen.corners else None
    photo = load_photo(chosen.photo)
    corners, k1 = _corners(photo, wanted, given, flatbed=chosen.flatbed)
    sheet, corners = _stood(wanted, corners, chosen.turn)
    place = corners_on(canvas, sheet, filling=chosen.place == "fill", shift_mm=shift)
    scan = _scan(photo, canvas, sheet, corners, k1, place)
    write_drawing(chosen.out, scan.drawing)
    doubt = shape_doubt(photo, corners, sheet, canvas, k1=k1)
    for sentence in filter(None, (where_said(place, sheet), doubt, *scan.notes)):
        print(sentence)
    print(f"{lines_said(scan.drawing, scan.drawing.length_mm)[:-1]}: {chosen.out}")
    return 0


def _sheet(text: str) -> Size:
    from core.drawing.sheet_request import parse_paper

    return parse_paper(text)


def _corners(
    photo: "Photo", sheet: Size, given: list[tuple[float, float]] | None, *, flatbed: bool
) -> "tuple[NDArray[np.float64], float]":
    """The sheet's corners as it stands in the photo, and the lens."""
    import numpy as np

    from core.drawing.scan_find import find_sheet, lens_at
    from core.drawing.scan_sheet import check_shape, flatbed_corners, has_shape

    if flatbed:
        check_shape(photo, sheet.turned if has_shape(photo, sheet.turned) else sheet)
        return flatbed_corners(photo), 0.0
    if given is not None:
        corners = np.array(given)
        return corners, lens_at(photo, corners)
    tell(0.0, "looking for the sheet")
    try:
        fix = find_sheet(photo, sheet)
    except PainterError as trouble:
        raise PainterError(
            f"{trouble} Give its four corners with --corners, or --flatbed where the picture is the sheet alone."
        ) from trouble
    print(f"The sheet was found: {how_sure(fix)}.")
    return fix.corners_px, fix.k1


def _stood(sheet: Size, corners: "NDArray[np.float64]", turn_deg: int) -> "tuple[Size, NDArray[np.float64]]":
    """The sheet the way up its drawing stands, its corners named so."""
    from core.drawing.scan_find import standing_as, turned_corners

    named = turned_corners(corners, turn_deg // 90)
    return standing_as(sheet, named), named


def _scan(
    photo: "Photo", canvas: Size, sheet: Size, corners: "NDArray[np.float64]", k1: float, place: "NDArray[np.float64]"
) -> "Scan":
    from core.drawing.scan import scan_drawing

    return scan_drawing(photo, canvas, corners_px=corners, k1=k1, sheet=sheet, sheet_corners_mm=place, progress=tell)
