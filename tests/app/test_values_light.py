"""Pointing at a grey card in the canvas photo, and the check that takes the level of the light from it."""

import json
import threading
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.checks import carry_out
from app.findings import read_findings
from app.values.greys import Grey, from_json, kept_with, to_json
from app.work import Progress, Worker
from core.canvas.canvas_map import CanvasMap
from core.colorimetry import luminance_of_value
from core.painting import Painting
from core.photo import save_png
from tests.app.light_case import fold, photo_id, shown
from tests.app.window_case import Easel, drop, make_easel
from tests.core.value.lit_scene import CAMERA, SIZE, clouds
from tests.studio.lamps import card, photograph_lit
from tests.studio.painter import Painted

BESIDE, BARE = (-40.0, 75.0), (60.0, 75.0)


@cache
def _shot() -> bytes:
    lying = card(BESIDE[0] - 15, BESIDE[1] - 15, 30, float(luminance_of_value(5.0)), 12)
    return photograph_lit(Painted(clouds(), clouds(), 3.0, SIZE), CAMERA, "window", 2, (lying,)).jpeg()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """A painting of clouds, its canvas photographed with a grey card of value 5 beside it, the corners placed."""
    save_png(tmp_path / "clouds.png", clouds())
    Painting.create(tmp_path / "painting", "Clouds", SIZE, tmp_path / "clouds.png").close()
    (tmp_path / "canvas.jpg").write_bytes(_shot())
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(tmp_path / "painting")
    drop(made.desk.ledge, [tmp_path / "canvas.jpg"])
    made.desk.studio.painting.set_corners(photo_id(made), CAMERA.corners, lens_k1=CAMERA.k1)
    fold(made).open()
    return made


def point(easel: Easel, at: tuple[float, float], value: float, kind: str = "card") -> None:
    fold(easel).value.show_number(value)
    (fold(easel).card if kind == "card" else fold(easel).ground).click()
    index = next(i for i, hanging in enumerate(easel.desk.wall.hangings) if hanging.of_canvas)
    easel.desk.wall.clicked.emit(*at, index)


def test_a_card_beside_the_canvas_is_measured_and_a_check_takes_its_level(easel: Easel) -> None:
    point(easel, BESIDE, 5.0)
    assert "Grey card, value 5, is measured" in easel.said
    (grey,) = easel.desk.lighting.greys(photo_id(easel))
    canvas = CanvasMap(np.asarray(CAMERA.corners), SIZE, grey.width, grey.height, CAMERA.k1)
    outline = canvas.px_to_mm(grey.outline_px)
    assert outline.mean(axis=0) == pytest.approx(BESIDE, abs=4)
    assert easel.desk.lighting.pointing is None
    order = easel.desk.studio.checker.order(photo_id(easel))
    assert order is not None
    found = read_findings(carry_out(order, Progress(lambda share, doing: None, threading.Event())), SIZE)
    assert found is not None
    light = next(line for line in found.certainty if line.startswith("Light:"))
    assert "those of the grey card" in light
    assert "those of the grey card" in light


def test_the_photo_is_shown_as_shot_while_it_is_pointed_at(easel: Easel) -> None:
    fold(easel).card.click()
    assert easel.desk.studio.view.as_shot
    assert easel.desk.lighting.pointing is not None
    easel.desk.lighting.leave()
    assert easel.desk.lighting.greys(photo_id(easel)) == ()


def test_a_place_that_is_no_card_is_refused_and_pointing_goes_on(easel: Easel) -> None:
    point(easel, BARE, 5.0)
    assert "too small to measure the light on. Click in the middle of the card" in easel.said
    assert easel.desk.lighting.greys(photo_id(easel)) == ()
    assert easel.desk.lighting.pointing is not None


@pytest.mark.parametrize(("typed", "sentence"), [("white", "give a number"), ("12", "lies between Munsell value")])
def test_a_value_that_is_none_is_refused_in_place(easel: Easel, typed: str, sentence: str) -> None:
    fold(easel).value.field.setText(typed)
    fold(easel).card.click()
    assert sentence in fold(easel).trouble.text()
    assert easel.desk.lighting.pointing is None


def test_greys_are_kept_with_the_painting_and_can_be_taken_away(easel: Easel) -> None:
    point(easel, BESIDE, 5.0)
    kept = kept_with(easel.desk.studio.painting)
    assert kept[photo_id(easel)] == easel.desk.lighting.greys(photo_id(easel))
    fold(easel).take_away.click()
    assert easel.desk.lighting.greys(photo_id(easel)) == ()
    assert easel.desk.studio.checker.order(photo_id(easel)).greys == ()


def test_what_was_kept_wrongly_is_left_out() -> None:
    grey = Grey(10.0, 20.0, 8.0, "card", 400, 300, ((9.0, 19.0), (11.0, 19.0), (11.0, 21.0)))
    chart = Grey(50.0, 60.0, None, "chart", 400, 300, ((9.0, 19.0), (11.0, 19.0), (11.0, 21.0)))
    assert from_json(to_json({3: (grey, chart)})) == {3: (grey, chart)}
    assert from_json(None) == from_json([1]) == from_json({"x": []}) == from_json({"3": [{"kind": "lamp"}]}) == {}
    without_value = to_json({3: (grey,)})
    without_value["3"][0]["value"] = None
    assert from_json(without_value) == {}


