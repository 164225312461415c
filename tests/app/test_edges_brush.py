"""The brush over the edge plan, and how what is planned is kept, in the window."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.edges.kept import EDGE, kept_brief
from app.edges.pressing import For
from app.view import Look
from app.work import Worker
from core.edge.brief import EdgeBrief
from core.edge.kinds import EdgeKind
from core.painting import Painting
from tests.app.edge_case import SHARP, SIZE, WIDE, brief, drag, edge_easel, looks, panel, planned, rim
from tests.app.window_case import Easel


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("discs")


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shared: Path) -> Easel:
    return edge_easel(qtbot, worker, tmp_path, monkeypatch, shared)


def along(
    disc: tuple[float, float], *, first: float = 0, last: float = 360, step: float = 10
) -> list[tuple[float, float]]:
    return [rim(disc, turn) for turn in np.arange(first, last + step / 2, step)]


@pytest.fixture
def brushing(easel: Easel) -> Callable[[EdgeKind], None]:
    """Take the brush up for a kind."""
    panel(easel).brush.open()

    def begin(kind: EdgeKind) -> None:
        panel(easel).brush.kinds[kind].click()
        if easel.desk.edging.pressing.at is not For.BRUSH:
            panel(easel).brush.brush.click()

    return begin


def test_brushing_along_an_edge_makes_it_of_that_kind(easel: Easel, brushing: Callable[[EdgeKind], None]) -> None:
    brushing(EdgeKind.LOST)
    assert looks(easel)[0] is Look.EDGE_PLAN
    drag(easel, *along(WIDE))
    assert planned(easel, WIDE) == {EdgeKind.LOST}
    assert "1 stroke over the plan." in panel(easel).brush.says.text()
    assert brief(easel).brushed[0].width_mm == 8
    easel.press("undo")
    assert "Undone: brushed edges lost." in easel.said
    assert planned(easel, WIDE) == {EdgeKind.SOFT}


def test_the_later_stroke_counts_and_all_are_cleared(easel: Easel, brushing: Callable[[EdgeKind], None]) -> None:
    brushing(EdgeKind.LOST)
    drag(easel, *along(WIDE))
    brushing(EdgeKind.HARD)
    drag(easel, *along(WIDE, last=180))
    assert planned(easel, WIDE) == {EdgeKind.LOST, EdgeKind.HARD}
    reading = easel.desk.studio.edges.at(*rim(WIDE, 90), 2.0)
    assert (reading.planned, reading.kind, reading.brushed) == (EdgeKind.HARD, EdgeKind.SOFT, True)
    panel(easel).brush.clear.click()
    assert brief(easel).brushed == ()
    assert planned(easel, WIDE) == {EdgeKind.SOFT}
    assert not panel(easel).brush.clear.isEnabled()


def test_a_wider_brush_reaches_farther(easel: Easel, brushing: Callable[[EdgeKind], None]) -> None:
    brushing(EdgeKind.LOST)
    beside = rim(WIDE, 90)[0], rim(WIDE, 90)[1] - 10.0
    drag(easel, (beside[0] - 3, beside[1]), (beside[0] + 3, beside[1]))
    assert planned(easel, WIDE) == {EdgeKind.SOFT}
    for _ in range(3):
        panel(easel).brush.width_mm.more.click()
    drag(easel, (beside[0] - 3, beside[1]), (beside[0] + 3, beside[1]))
    assert brief(easel).brushed[-1].width_mm == 24
    assert EdgeKind.LOST in planned(easel, WIDE)


def test_over_the_canvas_nothing_is_brushed(easel: Easel, brushing: Callable[[EdgeKind], None]) -> None:
    brushing(EdgeKind.LOST)
    drag(easel, (40, 40), (60, 60), which=1)
    assert brief(easel).brushed == ()
    assert easel.said == "Brush along the edge in the reference: that is what is planned."


def test_the_brief_is_kept_with_the_painting(easel: Easel, brushing: Callable[[EdgeKind], None]) -> None:
    easel.desk.edging.put(SHARP)
    brushing(EdgeKind.FIRM)
    drag(easel, *along(WIDE, last=90))
    panel(easel).plan.wanted.more.click()
    kept = brief(easel)
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as again:
        assert kept_brief(again) == kept
        assert EdgeBrief.from_json(again.plan(EDGE)) == kept


def test_a_broken_brief_is_as_if_there_were_none(easel: Easel) -> None:
    size = [160, 120]
    for broken in (
        "plan",
        {},
        {"size_mm": size, "foci": [[500, 20, 5]]},
        {"size_mm": size, "brushed": [{"kind": "x"}]},
    ):
        easel.desk.studio.painting.set_plan(EDGE, broken)
        assert brief(easel) == EdgeBrief(SIZE)
    easel.desk.edging.put(SHARP)
    assert len(brief(easel).foci) == 1


def test_a_painting_open_only_to_look_says_so(easel: Easel) -> None:
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    easel.press("focus_at_pointer")
    assert "open only to look" in easel.said
    panel(easel).focus.point.click()
    assert not panel(easel).focus.point.isChecked()
    panel(easel).plan.wanted.more.click()
    assert brief(easel) == EdgeBrief(SIZE)


def test_a_lost_reference_is_said(easel: Easel) -> None:
    for file in (easel.desk.studio.painting.folder / "photos").iterdir():
        file.unlink()
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder)
    easel.desk.studio.change_view(easel.desk.studio.view)
    assert easel.desk.studio.edges.why_not()
    assert "measured" not in panel(easel).plan.budget.text()
