"""What the tests of the sittings panel share: a painting with the panel open, and a clock that the test sets."""

import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from pytestqt.qtbot import QtBot

from app.questions.sittings import SittingsPanel
from app.sittings.reads import SittingReads
from app.view import Hung, Question, View
from app.work import Worker
from core.painting import Painting
from tests.app.window_case import SIZE, Easel, make_easel, reference_photo

ZONE = timezone(timedelta(hours=2))
MORNING = datetime(2026, 5, 4, 9, 0, tzinfo=ZONE)


@dataclass
class Clock:
    """Tells what it is set to."""

    at: datetime = MORNING

    def __call__(self) -> datetime:
        return self.at

    def on(self, **later: float) -> None:
        self.at += timedelta(**later)


def make_plain(folder: Path) -> Path:
    """A painting without anything but its reference, closed again."""
    photo = reference_photo(folder, width=400, height=300)
    Painting.create(folder / "plain", "Cat", SIZE, photo).close()
    return folder / "plain"


def open_panel(easel: Easel, folder: Path, clock: Clock, *, look_only: bool = False) -> None:
    """Open a painting with the sittings panel, all of its folds open."""
    easel.window.open_painting(folder, look_only=look_only)
    reads(easel).now = clock
    easel.desk.studio.change_view(View(hung=(Hung(),), question=Question.SITTINGS))
    for fold in panel(easel).folds:
        fold.open()


def sitting_easel(qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path, clock: Clock, **plans: Any) -> Easel:
    """A window with a copy of a painting; ``plans``: what it keeps already, by name."""
    shutil.copytree(plain, tmp_path / "painting")
    if plans:
        with Painting.open(tmp_path / "painting") as painting:
            for name, value in plans.items():
                painting.set_plan(name, value)
    easel = make_easel(qtbot, worker, tmp_path)
    open_panel(easel, tmp_path / "painting", clock)
    return easel


def reopen(easel: Easel, clock: Clock, *, look_only: bool = False) -> None:
    easel.press("close")
    open_panel(easel, easel.folder / "painting", clock, look_only=look_only)


def panel(easel: Easel) -> SittingsPanel:
    found: SittingsPanel = easel.desk.side.sittings
    return found


def reads(easel: Easel) -> SittingReads:
    found: SittingReads = easel.desk.studio.sittings
    return found
