"""A colour chart looked for in the canvas photo: found, kept, shown, taken by the check, undone, refused."""

import threading
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import carry_out
from app.findings import read_findings
from app.work import Progress, Worker
from core.check_light import NO_CHART
from core.painting import Painting
from core.photo import save_png
from core.value import light_chart
from tests.app.light_case import fold, photo_id, shown
from tests.app.window_case import Easel, make_easel
from tests.core.value.lit_scene import CAMERA, SIZE, clouds
from tests.studio.camera import Camera
from tests.studio.colour_chart import HEIGHT_MM, WIDTH_MM, drawn_chart
from tests.studio.lamps import Lying, photograph_lit
from tests.studio.painter import Painted

ASIDE = Camera(
    ((150, 210), (695, 225), (688, 640), (142, 628)),
    width=1200, height=900, exposure=0.6, white_balance=CAMERA.white_balance, vignetting=0.15, blur_px=0.6, seed=4,
)  # fmt: skip
LIES = (212.0, 30.0)
MIDDLE = (LIES[0] + WIDTH_MM / 2, LIES[1] + HEIGHT_MM / 2)


def shot_with(*lying: Lying) -> bytes:
    """A painting of clouds photographed with these things beside it."""
    return photograph_lit(Painted(clouds(), clouds(), 3.0, SIZE), ASIDE, "window", 2, lying).jpeg()


@cache
def with_chart() -> bytes:
    return shot_with(Lying(*LIES, WIDTH_MM, HEIGHT_MM, drawn_chart(), 4.0))


@cache
def with_nothing() -> bytes:
    return shot_with()


def opened(qtbot: QtBot, worker: Worker, folder: Path, shot: bytes, *, placed: bool = True) -> Easel:
    """A painting of clouds with this canvas photo."""
    save_png(folder / "clouds.png", clouds())
    (folder / "canvas.jpg").write_bytes(shot)
    with Painting.create(folder / "painting", "Clouds", SIZE, folder / "clouds.png") as painting:
        photo = painting.add_canvas_photo(painting.import_photo(folder / "canvas.jpg").id)
        if placed:
            painting.set_corners(photo.id, ASIDE.corners, lens_k1=ASIDE.k1)
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(folder / "painting")
    qtbot.waitUntil(lambda: made.window.desk is not None)
    fold(made).open()
    return made


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return opened(qtbot, worker, tmp_path, with_chart())


def lines(easel: Easel) -> list[str]:
    return [line.say for line in fold(easel).lines.lines]


def test_a_chart_is_found_kept_and_outlined_on_the_photo_as_shot(easel: Easel) -> None:
    fold(easel).chart.click()
    assert easel.said.startswith("A colour chart is found: see its outline. The next check takes its level")
    assert lines(easel) == ["Colour chart"]
    assert easel.desk.studio.view.as_shot
    ((outline, words),) = shown(easel)
    assert words == "chart"
    assert outline.mean(axis=0) == pytest.approx(MIDDLE, abs=1.5)
    assert np.ptp(outline, axis=0) == pytest.approx((WIDTH_MM, HEIGHT_MM), abs=12)
    easel.offer("flat again")
    assert not easel.desk.studio.view.as_shot
    assert shown(easel) == []
    easel.press("as_shot", "question_drawing")
    assert shown(easel) == []  # it belongs to the question of value


