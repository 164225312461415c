"""What the eye sees, reading under the pointer, the page, and what a check found, in the window."""

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pytestqt.qtbot import QtBot

from app.edges.found import read_stretches
from app.edges.settings import EdgeView
from app.findings import stored
from app.picture import srgb_of_qimage
from app.view import Look, Question, Subject
from app.wall.edge_stretches import NumberedStretches
from app.work import Worker
from core.edge.brief import EyeSettings
from core.edge.eye import eye_sigma_mm
from core.edge.kinds import EdgeKind
from tests.app.edge_case import FAINT, PX_PER_MM, SHARP, WIDE, edge_easel, looks, panel, rim
from tests.app.test_questions import CHECK, SURE
from tests.app.window_case import Easel

STRETCH = {
    "number": 1,
    "x_mm": 90.0,
    "y_mm": 60.0,
    "length_mm": 14.0,
    "reference_mm": 0.2,
    "canvas_mm": 2.4,
    "uncertainty_mm": 0.4,
    "planned": "hard",
    "verdict": "too soft",
    "say": "Centre: too soft: 2.4 ± 0.4 mm, planned hard (under 0.2 mm).",
    "points_mm": [[90.0, 53.0], [90.5, 60.0], [91.0, 67.0]],
}
LOST = STRETCH | {"number": 2, "x_mm": 40.0, "canvas_mm": None, "points_mm": [[40, 50], [40, 60]]}


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("discs")


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shared: Path) -> Easel:
    return edge_easel(qtbot, worker, tmp_path, monkeypatch, shared)


def put(easel: Easel, at: tuple[float, float]) -> None:
    easel.desk.edging.put(at)


def across(easel: Easel, at: tuple[float, float]) -> float:
    """How steep the edge of a disc is in the first hanging, to the right of it: the most codes from pixel to pixel."""
    picture = srgb_of_qimage(easel.desk.wall.hangings[0].picture.image)[..., 0].astype(float)
    x, y = (np.array(rim(at)) * PX_PER_MM).astype(int)
    return float(np.abs(np.diff(picture[y - 8 : y + 9, x - 30 : x + 30].mean(axis=0))).max())


def test_what_the_eye_sees_is_sharp_at_the_focal_point_and_softened_away_from_it(easel: Easel) -> None:
    put(easel, SHARP)
    panel(easel).focus.radius.more.click()
    panel(easel).focus.radius.more.click()  # 30 mm: the whole sharp disc
    near, far = across(easel, SHARP), across(easel, WIDE)
    easel.press("seen")
    assert easel.desk.wall.hangings[0].title == "Reference · as the eye sees it from 100 cm"
    assert panel(easel).eye.is_open
    assert across(easel, SHARP) == pytest.approx(near, abs=2)
    # The eye rests within 30 mm of the one; the rim of the other, 1 mm wide, lies 65 mm beyond that.
    blur = float(eye_sigma_mm(65.0, EyeSettings()))
    assert blur == pytest.approx(0.46, abs=0.02)
    # Light is blurred and codes are read, so it is only about so much less steep.
    assert across(easel, WIDE) / far == pytest.approx(1 / np.hypot(1, blur), rel=0.05)
    panel(easel).eye.strength.setValue(panel(easel).eye.strength.maximum())
    assert panel(easel).eye.strength_says.text() == "Strength 3: 3 times as blurred."
    assert across(easel, WIDE) / far == pytest.approx(1 / np.hypot(1, 3 * blur), rel=0.1)
    panel(easel).eye.strength.setValue(0)
    assert across(easel, WIDE) == pytest.approx(far, abs=2)


def test_without_a_focal_point_the_eye_does_not_know_where_to_rest(easel: Easel) -> None:
    easel.press("seen")
    assert easel.desk.wall.hangings[0].title == "Reference · no focal point yet"
    assert "put a focal point first" in easel.said
    easel.offer("Press on the picture")
    easel.desk.wall.clicked.emit(*SHARP, 0)
    assert easel.desk.wall.hangings[0].title == "Reference · as the eye sees it from 100 cm"
    easel.press("seen")
    assert looks(easel)[0] is Look.COLOUR