def test_pointing_is_undone_and_done_again_and_the_check_follows(easel: Easel) -> None:
    painting, light = easel.desk.studio.painting, fold(easel)
    painting.set_check_result(photo_id(easel), "{}")
    point(easel, BESIDE, 5.0)
    assert painting.can_undo == "pointed at a grey card"
    assert not painting.check_result(photo_id(easel)).is_current
    easel.press("undo")
    assert easel.said == "Undone: pointed at a grey card."
    assert easel.desk.lighting.greys(photo_id(easel)) == ()
    assert light.lines.lines == ()
    assert light.take_away.isHidden()
    assert painting.check_result(photo_id(easel)).is_current
    easel.press("redo")
    assert [line.say for line in light.lines.lines] == ["Grey card, value 5"]
    assert len(easel.desk.studio.checker.order(photo_id(easel)).greys) == 1
    light.take_away.click()
    assert painting.can_undo == "took a grey card away"
    easel.press("undo")
    assert len(easel.desk.lighting.greys(photo_id(easel))) == 1


def test_what_was_pointed_at_is_outlined_over_the_photo_as_shot(easel: Easel) -> None:
    point(easel, BESIDE, 5.0)
    assert shown(easel) == []
    easel.press("as_shot")
    ((outline, words),) = shown(easel)
    assert words == "5"
    assert outline.mean(axis=0) == pytest.approx(BESIDE, abs=4)
    easel.press("undo")
    assert shown(easel) == []


def test_greys_kept_as_view_state_by_an_earlier_version_count(easel: Easel) -> None:
    point(easel, BESIDE, 5.0)
    kept = to_json(kept_with(easel.desk.studio.painting))
    easel.press("undo")
    painting, folder = easel.desk.studio.painting, easel.desk.studio.painting.folder
    painting.set_setting("known greys", kept)
    easel.press("close")
    easel.window.open_painting(folder)
    fold(easel).open()
    assert [line.say for line in fold(easel).lines.lines] == ["Grey card, value 5"]
    point(easel, BESIDE, 4.9)
    assert len(fold(easel).lines.lines) == 2
    easel.press("undo")
    assert [line.say for line in fold(easel).lines.lines] == ["Grey card, value 5"]


def test_the_light_of_a_check_is_told_and_pictured(easel: Easel) -> None:
    light = fold(easel)
    assert light.exposure.isHidden()
    easel.press("check")
    found = easel.desk.studio.checked.light
    says = [part.text() for part, _, _ in light.shown]
    assert tuple(says) == found.words
    assert "exposed" in says[0]
    assert "white balance" in says[1]
    assert "over the canvas" in says[2]
    assert not any(part.isHidden() for each in light.shown for part in each)
    assert f"from −{abs(found.reach_steps[0]):.1f} to +{found.reach_steps[1]:.1f}" in light.shown[2][2].text()
    assert found.reach_steps[1] - found.reach_steps[0] > 1.0
    bar, chart = light.exposure.bar(), light.exposure
    per_stop = chart.x_of(0.0) - chart.x_of(-1.0)
    assert bar.width() / per_stop == pytest.approx(abs(found.exposure_stops))
    assert found.exposure_stops == pytest.approx(-0.73, abs=0.1)
    assert easel.desk.studio.checked.findings.is_current
    point(easel, BESIDE, 5.0)
    assert not easel.desk.studio.checked.findings.is_current
    easel.press("undo")
    assert easel.desk.studio.checked.findings.is_current


def test_the_pictures_of_the_light_show_its_colours(easel: Easel) -> None:
    easel.press("check")
    QApplication.processEvents()  # the panel is laid out anew
    light, found = fold(easel), easel.desk.studio.checked.light
    swatch = light.balance.grab().toImage()
    middle = swatch.height() // 2
    for x, colour in ((swatch.width() // 4, found.balance), (3 * swatch.width() // 4, found.neutral)):
        assert swatch.pixelColor(x, middle).getRgb()[:3] == colour
    assert found.balance[0] > found.balance[2]  # the lamp is warm
    field, lies = light.field.grab().toImage(), light.field.picture()
    assert lies.width() / lies.height() == pytest.approx(SIZE.aspect, abs=0.02)
    assert lies.width() > 200
    x, y, _ = found.figures[0]
    at = (x * lies.width(), y * lies.height())
    assert field.pixelColor(round(at[0]), round(at[1] - 7)).lightness() > 200  # the plate of its figure
    corners = [(0.03, 0.03), (0.97, 0.03), (0.97, 0.97), (0.03, 0.97)]
    greys = [field.pixelColor(round(u * lies.width()), round(v * lies.height())).lightness() for u, v in corners]
    assert max(greys) - min(greys) > 15


def test_a_check_older_than_the_telling_of_the_light_shows_none(easel: Easel) -> None:
    order = easel.desk.studio.checker.order(photo_id(easel))
    text = carry_out(order, Progress(lambda share, doing: None, threading.Event()))
    data = json.loads(text)
    painting = easel.desk.studio.painting
    for change in ({"light": None}, {"light": {**data["light"], "words": ["one"]}}):
        painting.set_check_result(photo_id(easel), json.dumps(data | change))
        easel.desk.studio.read_check()
        assert easel.desk.studio.checked.light is None
        assert all(part.isHidden() for each in fold(easel).shown for part in each)
    painting.set_check_result(photo_id(easel), text)
    (order.folder / "light-field.png").unlink()
    easel.desk.studio.read_check()
    assert easel.desk.studio.checked.light.field is None
    assert not fold(easel).exposure.isHidden()
    assert fold(easel).field.isHidden()
