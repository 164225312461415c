"""The pages of a report, filled from the top: what has no room goes on to the next page, under the same head."""

import io
from collections.abc import Sequence

from core.errors import PainterError
from core.mix_pages import BETWEEN_MM, Line
from core.painting_report.pictures import Made
from core.print_page import INK, MARGIN_MM, PT_PER_MM, RULE, SOFT, Print, PrintPage
from core.size import Size

Rect = tuple[float, float, float, float]

_LEADING = 1.32
_HEAD_MM, _FOOT_MM = 15.0, 9.0
_SMALLEST_MM = (95.0, 130.0)
_TOGETHER = 3
"""A paragraph of so few lines is not parted by the end of a page."""
_NUMBER = "pagesInAll"


class Sheet:
    """``title`` stands at the foot of every page but the cover, with the page's number."""

    def __init__(self, title: str, paper: Size, *, by: str = "", about: str = "") -> None:
        if paper.width_mm < _SMALLEST_MM[0] or paper.height_mm < _SMALLEST_MM[1]:
            raise PainterError(
                f"A paper of {paper.width_mm:g} × {paper.height_mm:g} mm is too small for a report. Choose a larger "
                "one."
            )
        self._print = Print(title, paper)
        pdf = self._print.page.pdf
        pdf.setSubject(about)
        pdf.setKeywords(["painting", "report"])
        pdf.setAuthor(by)
        self._title, self._head = title, ""
        self.pages, self.top, self._first = 0, 0.0, 0.0

    @property
    def page(self) -> PrintPage:
        return self._print.page

    @property
    def wide(self) -> float:
        return self.page.width_mm - 2 * MARGIN_MM

    @property
    def end(self) -> float:
        """How far down a page is filled, mm."""
        return self.page.height_mm - MARGIN_MM - _FOOT_MM

    @property
    def left_mm(self) -> float:
        """How much of the page is left."""
        return self.end - self.top

    @property
    def _begun(self) -> bool:
        return self.top > self._first

    def begin(self, head: str, *, numbered: bool = True) -> None:
        """A new page under another head."""
        self._head = head
        self._turn(numbered=numbered, again=False)

    def room(self, high: float) -> float:
        """Where something so high begins; on the next page where this one has no room for it."""
        if self.top + high > self.end + 1e-6 and self._begun:
            self._turn()
        top = self.top
        self.top += high
        return top

    def heading(self, words: str, *, keep_mm: float = 20.0) -> None:
        """A heading that is not left alone at the foot of a page."""
        if self.left_mm < keep_mm + 10.0 and self._begun:
            self._turn()
        top = self.room(9.0)
        self.page.text(words, MARGIN_MM, top + 5.5, 12, weight="SemiBold", room=self.wide)

    def gap(self, high: float) -> None:
        """Nothing, so high, unless the page ends."""
        self.top = min(self.top + high, self.end)

    def lines(self, lines: Sequence[Line], *, indent: float = 0.0) -> None:
        """Paragraphs below each other, soft where they are regular."""
        for words, size, weight in lines:
            self.paragraph(words, size, weight=weight, grey=INK if weight != "Regular" else SOFT, indent=indent)

    def paragraph(
        self, words: str, size: float, *, weight: str = "Regular", grey: float = INK, indent: float = 0.0
    ) -> None:
        """Text over the whole width, however long."""
        parted = split(words, size, weight, self.wide - indent)
        leading = size * _LEADING / PT_PER_MM
        if len(parted) <= _TOGETHER and self.left_mm < leading * len(parted) and self._begun:
            self._turn()
        for line in parted:
            top = self.room(leading)
            self.page.text(line, MARGIN_MM + indent, top + size / PT_PER_MM, size, weight=weight, grey=grey, room=999)
        self.gap(BETWEEN_MM)

    def picture(self, made: Made, x: float, top: float, width: float, height: float) -> Rect:
        """Laid into a rectangle, as large as it takes it and in the middle of its width; gives where it lies: left,
        top, width, height, mm. What stands in the way of a picture is told in its place."""
        if made.problem:
            return self._instead(made.problem, x, top, width, height)
        scale = min(width / made.width_px, height / made.height_px)
        wide, high = made.width_px * scale, made.height_px * scale
        left = x + (width - wide) / 2
        from reportlab.lib.utils import ImageReader

        pdf, low = self.page.pdf, self.page.height_mm - top - high
        pdf.drawImage(
            ImageReader(io.BytesIO(made.jpeg)), *(each * PT_PER_MM for each in (left, low, wide, high)), mask=None
        )
        return left, top, wide, high

    def high(self, words: str, size: float, weight: str, *, room: float | None = None) -> float:
        """How much of the page a paragraph takes, mm."""
        lines = split(words, size, weight, self.wide if room is None else room)
        return len(lines) * size * _LEADING / PT_PER_MM + BETWEEN_MM

    def finished(self) -> bytes:
        """The PDF's bytes."""
        pdf = self.page.pdf
        pdf.beginForm(_NUMBER, 0, -5, 60, 20)
        pdf.setFont("Inter-Regular", 7.5)
        pdf.setFillGray(SOFT)
        pdf.drawString(0, 0, f" of {self.pages}")
        pdf.endForm()
        self._print.turn()
        return self._print.finished()

    def _turn(self, *, numbered: bool = True, again: bool = True) -> None:
        if self.pages:
            self._print.turn()
        self.pages += 1
        self.top = MARGIN_MM
        if self._head:
            room = self.wide - 20.0
            below = self.page.text(self._head, MARGIN_MM, MARGIN_MM + 5.0, 17, weight="SemiBold", room=room)
            below -= MARGIN_MM + 5.0 + 17 * _LEADING / PT_PER_MM
            if again:
                self.page.pdf.setFont("Inter-Regular", 8.5)
                right = (self.page.width_mm - MARGIN_MM) * PT_PER_MM
                self.page.pdf.setFillGray(SOFT)
                self.page.pdf.drawRightString(right, self._y(MARGIN_MM + 5.0), "continued")
            self.page.rule(MARGIN_MM + 9.0 + below)
            self.top = MARGIN_MM + _HEAD_MM + below
        self._first = self.top
        if numbered:
            self._foot()

    def _foot(self) -> None:
        pdf, y = self.page.pdf, self.page.height_mm - MARGIN_MM + 2.0
        title = split(self._title, 7.5, "Regular", self.wide - 30.0)
        self.page.text("".join(title[:1]) + " …" * (len(title) > 1), MARGIN_MM, y, 7.5, grey=SOFT, room=999)
        at = (self.page.width_mm - MARGIN_MM - 9.0) * PT_PER_MM
        pdf.setFont("Inter-Regular", 7.5)
        pdf.setFillGray(SOFT)
        pdf.drawRightString(at, self._y(y), str(self.pages))
        pdf.saveState()
        pdf.translate(at, self._y(y))
        pdf.doForm(_NUMBER)  # how many there are is known at the end only
        pdf.restoreState()

    def _instead(self, problem: str, x: float, top: float, width: float, height: float) -> Rect:
        high = min(height, 26.0)
        self.page.box(x, top, width, high, (245, 245, 245), edge=True)
        self.page.pdf.setStrokeGray(RULE)
        self.page.text(problem, x + 4.0, top + 7.0, 8.5, grey=SOFT, room=width - 8.0)
        return x, top, width, high

    def _y(self, y: float) -> float:
        return (self.page.height_mm - y) * PT_PER_MM


def split(words: str, size: float, weight: str, room: float) -> list[str]:
    """The lines that words are set in; a word that is too long for one is parted."""
    from reportlab.lib.utils import simpleSplit
    from reportlab.pdfbase.pdfmetrics import stringWidth

    font, wide, lines = f"Inter-{weight}", room * PT_PER_MM, []
    for line in simpleSplit(words, font, size, wide):
        rest = line
        while stringWidth(rest, font, size) > wide and len(rest) > 1:
            fits = len(rest) - 1
            while fits > 1 and stringWidth(rest[:fits], font, size) > wide:
                fits -= max(1, fits // 20)
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return lines
