"""Printed pages with pictures and text: millimetres from the paper's top left corner, the program's own typeface."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.assets import font_file
from core.size import Size

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

PT_PER_MM = 72 / 25.4
MARGIN_MM = 15.0
INK, SOFT, RULE = 0.12, 0.38, 0.72
_LEADING = 1.32
_LEGEND_ROW_MM = 4.2


def register_fonts() -> None:
    """Make the program's typeface known to reportlab, as ``Inter-Regular``, ``Inter-Medium`` and ``Inter-SemiBold``."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = pdfmetrics.getRegisteredFontNames()
    for weight in ("Regular", "Medium", "SemiBold"):
        if f"Inter-{weight}" not in known:
            pdfmetrics.registerFont(TTFont(f"Inter-{weight}", str(font_file(weight))))


class Print:
    """A PDF being made, page by page; every page is of one paper, and the printer is asked not to scale it."""

    def __init__(self, title: str, paper: Size) -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        rl_config.useA85 = 0  # pictures as text took three quarters of a second and a quarter more room
        register_fonts()
        self._target = BytesIO()
        size = (paper.width_mm * PT_PER_MM, paper.height_mm * PT_PER_MM)
        self._pdf = Canvas(self._target, pagesize=size, pageCompression=1)
        self._pdf.setTitle(title)
        self._pdf.setCreator("Easelside")
        self._pdf.setViewerPreference("PrintScaling", "None")
        self.page = PrintPage(self._pdf, paper)

    def turn(self) -> None:
        """End the page; what follows is on the next."""
        self._pdf.showPage()

    def finished(self) -> bytes:
        """The PDF's bytes."""
        self._pdf.save()
        return self._target.getvalue()


@dataclass
class PrintPage:
    """What can be laid on a page. Positions are mm from its top left corner; greys 0 (black) to 1."""

    pdf: Any
    paper: Size

    @property
    def width_mm(self) -> float:
        return self.paper.width_mm

    @property
    def height_mm(self) -> float:
        return self.paper.height_mm

    def text(
        self,
        words: str,
        x: float,
        y: float,
        size: float,
        *,
        weight: str = "Regular",
        grey: float = INK,
        room: float | None = None,
        draw: bool = True,
    ) -> float:
        """Set text with its first baseline at y, wrapped to ``room`` mm (up to the right margin when not given); give
        back the next baseline. Unless ``draw``, only the room that it takes is found."""
        from reportlab.lib.utils import simpleSplit

        wide = self.width_mm - MARGIN_MM - x if room is None else room
        self.pdf.setFont(f"Inter-{weight}", size)
        self.pdf.setFillGray(grey)
        leading = size * _LEADING / PT_PER_MM
        for line in simpleSplit(words, f"Inter-{weight}", size, wide * PT_PER_MM):
            if draw:
                self.pdf.drawString(x * PT_PER_MM, (self.height_mm - y) * PT_PER_MM, line)
            y += leading
        return y

    def words(self, text: str, x: float, y: float, size: float, *, weight: str = "Regular", grey: float = INK) -> None:
        """One line of text with its middle at x and its baseline at y."""
        self.pdf.setFont(f"Inter-{weight}", size)
        self.pdf.setFillGray(grey)
        self.pdf.drawCentredString(x * PT_PER_MM, (self.height_mm - y) * PT_PER_MM, text)

    def rule(self, y: float) -> None:
        """A rule from margin to margin."""
        self.line((MARGIN_MM, y), (self.width_mm - MARGIN_MM, y), 0.5 / PT_PER_MM, RULE)

    def line(self, start: tuple[float, float], end: tuple[float, float], width_mm: float, grey: float = INK) -> None:
        self.pdf.setStrokeGray(grey)
        self.pdf.setLineWidth(width_mm * PT_PER_MM)
        (x1, y1), (x2, y2) = (self._at(*place) for place in (start, end))
        self.pdf.line(x1, y1, x2, y2)

    @contextmanager
    def clipped(self, left: float, top: float, right: float, bottom: float) -> Iterator[None]:
        """What is laid inside the ``with`` shows within the rectangle only."""
        self.pdf.saveState()
        path = self.pdf.beginPath()
        x, y = self._at(left, bottom)
        path.rect(x, y, (right - left) * PT_PER_MM, (bottom - top) * PT_PER_MM)
        self.pdf.clipPath(path, stroke=0, fill=0)
        try:
            yield
        finally:
            self.pdf.restoreState()

    def box(self, x: float, y: float, width: float, height: float, colour: Colour, *, edge: bool = False) -> None:
        """A filled rectangle, sRGB 0-255; with a thin ``edge`` when it may be as light as the paper."""
        left, low = self._at(x, y + height)
        self.pdf.setFillColorRGB(*(channel / 255 for channel in colour))
        self.pdf.setStrokeGray(RULE)
        self.pdf.setLineWidth(0.3)
        self.pdf.rect(left, low, width * PT_PER_MM, height * PT_PER_MM, stroke=int(edge), fill=1)

    def picture(self, pixels: Pixels, x: float, y: float, width: float, height: float, *, exact: bool = False) -> None:
        """A picture ``(H, W, 3)`` or ``(H, W)`` uint8 sRGB laid into a rectangle; ``exact`` keeps every code, at the
        cost of a larger file."""
        from reportlab.lib.utils import ImageReader

        left, low = self._at(x, y + height)
        held = _held(pixels, "PNG" if exact else "JPEG")
        self.pdf.drawImage(ImageReader(held), left, low, width * PT_PER_MM, height * PT_PER_MM)

    def fitted(
        self, pixels: Pixels, x: float, y: float, width: float, height: float, *, title: str = "", exact: bool = False
    ) -> tuple[float, float, float]:
        """A picture as large as the rectangle takes it, under a title; gives its left, top and mm per pixel."""
        top = y
        if title:
            self.text(title, x, y + 3.2, 10, weight="SemiBold", room=width)
            top += 6.0
        scale = min(width / pixels.shape[1], (y + height - top) / pixels.shape[0])
        self.picture(pixels, x, top, pixels.shape[1] * scale, pixels.shape[0] * scale, exact=exact)
        return x, top, scale

    def legend(
        self, entries: Sequence[tuple[str, Colour]], x: float, y: float, width: float, columns: int = 3
    ) -> float:
        """Swatches with their labels, read row by row; gives the foot of the last row."""
        each = width / columns
        for first in range(0, len(entries), columns):
            feet = []
            for column, (label, colour) in enumerate(entries[first : first + columns]):
                left = x + column * each
                self.box(left, y, 4.5, 2.6, colour)
                feet.append(self.text(label, left + 5.5, y + 2.3, 7, room=each - 6.5))
            y = max(y + _LEGEND_ROW_MM, max(feet) - 2.3 + _LEGEND_ROW_MM - 7 * _LEADING / PT_PER_MM)
        return y

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return x * PT_PER_MM, (self.height_mm - y) * PT_PER_MM


def _held(pixels: Pixels, kind: str) -> BytesIO:
    from PIL import Image

    held = BytesIO()
    how: dict[str, Any] = {"quality": 90, "subsampling": 0} if kind == "JPEG" else {"compress_level": 1}
    Image.fromarray(pixels).save(held, kind, **how)
    held.seek(0)
    return held
