"""Keys and pedals that the painter gives their doings."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.arms.arms import ArmsLength
from app.arms.keys import Keys, shown_key
from app.machine import Machine
from app.view import Look
from tests.app.arms.arms_case import Bench, press, shown

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


def test_the_painter_gives_a_pedal_its_doing(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    window, machine = shown(arms), bench.machine
    press(qtbot, arms, Key.Key_F2)
    page = window.page
    assert page.isVisible()
    assert not window.row.isVisible()
    page.buttons["grey"].click()
    assert "“Grey”" in page.sentence
    press(qtbot, arms, Key.Key_Tab)
    assert "another key" in page.sentence
    press(qtbot, arms, Key.Key_MediaPlay)
    assert page.asked == ""
    assert f"{shown_key(int(Key.Key_MediaPlay))} does “Grey” now" in page.sentence
    page.buttons["grey"].click()
    press(qtbot, arms, Key.Key_Escape)  # leaves it as it is
    assert page.isVisible()
    press(qtbot, arms, Key.Key_Escape)
    assert not page.isVisible()
    assert window.row.isVisible()
    press(qtbot, arms, Key.Key_MediaPlay)
    assert bench.studio.view.hung[0].look is Look.GREY
    kept = Machine(machine.folder).kept.arms_keys
    assert Keys.from_json(kept).doing(Key.Key_MediaPlay) == "grey"
    press(qtbot, arms, Key.Key_F2)
    page.usual.click()
    page.done.click()
    assert Machine(machine.folder).kept.arms_keys == {}


@pytest.mark.parametrize("key", [Key.Key_Space, Key.Key_Return, Key.Key_Down])
def test_keys_that_press_buttons_can_be_given_too(arms: ArmsLength, qtbot: QtBot, key: Qt.Key) -> None:
    window = shown(arms)
    press(qtbot, arms, Key.Key_F2)
    window.page.buttons["check"].click()
    qtbot.keyClick(window.focusWidget(), Key.Key_Tab)  # where the keyboard is
    assert "another key" in window.page.sentence
    qtbot.keyClick(window.focusWidget(), key)
    assert window.keys.doing(key) == "check"
    assert window.page.isVisible()


def test_what_was_kept_is_used_and_nonsense_is_not(bench: Bench) -> None:
    machine = bench.machine
    machine.keep(arms_keys={"grey": [int(Key.Key_F9)]}, arms_surround="dark")
    arms = bench.open()
    assert (shown(arms).keys.shown("grey"), shown(arms).surround) == (("F9",), "dark")
    machine.keep(arms_keys={"grey": ["G"]}, arms_surround="pink")
    bench.machine = Machine(machine.folder)
    again = bench.open()
    assert (shown(again).keys, shown(again).surround) == (Keys.usual(), "mid")


def test_the_machine_reads_files_of_before_and_no_nonsense(tmp_path: Path) -> None:
    machine = Machine(tmp_path)
    machine.keep(unit="in", arms_surround="light")
    text = (tmp_path / "window.json").read_text()
    older = text.replace('"arms_surround": "light",', "").replace('"arms_keys": {},', "")
    (tmp_path / "window.json").write_text(older)
    assert (Machine(tmp_path).kept.unit, Machine(tmp_path).kept.arms_surround) == ("in", "")
    (tmp_path / "window.json").write_text(text.replace('"arms_keys": {}', '"arms_keys": 3'))
    assert Machine(tmp_path).kept.unit == "cm"


def test_space_presses_the_button_that_tab_has_chosen(arms: ArmsLength, bench: Bench, qtbot: QtBot) -> None:
    button = shown(arms).row.buttons["surround"]
    button.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(button, Key.Key_Space)
    assert shown(arms).surround == "light"
    qtbot.keyClick(button, Key.Key_N)  # a doing: the keyboard goes back to the pictures
    assert shown(arms).words.told.count == "2 of 2"
    assert not button.hasFocus()
