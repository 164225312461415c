"""The plan of the sittings in the window."""

from pathlib import Path

from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.view import Question
from app.work import Worker
from core.sitting.coat import SittingTube
from core.sitting.layer import Medium, Thickness
from core.sitting.plan import SITTING_PLAN, usual_plan
from tests.app.sittings.sitting_case import Clock, panel, reads, reopen, sitting_easel
from tests.app.window_case import Easel


def told(easel: Easel) -> list[str]:
    return [line.say for line in panel(easel).plan.lines]


def shown(easel: Easel) -> str:
    """All words in the plan that are seen."""
    QApplication.processEvents()  # what was put in just now is only then seen
    return "\n".join(label.text() for label in panel(easel).plan.findChildren(QLabel) if label.isVisible())


def test_the_usual_four_are_begun_changed_and_undone(easel: Easel) -> None:
    fold = panel(easel).plan
    assert fold.says.isVisible()
    assert "common practice, no source" in fold.four.text()
    fold.begin.click()
    assert told(easel) == [each.aim for each in usual_plan().sittings]
    assert not fold.begin.isVisible()
    assert fold.whole.text() == "4 sittings, 7 h 30 min in all."
    fold.lines[0].click()
    assert fold.part.isVisible()
    assert not fold.part.up.isEnabled()
    fold.part.down.click()
    assert told(easel)[1] == usual_plan().sittings[0].aim
    assert fold.lines[1].isChecked()  # what is open moves with its sitting
    fold.part.split.click()
    assert [line.number for line in fold.lines] == [1, 2, 3, 4, 5]
    assert reads(easel).plan.sittings[1].minutes == 30
    fold.part.remove.click()
    assert len(told(easel)) == 4
    assert not fold.part.isVisible()
    for _ in range(3):
        easel.press("undo")
    assert told(easel) == [each.aim for each in usual_plan().sittings]
    assert easel.desk.studio.painting.can_undo == "began with the usual four sittings"
    easel.press("undo")
    assert told(easel) == []
    assert fold.begin.isVisible()


def test_a_sitting_of_ones_own_is_kept_with_its_paint_and_day(easel: Easel, clock: Clock) -> None:
    fold = panel(easel).plan
    fold.add.click()
    part = fold.part
    assert part.isVisible()
    part.aim.setPlainText("  The lights of the jug ")
    part.length.more.click()
    part.coat.medium.picked.emit(Medium.LITTLE_OIL)
    part.coat.thickness.picked.emit(Thickness.THICK)
    names = list(easel.desk.studio.mixes.palette.tubes)
    assert [chip.text() for chip in part.coat.tubes.chips] == names
    part.coat.tubes.chips[0].click()
    part.day.give.click()
    part.day.clock.more.click()
    assert told(easel) == ["The lights of the jug"]
    sitting = reads(easel).plan.sittings[0]
    held = easel.desk.studio.mixes.box.held.tubes[names[0]]
    assert sitting.minutes == 135
    assert sitting.coat.tubes == (SittingTube(names[0], tuple(held.pigments)),)
    assert (sitting.coat.medium, sitting.coat.thickness) == (Medium.LITTLE_OIL, Thickness.THICK)
    assert reads(easel).kept.days.of(sitting.key).isoformat() == "2026-05-05T10:30:00"
    assert "Thick, with a little oil: " + names[0] in fold.lines[0].kind
    reopen(easel, clock)
    assert told(easel) == ["The lights of the jug"]
    assert reads(easel).plan.sittings[0] == sitting
    assert reads(easel).kept.days.of(sitting.key) is not None


def test_fat_over_lean_is_said_under_the_sitting_it_concerns(easel: Easel) -> None:
    fold = panel(easel).plan
    fold.begin.click()
    assert "leaner" not in shown(easel)
    fold.lines[3].click()
    fold.part.coat.medium.picked.emit(Medium.SOLVENT)
    assert "Sitting 4 is leaner than sitting 3" in shown(easel)
    assert "Source: Mayer 1991" in shown(easel)
    rows = fold._rows
    under = rows.itemAt(rows.indexOf(fold.lines[3]) + 1).widget()
    assert "Sitting 4 is leaner" in under.text()
    fold.lines[3].click()
    assert "Source: " not in shown(easel)  # only the sitting that is open says more
    easel.press("undo")
    assert "leaner" not in shown(easel)


def test_only_to_look_nothing_can_be_changed(easel: Easel, clock: Clock) -> None:
    panel(easel).plan.begin.click()
    reopen(easel, clock, look_only=True)
    assert panel(easel).look_only.isVisible()
    fold = panel(easel).plan
    fold.lines[0].click()
    assert not fold.add.isEnabled()
    assert not any(part.isEnabled() for part in fold.part.parts)
    assert fold.part.aim.isReadOnly()
    reads(easel).begin()
    assert "open only to look" in easel.said
    assert len(told(easel)) == 4


def test_a_broken_plan_is_said_and_begun_anew(
    qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path, clock: Clock
) -> None:
    easel = sitting_easel(
        qtbot, worker, tmp_path, plain, clock, sitting_plan="?", sitting_log=[7], sitting_drying=3, sitting_days=1
    )
    fold = panel(easel).plan
    assert "The plan of the sittings cannot be read" in fold.told.text()
    assert "The days of the sittings could not be read" in fold.told.text()
    fold.begin.click()
    assert len(told(easel)) == 4
    assert "The plan" not in fold.told.text()
    easel.press("undo")
    assert easel.desk.studio.painting.plan(SITTING_PLAN) == "?"


def test_a_plan_of_a_newer_program_is_left_alone(
    qtbot: QtBot, worker: Worker, tmp_path: Path, plain: Path, clock: Clock
) -> None:
    newer = {"schema": 99, "sittings": []}
    easel = sitting_easel(qtbot, worker, tmp_path, plain, clock, sitting_plan=newer)
    fold = panel(easel).plan
    assert "newer Easelside" in fold.told.text()
    assert not fold.begin.isEnabled()
    reads(easel).begin()
    assert "newer Easelside" in easel.said
    assert easel.desk.studio.painting.plan(SITTING_PLAN) == newer


def test_its_key_opens_the_panel_and_closes_it(easel: Easel) -> None:
    easel.press("question_sittings")
    assert easel.desk.studio.view.question is None
    easel.press("question_sittings")
    assert easel.desk.studio.view.question is Question.SITTINGS
    assert easel.window.actions_by_name["question_sittings"].isChecked()


def test_the_keyboard_goes_from_the_top_down(easel: Easel) -> None:
    """Also through what was put in later: the lines, the sitting that is open, its tubes."""
    fold = panel(easel).plan
    fold.begin.click()
    fold.lines[1].click()
    QApplication.processEvents()
    fold.heading.setFocus()
    met, at = [], easel.window.focusWidget()
    while at is not None and fold.isAncestorOf(at) and at not in met:
        met.append(at)
        easel.window.focusNextChild()
        at = easel.window.focusWidget()
    tops = [each.mapTo(fold, each.rect().topLeft()) for each in met]
    assert [each for each in met if each in fold.lines] == fold.lines
    assert fold.part.coat.tubes.chips[0] in met
    assert [(point.y() // 30, point.x()) for point in tops] == sorted((point.y() // 30, point.x()) for point in tops)
