"""What the page has done away from the window: looking at the final photo, and writing the files."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.picture import Picture
from app.sittings.words import first_up
from app.work import Progress
from core.errors import PainterError
from core.painting_report.parts import ReportChoice, ReportInput, ReportPicture

if TYPE_CHECKING:
    from core.painting_report.card import CardCorrection

SHOWN_MM = (180.0, 150.0)
"""How large the final photo is made to be looked at, as if it were printed: 1400 pixels wide at most."""
_ITSELF = (
    "This is the photo itself, which is kept as it came. Choose another name for the one with its colours put right."
)


@dataclass(frozen=True, eq=False)
class FinalSeen:
    """``picture``: corrected where there is a ``correction``, and then ``as_shot`` too. ``problem``: why there is no
    picture. ``says``: whole sentences about its colours."""

    picture: Picture | None = None
    as_shot: Picture | None = None
    correction: "CardCorrection | None" = None
    problem: str = ""
    says: tuple[str, ...] = ()


def look_at_final(report: ReportInput, progress: Progress) -> FinalSeen:
    """The final photo as the report will have it. What stands in the way is told by a sentence."""
    from core.painting_report.final import final_of

    progress(say="Looking at the final photo")
    found = final_of(report, SHOWN_MM)
    progress(say="Looking at the final photo")
    picture, as_shot = (None if codes is None else Picture.from_srgb(codes) for codes in (found.picture, found.as_shot))
    return FinalSeen(picture, as_shot, found.correction, found.problem, found.says)


def write_pdf(report: ReportInput, choice: ReportChoice, path: Path, progress: Progress) -> str:
    """Raises PainterError with a sentence."""
    from core.painting_report.write import write_report

    written = write_report(report, path, choice, progress=lambda share, doing: progress(share, first_up(doing)))
    pages = f"{written.pages} {'page' if written.pages == 1 else 'pages'}"
    return " ".join((*written.notes, f"The report, {pages}."))


def write_final(picture: ReportPicture, correction: "CardCorrection", path: Path, progress: Progress) -> str:
    """The whole photo with its colours put right. Raises PainterError with a sentence."""
    from core.painting_report.final import save_corrected
    from core.painting_report.pictures import read

    if picture.file is not None and path.resolve() == picture.file.resolve():
        raise PainterError(_ITSELF)
    progress(0.0, "Reading the photograph")
    photo = read(picture)
    progress(0.4, "Putting its colours right")
    save_corrected(photo, correction, path)
    return "The final photo, its colours put right by the card in it."
