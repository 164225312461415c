"""The value plan in the window: boundaries, shares, small shapes, each step alone, and its shapes as lines."""

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from skimage.filters import threshold_multiotsu

from app import look
from app.picture import srgb_of_qimage
from app.values.settings import Between, Values
from app.view import Look, Subject, View
from app.work import Worker
from core.colorimetry import decode_srgb, luminance, munsell_value
from core.demo import DEMO_SIZE
from core.drawing.svg_read import drawing_from_svg
from core.plan_drawing import LAYER
from core.value.steps import steps_between
from tests.app.values_case import still_life
from tests.app.window_case import Easel, easel_with_canvas


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = still_life(qtbot, worker, tmp_path)
    made.press("steps")
    return made


def plan(easel: Easel):
    return easel.desk.side.value.plan


def values_of(easel: Easel, subject: Subject = Subject.REFERENCE) -> np.ndarray:
    """Munsell values of the picture laid flat, by the exact formulas from its codes."""
    studio = easel.desk.studio
    sheet = studio.room.value(studio.source(subject))
    return munsell_value(luminance(decode_srgb(sheet.codes / 255.0)))


def hung(easel: Easel, index: int) -> np.ndarray:
    return srgb_of_qimage(easel.desk.wall.hangings[index].picture.image)[..., 1].astype(int)


def test_best_separation_is_otsu_s_and_its_shares_are_those_of_the_reference(easel: Easel) -> None:
    for _ in range(2):
        plan(easel).steps.less.click()
    plan(easel).between[Between.BEST].click()
    value = values_of(easel)
    otsu = threshold_multiotsu(np.clip(value, 0, 9.999), 3, nbins=200)
    assert easel.desk.studio.values.boundaries() == pytest.approx(otsu, abs=0.06)
    assert easel.desk.studio.view.values.between is Between.BEST
    plan(easel)._studio.change_view(View.from_json(easel.desk.studio.view.to_json()))
    for _ in range(4):
        plan(easel).smallest.less.click()
    assert easel.desk.studio.view.values.smallest_mm2 == 0
    shares = plan(easel).reference_shares._shares
    counted = np.diff([0, *[(value < each).mean() for each in easel.desk.studio.values.boundaries()], 1])
    assert shares == pytest.approx(counted, abs=0.002)


