"""What a painting's report is made of: plain, frozen things, all but the title and the size to be left away."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from pathlib import Path

from core.painting_report.card import Edition
from core.size import PAPERS, Size

Corners = tuple[tuple[float, float], ...]
Light = tuple[float, float, float]


class Part(StrEnum):
    """The parts of a report, in their order."""

    COVER = "cover"
    REFERENCE = "reference"
    DRAWING = "drawing"
    SITTINGS = "plan and sittings"
    MIXES = "palettes and mixes"
    CHECKS = "checks"
    FINAL = "final photo"
    MEASURED = "how it was measured"


FOR_STUDENT = tuple(Part)
FOR_BUYER = tuple(part for part in Part if part is not Part.CHECKS)


@dataclass(frozen=True)
class ReportPicture:
    """A photograph of the canvas, or the reference.

    ``corners``: ``(4, 2)`` photo px, of the canvas or of the part of the reference that is used; None for the whole
    photo. ``whole_is_canvas``: whether the whole photo lies on the canvas, as a reference does, and is cropped to its
    shape. ``problem``: why there is no picture, a sentence; it stands where the picture would.
    """

    file: Path | None
    name: str
    corners: Corners | None = None
    lens_k1: float = 0.0
    whole_is_canvas: bool = False
    problem: str = ""


@dataclass(frozen=True)
class SittingWords:
    """What is told of a sitting, each empty or None where it is not. ``done``: sentences. ``minutes``: its length."""

    on: date | None = None
    aim: str = ""
    medium: str = ""
    done: tuple[str, ...] = ()
    minutes: float | None = None


@dataclass(frozen=True)
class Sitting:
    """A sitting by its number, with its canvas photos."""

    number: int
    words: SittingWords = SittingWords()
    pictures: tuple[ReportPicture, ...] = ()


@dataclass(frozen=True)
class PaletteTold:
    """``tubes``: in their order, in words."""

    name: str
    tubes: tuple[str, ...]


@dataclass(frozen=True)
class MixTold:
    """``wanted``, ``mixed``: linear light in the sRGB primaries; ``mixed`` None where a tube is not known. ``parts``
    and ``miss``: in words."""

    name: str
    wanted: Light
    mixed: Light | None
    parts: str
    miss: str = ""


@dataclass(frozen=True)
class MendLine:
    """One line of a list to mend, and its place on the canvas, mm."""

    question: str
    say: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class CheckTold:
    """The check of one canvas photo. ``figures``: a name and what was measured, each in words. ``certainty`` and
    ``notes``: sentences."""

    picture: ReportPicture
    sitting: int
    on: date | None
    figures: tuple[tuple[str, str], ...] = ()
    mend: tuple[MendLine, ...] = ()
    certainty: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class ReportInput:
    """All that may stand in a report.

    ``by``: who painted it. ``began``, ``ended``: first and last day. ``drawing_svg``: in mm on the canvas. ``plan``,
    ``measured``: sentences. ``look_for_card``: whether the final photo is corrected by a colour card seen in it;
    ``edition``: of that card, None to tell it by its patches.
    """

    title: str
    size: Size
    by: str = ""
    began: date | None = None
    ended: date | None = None
    reference: ReportPicture | None = None
    drawing_svg: str | None = None
    plan: tuple[str, ...] = ()
    sittings: tuple[Sitting, ...] = ()
    palettes: tuple[PaletteTold, ...] = ()
    mixes: tuple[MixTold, ...] = ()
    checks: tuple[CheckTold, ...] = ()
    final: ReportPicture | None = None
    measured: tuple[str, ...] = ()
    look_for_card: bool = True
    edition: Edition | None = None


@dataclass(frozen=True)
class ReportChoice:
    """``parts``: which go in; those of which the painting has nothing are left away all the same."""

    parts: tuple[Part, ...] = FOR_STUDENT
    paper: Size = field(default_factory=lambda: PAPERS["A4"])


def day(on: date) -> str:
    """``3 May 2026``."""
    return f"{on.day} {on:%B %Y}"


def days(began: date | None, ended: date | None) -> str:
    """``3 May 2026 to 9 June 2026``; empty where neither is known."""
    told = [day(each) for each in (began, ended) if each is not None]
    return " to ".join(dict.fromkeys(told))
