"""Arm's length as a painter uses it: opened, stepped through with keys and pedals, closed."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.arms.arms import ArmsLength
from app.arms.awake import NOT_KEPT
from app.arms.showing import ENDS, NO_DRAWING, Source
from app.arms.window import ArmsWindow
from app.view import Look, Question
from tests.app.arms.arms_case import Bench, CountedAwake, press, ringed, shown
from tests.app.test_questions import CHECK
from tests.app.wall_support import image_codes
from tests.app.window_case import CORNERS

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


def test_the_first_thing_to_mend_is_told_marked_and_stepped_from(arms: ArmsLength, qtbot: QtBot) -> None:
    window = shown(arms)
    assert window.words.told.count == "1 of 2"
    assert "right eye" in window.words.told.sentence
    assert "1 of 2" in window.words.accessibleName()
    assert ringed(arms) == (136, 70)
    for key in (Key.Key_PageDown, Key.Key_Right, Key.Key_N):  # round and round
        press(qtbot, arms, key)
    assert (window.words.told.count, ringed(arms)) == ("2 of 2", (60, 100))
    for key in (Key.Key_PageUp, Key.Key_Left, Key.Key_P):
        press(qtbot, arms, key)
    assert (window.words.told.count, ringed(arms)) == ("1 of 2", (136, 70))
    assert window.wall.is_fitted


def test_a_held_pedal_steps_once(arms: ArmsLength) -> None:
    for repeated in (False, True, True, True, True):
        kind, plain = QEvent.Type.KeyPress, Qt.KeyboardModifier.NoModifier
        QApplication.sendEvent(shown(arms), QKeyEvent(kind, Key.Key_PageDown, plain, "", repeated))
    assert shown(arms).words.told.count == "2 of 2"


def test_closer_goes_to_the_place_and_follows_until_all_is_shown_again(arms: ArmsLength, qtbot: QtBot) -> None:
    wall = shown(arms).wall
    press(qtbot, arms, Key.Key_Return)
    assert (wall.sight.x_mm, wall.sight.y_mm, wall.is_fitted) == (136, 70, False)
    assert shown(arms).row.buttons["closer"].isChecked()
    press(qtbot, arms, Key.Key_N)
    assert (wall.sight.x_mm, wall.sight.y_mm) == (60, 100)
    press(qtbot, arms, Key.Key_F5)
    assert wall.is_fitted
    assert not shown(arms).row.buttons["closer"].isChecked()


def test_looks_act_on_all_pictures_and_their_buttons_tell(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    studio, buttons = bench.studio, shown(arms).row.buttons
    press(qtbot, arms, Key.Key_G)
    assert [each.look for each in studio.view.hung] == [Look.GREY, Look.GREY]
    assert buttons["grey"].isChecked()
    press(qtbot, arms, Key.Key_V)
    assert [each.look for each in studio.view.hung] == [Look.STEPS, Look.STEPS]
    assert not buttons["grey"].isChecked()
    press(qtbot, arms, Key.Key_V, Key.Key_Q, Key.Key_L)
    assert [(each.look, each.acetate) for each in studio.view.hung] == [(Look.COLOUR, True)] * 2
    assert studio.view.squint
    assert [hanging.title for hanging in shown(arms).wall.hangings] == [each.title for each in studio.hangings()]


@pytest.mark.parametrize("count", [2, 1])
def test_blink_changes_over_and_back(arms: ArmsLength, qtbot: QtBot, count: int) -> None:
    press(qtbot, arms, Key.Key_2 if count == 2 else Key.Key_T)

    def titles() -> list[str]:
        return [sheet.hanging.title for sheet in shown(arms).wall.sheets if sheet.hanging is not None]

    before = titles()
    assert len(before) == count
    press(qtbot, arms, Key.Key_B)
    over = titles()
    assert over == (before[::-1] if count == 2 else ["Reference"])
    press(qtbot, arms, Key.Key_Q)  # and stays so while another look is hung
    assert [title.split(" · ")[0] for title in titles()] == [title.split(" · ")[0] for title in over]
    press(qtbot, arms, Key.Key_Q, Key.Key_Period)
    assert titles() == before


def test_the_acetate_lifts_while_its_key_is_held(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    press(qtbot, arms, Key.Key_L)
    window = shown(arms)
    laid = image_codes(window.wall.grab().toImage())
    qtbot.keyPress(window, Key.Key_A)
    lifted = image_codes(window.wall.grab().toImage())
    qtbot.keyRelease(window, Key.Key_A)
    assert (lifted != laid).any()
    assert (image_codes(window.wall.grab().toImage()) == laid).all()


def test_esc_closes_and_the_desk_is_as_it_was(bench: Bench, qtbot: QtBot) -> None:
    bench.studio.change_view(replace(bench.studio.view, question=Question.EDGE))
    awake = CountedAwake()
    arms = bench.open(awake=awake)
    assert bench.studio.view.question is Question.MEND
    assert awake.held == 1
    press(qtbot, arms, Key.Key_Escape)
    assert (arms.is_open, awake.held) == (False, 0)
    assert bench.studio.view.question is Question.EDGE
    arms.toggle()
    assert (arms.is_open, awake.held) == (True, 1)
    arms.close()


def test_when_the_desk_goes_it_lets_the_screen_sleep(own: Bench) -> None:
    awake = CountedAwake()
    own.open(awake=awake)
    assert awake.held == 1
    own.host.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert awake.held == 0


def test_when_it_cannot_open_the_screen_may_sleep(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    awake = CountedAwake()

    def fails(window: ArmsWindow, *_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(ArmsWindow, "open_on", fails)
    with pytest.raises(RuntimeError):
        bench.open(awake=awake)
    assert awake.held == 0


def test_a_screen_that_cannot_be_kept_awake_is_told_in_a_line(bench: Bench) -> None:
    arms = bench.open(awake=CountedAwake(kept=False))
    assert NOT_KEPT in shown(arms).note.sentence
    assert shown(arms).note.isVisible()
    arms.close()


@pytest.mark.parametrize("own", ["bare"], indirect=True)
def test_what_to_do_is_said_while_there_is_no_list(own: Bench, tmp_path: Path, qtbot: QtBot) -> None:
    arms, studio = own.open(), own.studio
    words = shown(arms).words
    assert "Bring in a photo" in words.told.sentence
    press(qtbot, arms, Key.Key_K)
    assert "Bring in a photo" in shown(arms).note.sentence
    press(qtbot, arms, Key.Key_N, Key.Key_Return)
    own.add_photo(tmp_path, "first.jpg")
    assert "corners" in words.told.sentence
    studio.painting.set_corners(studio.canvas_photo.id, CORNERS)
    assert words.told.sentence.endswith("K checks it.")
    assert words.told.count == ""
    own.give_check(CHECK | {"mend": []})
    assert words.told.sentence == "Nothing to mend was found."
    own.give_check(CHECK)
    assert words.told.count == "1 of 2"
    studio.painting.set_corners(studio.canvas_photo.id, tuple((x + 40, y) for x, y in CORNERS))
    shown(arms).note.say("")
    assert "K checks again" in shown(arms).note.sentence


def test_the_check_key_asks_for_a_check_and_says_what_goes_wrong(bench: Bench, qtbot: QtBot) -> None:
    arms, studio = bench.open(), bench.studio
    press(qtbot, arms, Key.Key_K)
    assert bench.asked == ["check"]
    studio.checker.failed.emit("The photo cannot be read.")
    assert shown(arms).note.sentence == "The photo cannot be read."
    studio.worker.progressed.emit("check", 0.4, "Comparing")
    studio.checker.made.emit(1)
    assert shown(arms).note.sentence == "Checking… 40 %"
    studio.worker.idle.emit("check")
    assert not shown(arms).note.isVisible()


def test_a_fresh_check_begins_with_what_counts_most(own: Bench, qtbot: QtBot) -> None:
    arms = own.open()
    press(qtbot, arms, Key.Key_N)
    own.studio.findings_changed.emit()  # the same check, read anew
    assert shown(arms).words.told.count == "2 of 2"
    more = [*CHECK["mend"], CHECK["mend"][1] | {"weight": 9.0, "x_mm": 30, "say": "New."}]
    own.give_check(CHECK | {"mend": sorted(more, key=lambda each: -each["weight"])})
    assert (shown(arms).words.told.count, shown(arms).words.told.sentence) == ("1 of 3", "New.")
    assert ringed(arms) == (30, 100)


def test_arrows_hang_older_and_newer_photos(own: Bench, tmp_path: Path, qtbot: QtBot) -> None:
    arms = own.open()
    studio = own.studio
    first = studio.canvas_photo.id
    later = own.add_photo(tmp_path, "later.jpg")
    assert "corners" in shown(arms).words.told.sentence
    press(qtbot, arms, Key.Key_Up)
    assert studio.canvas_photo.id == first
    assert shown(arms).words.told.count == "1 of 2"
    press(qtbot, arms, Key.Key_Up)
    assert shown(arms).note.sentence == ENDS[-1]
    press(qtbot, arms, Key.Key_Down)
    assert studio.canvas_photo.id == later


def test_another_source_can_be_shown(bench: Bench, qtbot: QtBot) -> None:
    studio = bench.studio
    hung = [replace(studio.hangings()[0], title="Live")]
    arms = bench.open(source=Source(lambda: hung, lambda: None, studio.ledge_changed))
    assert [each.title for each in shown(arms).wall.hangings] == ["Live"]
    hung[0] = replace(hung[0], title="Live, next")
    studio.ledge_changed.emit()
    assert [each.title for each in shown(arms).wall.hangings] == ["Live, next"]
    press(qtbot, arms, Key.Key_B)
    assert "no other picture" in shown(arms).note.sentence


def test_without_a_drawing_the_acetate_says_so(own: Bench, qtbot: QtBot) -> None:
    while own.studio.drawing is not None:
        assert own.studio.undo()
    arms = own.open()
    press(qtbot, arms, Key.Key_L)
    assert shown(arms).note.sentence == NO_DRAWING
