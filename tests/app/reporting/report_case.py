"""A painting whose final photo has a colour card in it, seen by a camera whose colours are known, and the page of its
report without the window around it."""

import shutil
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image
from pytestqt.qtbot import QtBot

from app.message import Offer
from app.reporting.page import ReportPage
from app.reporting.wish import Audience
from app.studio import Studio
from app.work import Worker
from core.colorimetry import encode_srgb
from core.demo_sittings import keep_sittings
from core.painting import Painting
from core.painting_report.card import Edition
from core.painting_report.parts import Part
from core.size import Size
from tests.app.window_case import Answers

SIZE = Size(186, 204)
CANVAS = ((520.0, 60.0), (1140.0, 60.0), (1140.0, 740.0), (520.0, 740.0))
PAINTS = np.array([(0.42, 0.30, 0.16), (0.12, 0.16, 0.24), (0.30, 0.12, 0.09), (0.20, 0.26, 0.12)])
"""Linear light of four paints, top to bottom, as they are."""
CAST = np.array([[0.86, 0.10, 0.0], [0.06, 0.72, 0.06], [0.0, 0.08, 0.55]])
"""What the camera makes of linear light: too little blue, its channels mixed."""
_PATCH, _GAP = 56, 9
_DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="186mm" height="204mm" viewBox="0 0 186 204">
<path id="rim" d="M 40 50 C 60 40 80 40 100 50" fill="none" stroke="black"/></svg>"""


def paint_at(number: int) -> tuple[int, int]:
    """The middle of a paint in the photo, px."""
    return 830, 145 + 170 * number


@cache
def shot(edition: Edition) -> NDArray[np.uint8]:
    """sRGB codes of the photo: the card on the left, the canvas on the right."""
    light = np.full((800, 1200, 3), 0.22)
    light[180:470, 40:460] = 0.03
    for number, colour in enumerate(edition.colours):
        row, column = divmod(number, 6)
        x, y = 60 + column * (_PATCH + _GAP), 198 + row * (_PATCH + _GAP)
        light[y : y + _PATCH, x : x + _PATCH] = colour
    light[60:740, 520:1140] = 0.5
    for number, colour in enumerate(PAINTS):
        x, y = paint_at(number)
        light[y - 60 : y + 60, x - 200 : x + 200] = colour
    codes = 255 * encode_srgb(np.clip(light @ CAST.T, 0, 1))
    noise = np.random.default_rng(3).uniform(-1.2, 1.2, codes.shape)
    return np.clip(np.rint(codes + noise), 0, 255).astype(np.uint8)


def make_painting(folder: Path) -> Path:
    """Three canvas photos without a card, a drawing, and the plan and log of the sittings."""
    Image.fromarray(np.full((204, 186, 3), 120, np.uint8)).save(folder / "reference.png")
    where = folder / "painting"
    with Painting.create(where, "Quinces", SIZE, folder / "reference.png") as painting:
        painting.set_drawing(_DRAWING)
        for number in (1, 2, 3):
            file = folder / f"canvas {number}.png"
            Image.fromarray(np.full((204, 186, 3), 60 + 30 * number, np.uint8)).save(file)
            photo = painting.add_canvas_photo(painting.import_photo(file).id, sitting=number, name=f"Sitting {number}")
            painting.set_corners(photo.id, ((0, 0), (185, 0), (185, 203), (0, 203)))
        keep_sittings(painting)
    return where


def make_finished(folder: Path) -> Path:
    """The same with a final photo in which there is a card."""
    where = make_painting(folder)
    Image.fromarray(shot(Edition.AFTER_2014)).save(folder / "final.jpg", quality=95, subsampling=0)
    with Painting.open(where) as painting:
        final = painting.add_canvas_photo(painting.import_photo(folder / "final.jpg").id, sitting=4, name="Finished")
        painting.set_corners(final.id, CANVAS)
    return where


@dataclass
class Report:
    """The page before a painter, everything in it done at once."""

    whole: ReportPage
    studio: Studio
    answers: Answers
    folder: Path
    said: list[str] = field(default_factory=list)
    offers: list[Offer] = field(default_factory=list)

    @property
    def page(self) -> Any:
        return self.whole.inside

    @property
    def settings(self) -> Any:
        return self.page.settings

    def set(self, box: Any, data: object) -> None:
        """Choose what stands for ``data``, and have it taken."""
        box.setCurrentIndex(box.findData(data))
        self.page.take()

    def put_together(self, *parts: Part) -> None:
        """Choose these parts and no others."""
        self.settings.audience.setCurrentIndex(self.settings.audience.findData(Audience.OWN))
        for part, check in self.settings.parts.items():
            check.setChecked(part in parts)
        self.page.take()

    def saved(self, name: str = "report.pdf") -> Path:
        """Save the report, and give its file."""
        self.answers.save = self.folder / name
        self.page.pdf.click()
        return self.answers.save


def report_page(qtbot: QtBot, worker: Worker, folder: Path, plain: Path, *, look_only: bool = False) -> Report:
    """On a copy of a painting."""
    shutil.copytree(plain, folder / "painting")
    painting = Painting.open(folder / "painting", look_only=look_only)
    studio, answers = Studio(painting, worker), Answers()
    said: list[str] = []
    offers: list[Offer] = []

    def say(sentence: str, *offered: Offer, passing: bool = False) -> None:
        said.append(sentence)
        offers[:] = offered

    page = ReportPage(studio, answers.dialogs(), say)
    qtbot.addWidget(page)
    page.resize(1366, 700)
    page.show()
    assert page.begin() == ""
    return Report(page, studio, answers, folder, said, offers)


def words_of(file: Path) -> str:
    """All text of a PDF."""
    document = pypdfium2.PdfDocument(file)
    words = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return " ".join(words.split())


def read_paints(codes: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Mean code of the middle of each paint, ``(4, 3)``."""
    places = [paint_at(number) for number in range(len(PAINTS))]
    return np.array([codes[y - 20 : y + 20, x - 60 : x + 60].mean(axis=(0, 1)) for x, y in places])
