"""Focal points and the plan in the window, against discs of known edges."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.edges.kept import MOST_FOCI
from app.edges.pressing import For
from app.view import Look, Question
from app.wall.edge_lines import PlanLines
from app.wall.focus_rings import FocusRings
from app.work import Worker
from core.edge.brief import FocalPoint
from core.edge.kinds import EdgeKind
from tests.app.edge_case import FAINT, SHARP, WIDE, brief, drag, edge_easel, looks, panel, planned
from tests.app.window_case import Easel


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("discs")


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shared: Path) -> Easel:
    return edge_easel(qtbot, worker, tmp_path, monkeypatch, shared)


def press(easel: Easel, *places: tuple[float, float], which: int = 0) -> None:
    for place in places:
        easel.desk.wall.clicked.emit(*place, which)


def rings(easel: Easel) -> list[list[int]]:
    return [
        [number for overlay in hanging.overlays if isinstance(overlay, FocusRings) for number, _ in overlay.foci]
        for hanging in easel.desk.wall.hangings
    ]


def lines(easel: Easel) -> list[int]:
    return [sum(isinstance(o, PlanLines) for o in hanging.overlays) for hanging in easel.desk.wall.hangings]


def test_without_a_focal_point_the_plan_is_the_references_own(easel: Easel) -> None:
    fold = panel(easel).plan
    assert fold.budget.text().endswith("of edge length is hard.")
    assert "Without a focal point" in fold.says.text()
    assert planned(easel, WIDE) == {EdgeKind.SOFT}
    assert [row.share for row in fold.legend.rows] != [""] * 4
    shares = easel.desk.studio.edges.plan().budget.shares
    assert [row.share for row in fold.legend.rows] == [f"{100 * share:.0f} %" for share in shares]


def test_the_plan_hangs_as_lines_over_the_faded_reference(easel: Easel) -> None:
    assert lines(easel) == [0, 0]
    easel.press("edge_plan")
    assert looks(easel)[0] is Look.EDGE_PLAN
    assert lines(easel) == [1, 0]
    assert easel.desk.wall.hangings[0].title == "Reference · edge plan"
    darkest = easel.desk.wall.hangings[0].picture.image.pixelColor(3, 3)
    assert darkest.red() > 170  # Munsell value 4, a code of 97, faded
    easel.press("edge_plan")
    assert lines(easel) == [0, 0]


def test_pressing_puts_a_focal_point_and_softens_what_lies_far_from_it(easel: Easel) -> None:
    panel(easel).focus.point.click()
    press(easel, SHARP)
    assert brief(easel).foci == (FocalPoint(*SHARP, 20.0),)  # a tenth of the diagonal
    assert rings(easel) == [[1], [1]]
    assert EdgeKind.HARD not in planned(easel, FAINT)
    easel.press("undo")
    assert "Undone: put a focal point." in easel.said
    assert brief(easel).foci == ()
    assert rings(easel) == [[], []]
    easel.press("redo")
    assert len(brief(easel).foci) == 1


def test_a_focal_point_is_moved_by_its_middle_and_widened_by_its_ring(easel: Easel) -> None:
    panel(easel).focus.point.click()
    press(easel, SHARP)
    drag(easel, (SHARP[0] + 20, SHARP[1]), (SHARP[0] + 25, SHARP[1]), (SHARP[0] + 32, SHARP[1]))
    assert brief(easel).foci[0].radius_mm == pytest.approx(32, abs=0.2)
    drag(easel, SHARP, (SHARP[0] + 10, SHARP[1] + 8))
    assert (brief(easel).foci[0].x_mm, brief(easel).foci[0].y_mm) == pytest.approx((55, 68), abs=0.2)
    drag(easel, (55, 68), (-40, 68))
    assert brief(easel).foci[0].x_mm == 0  # it stays on the canvas
    easel.press("undo", "undo", "undo")
    assert brief(easel).foci == (FocalPoint(*SHARP, 20.0),)


def test_the_radius_is_stepped_and_focal_points_are_taken_away(easel: Easel) -> None:
    fold = panel(easel).focus
    assert fold.radius.isHidden()
    fold.point.click()
    press(easel, SHARP, WIDE)
    assert [line.say for line in fold.lines.lines] == ["Left, radius 20 mm", "Right, radius 20 mm"]
    fold.lines.choose(0)
    fold.radius.more.click()
    assert [focus.radius_mm for focus in brief(easel).foci] == [25, 20]
    fold.remove.click()
    assert [(focus.x_mm, focus.y_mm) for focus in brief(easel).foci] == [WIDE]
    press(easel, FAINT)
    fold.remove_all.click()
    assert brief(easel).foci == ()
    assert fold.remove_all.isHidden()


def test_no_more_than_so_many_and_none_beside_the_canvas(easel: Easel) -> None:
    panel(easel).focus.point.click()
    press(easel, (-5.0, 20.0))
    assert easel.said == "That is beside the canvas. Press on it."
    press(easel, *((10.0 + 8 * k, 100.0) for k in range(MOST_FOCI + 1)))
    assert len(brief(easel).foci) == MOST_FOCI
    assert "take one away first" in easel.said


def test_the_key_puts_one_where_the_pointer_is_and_opens_the_panel(easel: Easel) -> None:
    easel.press("question_value")
    easel.desk.wall.pointer_moved.emit(*WIDE, 0)
    easel.press("focus_at_pointer")
    assert easel.desk.studio.view.question is Question.EDGE
    assert [(focus.x_mm, focus.y_mm) for focus in brief(easel).foci] == [WIDE]


def test_pressing_is_left_by_escape_and_with_the_panel(easel: Easel, qtbot: QtBot) -> None:
    pressing, fold = easel.desk.edging.pressing, panel(easel).focus
    fold.point.click()
    assert pressing.at is For.FOCUS
    qtbot.keyClick(easel.desk.wall, Qt.Key.Key_Escape)
    assert pressing.at is None
    assert not fold.point.isChecked()
    press(easel, SHARP)
    assert brief(easel).foci == ()
    panel(easel).brush.brush.click()
    easel.press("question_temperature")
    assert pressing.at is None


def test_a_wanted_share_says_what_is_too_much(easel: Easel) -> None:
    fold = panel(easel).plan
    assert brief(easel).wanted_hard is None
    fold.wanted.more.click()
    assert brief(easel).wanted_hard == 0.1
    total, hard = easel.desk.studio.edges.plan().budget.total_mm, easel.desk.studio.edges.plan().budget.shares[0]
    assert f"10 % wanted: soften about {(hard - 0.1) * total:.0f} mm of it." in fold.budget.text()
    for _ in range(5):
        fold.wanted.less.click()
    assert brief(easel).wanted_hard is None
    assert not fold.wanted.less.isEnabled()


def test_the_kinds_part_where_the_painter_wants_them_to(easel: Easel) -> None:
    fold = panel(easel).plan
    assert not fold.usual.isEnabled()
    bound = fold.bounds["firm"]
    for _ in range(9):  # from 0.6 to 1.05 mm, beyond the sigma of the wide disc
        bound.more.click()
    assert brief(easel).bounds.firm_mm == pytest.approx(1.1)
    assert planned(easel, WIDE) == {EdgeKind.FIRM}
    for _ in range(60):
        fold.bounds["hard"].more.click()
    bounds = brief(easel).bounds
    assert bounds.hard_mm < bounds.firm_mm
    assert not fold.bounds["hard"].more.isEnabled()
    fold.usual.click()
    assert brief(easel).bounds is None
    assert planned(easel, WIDE) == {EdgeKind.SOFT}


def test_the_window_does_not_wait_for_the_edges(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shared: Path
) -> None:
    easel = edge_easel(qtbot, threaded_worker, tmp_path, monkeypatch, shared)
    fold = panel(easel).plan
    qtbot.waitUntil(lambda: "of edge length is hard" in fold.budget.text())
    before = easel.desk.studio.edges.newest_plan()
    for place in (SHARP, WIDE, FAINT):
        easel.desk.edging.put(place)
    reads = easel.desk.studio.edges
    assert reads.newest_plan() is before  # the plan of before is shown until there is a newer one
    qtbot.waitUntil(lambda: reads.plan() is not None)
    assert reads.plan().brief.foci == reads.brief.foci
    assert len(reads.brief.foci) == 3
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())
    easel.press("close")
