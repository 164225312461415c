"""Pointing at a grey card in the canvas photo, and the check that takes the level of the light from it."""

import threading
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.checks import carry_out
from app.findings import read_findings
from app.values.greys import SETTING, Grey, from_json, to_json
from app.values.light_fold import LightFold
from app.work import Progress, Worker
from core.canvas.canvas_map import CanvasMap
from core.colorimetry import luminance_of_value
from core.painting import Painting
from core.photo import save_png
from tests.app.window_case import Easel, drop, make_easel
from tests.core.value.lit_scene import CAMERA, SIZE, clouds
from tests.studio.lamps import card, photograph_lit
from tests.studio.painter import Painted

BESIDE, BARE = (-40.0, 75.0), (60.0, 75.0)


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """A painting of clouds, its canvas photographed with a grey card of value 5 beside it, the corners placed."""
    save_png(tmp_path / "clouds.png", clouds())
    Painting.create(tmp_path / "painting", "Clouds", SIZE, tmp_path / "clouds.png").close()
    lying = card(BESIDE[0] - 15, BESIDE[1] - 15, 30, float(luminance_of_value(5.0)), 12)
    shot = photograph_lit(Painted(clouds(), clouds(), 3.0, SIZE), CAMERA, "window", 2, (lying,))
    (tmp_path / "canvas.jpg").write_bytes(shot.jpeg())
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(tmp_path / "painting")
    drop(made.desk.ledge, [tmp_path / "canvas.jpg"])
    made.desk.studio.painting.set_corners(photo_id(made), CAMERA.corners, lens_k1=CAMERA.k1)
    fold(made).open()
    return made


def photo_id(easel: Easel) -> int:
    return easel.desk.studio.canvas_photos[0].id


def fold(easel: Easel) -> LightFold:
    return easel.desk.side.value.light


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
    assert "taken out by the known grey" in light
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
    kept = from_json(easel.desk.studio.painting.setting(SETTING))
    assert kept[photo_id(easel)] == easel.desk.lighting.greys(photo_id(easel))
    fold(easel).take_away.click()
    assert easel.desk.lighting.greys(photo_id(easel)) == ()
    assert easel.desk.studio.checker.order(photo_id(easel)).greys == ()


def test_what_was_kept_wrongly_is_left_out() -> None:
    grey = Grey(10.0, 20.0, 8.0, "card", 400, 300, ((9.0, 19.0), (11.0, 19.0), (11.0, 21.0)))
    assert from_json(to_json({3: (grey,)})) == {3: (grey,)}
    assert from_json(None) == from_json([1]) == from_json({"x": []}) == from_json({"3": [{"kind": "lamp"}]}) == {}
