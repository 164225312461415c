"""Pins in the window: against known patches."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.temperatures.pointing import For
from app.view import Question, Subject
from app.wall.pin_marks import PinMarks
from app.work import Worker
from core.painting import Painting
from tests.app.warmth_case import PATCHES, cooled_easel, panel
from tests.app.window_case import Easel

WARM, COOL, TOUCH, NEAR = PATCHES


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return cooled_easel(qtbot, worker, tmp_path)


def pins(easel: Easel):
    return panel(easel).pins


def press(easel: Easel, *places: tuple[float, float], which: int = 0) -> None:
    for place in places:
        easel.desk.wall.clicked.emit(*place, which)


def told(easel: Easel) -> list[tuple[int, str, str]]:
    return [(int(line.number), line.say, line.kind) for line in pins(easel).lines.lines]


def marked(easel: Easel) -> list[list[int]]:
    """Numbers of the pins over each hanging."""
    return [
        [pin.number for overlay in hanging.overlays if isinstance(overlay, PinMarks) for pin in overlay.pins]
        for hanging in easel.desk.wall.hangings
    ]


def test_pins_are_sorted_from_warm_to_cool_each_against_the_next(easel: Easel) -> None:
    pins(easel).point.click()
    press(easel, COOL, WARM, TOUCH)
    assert [number for number, _, _ in told(easel)] == [2, 3, 1]
    says = [say for _, say, _ in told(easel)]
    assert says[0].startswith("warmer than pin 3 by 5 ± ")
    assert says[1].startswith("warmer than pin 1 by 13 ± ")
    assert says[1].endswith("(much warmer)")
    assert says[2] == "the coolest"
    # The same relation in the canvas, where that patch is 1 cooler than the other.
    assert told(easel)[0][2].startswith("In the canvas: ")
    read = easel.desk.studio.warmths.chain(Subject.CANVAS)
    assert [round(pin.warmth) for pin in read.chain.pins] == [5, 4, -8]
    assert not read.unread
    assert marked(easel) == [[1, 2, 3], [1, 2, 3]]


def test_others_are_compared_with_the_one_that_is_chosen(easel: Easel) -> None:
    pins(easel).point.click()
    press(easel, COOL, WARM, TOUCH)
    pins(easel).lines.lines[2].click()
    assert pins(easel).chosen == 1
    says = {number: say for number, say, _ in told(easel)}
    assert says[2].startswith("warmer than pin 1 by 18 ± ")
    assert says[1] == "the others are told against this one"
    pins(easel).of[Subject.CANVAS].click()
    assert {number: say for number, say, _ in told(easel)}[2].startswith("warmer than pin 1 by 12 ± ")
    assert easel.desk.studio.view.temperatures.of_canvas


def test_pins_are_kept_undone_and_taken_away(easel: Easel) -> None:
    pins(easel).point.click()
    press(easel, COOL, WARM, which=1)
    easel.press("undo")
    assert "Undone: pinned a passage." in easel.said
    assert marked(easel) == [[1], [1]]
    easel.press("redo")
    pins(easel).lines.choose(0)
    pins(easel).remove.click()
    assert [number for number, _, _ in told(easel)] == [1]
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as again:
        from app.temperatures.kept import kept_pins

        assert [place.at for place in kept_pins(again).places] == [COOL]


def test_taking_all_away_and_hiding_them(easel: Easel) -> None:
    pins(easel).point.click()
    press(easel, COOL, WARM)
    pins(easel).shown.click()
    assert marked(easel) == [[], []]
    pins(easel).shown.click()
    easel.press("question_value")
    assert marked(easel) == [[], []]
    easel.press("question_temperature")
    pins(easel).remove_all.click()
    assert told(easel) == []
    assert pins(easel).remove_all.isHidden()


def test_the_key_pins_where_the_pointer_is_and_opens_the_panel(easel: Easel) -> None:
    easel.press("question_value")
    easel.desk.wall.pointer_moved.emit(*TOUCH, 0)
    easel.press("pin_warmth")
    assert easel.desk.studio.view.question is Question.TEMPERATURE
    assert [place.at for place in easel.desk.studio.warmths.pins.places] == [TOUCH]


def test_pressing_is_left_by_escape_or_with_the_panel(easel: Easel, qtbot: QtBot) -> None:
    pointing = easel.desk.warming.pointing
    pins(easel).point.click()
    assert pointing.at is For.PIN
    qtbot.keyClick(easel.desk.wall, Qt.Key.Key_Escape)
    assert pointing.at is None
    assert not pins(easel).point.isChecked()
    press(easel, WARM)
    assert told(easel) == []
    pins(easel).point.click()
    easel.press("question_value")
    assert pointing.at is None


def test_beside_the_canvas_nothing_is_pinned(easel: Easel) -> None:
    pins(easel).point.click()
    press(easel, (-4.0, 20.0))
    assert easel.said == "That is beside the canvas. Press on it."
    assert told(easel) == []


def test_a_painting_open_only_to_look_says_so(easel: Easel) -> None:
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    easel.desk.side.temperature.pins.point.click()
    assert "open only to look" in easel.said
    assert not pins(easel).point.isChecked()
