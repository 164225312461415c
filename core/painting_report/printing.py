"""The parts of a report on their pages."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.errors import PainterError
from core.mix_pages import Line, lines_mm, set_lines
from core.painting_report.final import Final, final_of
from core.painting_report.parts import Part, ReportChoice, ReportInput, ReportPicture, Sitting, day, days
from core.painting_report.pictures import Made, halved, made, packed, share_of
from core.painting_report.sheet import Sheet, split
from core.print_page import MARGIN_MM, PT_PER_MM, RULE, SOFT

Tell = Callable[[str], object]

_GAP_MM = 6.0
_CAPTION_MM = 6.0
_LEAST_COVER_MM = 30.0
"""A cover with less room for its picture has none."""


@dataclass(frozen=True, eq=False)
class Job:
    """A report being printed. ``tell``: called before each picture with what is being done; may raise to stop."""

    report: ReportInput
    choice: ReportChoice
    sheet: Sheet
    tell: Tell
    pictures: int
    troubles: list[str]

    @cached_property
    def final(self) -> Final:
        """Read once, for the cover and its own page."""
        self.tell("the final photo")
        return self._noted(final_of(self.report, (self.sheet.wide, self.sheet.end - MARGIN_MM)))

    def made(self, picture: ReportPicture, room_mm: tuple[float, float]) -> Made:
        """One picture, ready to lay."""
        self.tell(picture.name)
        found = made(picture, self.report.size, room_mm, share_of(self.pictures))
        if found.problem and found.problem not in self.troubles:
            self.troubles.append(found.problem)
        return found

    def _noted(self, final: Final) -> Final:
        if final.problem and final.problem not in self.troubles:
            self.troubles.append(final.problem)
        return final


def cover(job: Job) -> None:
    """Title, size, days, and the final photo."""
    sheet, report = job.sheet, job.report
    sheet.begin("", numbered=False)
    sheet.gap(6.0)
    size = next((size for size in (28, 20) if len(split(report.title, size, "SemiBold", sheet.wide)) <= 4), 14)
    sheet.paragraph(report.title, size, weight="SemiBold")
    if report.by:
        sheet.paragraph(report.by, 13)
    about = [f"{report.size.in_cm()} ({report.size.in_inches()})", days(report.began, report.ended)]
    sheet.paragraph(" · ".join(each for each in about if each), 11, grey=SOFT)
    if report.final is not None and sheet.left_mm > _LEAST_COVER_MM:
        sheet.gap(8.0)
        high = sheet.left_mm
        sheet.picture(job.final.made(share_of(job.pictures)), MARGIN_MM, sheet.room(high), sheet.wide, high)


def reference(job: Job) -> None:
    """The photograph painted from."""
    picture = job.report.reference
    if picture is None:
        return
    job.sheet.begin("Reference")
    _one(job, job.made(picture, (job.sheet.wide, job.sheet.left_mm - 12.0)), [(picture.name, 8.5, "Regular")])


def drawing(job: Job) -> None:
    """The drawing's own lines, as sharp as the printer."""
    from core.drawing.drawing import Drawing
    from core.drawing.sheet_ink import LOOKS
    from core.drawing.svg_read import drawing_from_svg

    if job.report.drawing_svg is None:
        return
    sheet, size = job.sheet, job.report.size
    sheet.begin("Drawing")
    try:
        found: Drawing = drawing_from_svg(job.report.drawing_svg, size)
    except PainterError as trouble:
        job.troubles.append(str(trouble))
        sheet.paragraph(str(trouble), 10)
        return
    names = ", ".join(mark.name for mark in found.landmarks)
    told: list[Line] = [(f"Landmarks: {names}.", 8.5, "Regular")] if names else []
    told += [(note, 8.5, "Regular") for note in found.notes]
    foot = min(_lines_mm(sheet, told), 0.3 * sheet.left_mm)
    scale = min(sheet.wide / size.width_mm, (sheet.left_mm - foot - _GAP_MM) / size.height_mm)
    left = MARGIN_MM + (sheet.wide - size.width_mm * scale) / 2
    top = sheet.room(size.height_mm * scale)
    corners = np.array([(0, 0), (size.width_mm, 0), (size.width_mm, size.height_mm), (0, size.height_mm), (0, 0)])
    _polyline(sheet, corners * scale + (left, top), 0.15, RULE)
    with sheet.page.clipped(left, top, left + size.width_mm * scale, top + size.height_mm * scale):
        for line, points in zip(found.lines, found.polylines(), strict=True):
            look = LOOKS.get(line.layer, LOOKS["contour"])
            dash = (look.dash_mm * 0.4, look.gap_mm * 0.4) if look.dash_mm else None
            _polyline(sheet, points * scale + (left, top), 0.35 * look.share, 0.1, dash)
        for x, y in (found.landmark_points() * scale + (left, top)).tolist():
            _dot(sheet, x, y, 0.7)
    sheet.gap(_GAP_MM)
    sheet.lines(told)


def sittings(job: Job) -> None:
    """What was planned, then each sitting with its photos, two beside each other."""
    report, sheet = job.report, job.sheet
    if not report.plan and not report.sittings:
        return
    sheet.begin("Plan and sittings" if report.plan else "Sittings")
    sheet.lines([(each, 9.5, "Regular") for each in report.plan])
    sheet.gap(3.0 if report.plan else 0.0)
    for sitting in report.sittings:
        _sitting(job, sitting)