def test_reference_and_canvas_have_the_same_boundaries(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = easel_with_canvas(qtbot, worker, tmp_path)
    view = View(values=Values(smallest_mm2=0.0)).hang_canvas_photo(easel.desk.studio.canvas_photo.id)
    easel.desk.studio.change_view(view.toggle_look(Look.STEPS).select(0).toggle_look(Look.STEPS))
    plan(easel).between[Between.BEST].click()
    boundaries = np.array(easel.desk.studio.values.boundaries())
    for index, subject in enumerate((Subject.REFERENCE, Subject.CANVAS)):
        value = values_of(easel, subject).astype(np.float32)
        px_per_mm = easel.desk.wall.hangings[index].mapping.px_per_mm
        step = steps_between(value, boundaries, px_per_mm=px_per_mm, smallest_mm2=0.0).index
        shown = hung(easel, index)
        means = [np.median(shown[step == each]) for each in range(5) if (step == each).any()]
        assert means == sorted(means)
        assert all((shown[step == each] == np.median(shown[step == each])).mean() > 0.99 for each in range(1, 4))


def test_a_boundary_is_moved_by_the_keys_and_kept_with_the_painting(easel: Easel) -> None:
    bar = plan(easel).histogram
    assert bar.boundaries == (2.0, 4.0, 6.0, 8.0)
    bar.setFocus()
    QTest.keyClick(bar, Qt.Key.Key_Up)
    QTest.keyClick(bar, Qt.Key.Key_Right)
    QTest.keyClick(bar, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    view = easel.desk.studio.view
    assert view.values.between is Between.HAND
    assert view.values.own == pytest.approx((2.0, 4.6, 6.0, 8.0))
    assert plan(easel).between[Between.HAND].isChecked()
    easel.desk.studio.save_view()
    kept = View.from_json(easel.desk.studio.painting.setting("view"))
    assert kept.values.own == pytest.approx((2.0, 4.6, 6.0, 8.0))
    assert "4.60" in bar.accessibleDescription()


def test_a_boundary_is_dragged_with_the_finger(easel: Easel) -> None:
    bar = plan(easel).histogram
    easel.desk.side.value.ensureWidgetVisible(bar)
    start, end = (QPoint(round(bar._x_of(v)), bar.height() // 2) for v in (6.0, 5.0))
    aside = QPoint(look.target_px() // 2 - 12, 0)  # a thumb is broad
    QTest.mousePress(bar, Qt.MouseButton.LeftButton, pos=start + aside)
    assert bar.chosen == 2
    QTest.mouseMove(bar, end + aside)
    QTest.mouseRelease(bar, Qt.MouseButton.LeftButton, pos=end + aside)
    assert bar.boundaries == pytest.approx((2.0, 4.0, 5.0, 8.0), abs=0.05)
    before = easel.desk.studio.values.boundaries()
    assert before == bar.boundaries


def test_boundaries_do_not_cross(easel: Easel) -> None:
    bar = plan(easel).histogram
    bar.choose(1)
    bar.move_chosen(6.05)
    assert bar.boundaries == (2.0, 4.0, 6.0, 8.0)
    assert "must rise from dark to light" in plan(easel).says.text()
    assert easel.desk.studio.view.values.between is Between.EQUAL
    bar.move_chosen(5.9)
    assert bar.boundaries == (2.0, 5.9, 6.0, 8.0)


@pytest.mark.parametrize("scale", [False, True])
def test_boundaries_are_big_targets(easel: Easel, scale: bool) -> None:
    if scale:
        easel.press("arms_length")
    try:
        bar = plan(easel).histogram
        assert bar.sizeHint().height() >= look.target_px()
        near = bar._x_of(4.0)
        assert bar._nearest(near + 21 * look.scale()) is not None
        assert bar._nearest(bar._x_of(2.0) - look.target_px()) is None
    finally:
        if scale:
            easel.press("arms_length")


def test_one_step_alone_is_walked_from_dark_to_light(easel: Easel) -> None:
    studio = easel.desk.studio
    whole = hung(easel, 0)
    greys = studio.in_steps(Subject.REFERENCE).greys
    covered = np.zeros(whole.shape, int)
    for step in range(5):
        easel.press("lighter_step")
        assert easel.desk.wall.hangings[0].title == f"Reference · step {step + 1} of 5"
        shown = hung(easel, 0)
        assert len(np.unique(shown)) <= 2
        covered += shown == greys[step]
        assert ((shown == greys[step]) == (whole == greys[step])).all()
    assert (covered == 1).all()
    assert easel.window.actions_by_name["step_alone"].isChecked()
    easel.press("step_alone")
    assert (hung(easel, 0) == whole).all()


def test_small_shapes_are_joined(easel: Easel) -> None:
    from core.value.islands import islands

    counts = []
    for _ in range(3):
        counts.append(len(islands(hung(easel, 0).astype(np.uint8)).step))
        plan(easel).smallest.more.click()
        plan(easel).smallest.more.click()
    assert counts[0] > counts[1] > counts[2]
    assert plan(easel).smallest._says.text() == "join under 9 cm²"


def test_shapes_become_lines_in_place_and_other_lines_and_landmarks_stay(easel: Easel) -> None:
    for _ in range(2):
        plan(easel).steps.less.click()
    before = easel.desk.studio.drawing
    plan(easel).shapes.click()
    drawing = easel.desk.studio.drawing
    shapes = [line for line in drawing.lines if line.layer == LAYER]
    assert tuple(line for line in drawing.lines if line.layer != LAYER) == before.lines
    assert drawing.landmarks == before.landmarks
    assert f"{len(shapes)} lines of the value plan" in easel.said
    # Each line lies where the steps of the picture change: both sides of it differ in the plan as it hangs.
    studio = easel.desk.studio
    made = studio.in_steps(Subject.REFERENCE)
    shown = srgb_of_qimage(made.picture.image)[..., 0].astype(int)
    px_per_mm = made.mapping.px_per_mm
    off = 0
    points = np.concatenate([line.polyline()[1:-1:4] for line in shapes])
    for x, y in points:
        column, row = int(x * px_per_mm), int(y * px_per_mm)
        part = shown[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
        off += len(np.unique(part)) < 2
    assert off / len(points) < 0.02
    plan(easel).steps.more.click()
    plan(easel).shapes.click()
    again = easel.desk.studio.drawing
    assert len([line for line in again.lines if line.layer != LAYER]) == len(before.lines)
    easel.press("undo")
    kept = drawing_from_svg(studio.painting.drawing_svg, DEMO_SIZE).lines
    assert [line.layer for line in kept] == [line.layer for line in drawing.lines]
    easel.press("undo")
    assert not [line for line in studio.drawing.lines if line.layer == LAYER]


def test_histogram_is_that_of_the_reference(easel: Easel) -> None:
    bar = plan(easel).histogram
    value = np.clip(values_of(easel), 0, 9.9999)
    counted, _ = np.histogram(value, bins=200, range=(0, 10))
    assert bar._shares == pytest.approx(counted / counted.sum(), abs=0.004)
    at = QPointF(bar._x_of(5.0), bar._bars().bottom() + 3).toPoint()
    strip = bar.grab().toImage().pixelColor(at)
    assert abs(strip.green() - look.neutral(5.0).green()) <= 1  # the middle of five equal steps


def test_each_step_is_thrown_by_the_same_plan(easel: Easel) -> None:
    from app.projection.slides import Slides
    from app.projection.state import Mode

    plan(easel).between[Between.BEST].click()
    studio = easel.desk.studio
    whole = studio.in_steps(Subject.REFERENCE)
    shown = srgb_of_qimage(whole.picture.image)[..., 0].astype(int)
    slides = Slides(studio, easel.desk)
    for step in range(5):
        slide = slides.slide(Mode.STEP, step)
        assert slide is not None
        assert ((slide.light[..., 0] == 65535) == (shown == whole.greys[step])).all()
