"""The parts of a report that are lists: mixes, checks, and how it was measured."""

from collections.abc import Callable

from core.mix_pages import HONEST, Line, beyond_print, lines_mm, set_lines, swatch_code
from core.painting_report.parts import CheckTold, MendLine, MixTold, PaletteTold, Part, day
from core.painting_report.printing import Job
from core.painting_report.sheet import Sheet, split
from core.print_page import MARGIN_MM, PT_PER_MM, SOFT
from core.size import Size

_SIDE_MM, _BESIDE_MM, _BETWEEN_MM = 13.0, 4.0, 3.0
_BADGE_MM = 2.1
_COLUMN_MM = 58.0
_MOST_BADGES = 30
_MADE_BY = (
    "Photos of the canvas are laid flat by its own four corners, never by fitting the painted picture to the "
    "reference. Positions are on the canvas face.",
    "Values are Munsell value, ten steps from black to white, taken from linear light; within half a step counts as "
    "right. Colour differences are CIEDE2000: under 1 is hardly seen.",
    "A camera sees colours otherwise than the eye does, and print and screen show fewer than paint has. What is told "
    "of a colour is only as good as the photo and its light.",
)


def mixes(job: Job) -> None:
    """Palettes, then each mix: left what was wanted, right what was mixed."""
    report, sheet = job.report, job.sheet
    if not report.palettes and not report.mixes:
        return
    sheet.begin("Palettes and mixes")
    for palette in report.palettes:
        _palette(sheet, palette)
    if report.mixes:
        sheet.heading("Mixes")
        sheet.paragraph("Left what was wanted, right what the parts make. Parts are by weight.", 8.5, grey=SOFT)
        sheet.gap(1.5)
        for mix in report.mixes:
            _mix(sheet, mix)
        sheet.gap(2.0)
        sheet.paragraph(HONEST, 8, grey=SOFT)


def checks(job: Job) -> None:
    """Each check on its own page: the picture with the places to mend numbered, figures, and the list."""
    for check in job.report.checks:
        _check(job, check)


def measured(job: Job) -> None:
    """How all this was measured, and how sure it is."""
    sheet, report = job.sheet, job.report
    sheet.begin("How it was measured, and how sure")
    sheet.lines([(each, 9.5, "Regular") for each in (*_MADE_BY, *report.measured)])
    for check in report.checks if Part.CHECKS in job.choice.parts else ():
        if check.certainty:
            sheet.heading(f"The check of {check.picture.name}")
            sheet.lines([(each, 9.5, "Regular") for each in check.certainty])
    if Part.FINAL not in job.choice.parts and Part.COVER in job.choice.parts and job.final.says:
        sheet.heading("The colours of the final photo")
        sheet.lines([(each, 9.5, "Regular") for each in job.final.says])
    if job.troubles:
        sheet.heading("What could not be printed")
        sheet.lines([(each, 9.5, "Regular") for each in job.troubles])


def _palette(sheet: Sheet, palette: PaletteTold) -> None:
    sheet.heading(palette.name, keep_mm=8.0)
    sheet.lines([(each, 9.5, "Regular") for each in palette.tubes])
    sheet.gap(2.0)


def _mix(sheet: Sheet, mix: MixTold) -> None:
    beside = MARGIN_MM + 2 * _SIDE_MM + _BESIDE_MM
    room = sheet.page.width_mm - MARGIN_MM - beside
    told: list[Line] = [(mix.name, 9.5, "SemiBold"), (mix.parts, 9, "Medium")]
    told += [(mix.miss, 8, "Regular")] if mix.miss else []
    lights = [mix.wanted] if mix.mixed is None else [mix.wanted, mix.mixed]
    if any(beyond_print(light) for light in lights):
        told.append(("Stronger than print and screen can show", 7.5, "Regular"))
    high = max(_SIDE_MM, lines_mm(sheet.page, told, room))
    top = sheet.room(high + _BETWEEN_MM)
    for column, light in enumerate(lights):
        sheet.page.box(MARGIN_MM + column * _SIDE_MM, top, _SIDE_MM, _SIDE_MM, swatch_code(light), edge=True)
    set_lines(sheet.page, told, beside, top - 0.6, room)


