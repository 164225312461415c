"""Sittings in a painter's words."""

from datetime import date, datetime, timedelta

from PySide6.QtCore import QLocale

from app.ledge.sittings import day_words
from core.sitting.coat import Coat, Lies
from core.sitting.layer import Ground, Medium, Thickness
from core.sitting.layering import LayerWarning, Weight
from core.sitting.timer import in_words

MEDIUMS = {
    Medium.SOLVENT: "thinned with solvent",
    Medium.STRAIGHT: "straight from the tube",
    Medium.LITTLE_OIL: "with a little oil",
    Medium.MORE_OIL: "with more oil",
    Medium.ALKYD: "with alkyd medium",
}
THICKNESSES = {Thickness.THIN: "thin", Thickness.USUAL: "of usual thickness", Thickness.THICK: "thick"}
LIES = {each: str(each) for each in Lies}
GROUNDS: dict[Ground | None, str] = {
    None: "not told",
    Ground.ACRYLIC: "acrylic",
    Ground.OIL: "oil",
    Ground.CHALK: "chalk in glue",
}


def coat_words(coat: Coat) -> str:
    """Such as ``thin, thinned with solvent: titanium white, burnt umber``."""
    told = f"{THICKNESSES[coat.thickness]}, {MEDIUMS[coat.medium]}"
    if coat.lies is not Lies.OVER:
        told += f", {coat.lies}"
    tubes = ", ".join(tube.name for tube in coat.tubes)
    return f"{told}: {tubes}" if tubes else told


def hours(length: timedelta) -> str:
    """``1:05``: hours and full minutes."""
    whole, minutes = divmod(int(length.total_seconds()) // 60, 60)
    return f"{whole}:{minutes:02}"


def length_words(minutes: int) -> str:
    """Such as ``1 h 30 min``, which no line parts."""
    return in_words(timedelta(minutes=minutes)).replace(" ", "\N{NO-BREAK SPACE}")


def weekday(day: date, today: date) -> str:
    """Such as ``Sat, 5 Dec``."""
    short = QLocale().dayName(day.isoweekday(), QLocale.FormatType.ShortFormat)
    return f"{short}, {day_words(day, today)}"


def beginning(begins: datetime, today: date) -> str:
    """Such as ``Sat, 5 Dec, 10:00``."""
    return f"{weekday(begins.date(), today)}, {begins:%H:%M}"


def warned(warning: LayerWarning) -> str:
    """What is against the rule, and what to do."""
    slight = "Slight: " if warning.weight is Weight.SLIGHT else ""
    return f"{slight}{warning.say} {warning.instead}"


def first_up(words: str) -> str:
    return words[:1].upper() + words[1:]
