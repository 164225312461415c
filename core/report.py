"""The printed check sheet: two A4 pages to hang beside the easel.

Page one hangs the pictures; page two is the list to mend, how sure the answers are, and what was withheld.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.assets import font_file
from core.check import CheckResult
from core.check_pictures import SheetPicture, check_pictures, sheet_pictures
from core.errors import PainterError
from core.size import PAPERS

_PT_PER_MM = 72 / 25.4
_MARGIN = 15.0
_GAP = 6.0
_INK, _SOFT, _RULE = 0.12, 0.38, 0.72
_WIDTH, _HEIGHT = PAPERS["A4"].width_mm, PAPERS["A4"].height_mm
_LEGEND_COLUMNS, _LEGEND_ROW = 3, 4.2
_LIST_STOPS_AT = 105.0
"""The list to mend ends here, mm from the foot of page two, to leave room for how sure it is."""


def write_sheet(result: CheckResult, path: Path, *, on: date | None = None) -> None:
    """Write the check as a two-page PDF. Raises PainterError when it cannot be written."""
    made = sheet_bytes(result, on=on)
    try:
        path.write_bytes(made)
    except OSError as trouble:
        raise PainterError(f"The sheet could not be written to {path}: {trouble.strerror}.") from trouble


def sheet_bytes(
    result: CheckResult, *, on: date | None = None, pictures: Mapping[str, NDArray[np.uint8]] | None = None
) -> bytes:
    """The check sheet as PDF bytes, dated ``on`` (today when not given); ``pictures`` saves making them again."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # pictures as text took three quarters of a second and a quarter more room
    _register_fonts()
    target = BytesIO()
    pdf = Canvas(target, pagesize=(_WIDTH * _PT_PER_MM, _HEIGHT * _PT_PER_MM), pageCompression=1)
    pdf.setTitle("Check sheet")
    pdf.setCreator("Easelside")
    page = _Page(pdf)
    on = on or date.today()
    _pictures_page(page, result, on, pictures or check_pictures(result))
    pdf.showPage()
    _list_page(page, result, on)
    pdf.showPage()
    pdf.save()
    return target.getvalue()