def test_the_photo_hangs_as_shot_while_it_is_looked_at(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    seen, find = [], light_chart.find_chart

    def watched(photo: object) -> object:
        seen.append((easel.desk.studio.view.as_shot, fold(easel).chart.isEnabled()))
        return find(photo)

    monkeypatch.setattr(light_chart, "find_chart", watched)
    fold(easel).chart.click()
    assert seen == [(True, False)]
    assert fold(easel).chart.isEnabled()


def test_the_next_check_takes_the_chart_and_no_more_once_it_is_undone(easel: Easel) -> None:
    checker, painting = easel.desk.studio.checker, easel.desk.studio.painting
    painting.set_check_result(photo_id(easel), "{}")
    fold(easel).chart.click()
    assert not painting.check_result(photo_id(easel)).is_current
    order = checker.order(photo_id(easel))
    assert order.chart
    assert order.greys == ()
    found = read_findings(carry_out(order, Progress(lambda share, doing: None, threading.Event())), SIZE)
    assert found is not None
    assert any("those of the colour chart" in line for line in found.certainty)
    easel.press("undo")
    assert easel.said == "Undone: found a colour chart."
    assert lines(easel) == []
    assert shown(easel) == []
    assert not checker.order(photo_id(easel)).chart
    assert painting.check_result(photo_id(easel)).is_current
    easel.press("redo")
    assert lines(easel) == ["Colour chart"]
    assert checker.order(photo_id(easel)).chart


def test_a_chart_is_kept_once_and_can_be_taken_away(easel: Easel) -> None:
    fold(easel).chart.click()
    fold(easel).chart.click()
    assert lines(easel) == ["Colour chart"]
    fold(easel).take_away.click()
    assert lines(easel) == []
    assert easel.desk.studio.painting.can_undo == "took the colour chart away"
    assert not easel.desk.studio.checker.order(photo_id(easel)).chart


def test_no_chart_is_said_and_the_canvas_lies_flat_again(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = opened(qtbot, worker, tmp_path, with_nothing())
    before = easel.desk.studio.painting.can_undo
    fold(easel).chart.click()
    assert easel.said == NO_CHART
    assert lines(easel) == []
    assert easel.desk.studio.painting.can_undo == before
    assert not easel.desk.studio.view.as_shot
    assert not easel.desk.lighting.looking


def test_a_chart_half_in_shadow_is_refused(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    shaded = drawn_chart().copy()
    shaded[:, shaded.shape[1] // 2 :] *= 0.45
    easel = opened(qtbot, worker, tmp_path, shot_with(Lying(*LIES, WIDTH_MM, HEIGHT_MM, shaded, 4.0)))
    fold(easel).chart.click()
    assert "part of it lies in shadow or glare" in easel.said
    assert lines(easel) == []
    assert not easel.desk.studio.view.as_shot


def test_before_the_corners_are_placed_it_is_said(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = opened(qtbot, worker, tmp_path, with_nothing(), placed=False)
    fold(easel).chart.click()
    assert "Place the canvas’s corners first" in easel.said


def test_only_to_look_and_without_a_canvas_photo_it_is_said(easel: Easel) -> None:
    fold(easel).chart.click()
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    fold(easel).open()
    assert lines(easel) == ["Colour chart"]
    for press in (fold(easel).chart.click, fold(easel).take_away.click):
        easel.window.say("")
        press()
        assert "open only to look" in easel.said
    assert lines(easel) == ["Colour chart"]
    easel.press("close")
    easel.window.open_painting(folder)
    easel.desk.studio.painting.remove_canvas_photo(photo_id(easel))
    fold(easel).chart.click()
    assert "Bring in a photo of the canvas first" in easel.said


def test_looking_can_be_stopped(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is kept, and the canvas lies flat again."""
    easel = opened(qtbot, threaded_worker, tmp_path, with_nothing())
    begun, let_go = threading.Event(), threading.Event()

    def waits(photo: object) -> None:
        begun.set()
        let_go.wait(20)

    monkeypatch.setattr(light_chart, "find_chart", waits)
    fold(easel).chart.click()
    assert easel.desk.studio.view.as_shot
    qtbot.waitUntil(begun.is_set, timeout=20000)
    threaded_worker.cancel("look for a colour chart")
    let_go.set()
    qtbot.waitUntil(lambda: not easel.desk.lighting.looking, timeout=20000)
    assert not easel.desk.studio.view.as_shot
    assert lines(easel) == []
    assert NO_CHART not in easel.said
