"""The message strip, and the row that goes on in the next line."""

import pytest
from PySide6.QtCore import QRect
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.flow import FlowLayout
from app.message import PASSING_MS, MessageStrip, Offer


@pytest.fixture
def strip(qtbot: QtBot) -> MessageStrip:
    host = QWidget()
    qtbot.addWidget(host)
    host.resize(1000, 600)
    host.show()
    return MessageStrip(host, lambda: QRect(100, 50, 500, 400))


def test_strip_lies_at_the_foot_of_the_room_it_is_given(strip: MessageStrip) -> None:
    strip.say("The folder is not empty. Choose a new one.")
    assert QRect(100, 50, 500, 400).contains(strip.geometry())
    assert strip.geometry().bottom() > 400


def test_a_long_sentence_is_shown_whole(strip: MessageStrip) -> None:
    strip.say("Something is not as it should be. " * 12, Offer("Do something about it", lambda: None))
    label = strip._sentence
    assert label.height() >= label.heightForWidth(label.width())


def test_an_offer_is_taken_once_and_the_message_goes(strip: MessageStrip) -> None:
    taken: list[str] = []
    strip.say("There is no drawing yet.", Offer("Bring one in…", lambda: taken.append("drawing")))
    (button,) = strip.offers
    button.click()
    assert taken == ["drawing"]
    assert strip.sentence == ""
    assert strip.isHidden()


def test_the_next_message_takes_the_place_of_the_last(strip: MessageStrip) -> None:
    strip.say("One.", Offer("Yes", lambda: None))
    strip.say("Two.")
    assert strip.sentence == "Two."
    assert strip.offers == ()


def test_a_passing_message_goes_by_itself_and_trouble_stays(strip: MessageStrip) -> None:
    strip.say("Undone: placed the corners.", passing=True)
    assert strip._timer.isActive()
    assert strip._timer.interval() == PASSING_MS
    strip._timer.timeout.emit()
    assert strip.sentence == ""
    strip.say("The disk is full.")
    assert not strip._timer.isActive()


def test_work_is_shown_beside_a_message_and_can_be_stopped(strip: MessageStrip) -> None:
    stopped: list[str] = []
    strip.cancelled.connect(stopped.append)
    strip.say("A message.")
    strip.show_work("check", 0.4, "Measuring the drawing")
    assert strip.sentence == "A message."
    assert (strip._doing.text(), strip._bar.value()) == ("Measuring the drawing", 40)
    strip._stop.click()
    assert stopped == ["check"]
    assert strip._doing.text() == "Stopping…"
    strip.end_work("another")
    assert not strip._work.isHidden()
    strip.end_work("check")
    assert strip._work.isHidden()
    assert strip.sentence == "A message."


def test_a_share_that_is_not_known_is_a_moving_bar(strip: MessageStrip) -> None:
    strip.show_work("photo 1", -1.0, "Reading the photograph")
    assert (strip._bar.minimum(), strip._bar.maximum()) == (0, 0)


@pytest.mark.parametrize(("width", "lines"), [(700, 1), (400, 2), (230, 3), (50, 6)])
def test_a_row_goes_on_in_the_next_line(qtbot: QtBot, width: int, lines: int) -> None:
    row = QWidget()
    qtbot.addWidget(row)
    flow = FlowLayout(row, margin=0, gap=0)
    buttons = [QWidget() for _ in range(6)]
    for button in buttons:
        button.setFixedSize(100, 40)
        flow.addWidget(button)
    assert flow.heightForWidth(width) == 40 * lines
    row.resize(width, 400)
    row.show()
    assert len({button.y() for button in buttons}) == lines
    assert all(not a.geometry().intersects(b.geometry()) for a in buttons for b in buttons if a is not b)


def test_a_hidden_button_leaves_no_gap(qtbot: QtBot) -> None:
    row = QWidget()
    qtbot.addWidget(row)
    flow = FlowLayout(row, margin=0, gap=0)
    first, second = QWidget(), QWidget()
    for button in (first, second):
        button.setFixedSize(100, 40)
        flow.addWidget(button)
    row.resize(400, 100)
    row.show()
    first.hide()
    flow.activate()
    assert second.x() == 0
