"""Pins with names that the painter gave them: in the field, in sentences, and on the wall."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QRectF, Qt
from pytestqt.qtbot import QtBot

from app.temperatures.kept import MOST_NAME, Pins, Place, kept_pins, pin_name
from app.view import Subject
from app.wall import marks
from app.wall.pin_marks import MarkedPin, PinMarks, plates
from app.work import Worker
from core.painting import Painting
from core.size import Size
from tests.app.warmth_case import PATCHES, panel, picture, warm_easel
from tests.app.window_case import Easel

WARM, COOL, TOUCH, NEAR = PATCHES
SIZE = Size(200, 150)


@cache
def patches() -> np.ndarray:
    return picture()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """Pin 1 on the warm patch, pin 2 on the cool one."""
    made = warm_easel(qtbot, worker, tmp_path, reference=patches(), canvas=patches())
    pins(made).open()
    pins(made).point.click()
    for place in (WARM, COOL):
        made.desk.wall.clicked.emit(*place, 0)
    return made


def pins(easel: Easel):
    return panel(easel).pins


def says(easel: Easel) -> dict[int, str]:
    return {int(line.number): line.say for line in pins(easel).lines.lines}


def choose(easel: Easel, number: int) -> None:
    line = next(n for n, line in enumerate(pins(easel).lines.lines) if line.number == number)
    if pins(easel).chosen != number:
        pins(easel).lines.lines[line].click()


def laid_out(easel: Easel) -> None:
    layout = pins(easel).lines.layout()
    assert layout is not None
    layout.activate()


def name(easel: Easel, qtbot: QtBot, number: int, words: str) -> None:
    choose(easel, number)
    field = pins(easel).name
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, words) if words else qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_sentences_say_the_name_in_place_of_the_number(easel: Easel, qtbot: QtBot) -> None:
    assert pins(easel).name.isHidden()
    assert says(easel)[1].startswith("warmer than pin 2 by 18 ± ")
    name(easel, qtbot, 2, "wall")
    assert says(easel)[1].startswith("warmer than the wall by 18 ± ")
    assert says(easel)[1].endswith("(much warmer)")
    assert says(easel)[2] == "wall: the others are told against this one"
    line = next(line for line in pins(easel).lines.lines if line.number == 1)
    assert line.accessibleName().startswith("1. warmer than the wall by 18")
    assert line.kind.startswith("In the canvas: warmer than the wall by 18 ± ")
    name(easel, qtbot, 1, "jug")
    assert says(easel)[2].startswith("wall: cooler than the jug by 18 ± ")
    assert says(easel)[1] == "jug: the others are told against this one"
    read = easel.desk.studio.warmths.chain(Subject.CANVAS)
    assert [relation.say()[:26] for relation in read.chain.relations] == ["the jug: warmer than the w"]


def test_the_field_stands_under_the_pin_that_is_chosen(easel: Easel, qtbot: QtBot) -> None:
    name(easel, qtbot, 2, "wall")
    field, lines = pins(easel).name, pins(easel).lines.lines
    laid_out(easel)
    assert lines[1].geometry().bottom() < field.geometry().top()
    assert field.text() == "wall"
    choose(easel, 1)
    assert field.text() == ""
    laid_out(easel)
    assert lines[0].geometry().bottom() < field.geometry().top() < lines[1].geometry().top()
    assert field.accessibleName() == "Name of pin 1"
    pins(easel).lines.lines[0].click()
    assert field.isHidden()


def test_a_name_is_finished_by_pressing_on_another_line(easel: Easel, qtbot: QtBot) -> None:
    choose(easel, 2)
    pins(easel).name.setFocus()
    qtbot.keyClicks(pins(easel).name, "wall")
    assert not easel.desk.studio.warmths.pins.places[1].name
    qtbot.mouseClick(pins(easel).lines.lines[0], Qt.MouseButton.LeftButton)
    assert [place.name for place in easel.desk.studio.warmths.pins.places] == ["", "wall"]
    assert pins(easel).chosen == 1
    assert pins(easel).name.text() == ""


def test_a_name_is_undone_taken_back_and_kept(easel: Easel, qtbot: QtBot) -> None:
    name(easel, qtbot, 2, "wall")
    easel.press("undo")
    assert "Undone: named a pin." in easel.said
    assert says(easel)[1].startswith("pin 2" if pins(easel).chosen == 1 else "warmer than pin 2 by")
    assert pins(easel).name.text() == ""
    easel.press("redo")
    assert pins(easel).name.text() == "wall"
    name(easel, qtbot, 2, "")
    assert says(easel)[1].startswith("warmer than pin 2 by")
    easel.press("undo")
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as again:
        assert kept_pins(again).places == (Place(1, WARM), Place(2, COOL, "wall"))


def test_the_same_name_again_is_no_step_and_a_long_one_is_cut(easel: Easel, qtbot: QtBot) -> None:
    name(easel, qtbot, 2, "wall")
    name(easel, qtbot, 2, "  wall ")
    assert pins(easel).name.text() == "wall"
    easel.press("undo")
    assert says(easel)[1].startswith("warmer than pin 2 by")
    name(easel, qtbot, 2, "the shadow side of the enamel jug")
    (_, place) = easel.desk.studio.warmths.pins.places
    assert place.name == "the shadow side of the e"
    assert len(place.name) == MOST_NAME


def test_an_open_only_to_look_painting_keeps_its_names(easel: Easel, qtbot: QtBot) -> None:
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    easel.press("question_temperature") if not pins(easel).isVisible() else None
    choose(easel, 2)
    assert pins(easel).name.isReadOnly()
    name(easel, qtbot, 2, "wall")
    assert [place.name for place in easel.desk.studio.warmths.pins.places] == ["", ""]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("wall", "the wall"),
        ("the jug", "the jug"),
        ("my hand", "my hand"),
        ("Anna", "Anna"),
        ("2nd quince", "2nd quince"),
    ],
)
def test_how_sentences_call_a_pin(given: str, told: str) -> None:
    assert Place(2, (1.0, 1.0), given).told == told


def test_pins_called_alike_are_told_apart() -> None:
    called = Pins().added(WARM).added(COOL).added(TOUCH).named(1, "wall").named(3, " wall").told()
    assert called == {1: "the wall (pin 1)", 2: "pin 2", 3: "the wall (pin 3)"}


def test_names_are_kept_and_read_forgivingly() -> None:
    named = Pins().added(WARM).added(COOL).named(2, "wall")
    assert named.to_json() == [[1, *WARM], [2, *COOL, "wall"]]
    assert Pins.from_json(json.loads(json.dumps(named.to_json())), SIZE) == named
    broken = [[1, 10, 10, 7], [2, 20, 20, " a\n b "], [3, 30, 30, "x" * 99]]
    assert [place.name for place in Pins.from_json(broken, SIZE).places] == ["a b", "x" * MOST_NAME]
    assert pin_name("  ") == ""


def on_plates(easel: Easel, *pins: MarkedPin) -> list[str]:
    return [words for _, words in plates(pins, easel.desk.wall.sheets[0].placed())]


def test_the_name_stands_on_the_plate_where_there_is_room(easel: Easel, qtbot: QtBot) -> None:
    name(easel, qtbot, 2, "wall")
    qtbot.keyClick(easel.desk.wall, Qt.Key.Key_0)
    (over,) = (o for o in easel.desk.wall.hangings[0].overlays if isinstance(o, PinMarks))
    assert [(pin.number, pin.name) for pin in over.pins] == [(1, ""), (2, "wall")]
    placed = easel.desk.wall.sheets[0].placed()
    one, other = MarkedPin(1, (60.0, 75.0), 3.0, name="jug"), MarkedPin(2, (140.0, 75.0), 3.0, name="wall")
    assert on_plates(easel, one, other) == ["1 jug", "2 wall"]
    # Close to another pin there is no room for a long one, nor at the edge of the wall.
    close = MarkedPin(2, (74.0, 75.0), 3.0, name="shadow of the quince")
    assert on_plates(easel, one, close)[1] == "2"
    rects = [marks.badge_rect(centre, words) for centre, words in plates([one, close], placed)]
    assert not rects[0].intersects(rects[1])
    x, y = placed.mm_at(placed.viewport.topLeft())
    corner = MarkedPin(3, (x + 4, max(y + 8, 4)), 3.0, name="a corner of the linen")
    assert on_plates(easel, corner) == ["3"]
    # Of many, none lies over another.
    many = [
        MarkedPin(n + 1, (10.0 + 20 * (n % 10), 20.0 + 30 * (n // 10)), 3.0, name="quince " * (n % 3))
        for n in range(20)
    ]
    rects: list[QRectF] = [marks.badge_rect(centre, words) for centre, words in plates(many, placed)]
    for number, rect in enumerate(rects):
        assert not any(rect.intersects(other) for other in rects[:number])