def test_the_plan_is_made_by_what_the_eye_sees(easel: Easel) -> None:
    put(easel, SHARP)
    reads, eye = easel.desk.studio.edges, panel(easel).eye
    eye.open()
    by_distance = reads.plan().budget.shares
    eye.by_eye.click()
    assert reads.brief.eye == EyeSettings(1000.0, 1.0)
    assert reads.plan().budget.shares != by_distance
    for _ in range(5):
        eye.viewing.less.click()
    assert reads.brief.eye == EyeSettings(300.0, 1.0)
    near = reads.at(*rim(FAINT), 2.0)
    assert near.planned is not EdgeKind.HARD  # 30 cm away it lies far out of the middle of the eye
    easel.press("undo")
    assert reads.eye.viewing_mm == 400.0
    eye.by_eye.click()
    assert reads.brief.eye is None
    assert reads.plan().budget.shares == by_distance


def test_a_stroke_does_not_measure_anew_what_the_eye_sees(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    import core.edges
    from core.edge.brief import Brushed

    put(easel, SHARP)
    panel(easel).eye.open()
    panel(easel).eye.by_eye.click()
    asked = []
    monkeypatch.setattr(core.edges, "edges_as_seen", lambda *given, **more: asked.append(given))
    studio = easel.desk.studio
    easel.desk.edging._brushed(Brushed((rim(WIDE),), 8.0, EdgeKind.LOST))
    assert studio.edges.at(*rim(WIDE), 2.0).planned is EdgeKind.LOST
    assert asked == []


def test_the_edge_under_the_pointer_is_told(easel: Easel) -> None:
    easel.desk.wall.pointer_moved.emit(*rim(WIDE), 0)
    reading = panel(easel).reading
    figure = reading.figure.text()
    assert figure.endswith(" mm, soft")
    assert float(figure.split()[0]) == pytest.approx(1.0, rel=0.2)
    assert reading.says.text().startswith("Good to ± 0.")
    assert "4.0 steps from dark to light. Planned as it is." in reading.says.text()
    easel.desk.wall.pointer_moved.emit(*SHARP, 0)  # its middle is far from any edge
    assert reading.figure.text() == "–"
    easel.desk.wall.pointer_left.emit()
    assert reading.says.text() == "Bring the pointer near an edge of the reference."


def test_beside_the_pointer_stands_what_it_is_and_what_is_planned(easel: Easel) -> None:
    easel.press("numbers_at_pointer")
    reference, canvas = easel.desk.pointers.written(*rim(WIDE))
    assert reference[1] == "soft"
    assert canvas == ()
    put(easel, (5.0, 5.0))
    assert easel.desk.pointers.written(*rim(WIDE))[0][1] == "soft, planned lost"
    easel.desk.wall.pointer_moved.emit(*rim(WIDE), 0)
    easel.press("undo")  # the pointer has not moved
    assert "Planned as it is" in panel(easel).reading.says.text()


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_the_page_is_printed(easel: Easel, tmp_path: Path, paper: str) -> None:
    from core.size import PAPERS

    put(easel, SHARP)
    prints = panel(easel).prints
    prints.open()
    prints.paper.chosen.emit(paper)
    assert easel.desk.studio.view.edges.paper == paper
    easel.answers.save = tmp_path / "plan.pdf"
    prints.page.click()
    assert "The edge plan, one page. It is in " in easel.said
    document = pypdfium2.PdfDocument(tmp_path / "plan.pdf")
    sides = sorted((document[0].get_width() / 72 * 25.4, document[0].get_height() / 72 * 25.4))
    text = " ".join(document[0].get_textpage().get_text_range().split())
    document.close()
    assert sides == pytest.approx(sorted((PAPERS[paper].width_mm, PAPERS[paper].height_mm)), abs=0.1)
    assert "Discs: edge plan" in text
    assert "Focal point, left: 45 mm from the left, 60 mm from the top, radius 20 mm." in text


def test_that_the_plan_was_changed_since_the_check_is_said(easel: Easel) -> None:
    put(easel, SHARP)
    studio = easel.desk.studio
    check_with(easel, edge_stretches=[STRETCH], edge_brief=studio.edges.brief.to_json())
    compare = panel(easel).compare
    assert compare.says.isHidden()
    panel(easel).plan.wanted.more.click()  # which is no part of what the canvas is held against
    assert compare.says.isHidden()
    put(easel, WIDE)
    assert compare.says.text() == "The plan was changed since this check: check again to hold the canvas against it."
    assert not compare.check.isHidden()
    easel.press("undo")
    assert compare.says.isHidden()


def check_with(easel: Easel, **more: object) -> None:
    studio = easel.desk.studio
    data = json.loads(stored(CHECK, SURE, [])) | more
    studio.painting.set_check_result(studio.canvas_photo.id, json.dumps(data))
    studio.read_check()


def test_what_is_said_of_all_edges_stands_above_the_list(easel: Easel) -> None:
    bare = "Hardly an edge of the reference is on the canvas."
    check_with(easel, edge_stretches=[], edge_says=[bare])
    assert panel(easel).compare.says.text() == bare
    assert panel(easel).compare.check.isHidden()


def marked(easel: Easel) -> list[list[str]]:
    return [
        [
            each.number
            for overlay in hanging.overlays
            if isinstance(overlay, NumberedStretches)
            for each in overlay.stretches
        ]
        for hanging in easel.desk.wall.hangings
    ]


def test_what_a_check_found_is_listed_and_shown_on_the_canvas(easel: Easel) -> None:
    right = STRETCH | {"number": 3, "verdict": "right"}
    check_with(easel, edge_stretches=[STRETCH, LOST, right])
    compare = panel(easel).compare
    assert [(line.number, line.say) for line in compare.lines.lines] == [(1, STRETCH["say"]), (2, LOST["say"])]
    assert compare.lines.lines[0].kind == "In the reference 0.2 mm."
    assert compare.check.isHidden()
    assert marked(easel) == [[], ["1", "2"]]
    compare.lines.choose(0)
    assert (easel.desk.wall.sight.x_mm, easel.desk.wall.sight.y_mm) == (90, 60)
    compare.numbers.click()
    assert marked(easel) == [[], ["1"]]  # the chosen one goes on being shown
    easel.press("question_value")
    assert marked(easel) == [[], []]


def test_no_more_are_told_than_leave_the_painting_to_be_seen(easel: Easel) -> None:
    check_with(easel, edge_stretches=[STRETCH | {"number": n} for n in range(1, 31)])
    compare = panel(easel).compare
    assert len(compare.lines.lines) == len(marked(easel)[1]) == 20
    assert compare.more.text() == "And 10 more, shorter or fainter."


def test_without_a_check_it_is_said_where_it_comes_from(easel: Easel) -> None:
    compare = panel(easel).compare
    assert compare.says.text().startswith("This comes with a check")
    check_with(easel)
    assert "from before edges were compared" in compare.says.text()
    check_with(easel, edge_stretches=[])
    assert compare.says.text() == "No stretch of edge is clearly too hard or too soft."
    assert compare.lines.lines == ()


@pytest.mark.parametrize(
    "damage",
    [
        {"points_mm": [[1, 2]]},
        {"x_mm": None},
        {"x_mm": "left"},
        {"points_mm": [[1, 2], [float("nan"), 2]]},
        {"number": []},
    ],
)
def test_stretches_that_cannot_be_read_are_as_of_an_older_check(damage: dict[str, object]) -> None:
    assert read_stretches(json.dumps({"edge_stretches": [STRETCH | damage]})) is None
    assert read_stretches("{}") is None
    found = read_stretches(json.dumps({"edge_stretches": [STRETCH, LOST]}))
    assert found is not None
    assert [each.canvas_mm for each in found] == [2.4, None]


@pytest.mark.parametrize(
    ("damage", "part"),
    [({"kind": "sharp"}, "kind"), ({"viewing_mm": "far"}, "viewing_mm"), ({"paper": "B4"}, "paper")],
)
def test_settings_that_cannot_be_read_are_as_usual(damage: dict[str, object], part: str) -> None:
    kept = EdgeView(viewing_mm=2000.0, kind=EdgeKind.LOST, brush_mm=3.0, paper="A3")
    assert EdgeView.from_json(json.loads(json.dumps(kept.to_json()))) == kept
    found = EdgeView.from_json(kept.to_json() | damage)
    assert getattr(found, part) == getattr(EdgeView(), part)
    assert found.brush_mm == 3.0


def test_other_questions_keep_their_numbers_off_this_one(easel: Easel) -> None:
    assert easel.desk.studio.view.question is Question.EDGE
    assert easel.desk.pointers.written(*SHARP) == [(), ()]
    assert easel.desk.studio.source(Subject.CANVAS) is not None
