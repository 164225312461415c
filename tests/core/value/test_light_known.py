"""Cards and margins: what they know beats the fit."""

from dataclasses import replace

import numpy as np
import pytest

from core.canvas.flat import Flat
from core.colorimetry import luminance_of_value
from core.value.light import Card, Margin, correct_light
from tests.core.value.cases import Case
from tests.measure.value import light_error
from tests.studio.camera import light_on_canvas
from tests.studio.painter import grid_mm

DARK = 0.7
"""All the paint reflects this share of what it should: about 0.7 step too dark at middle value."""


def light_there(case: Case) -> np.ndarray:
    """The light and the cast of a case seen squarely, with the camera's exposure and vignetting."""
    x, y = grid_mm(case.size, case.canvas.px_per_mm)
    cam = case.camera

    class Face:
        size = case.size

    light = light_on_canvas(Face, cam, x.astype(np.float32), y.astype(np.float32))  # type: ignore[arg-type]
    row, col = np.mgrid[0 : cam.height, 0 : cam.width]
    r2 = ((col - cam.width / 2) ** 2 + (row - cam.height / 2) ** 2) / (np.hypot(cam.width, cam.height) / 2) ** 2
    return (light * cam.exposure * (1 - cam.vignetting * r2))[..., None] * np.array(cam.white_balance)


def darkened(case: Case) -> Case:
    return replace(case, canvas=replace(case.canvas, linear=case.canvas.linear * np.float32(DARK)))


def with_patches(case: Case, cards: tuple[Card, ...]) -> Flat:
    linear, light = case.canvas.linear.copy(), light_there(case)
    x, y = grid_mm(case.size, case.canvas.px_per_mm)
    for card in cards:
        inside = np.hypot(x - card.x_mm, y - card.y_mm) < card.radius_mm
        linear[inside] = (light * luminance_of_value(card.value))[inside]
    return replace(case.canvas, linear=np.clip(linear, 0, 1).astype(np.float32))


def level(case: Case, light: object) -> float:
    return float(np.nanmedian(light_error(case, light)))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def dark(right: Case) -> Case:
    return darkened(right)


CARDS = (Card(40, 40, 5.0), Card(350, 260, 5.0, radius_mm=6))


def test_a_card_gives_the_level_that_a_fit_cannot(dark: Case) -> None:
    """The truth of the case is the undarkened painting: it now stands ln 0.7 below that, and a card sees it."""
    by_fit = correct_light(dark.canvas, dark.moved)
    by_card = correct_light(with_patches(dark, CARDS), dark.moved, cards=CARDS)
    assert by_card.source == "card"
    assert level(dark, by_fit) == pytest.approx(0.0, abs=0.05)
    ratio = np.exp(np.log(by_card.gain / by_fit.gain).mean())
    assert ratio == pytest.approx(DARK, rel=0.04)
    assert "known grey" in by_card.level_note


def test_cards_leave_the_shape_of_the_light_as_good(right: Case) -> None:
    light = correct_light(with_patches(right, CARDS), right.moved, cards=CARDS)
    error = light_error(right, light)
    assert np.nanmean(np.abs(error)) < 0.1
    assert np.nanmedian(error) == pytest.approx(0, abs=0.05)


def test_a_polygon_is_a_card_too(dark: Case) -> None:
    square = tuple((float(x), float(y)) for x, y in ((195, 140), (206, 140), (206, 151), (195, 151)))
    patched = with_patches(dark, (Card(200.5, 145.5, 4.0, radius_mm=9),))
    light = correct_light(patched, dark.moved, cards=(Card(200.5, 145.5, 4.0, polygon_mm=square),))
    plain = correct_light(dark.canvas, dark.moved)
    assert np.exp(np.log(light.gain / plain.gain).mean()) == pytest.approx(DARK, rel=0.05)


def test_a_margin_gives_level_and_field(dark: Case) -> None:
    margin = Margin(value=9.2, width_mm=8.0)
    linear, strip = dark.canvas.linear.copy(), round(8.0 * dark.canvas.px_per_mm)
    white = np.clip(light_there(dark) * luminance_of_value(9.2), 0, 1).astype(np.float32)
    inner = (slice(strip, -strip), slice(strip, -strip))
    white[inner] = linear[inner]
    light = correct_light(replace(dark.canvas, linear=white), dark.moved, margin=margin)
    plain = correct_light(dark.canvas, dark.moved)
    assert light.source == "card"
    assert np.exp(np.log(light.gain / plain.gain).mean()) == pytest.approx(DARK, rel=0.05)
    error = light_error(dark, replace(light, gain=light.gain / np.float32(DARK)))
    assert np.nanmean(np.abs(error)) < 0.1


def test_a_card_sets_the_level_of_a_blank(dark: Case) -> None:
    light = correct_light(with_patches(dark, CARDS), dark.moved, blank=dark.blank, cards=CARDS)
    assert light.source == "blank"
    plain = correct_light(dark.canvas, dark.moved)
    assert np.exp(np.log(light.gain).mean() - np.log(plain.gain).mean()) == pytest.approx(DARK, rel=0.04)
    assert "known grey" in light.level_note


def test_unusable_cards_are_named_and_left_out(right: Case) -> None:
    cards = (Card(-50, 40, 5.0), Card(100, 100, 9.5, radius_mm=8))
    linear = right.canvas.linear.copy()
    x, y = grid_mm(right.size, right.canvas.px_per_mm)
    linear[np.hypot(x - 100, y - 100) < 8] = 1.0
    light = correct_light(replace(right.canvas, linear=linear), right.moved, cards=cards)
    assert light.source == "fit"
    assert any(note.startswith("Grey card 1 lies outside") for note in light.notes)
    assert any(note.startswith("Grey card 2 is burnt out") for note in light.notes)
