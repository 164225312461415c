"""First marks and the order of work over the reference, as lists, and in print."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PySide6.QtCore import QRectF
from pytestqt.qtbot import QtBot

from app.pointer_reading import read_at
from app.values.settings import SHOWN_AHEAD
from app.view import Hung, View
from app.wall.value_marks import ValueMarks, clear_place
from app.work import Worker
from core.size import PAPERS
from tests.app.values_case import still_life
from tests.app.wall_support import codes
from tests.app.window_case import Easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = still_life(qtbot, worker, tmp_path)
    made.desk.studio.change_view(View(hung=(Hung(),)))
    return made


def over(easel: Easel) -> list[ValueMarks]:
    return [o for hanging in easel.desk.wall.hangings for o in hanging.overlays if isinstance(o, ValueMarks)]


def value_about(easel: Easel, x_mm: float, y_mm: float, reach_mm: float = 2.0) -> float:
    studio = easel.desk.studio
    points = [(x_mm + dx, y_mm + dy) for dx in (-reach_mm, 0, reach_mm) for dy in (-reach_mm, 0, reach_mm)]
    return float(np.mean([read_at(studio, x, y).reference for x, y in points]))


def test_first_marks_are_ringed_and_listed_with_their_values(easel: Easel) -> None:
    plain = codes(easel.desk.wall.sheets[0])
    easel.press("first_marks")
    (shown,) = over(easel)
    labels = [shape.label for shape in shown.shapes]
    assert labels[0] == "D1"
    assert "L1" in labels
    fold = easel.desk.side.value.marks
    assert fold.is_open
    assert [line.number for line in fold.lines.lines] == labels
    for line, shape in zip(fold.lines.lines, shown.shapes, strict=True):
        told, spread = (float(each) for each in line.say.split("value ")[1].split(" ± "))
        there = value_about(easel, *shape.at)
        assert abs(there - told) <= max(2 * spread, 0.6), line.say
        assert ("the darkest" in line.kind) == (there < 2.0)
        assert any(word in line.kind for word in ("sure", "fairly sure"))
    marked = codes(easel.desk.wall.sheets[0])
    placed = easel.desk.wall.sheets[0].placed()
    for shape in shown.shapes:
        at = placed.point(*shape.at).toPoint()
        assert (plain != marked)[at.y() - 40 : at.y() + 40, at.x() - 40 : at.x() + 40].any()
    easel.press("first_marks")
    assert over(easel) == []
    assert (codes(easel.desk.wall.sheets[0]) == plain).all()


def test_a_line_goes_to_its_place(easel: Easel) -> None:
    easel.press("first_marks")
    fold, wall = easel.desk.side.value.marks, easel.desk.wall
    fold.lines.lines[0].click()
    assert (wall.sight.x_mm, wall.sight.y_mm) == pytest.approx(over(easel)[0].shapes[0].at)
    assert not wall.is_fitted


def test_order_of_work_is_walked_region_by_region(easel: Easel) -> None:
    easel.press("order_of_work")
    studio, fold = easel.desk.studio, easel.desk.side.value.order
    work = studio.values.work()
    (shown,) = over(easel)
    assert [number.label for number in shown.numbers] == [str(n) for n in range(1, SHOWN_AHEAD + 1)]
    assert len(fold.lines.lines) == SHOWN_AHEAD
    easel.press(*["next_region"] * 7)
    (shown,) = over(easel)
    current = work.placed[7]
    assert studio.view.values.at == 8
    assert fold.slider.value() == 8
    (dark,) = (number for number in shown.numbers if number.is_current)
    assert (dark.label, dark.at) == ("8", (current.region.x_mm, current.region.y_mm))
    assert {int(n.label) for n in shown.numbers if n.is_done} == set(current.against)
    line = fold.lines.lines[0]
    assert f"value {current.region.value:.1f} ± {current.sigma:.1f}" in line.say
    assert f"Against {current.against[0]}" in line.kind
    easel.press("previous_region")
    assert studio.view.values.at == 7
    fold.slider.setValue(12)
    assert studio.view.values.at == 12
    fold.lines.lines[2].click()
    assert studio.view.values.at == 14
    assert easel.desk.wall.sight.x_mm == pytest.approx(work.placed[13].region.x_mm)


def test_the_current_region_is_outlined(easel: Easel) -> None:
    easel.press("order_of_work", *["next_region"] * 4)
    (shown,) = over(easel)
    work = easel.desk.studio.values.work()
    region = work.placed[easel.desk.studio.view.values.at - 1].region
    ring = np.concatenate(shown.current.rings)
    label, px_per_mm = work.regions.label, work.regions.px_per_mm
    inside = label == region.index
    rows, columns = np.nonzero(inside)
    assert ring.min(axis=0) == pytest.approx([columns.min() / px_per_mm, rows.min() / px_per_mm], abs=1.0)
    assert ring.max(axis=0) == pytest.approx([(columns.max() + 1) / px_per_mm, (rows.max() + 1) / px_per_mm], abs=1.0)
    # Every point of the outline lies between pixels in and out of the region.
    for x, y in ring[::7]:
        column, row = round(x * px_per_mm), round(y * px_per_mm)
        part = np.pad(inside, 4)[row + 1 : row + 8, column + 1 : column + 8]
        assert part.any()
        assert not part.all()


def test_order_follows_the_plan(easel: Easel) -> None:
    easel.press("order_of_work")
    studio = easel.desk.studio
    many = len(studio.values.work().placed)
    easel.press("next_region", "fewer_steps", "fewer_steps")
    assert len(studio.values.work().placed) < many
    assert studio.view.values.at == 1
    assert max(placed.region.step for placed in studio.values.work().placed) == 2


def test_numbers_step_aside_within_the_picture() -> None:
    room, taken = QRectF(0, 0, 400, 300), [QRectF(0, 0, 20, 20)]
    free = clear_place(QRectF(5, 5, 20, 20), taken, room)
    assert free is not None
    assert room.contains(free)
    assert not free.intersects(taken[0])
    away = QRectF(50, 50, 20, 20)
    assert clear_place(away, taken, room) == away
    assert clear_place(away, [room], room) is None


def test_a_first_mark_in_the_order_has_one_plate_for_both(easel: Easel) -> None:
    easel.press("first_marks", "order_of_work")
    (shown,) = over(easel)
    names = {shape.label for shape in shown.shapes}
    assert names & shown.numbered == names
    assert {number.label for number in shown.numbers} >= {f"{1} D1", "2 L1"}


def test_the_page_is_printed_and_can_be_opened(easel: Easel) -> None:
    studio = easel.desk.studio
    studio.change_view(replace(studio.view, values=replace(studio.view.values, at=3)))
    panel = easel.desk.side.value.prints
    panel.heading.click()
    panel.paper.setCurrentIndex(panel.paper.findData("A3"))
    panel.paper.activated.emit(panel.paper.currentIndex())
    easel.answers.save = easel.folder / "marks.pdf"
    panel.marks.click()
    assert "First marks and order of work, 2 pages." in easel.said
    document = pypdfium2.PdfDocument(easel.answers.save)
    try:
        width, height = (each / 72 * 25.4 for each in document[0].get_size())
        assert (width, height) == pytest.approx((PAPERS["A3"].width_mm, PAPERS["A3"].height_mm), abs=0.1)
        words = [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()
    marks, work = studio.values.marks(), studio.values.work()
    assert all(f"{mark.value:.1f} ± {mark.spread:.1f}" in words[0] for mark in marks)
    assert f"{work.placed[2].region.value:.1f} ± {work.placed[2].sigma:.1f}" in words[1]
    easel.offer("Open it")
    assert easel.answers.opened == [easel.answers.save]


def test_a_change_of_mind_prints_nothing(easel: Easel) -> None:
    easel.answers.save = None
    easel.desk.side.value.prints.marks.click()
    assert easel.said == ""
