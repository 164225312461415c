"""The panels: what a check found, in words, and the way from each finding to its place on the wall."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import check_folder
from app.findings import Findings, read_findings, read_outlines, stored
from app.questions.parts import bound, text
from app.view import Look, Question
from app.work import Worker
from core.size import Size
from tests.app.window_case import CORNERS, SIZE, Easel, canvas_shot, drop, make_easel, make_painting

CHECK: dict[str, Any] = {
    "schema": 1,
    "size_mm": [200, 150],
    "canvas": {"corners_px": CORNERS, "found_by": "given", "px_per_mm": 4.5, "lens_k1": 0, "uncertainty_mm": 0.3},
    "light": {"from": "fit", "uncertainty_steps": 0.3, "glare_share": 0.01},
    "drawing": {
        "whole": {"shift_mm": [2.0, 0.1], "turn_deg": 0.0, "scale": 1.0},
        "landmarks": [
            {"name": "left eye", "x_mm": 77, "y_mm": 62, "dx_mm": 1.2, "dy_mm": -0.1, "confidence": 0.6},
            {"name": "right eye", "x_mm": 136, "y_mm": 70, "dx_mm": -2.1, "dy_mm": 3.0, "confidence": 0.95},
            {"name": "chin", "x_mm": 100, "y_mm": 140, "dx_mm": None, "dy_mm": None, "confidence": 0.0},
        ],
    },
    "value": {
        "areas": [{"x_mm": 60, "y_mm": 100, "area_cm2": 15.7, "steps": -1.5}],
        "share_within_half_step": 0.82,
    },
    "mend": [
        {"question": "drawing", "x_mm": 136, "y_mm": 70, "say": "“right eye” is too far left and low.", "weight": 7.0},
        {"question": "value", "x_mm": 60, "y_mm": 100, "say": "Left, 16 cm²: 1.5 steps too dark.", "weight": 4.0},
    ],
    "notes": [],
}
OUTLINE = [[40.0, 80.0], [80.0, 80.0], [80.0, 120.0], [40.0, 120.0]]
PASSAGE = {
    "x_mm": 60,
    "y_mm": 100,
    "area_cm2": 15.7,
    "steps": -1.5,
    "say": "Lower left, at “chin”, 16 ± 2 cm²: 1.5 ± 0.3 steps too dark.",
    "outlines": [OUTLINE, [[90.0, 90.0], [95.0, 90.0], [95.0, 95.0]]],
}
SURE = ("Canvas: laid flat to within 0.3 mm.", "Withheld: 3 % of the values.")


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    drop(made.desk.ledge, [canvas_shot(tmp_path)[0]])
    painting = made.desk.studio.painting
    painting.set_corners(made.desk.studio.canvas_photo.id, CORNERS)
    return made


@pytest.fixture
def checked(easel: Easel) -> Easel:
    """The canvas photo that hangs has been checked."""
    studio = easel.desk.studio
    photo = studio.canvas_photo.id
    folder = check_folder(studio.painting, photo)
    folder.mkdir(parents=True)
    difference = np.zeros((150, 200), np.float32)
    difference[80:120, 40:80] = -1.5
    difference[:, :10] = np.nan
    reference = studio.values.sheet().value.reshape(150, 3, 200, 3).mean(axis=(1, 3))
    np.savez(
        folder / "check.npz",
        value_reference=reference,
        value_canvas=reference + difference,
        value_difference=difference,
    )
    (folder / "check.pdf").write_bytes(b"%PDF-1.7 the sheet")
    studio.painting.set_check_result(photo, stored(CHECK, SURE, [PASSAGE]))
    studio.read_check()
    return easel


@pytest.mark.parametrize(("there", "shown"), [(CHECK, True), (CHECK | {"size_mm": [1, 2]}, False), ("{", False)])
def test_files_of_another_check_are_not_shown_with_this_one(checked: Easel, there: Any, shown: bool) -> None:
    """A check that was broken off, or the painting on an earlier day: list and pictures must not be of two checks."""
    studio = checked.desk.studio
    told = there if isinstance(there, str) else json.dumps(there)
    (check_folder(studio.painting, studio.canvas_photo.id) / "check.json").write_text(told)
    studio.read_check()
    assert studio.checked.findings.landmarks
    assert bool(studio.checked.maps) is shown
    assert (studio.checked.sheet is not None) is shown


def findings(**changes: Any) -> Findings:
    found = read_findings(stored(CHECK | changes, SURE, []), SIZE)
    assert found is not None
    return found


def test_drift_is_told_in_left_right_higher_lower_with_how_sure() -> None:
    far, near, unknown = findings().landmarks
    assert (far.number, far.name, far.across, far.down, far.how_sure) == (
        1, "right eye", "2.1 mm left", "3.0 mm lower", "sure",
    )  # fmt: skip
    assert (near.across, near.down, near.how_sure) == ("1.2 mm right", "in place", "fairly sure")
    assert (unknown.across, unknown.how_sure) == ("–", "not measured")


def test_the_whole_drawing_comes_first() -> None:
    assert findings().whole == "The whole drawing sits 2.0 mm too far right."


def test_a_whole_drawing_that_is_not_known_is_not_made_up() -> None:
    unknown = {"whole": {"shift_mm": [None, None], "turn_deg": None, "scale": None}, "landmarks": []}
    assert findings(drawing=unknown).whole is None


def test_share_that_is_not_known_is_said() -> None:
    assert findings(value={"areas": [], "share_within_half_step": None}).within == "The values could not be compared."


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", json.dumps({"check": {}, "certainty": []})])
def test_a_stored_check_that_cannot_be_read_is_as_if_there_were_none(text: str) -> None:
    assert read_findings(text, Size(200, 150)) is None
    assert read_outlines(text) == {}


def test_a_check_kept_before_passages_were_tells_its_areas() -> None:
    older = json.dumps({"check": CHECK, "certainty": list(SURE), "outlines": {"1": OUTLINE}})
    found = read_findings(older, SIZE)
    assert found is not None
    assert [area.say for area in found.areas] == ["Lower left, 16 cm²: 1.5 steps too dark"]
    assert np.array_equal(read_outlines(older)[1][0], OUTLINE)


def test_without_a_check_every_panel_says_where_findings_come_from(easel: Easel) -> None:
    side = easel.desk.side
    assert "check" in side.drawing.drift.whole.text()
    assert "check" in side.value.within.text()
    assert "check" in side.mend.intro.text()
    assert "has not been checked yet" in side.check_bar.state.text()
    assert side.check_bar.sheet.isHidden()


def test_panels_tell_what_was_found_how_sure_and_what_was_withheld(checked: Easel) -> None:
    side = checked.desk.side
    assert side.drawing.drift.whole.text() == "The whole drawing sits 2.0 mm too far right."
    assert [line.say for line in side.drawing.drift.landmark_lines.lines] == ["right eye", "left eye"]
    assert side.drawing.drift.untold.text() == "Too little there to measure it by. It can be placed by hand:"
    assert [line.say for line in side.drawing.drift.untold_lines.lines] == ["chin"]
    assert side.drawing.drift.landmark_lines.lines[0].kind == "2.1 mm left, 3.0 mm lower · sure, 95 %"
    assert "82 %" in side.value.within.text()
    assert "± 0.3 step" in side.value.within.text()
    assert [line.say for line in side.value.areas.lines] == [PASSAGE["say"]]
    assert [line.say for line in side.mend.lines.lines] == [mend["say"] for mend in CHECK["mend"]]
    assert "Withheld: 3 %" in side.mend.certainty.text()
    assert "was checked" in side.check_bar.state.text()


def test_a_line_to_mend_moves_the_wall_to_its_place(checked: Easel) -> None:
    checked.press("question_mend")
    wall = checked.desk.wall
    checked.desk.side.mend.lines.lines[0].click()
    assert (wall.sight.x_mm, wall.sight.y_mm) == (pytest.approx(136), pytest.approx(70))
    assert not wall.is_fitted
    checked.press("next_mend")
    assert (wall.sight.x_mm, wall.sight.y_mm) == (pytest.approx(60), pytest.approx(100))
    checked.press("next_mend")
    assert wall.sight.x_mm == pytest.approx(136)  # round to the first
    checked.press("previous_mend")
    assert wall.sight.x_mm == pytest.approx(60)


def test_next_to_mend_opens_the_list(checked: Easel) -> None:
    checked.press("next_mend")
    assert checked.desk.studio.view.question is Question.MEND
    assert checked.desk.side.mend.lines.lines[0].isChecked()


def test_difference_hangs_with_its_legend_and_numbered_areas(checked: Easel) -> None:
    from app.wall.areas import NumberedAreas

    checked.press("difference")
    hanging = checked.desk.wall.hangings[checked.desk.studio.view.selected]
    assert hanging.title == "Value difference · canvas.jpg"
    assert hanging.legend is not None
    assert len(hanging.legend.stops) >= 5
    (areas,) = [overlay for overlay in hanging.overlays if isinstance(overlay, NumberedAreas)]
    assert [(area.number, len(area.outlines)) for area in areas.areas] == [("1", 2)]
    labels = [label for _, label in hanging.legend.stops]
    assert labels == ["< −2", "−2", "−1", "0", "1", "2", "> 2", "?"]
    image, scale = hanging.picture.image, hanging.mapping.px_per_mm
    wrong, right = (image.pixelColor(round(x * scale), round(y * scale)) for x, y in ((60, 100), (150, 30)))
    assert wrong.blue() > wrong.red() + 30  # too dark is blue
    assert right.saturation() == 0
    checked.desk.side.value.numbers.setChecked(False)
    shown = checked.desk.wall.hangings[checked.desk.studio.view.selected]
    assert not any(isinstance(overlay, NumberedAreas) for overlay in shown.overlays)


def test_an_area_of_the_list_is_marked_on_the_wall(checked: Easel) -> None:
    from app.wall.areas import NumberedAreas

    checked.desk.side.value.areas.lines[0].click()
    marked = [o for o in checked.desk.wall.hangings[-1].overlays if isinstance(o, NumberedAreas)]
    assert marked[0].chosen == "1"
    assert checked.desk.wall.sight.x_mm == pytest.approx(60)


def test_arrows_of_the_told_landmarks_lie_on_the_canvas(checked: Easel) -> None:
    from app.wall.arrows import DriftArrows

    def arrows() -> list[DriftArrows]:
        return [o for o in checked.desk.wall.hangings[-1].overlays if isinstance(o, DriftArrows)]

    assert [arrow.number for arrow in arrows()[0].arrows] == ["1", "2"]
    assert arrows()[0].arrows[0].to_mm == pytest.approx((133.9, 73.0))
    checked.desk.side.drawing.drift.times.more.click()
    assert arrows()[0].times == 5.0
    checked.press("question_mend")
    assert not arrows()[0].numbered  # the list there has numbers of its own
    checked.press("question_drawing")
    assert arrows()[0].numbered
    checked.desk.side.drawing.drift.arrows.setChecked(False)
    assert arrows() == []


def test_value_under_the_pointer_has_the_light_taken_out_after_a_check(checked: Easel) -> None:
    panel = checked.desk.side.value
    checked.desk.wall.pointer_moved.emit(60.0, 100.0, 0)
    reference, canvas = float(panel.reference_value.text()), float(panel.canvas_value.text())
    assert canvas - reference == pytest.approx(-1.5, abs=0.35)  # one point beside the mean of a square millimetre
    assert "steps too dark, good to ± 0.3." in panel.verdict.text()
    checked.desk.wall.pointer_moved.emit(150.0, 20.0, 0)
    assert panel.verdict.text() == "The same within half a step, good to ± 0.3."
    checked.desk.wall.pointer_moved.emit(5.0, 20.0, 0)
    assert "Withheld" in panel.verdict.text()
    checked.desk.wall.pointer_left.emit()
    assert panel.canvas_value.text() == "–"


def test_value_under_the_pointer_without_a_check_is_as_photographed(easel: Easel) -> None:
    panel = easel.desk.side.value
    easel.desk.wall.pointer_moved.emit(100.0, 75.0, 0)
    assert 0.0 < float(panel.reference_value.text()) < 10.0
    assert 0.0 < float(panel.canvas_value.text()) < 10.0
    assert "as photographed" in panel.verdict.text()


def test_changed_corners_make_the_check_stale_and_say_so(checked: Easel) -> None:
    painting = checked.desk.studio.painting
    painting.set_corners(checked.desk.studio.canvas_photo.id, np.array(CORNERS) + 3)
    assert "has changed since" in checked.desk.side.check_bar.state.text()
    checked.press("undo")
    assert "was checked" in checked.desk.side.check_bar.state.text()


def test_printed_sheet_is_saved_and_opened(checked: Easel, tmp_path: Path) -> None:
    checked.answers.save = tmp_path / "for the easel"
    checked.press("sheet")
    saved = tmp_path / "for the easel.pdf"
    assert saved.read_bytes() == b"%PDF-1.7 the sheet"
    checked.offer("Open it")
    assert checked.answers.opened == [saved]


def test_printed_sheet_that_cannot_be_saved_is_said(checked: Easel, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    checked.answers.save = tmp_path / "file" / "sheet.pdf"
    checked.press("sheet")
    assert "could not be saved" in checked.said


def test_a_check_whose_files_are_gone_still_tells_its_findings(checked: Easel) -> None:
    studio = checked.desk.studio
    for file in check_folder(studio.painting, studio.canvas_photo.id).iterdir():
        file.unlink()
    studio.read_check()
    assert len(checked.desk.side.mend.lines.lines) == 2
    assert checked.desk.side.check_bar.sheet.isHidden()


def test_acetate_is_styled_from_the_panel(checked: Easel) -> None:
    checked.press("question_drawing", "acetate")
    panel = checked.desk.side.drawing
    panel.strength.setValue(40)
    next(swatch for swatch in panel.swatches if swatch.name == "vermilion").click()
    panel.weight.more.click()
    panel.landmarks.setChecked(False)
    (acetate,) = [o for o in checked.desk.wall.hangings[-1].overlays if type(o).__name__ == "Acetate"]
    assert (acetate.strength, acetate.weight_mm, acetate.landmarks) == (pytest.approx(0.4), 0.8, False)
    assert acetate.colour.red() > acetate.colour.blue()


def test_no_panel_is_shown_for_a_question_that_is_not_asked(easel: Easel) -> None:
    asked = [question.value for question in easel.desk.side.panels]
    assert asked == ["drawing", "value", "edge", "temperature", "mix", "mend", "sittings"]


def test_a_closed_panel_is_opened_again_from_the_bar(easel: Easel) -> None:
    easel.press("question_value")
    assert easel.desk.studio.view.question is None
    assert easel.desk.side.isHidden()
    assert any(part.isVisible() for part in easel.desk.bar._questions)
    easel.press("question_drawing")
    assert easel.desk.side.isVisible()
    assert easel.desk.side.panels[Question.DRAWING].isVisible()


def test_steps_and_shares_follow_the_panel_s_buttons(easel: Easel) -> None:
    panel = easel.desk.side.value
    panel.steps.more.click()
    assert easel.desk.studio.view.steps == 6
    assert len(panel.reference_shares._shares) == 6
    assert len(panel.canvas_shares._shares) == 6
    for _ in range(6):
        panel.steps.more.click()
    assert easel.desk.studio.view.steps == 10
    assert not panel.steps.more.isEnabled()


def test_look_of_the_difference_without_a_map_says_it_is_not_checked(easel: Easel) -> None:
    studio = easel.desk.studio
    studio.change_view(studio.view.toggle_look(Look.DIFFERENCE))
    assert easel.desk.wall.hangings[studio.view.selected].title.endswith("not checked yet")


def test_no_line_breaks_between_a_number_and_its_unit(qtbot: QtBot) -> None:
    said = "1.7 ± 0.9 mm right, 79 % sure"
    label = text(said)
    qtbot.addWidget(label)
    assert label.text() == said, "as it was given"
    label.setText(said)
    narrowest = label.fontMetrics().horizontalAdvance("1.7 ± 0.9 mm")
    assert label.minimumSizeHint().width() >= narrowest
    assert bound("5 steps, 3 mmm") == "5 steps, 3 mmm", "words are no units"
