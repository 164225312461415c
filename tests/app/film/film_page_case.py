"""A painting with small plain photos of its canvas, and the page of their film over an empty desk."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.film.choice import SETTING, Choice
from app.film.page import FilmPage
from app.placing import Placing
from app.studio import Studio
from app.work import Worker
from core.painting import Painting
from core.progress_film.film import FilmSettings
from tests.app.window_case import SVG, Answers
from tests.core.progress_film.film_case import COLOURS, CORNERS, SIZE, plain_photo

QUICK = FilmSettings(rate=10, stand_s=0.4, fade_s=0.3, hold_s=0.5, width_px=160, steady=False, even=False)
"""Three photos run 2.3 s, as they were placed and in their own light."""


@dataclass
class Shown:
    """What the painter has before them, and what was said last."""

    placing: Placing
    studio: Studio
    answers: Answers
    told: list[str]

    @property
    def said(self) -> str:
        return self.told[-1]

    @property
    def page(self) -> FilmPage:
        return self.placing.film

    def begin(self) -> FilmPage:
        self.placing.film_of_progress()
        assert self.placing.currentWidget() is self.page
        return self.page

    def press(self, *names: str) -> None:
        """Do what the keys of these actions do on the page."""
        for name in names:
            do = self.placing.instead_of(name, lambda: None)
            assert do is not None
            do()


def make_film_painting(folder: Path) -> Path:
    """Three photos laid flat, one as shot, one of the blank canvas, and settings; the painting's folder."""
    where = folder / "painting"
    with Painting.create(where, "Jug", SIZE, plain_photo(folder, 0, (120, 120, 120))) as painting:
        painting.set_drawing(SVG)
        for number, colour in enumerate(COLOURS, start=1):
            file = plain_photo(folder, number, colour)
            photo = painting.add_canvas_photo(painting.import_photo(file).id, sitting=number, name=f"Day {number}")
            painting.set_corners(photo.id, CORNERS)
        for number, (name, is_blank) in enumerate((("As shot", False), ("Bare", True)), start=4):
            file = plain_photo(folder, number, (200, 200, 10 * number))
            painting.add_canvas_photo(painting.import_photo(file).id, sitting=3, name=name, is_blank=is_blank)
        painting.set_setting(SETTING, Choice(QUICK).to_json())
    return where


@contextmanager
def film_shown(qtbot: QtBot, worker: Worker, folder: Path, painted: Path) -> Iterator[Shown]:
    """A copy of the painting, open, and its desk without anything on it."""
    studio = Studio(Painting.open(Path(shutil.copytree(painted, folder / "painting"))), worker)
    answers, told = Answers(), list[str]()

    def say(sentence: str, *offers: Any, passing: bool = False) -> None:
        told.append(sentence)

    placing = Placing(studio, QWidget(), {}, answers.dialogs(), say)
    shown = Shown(placing, studio, answers, told)
    qtbot.addWidget(placing)
    placing.resize(1366, 768)
    placing.show()
    studio.begin()
    yield shown
    placing.leave()
    studio.close()


def near(image: QImage | None, x: float, y: float, colour: tuple[int, int, int], tolerance: int = 4) -> bool:
    """Whether a place, as shares of a picture, has a colour."""
    assert image is not None
    seen = image.pixelColor(round(x * (image.width() - 1)), round(y * (image.height() - 1)))
    codes = (seen.red(), seen.green(), seen.blue())
    return max(abs(a - b) for a, b in zip(codes, colour, strict=True)) <= tolerance