def final(job: Job) -> None:
    """The final photo, its colours by the card, and how it was shot."""
    if job.report.final is None:
        return
    sheet = job.sheet
    sheet.begin("Final photo")
    told: list[Line] = [(each, 9, "Regular") for each in job.final.says]
    small = 0.0 if job.final.as_shot is None else 52.0
    foot = min(_lines_mm(sheet, told) + _GAP_MM + small, 0.5 * sheet.left_mm)
    high = sheet.left_mm - foot - _GAP_MM
    _, top, _, tall = sheet.picture(job.final.made(share_of(job.pictures)), MARGIN_MM, sheet.top, sheet.wide, high)
    sheet.top = top + tall
    sheet.gap(_GAP_MM)
    sheet.lines(told)
    if job.final.as_shot is not None:
        sheet.gap(3.0)
        top = sheet.room(small)
        sheet.page.text("As the camera made it", MARGIN_MM, top + 3.0, 8.5, weight="Medium", room=sheet.wide)
        as_shot = packed(halved(job.final.as_shot), share_of(job.pictures) // 4)
        wide = (small - 6.0) * as_shot.width_px / as_shot.height_px
        sheet.picture(as_shot, MARGIN_MM, top + 5.0, min(wide, sheet.wide), small - 6.0)


def _sitting(job: Job, sitting: Sitting) -> None:
    """Words beside a photo that is alone, else over the photos, two beside each other."""
    sheet, words = job.sheet, sitting.words
    when = "" if words.on is None else f" · {day(words.on)}"
    half = (sheet.wide - _GAP_MM) / 2
    high = min(half * job.report.size.height_mm / job.report.size.width_mm, 0.42 * (sheet.end - MARGIN_MM))
    told = [("Aim", words.aim), ("Medium", words.medium), ("Time", _time(words.minutes))]
    lines: list[Line] = [(f"{name}: {said}", 9.5, "Medium") for name, said in told if said]
    lines += [(say, 9.5, "Regular") for say in words.done]
    beside = len(sitting.pictures) == 1 and lines_mm(sheet.page, lines, half) <= high
    over = 0.0 if beside else min(_lines_mm(sheet, lines), 0.3 * (sheet.end - MARGIN_MM))
    sheet.heading(f"Sitting {sitting.number}{when}", keep_mm=over + (high + _CAPTION_MM + 2.0) * bool(sitting.pictures))
    if beside:
        set_lines(sheet.page, lines, MARGIN_MM + half + _GAP_MM, sheet.top, half)
    else:
        sheet.lines(lines)
        sheet.gap(1.5)
    for first in range(0, len(sitting.pictures), 2):
        top = sheet.room(high + _CAPTION_MM + 2.0)
        for column, picture in enumerate(sitting.pictures[first : first + 2]):
            x = MARGIN_MM + column * (half + _GAP_MM)
            laid = sheet.picture(job.made(picture, (half, high)), x, top, half, high)
            caption = split(picture.name, 8, "Regular", half)[:1]
            sheet.page.text("".join(caption), laid[0], laid[1] + laid[3] + 4.0, 8, grey=SOFT, room=999)
    sheet.gap(3.0)


def _one(job: Job, laid: Made, told: list[Line]) -> None:
    """One picture and what is told of it."""
    sheet = job.sheet
    high = sheet.left_mm - _lines_mm(sheet, told) - 3.0
    _, top, _, tall = sheet.picture(laid, MARGIN_MM, sheet.top, sheet.wide, high)
    sheet.top = top + tall
    sheet.gap(3.0)
    sheet.lines(told)


def _time(minutes: float | None) -> str:
    if minutes is None:
        return ""
    hours, rest = divmod(round(minutes), 60)
    parts = [f"{hours} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0 or hours == 0)
    return " ".join(parts)


def _lines_mm(sheet: Sheet, lines: list[Line]) -> float:
    return sum(sheet.high(words, size, weight) for words, size, weight in lines)


def _polyline(
    sheet: Sheet, points: np.ndarray[tuple[int, ...], np.dtype[np.float64]], width_mm: float, grey: float,
    dash: tuple[float, float] | None = None,
) -> None:  # fmt: skip
    pdf, page = sheet.page.pdf, sheet.page
    pdf.setStrokeGray(grey)
    pdf.setLineWidth(width_mm * PT_PER_MM)
    pdf.setLineCap(0 if dash else 1)
    pdf.setLineJoin(1)
    pdf.setDash([each * PT_PER_MM for each in dash] if dash else [])
    path = pdf.beginPath()
    for at, (x, y) in enumerate(points.tolist()):
        (path.lineTo if at else path.moveTo)(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM)
    pdf.drawPath(path, stroke=1, fill=0)
    pdf.setDash([])


def _dot(sheet: Sheet, x: float, y: float, radius_mm: float) -> None:
    pdf = sheet.page.pdf
    pdf.setFillGray(0.1)
    pdf.circle(x * PT_PER_MM, (sheet.page.height_mm - y) * PT_PER_MM, radius_mm * PT_PER_MM, stroke=0, fill=1)


PICTURED: dict[Part, Callable[[Job], None]] = {
    Part.COVER: cover,
    Part.REFERENCE: reference,
    Part.DRAWING: drawing,
    Part.SITTINGS: sittings,
    Part.FINAL: final,
}
