"""The plan of the sittings in print and for a calendar: gathered from what is kept, written in a worker."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from app.prints import PrintKey, make_sheet, read_photo
from app.sittings.forecast import Forecast, LayerDrying, name_of
from app.sittings.reads import SittingReads
from app.sittings.settings import SittingView
from app.sittings.words import GROUNDS, MEDIUMS, THICKNESSES, coat_words, first_up, warned
from app.work import Progress
from core.sitting.calendar_file import CalendarEvent, perhaps_dry_event, sitting_event
from core.sitting.cautions import cautions_for
from core.sitting.coat import Lies
from core.sitting.dates import day, day_and_hour
from core.sitting.drying import HIGH, LIMIT, LOW, foretell, span
from core.sitting.next_sitting import NOT_CURED
from core.sitting.timer import in_words
from core.size import PAPERS, Size

if TYPE_CHECKING:
    from core.photo import Photo
    from core.sitting_page import Note, PlanSheet, SittingBlock

CALENDAR = ".ics"


@dataclass(frozen=True, eq=False)
class PlanOrder:
    """``sheet``: without its picture. ``key``: the reference as it hangs in colour, or None; ``photo``: at hand."""

    sheet: "PlanSheet"
    key: PrintKey | None
    photo: "Photo | None"


@dataclass(frozen=True)
class CalendarOrder:
    """``stamp``: when it is made."""

    events: tuple[CalendarEvent, ...]
    stamp: datetime


def write_plan(order: PlanOrder, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core import tone
    from core.sitting_page import write_plan_page

    sheet = order.sheet
    if order.key is not None:
        progress(0.1, "Laying the photo flat")
        photo = order.photo or read_photo(order.key.source.file)
        flat = make_sheet(photo, order.key.sheet(fine=False), lambda *_: None)
        sheet = replace(sheet, picture=tone.display_codes(flat.codes, flat.curve))
    progress(0.6, "Setting the plan")
    pages = write_plan_page(path, sheet)
    return f"The plan of the sittings, {pages} {'page' if pages == 1 else 'pages'}."


def write_events(order: CalendarOrder, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.sitting.calendar_file import write_calendar

    progress(say="Writing the calendar")
    write_calendar(path, order.events, stamp=order.stamp)
    count = len(order.events)
    return f"The calendar, {count} {'event' if count == 1 else 'events'}."


def plan_sheet(reads: SittingReads, settings: SittingView, title: str, size: Size) -> "PlanSheet":
    """What is printed, in plain strings."""
    from core.sitting_page import Note, PlanSheet, notes_of

    forecast, drying = reads.forecast(), reads.kept.drying
    after, varnish = forecast.next_sitting, forecast.varnish
    outlook = [Note("Next sitting", after.told[0])] if after is not None else []
    outlook += [Note("Varnish", varnish.told[0])] if varnish is not None else []
    room = f"{drying.room.temperature_c:g} °C, {drying.room.humidity:g} % humidity"
    return PlanSheet(
        f"{title}: sittings",
        size,
        tuple(_block(reads, forecast, key) for key in reads.keys),
        facts=_facts(reads, room),
        drying=tuple(outlook),
        limits=f"{LIMIT} {NOT_CURED}",
        cautions=notes_of(cautions_for(reads.work(sanding=settings.sanding, varnishing=settings.varnishing))),
        paper=PAPERS[settings.paper],
    )


def events(reads: SittingReads, painting: str, title: str) -> tuple[CalendarEvent, ...]:
    """Planned sittings that have a day and were not painted yet, and the days when a layer is perhaps dry.

    ``painting``: what it is known by on disk.
    """
    found: list[CalendarEvent] = []
    for number, each in enumerate(reads.plan.sittings, start=1):
        begins = reads.kept.days.of(each.key)
        if begins is not None and not reads.entry(each.key).begun:
            about = f"{each.aim}\n{first_up(coat_words(each.coat))}.".strip()
            found.append(
                sitting_event(painting, str(each.key), f"{title}: sitting {number}", begins, each.minutes, about)
            )
    for layer in forecast_ahead(reads):
        first, last = (layer.drying.at(share).astimezone().date() for share in (LOW, HIGH))
        about = f"{layer.name}. {layer.dry.say()} {LIMIT}"
        found.append(perhaps_dry_event(painting, str(layer.key), title, first, last, about))
    return tuple(found)


def forecast_ahead(reads: SittingReads) -> tuple[LayerDrying, ...]:
    """Layers that no touch has found dry, and that are not likely to have been dry for long."""
    now = reads.now()
    return tuple(each for each in reads.forecast().layers if not each.dry.found and each.drying.at(HIGH) >= now)


def _facts(reads: SittingReads, room: str) -> "tuple[Note, ...]":
    from core.sitting_page import Note

    ground = reads.kept.drying.ground
    length = in_words(timedelta(minutes=reads.plan.minutes))
    told = [Note("Planned length", f"{length} in all")]
    told += [Note("Ground", first_up(GROUNDS[ground]))] if ground is not None else []
    return (*told, Note("Room", room))


def _block(reads: SittingReads, forecast: Forecast, key: int) -> "SittingBlock":
    from core.sitting_page import SittingBlock

    planned, entry, layer = reads.planned(key), reads.entry(key), forecast.of(key)
    begins, began, took = reads.kept.days.of(key), entry.began_on, entry.timer.length()
    coat = entry.coat
    return SittingBlock(
        name_of(entry, reads.plan),
        "" if planned is None else planned.aim,
        first_up(MEDIUMS[coat.medium]),
        first_up(THICKNESSES[coat.thickness]) + ("" if coat.lies is Lies.OVER else f", {coat.lies}"),
        [tube.name for tube in coat.tubes],
        "" if planned is None else in_words(timedelta(minutes=planned.minutes)),
        [warned(each) for each in reads.warnings() if each.above == key],
        _drying(reads, key) if layer is None else layer.dry.say(),
        "" if begins is None else day_and_hour(begins),
        "" if began is None else day(began),
        in_words(took) if took else "",
        day(layer.drying.at(1.0)) if layer is not None and layer.dry.found else "",
        entry.done,
    )


def _drying(reads: SittingReads, key: int) -> str:
    """Of a sitting that is only planned: as painters at large find it, in the same room."""
    coat = reads.entry(key).coat
    if coat.lies is Lies.WIPED:
        return ""
    first = not reads.forecast().layers and reads.keys[0] == key
    expected = foretell(coat.layer, reads.kept.drying.room, reads.kept.drying.ground if first else None)
    return f"Touch-dry after {span(expected.days(LOW), expected.days(HIGH))}."