def _pictures_page(page: "_Page", result: CheckResult, on: date, made: Mapping[str, NDArray[np.uint8]]) -> None:
    top = _heading(page, "Check of the canvas against the reference", result, on)
    pictures = sheet_pictures(result, made)
    columns = 2 if result.size.aspect >= 0.95 else 3
    rows = -(-len(pictures) // columns)
    width = (_WIDTH - 2 * _MARGIN - (columns - 1) * _GAP) / columns
    foot = _HEIGHT - _MARGIN - 3 * _LEGEND_ROW
    height = (foot - top - rows * _GAP) / rows
    for index, picture in enumerate(pictures):
        row, column = divmod(index, columns)
        page.picture(picture, _MARGIN + column * (width + _GAP), top + row * (height + _GAP), width, height)
        page.legend(picture, _MARGIN, foot, _WIDTH - 2 * _MARGIN)


def _list_page(page: "_Page", result: CheckResult, on: date) -> None:
    y = _heading(page, "To mend, largest first", result, on)
    if not result.mend:
        y = page.text("Nothing to mend was found.", _MARGIN, y, 11)
    for number, finding in enumerate(result.mend, start=1):
        if y > _HEIGHT - _LIST_STOPS_AT:
            rest = len(result.mend) - number + 1
            page.text(f"and {rest} smaller: they stand in check.json.", _MARGIN + 9, y, 9.5, grey=_SOFT)
            break
        page.text(f"{number}.", _MARGIN, y, 11, weight="SemiBold")
        y = page.text(finding.say, _MARGIN + 9, y, 11) + 1.5
        at = f"{finding.question} · {finding.x_mm / 10:.1f} cm from the left, {finding.y_mm / 10:.1f} cm from the top"
        y = page.text(at, _MARGIN + 9, y - 1.2, 8.5, grey=_SOFT) + 2.0
    y += 8
    page.rule(y)
    y = page.text("How sure this is, and what was withheld", _MARGIN, y + 6, 13, weight="SemiBold") + 2
    for sentence in (*result.certainty, *_HOW_TO_READ):
        y = page.text(sentence, _MARGIN, y, 9.5) + 1.2


_HOW_TO_READ = (
    "A step is one step of Munsell value, ten from black to white; within half a step counts as right.",
    "Arrows run from where a landmark should be to where it is painted, three times their true length.",
    "Positions are on the canvas face. The canvas is laid flat from its own corners, never by its picture.",
)


def _heading(page: "_Page", title: str, result: CheckResult, on: date) -> float:
    y = page.text(title, _MARGIN, _MARGIN + 6, 17, weight="SemiBold")
    name = result.request.photo.source.name
    line = f"{name + ' · ' if name else ''}canvas {result.size.in_cm()} ({result.size.in_inches()}) · {on:%d %B %Y}"
    y = page.text(line, _MARGIN, y - 0.5, 9.5, grey=_SOFT)
    page.rule(y)
    return y + 5


@dataclass
class _Page:
    """Drawing in millimetres from the top left corner of the paper."""

    pdf: Any

    def text(
        self, words: str, x: float, y: float, size: float, *, weight: str = "Regular", grey: float = _INK
    ) -> float:
        """Set wrapped text with its first baseline at y; give back the next baseline."""
        from reportlab.lib.utils import simpleSplit

        self.pdf.setFont(f"Inter-{weight}", size)
        self.pdf.setFillGray(grey)
        leading = size * 1.32 / _PT_PER_MM
        for line in simpleSplit(words, f"Inter-{weight}", size, (_WIDTH - _MARGIN - x) * _PT_PER_MM):
            self.pdf.drawString(x * _PT_PER_MM, (_HEIGHT - y) * _PT_PER_MM, line)
            y += leading
        return y

    def rule(self, y: float) -> None:
        self.pdf.setStrokeGray(_RULE)
        self.pdf.setLineWidth(0.5)
        level = (_HEIGHT - y) * _PT_PER_MM
        self.pdf.line(_MARGIN * _PT_PER_MM, level, (_WIDTH - _MARGIN) * _PT_PER_MM, level)

    def picture(self, picture: SheetPicture, x: float, y: float, width: float, height: float) -> None:
        """Fit a picture and its title into a cell."""
        from reportlab.lib.utils import ImageReader

        self.text(picture.title, x, y + 3.2, 10, weight="SemiBold")
        room_w, room_h = width, height - 6.0
        h_px, w_px = picture.pixels.shape[:2]
        scale = min(room_w / w_px, room_h / h_px)
        w, h = w_px * scale, h_px * scale
        self.pdf.drawImage(
            ImageReader(_as_jpeg(picture.pixels)),
            x * _PT_PER_MM, (_HEIGHT - y - 6.0 - h) * _PT_PER_MM, w * _PT_PER_MM, h * _PT_PER_MM,
        )  # fmt: skip

    def legend(self, picture: SheetPicture, x: float, y: float, width: float) -> None:
        """Swatches with their labels, read row by row."""
        each = width / _LEGEND_COLUMNS
        self.pdf.setFont("Inter-Regular", 7)
        for index, (label, colour) in enumerate(picture.legend):
            row, column = divmod(index, _LEGEND_COLUMNS)
            left, low = (x + column * each) * _PT_PER_MM, (_HEIGHT - y - 3.2 - row * _LEGEND_ROW) * _PT_PER_MM
            self.pdf.setFillColorRGB(*(channel / 255 for channel in colour))
            self.pdf.rect(left, low, 4.5 * _PT_PER_MM, 2.6 * _PT_PER_MM, stroke=0, fill=1)
            self.pdf.setFillGray(_INK)
            self.pdf.drawString(left + 5.5 * _PT_PER_MM, low + 0.4 * _PT_PER_MM, label)


def _as_jpeg(pixels: NDArray[np.uint8]) -> BytesIO:
    from PIL import Image

    held = BytesIO()
    Image.fromarray(pixels).save(held, "JPEG", quality=90, subsampling=0)
    held.seek(0)
    return held


def _register_fonts() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = pdfmetrics.getRegisteredFontNames()
    for weight in ("Regular", "Medium", "SemiBold"):
        if f"Inter-{weight}" not in known:
            pdfmetrics.registerFont(TTFont(f"Inter-{weight}", str(font_file(weight))))
