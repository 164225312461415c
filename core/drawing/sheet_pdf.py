"""Pages as a PDF: exact paper sizes, the program's own typeface within, and a word to the printer not to scale."""

from collections.abc import Iterable
from io import BytesIO
from typing import Any

from core.drawing.sheet_page import Page, Words
from core.print_page import PT_PER_MM, register_fonts


def pdf_bytes(pages: Iterable[Page], title: str) -> bytes:
    """The pages as one PDF document. Every page has its own paper's size."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    target = BytesIO()
    pdf = Canvas(target, pageCompression=1)
    pdf.setTitle(title)
    pdf.setCreator("Easelside")
    pdf.setViewerPreference("PrintScaling", "None")
    for page in pages:
        _draw(pdf, page)
        pdf.showPage()
    pdf.save()
    return target.getvalue()


def _draw(pdf: Any, page: Page) -> None:
    high = page.paper.height_mm
    pdf.setPageSize((page.paper.width_mm * PT_PER_MM, high * PT_PER_MM))
    pdf.setLineCap(1)
    pdf.setLineJoin(1)
    for fill in page.fills:
        pdf.setFillGray(fill.grey)
        pdf.drawPath(_path(pdf, fill.points, high), stroke=0, fill=1)
    width = grey = -1.0
    for stroke in page.strokes:
        if stroke.width_mm != width:
            width = stroke.width_mm
            pdf.setLineWidth(width * PT_PER_MM)
        if stroke.grey != grey:
            grey = stroke.grey
            pdf.setStrokeGray(grey)
        pdf.drawPath(_path(pdf, stroke.points, high))
    for words in page.words:
        _write(pdf, words, high)


def _path(pdf: Any, points: Any, high: float) -> Any:
    path = pdf.beginPath()
    places = ((points * (1.0, -1.0) + (0.0, high)) * PT_PER_MM).tolist()
    path.moveTo(*places[0])
    for place in places[1:]:
        path.lineTo(*place)
    return path


def _write(pdf: Any, words: Words, high: float) -> None:
    pdf.setFont(f"Inter-{words.weight}", words.size_pt)
    pdf.setFillGray(words.grey)
    put = {"left": pdf.drawString, "middle": pdf.drawCentredString, "right": pdf.drawRightString}[words.anchor]
    x, y = words.x_mm * PT_PER_MM, (high - words.y_mm) * PT_PER_MM
    if not words.turn:
        put(x, y, words.text)
        return
    pdf.saveState()
    pdf.translate(x, y)
    pdf.rotate(words.turn)
    put(0, 0, words.text)
    pdf.restoreState()
