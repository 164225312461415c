"""A painting's report as a PDF, whole or not at all."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.painting_report.listing import LISTED
from core.painting_report.parts import Part, ReportChoice, ReportInput
from core.painting_report.printing import PICTURED, Job
from core.painting_report.sheet import Sheet
from core.whole_file import save_bytes

Progress = Callable[[float, str], object]

_DRAW = PICTURED | LISTED


@dataclass(frozen=True)
class Written:
    """``notes``: whole sentences about what could not be printed."""

    path: Path
    pages: int
    notes: tuple[str, ...] = ()


def write_report(
    report: ReportInput,
    path: Path,
    choice: ReportChoice | None = None,
    *,
    progress: Progress = lambda share, doing: None,
) -> Written:
    """Write ``path``; an older file stays until this is whole.

    ``progress(share 0-1, what is being done)`` is called before every picture and may raise CancelledError to stop:
    nothing is left behind. A photo that is missing or cannot be read is told in its place, and the rest is printed.
    Raises PainterError with a sentence for a disk that is full and whatever else stands in the way of the file.
    """
    made, pages, notes = report_bytes(report, choice, progress=progress)
    save_bytes(path, made)
    return Written(path, pages, notes)


def report_bytes(
    report: ReportInput,
    choice: ReportChoice | None = None,
    *,
    progress: Progress = lambda share, doing: None,
) -> tuple[bytes, int, tuple[str, ...]]:
    """The PDF, how many pages it has, and notes as in :class:`Written`."""
    choice = choice or ReportChoice()
    parts = [part for part in Part if part in choice.parts]
    in_all, begun = pictures_in(report, parts), 0

    def tell(doing: str) -> None:
        nonlocal begun
        progress(min(begun / (in_all + 1), 1.0), f"printing {doing}")
        begun += 1

    sheet = Sheet(report.title, choice.paper, by=report.by, about=f"Painting, {report.size.in_cm()}")
    job = Job(report, choice, sheet, tell, in_all, [])
    for part in parts:
        _DRAW[part](job)
    if not sheet.pages:
        sheet.begin(report.title)
    made = sheet.finished()
    progress(1.0, "done")
    return made, sheet.pages, tuple(job.troubles)


def pictures_in(report: ReportInput, parts: list[Part]) -> int:
    """How many pictures these parts print."""
    counts = {
        Part.COVER: int(report.final is not None),
        Part.REFERENCE: int(report.reference is not None),
        Part.SITTINGS: sum(len(sitting.pictures) for sitting in report.sittings),
        Part.CHECKS: len(report.checks),
        Part.FINAL: int(report.final is not None),
    }
    return sum(counts.get(part, 0) for part in parts)
