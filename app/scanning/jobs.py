"""What the scan page asks of a worker. Pure functions; what computes is imported where it is used."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.picture import Picture
from app.prints import read_photo, whole_photo
from app.work import Progress
from core.size import Size

if TYPE_CHECKING:
    from core.drawing.scan import Scan
    from core.drawing.scan_find import SheetFix
    from core.photo import Photo

Corners = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Shot:
    """A photo of a drawing, and the sheet that its shape tells."""

    name: str
    photo: "Photo"
    picture: Picture
    likely: Size

    def whole(self) -> Corners:
        """The picture's own corners, for a scan of the sheet and nothing else."""
        from core.drawing.scan_sheet import flatbed_corners

        return flatbed_corners(self.photo)

    def doubt(self, corners: Corners, sheet: Size, canvas: Size, k1: float) -> str:
        """A sentence where the corners have plainly another sheet's shape."""
        from core.drawing.scan_shape import shape_doubt

        return shape_doubt(self.photo, corners, sheet, canvas, k1=k1)

    def has_shape(self, sheet: Size) -> bool:
        """Whether it may be such a scan of the sheet, either way up."""
        from core.drawing.scan_sheet import has_shape

        return has_shape(self.photo, sheet) or has_shape(self.photo, sheet.turned)


@dataclass(frozen=True, eq=False)
class Found:
    """The lines of a sheet, in mm on the sheet, and the sheet laid flat.

    ``length_mm``: of all lines together. ``doubt``: a sentence where it may not be that sheet at all.
    """

    scan: "Scan"
    sheet: Size
    picture: Picture
    length_mm: float
    doubt: str = ""


def read_shot(file: Path, canvas: Size, progress: Progress) -> Shot:
    """Raises PhotoError with a sentence."""
    from core.drawing.scan_find import likely_sheet

    progress(say="Reading the photograph")
    photo = read_photo(file)
    return Shot(file.name, photo, whole_photo(photo), likely_sheet(photo, canvas))


def find_outline(photo: "Photo", sheet: Size, progress: Progress) -> "SheetFix":
    """Raises DrawingError with a sentence when there is none."""
    from core.drawing.scan_find import find_sheet

    progress(say="Looking for the sheet")
    return find_sheet(photo, sheet)


def find_lines(shot: Shot, canvas: Size, sheet: Size, corners: Corners, k1: float | None, progress: Progress) -> Found:
    """``k1`` None: read from the sheet's own edges. Raises DrawingError with a sentence when there are no lines."""
    from core.drawing.scan import scan_drawing
    from core.drawing.scan_find import lens_at
    from core.tone import display_of_linear

    progress(say="Straightening the lens")
    lens = lens_at(shot.photo, corners) if k1 is None else k1

    def tell(share: float, doing: str) -> None:
        progress(share, doing[:1].upper() + doing[1:])

    scan = scan_drawing(shot.photo, sheet, corners_px=corners, k1=lens, progress=tell)
    picture = Picture.from_srgb(display_of_linear(scan.sheet.linear))
    return Found(scan, sheet, picture, scan.drawing.length_mm, shot.doubt(corners, sheet, canvas, lens))