def _check(job: Job, check: CheckTold) -> None:
    sheet, size = job.sheet, job.report.size
    sheet.begin("Check")
    sitting = f"sitting {check.sitting}" if check.sitting else ""
    about = [check.picture.name, "" if sitting == check.picture.name.casefold() else sitting]
    about.append(f"checked {day(check.on)}" if check.on else "")
    sheet.paragraph(" · ".join(each for each in about if each), 10, weight="Medium")
    sheet.gap(2.0)
    wide, high = _picture_room(sheet, size)
    top = sheet.top
    laid = job.made(check.picture, (wide, high))
    left, at, seen_wide, seen_high = sheet.picture(laid, MARGIN_MM, top, wide, high)
    for number, line in enumerate(check.mend[:_MOST_BADGES] if laid.jpeg else (), start=1):
        x, y = line.x_mm / size.width_mm * seen_wide + left, line.y_mm / size.height_mm * seen_high + at
        _badge(sheet, number, min(max(x, left), left + seen_wide), min(max(y, at), at + seen_high))
    beside, foot = sheet.wide - wide - _BESIDE_MM, at + seen_high
    if beside >= _COLUMN_MM:
        foot = max(foot, _figures(sheet, check, MARGIN_MM + wide + _BESIDE_MM + 2.0, top, 1))
    else:
        foot = _figures(sheet, check, MARGIN_MM, foot + 3.0, max(1, int(sheet.wide // _COLUMN_MM)))
    sheet.top = min(foot + 2.0, sheet.end)
    sheet.lines([(each, 9, "Medium") for each in check.notes])
    _mend(sheet, check.mend)


def _picture_room(sheet: Sheet, size: Size) -> tuple[float, float]:
    """How large the picture is: with figures beside it where the canvas is upright, else over them."""
    high = 0.46 * (sheet.end - MARGIN_MM)
    if size.aspect > 1:
        return sheet.wide, min(high, sheet.wide / size.aspect)
    return min(0.64 * sheet.wide, high * size.aspect), high


def _figures(sheet: Sheet, check: CheckTold, x: float, top: float, columns: int) -> float:
    """Row by row; gives where they end."""
    for first in range(0, len(check.figures), columns):
        ends = [top]
        for column, (name, said) in enumerate(check.figures[first : first + columns]):
            lines: list[Line] = [(name, 8, "Regular"), (said, 10, "Medium")]
            ends.append(set_lines(sheet.page, lines, x + column * _COLUMN_MM, top, _COLUMN_MM - 3.0))
        top = max(ends) + 1.5
    return top


def _mend(sheet: Sheet, mend: tuple[MendLine, ...]) -> None:
    sheet.heading("To mend, largest first")
    if not mend:
        sheet.paragraph("Nothing to mend was found.", 10)
    for number, line in enumerate(mend, start=1):
        place = f"{line.question} · {line.x_mm / 10:.1f} cm from the left, {line.y_mm / 10:.1f} cm from the top"
        parted = split(line.say, 10, "Regular", sheet.wide - 9.0)
        high = len(parted) * 10 * 1.32 / PT_PER_MM + 6.4
        top = sheet.room(high)
        sheet.page.text(f"{number}.", MARGIN_MM, top + 3.6, 10, weight="SemiBold")
        y = sheet.page.text(line.say, MARGIN_MM + 9.0, top + 3.6, 10)
        sheet.page.text(place, MARGIN_MM + 9.0, y - 0.5, 8, grey=SOFT)


def _badge(sheet: Sheet, number: int, x: float, y: float) -> None:
    """A number in a light disc with a dark rim, which shows on any paint."""
    pdf, page = sheet.page.pdf, sheet.page
    pdf.setFillGray(1.0)
    pdf.setStrokeGray(0.1)
    pdf.setLineWidth(0.5)
    pdf.circle(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM, _BADGE_MM * PT_PER_MM, stroke=1, fill=1)
    page.words(str(number), x, y + 0.85, 6.5, weight="SemiBold")


LISTED: dict[Part, Callable[[Job], None]] = {Part.MIXES: mixes, Part.CHECKS: checks, Part.MEASURED: measured}
