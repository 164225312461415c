"""What is drawn is on disk a moment later, each stroke as a step of its own, whatever comes next."""

import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.work import Worker
from core.drawing.svg_read import drawing_from_svg
from core.errors import PaintingError
from core.painting import Painting
from tests.app.tracing_case import LEFT, Hand, circle, page_of, tracing_easel
from tests.app.window_case import SIZE, Easel

WITHIN_S = 0.5


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return tracing_easel(qtbot, worker, tmp_path)


def draw(easel: Easel, y: float) -> None:
    """A stroke, without a moment's rest after it."""
    hand = Hand(page_of(easel))
    hand.drag([(20.0, y), (60.0, y + 5), (100.0, y)], lift=False)
    QTest.mouseRelease(hand.sheet, LEFT, pos=hand.at((100.0, y)))


def on_disk(easel: Easel) -> int:
    """How many lines another reader finds in the painting's folder."""
    with Painting.open(easel.desk.studio.painting.folder, look_only=True) as painting:
        text = painting.drawing_svg
    return 0 if text is None else len(drawing_from_svg(text, SIZE).lines)


def test_a_stroke_is_shown_first_and_is_on_disk_within_half_a_second(easel: Easel) -> None:
    began = time.process_time()  # which other programs do not lengthen; it runs while this waits
    draw(easel, 30.0)
    assert len(page_of(easel).board.drawing.lines) == 1
    assert on_disk(easel) == 0
    while on_disk(easel) == 0 and time.process_time() - began < 5.0:
        QApplication.processEvents()
    assert on_disk(easel) == 1
    assert time.process_time() - began < WITHIN_S


def test_closing_at_once_loses_nothing(easel: Easel) -> None:
    folder = easel.desk.studio.painting.folder
    draw(easel, 30.0)
    draw(easel, 60.0)
    easel.window.close()
    with Painting.open(folder) as painting:
        assert len(drawing_from_svg(painting.drawing_svg or "", SIZE).lines) == 2


def test_undo_at_once_takes_back_the_last_stroke_and_no_more(easel: Easel) -> None:
    studio = easel.desk.studio
    for y in (30.0, 60.0, 90.0):
        draw(easel, y)
    assert studio.undo() == "drew a line"
    assert len(page_of(easel).board.drawing.lines) == 2
    assert studio.undo() == "drew a line"
    assert studio.undo() == "drew a line"
    assert page_of(easel).board.drawing.lines == ()
    for lines in (1, 2, 3):
        assert studio.redo() == "drew a line"
        assert len(page_of(easel).board.drawing.lines) == lines


def test_strokes_in_quick_succession_are_never_shown_as_they_were_before(easel: Easel) -> None:
    board, counts = page_of(easel).board, []
    board.shown.connect(lambda drawing: counts.append(len(drawing.lines)))
    for y in (30.0, 60.0, 90.0):
        draw(easel, y)
    easel.desk.studio.keep_now()
    assert counts == sorted(counts)
    assert on_disk(easel) == 3


def test_the_same_drawing_twice_in_quick_succession_is_kept_once(easel: Easel) -> None:
    studio, board = easel.desk.studio, page_of(easel).board
    draw(easel, 30.0)
    board.commit(replace(board.drawing), "moved a point")
    assert studio.keep_now()
    assert studio.drawing is board.drawing
    assert studio.painting.can_undo == "drew a line"


def test_when_it_cannot_be_kept_the_sheet_shows_what_is(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    studio = easel.desk.studio
    draw(easel, 30.0)
    assert studio.keep_now()

    def full(*arguments: object, **options: object) -> None:
        raise PaintingError("The disk is full. Make room, then go on.")

    keep = studio.painting.set_drawing
    draw(easel, 45.0)

    def full_after_one(*arguments: Any, **options: Any) -> None:
        keep(*arguments, **options)
        patched.setattr(studio.painting, "set_drawing", full)

    with monkeypatch.context() as patched:
        patched.setattr(studio.painting, "set_drawing", full_after_one)
        draw(easel, 60.0)
        draw(easel, 90.0)
        assert studio.undo() is None
        assert "disk is full" in easel.said
    assert len(page_of(easel).board.drawing.lines) == 2
    Hand(page_of(easel)).drag(circle())
    assert studio.keep_now()
    assert on_disk(easel) == 3
