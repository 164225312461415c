"""Squares read from photos of a simulated card, whose colours are known."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from core.colorimetry import delta_e_2000, lab
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint.paint import Mixture, mixture
from core.paint.swatch_find import AROUND_MM, FLAT_PX_PER_MM, FlatCard
from core.paint.swatch_light import card_light
from core.paint.swatch_read import Readings, read_card, read_card_file
from core.paint.tubes import tubes
from tests.studio.swatch_photo import Painted, Printer, Shot, camera_colour, jpeg, photograph

SHOT = Shot(width=1000, height=750, gloss=0.0, noise=0.008)
READ_E = 1.2
"""CIEDE2000 by which a square may be off what the camera would show of it in even light: brush marks, noise, JPEG."""


@cache
def squares(tube: str = "ultramarine") -> dict[str, Mixture]:
    paints = {"white": tubes()["titanium white"].paint, "tube": tubes()[tube].paint}
    return {each.name: mixture(paints, {"tube": each.share, "white": 1 - each.share}) for each in card.SQUARES}


@cache
def plain() -> Readings:
    return read_card(photograph(Painted(squares()), SHOT))


def off_from(readings: Readings, shot: Shot, tube: str = "ultramarine") -> np.ndarray:
    """CIEDE2000 of every square from what this camera shows of it in even light, beside the white."""
    seen = np.array([camera_colour(mix.thick(), shot) for mix in squares(tube).values()])
    told = np.array([swatch.linear for swatch in readings.swatches])
    return delta_e_2000(lab(told), lab(np.maximum(seen / seen[0], 0)))


@pytest.mark.parametrize(
    ("tube", "change"),
    [
        ("ultramarine", {}),
        ("yellow ochre", {"fall_off": 1.9, "from_deg": 130.0, "bend": 0.1}),
        ("viridian", {"turn_deg": 180.0, "tilt": 0.08, "light": "D50", "balance": (1.15, 1.0, 0.85)}),
        ("burnt sienna", {"exposure": 0.3, "noise": 0.006, "blur_px": 1.5}),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_squares_are_read_as_the_camera_shows_them(tube: str, change: dict) -> None:
    shot = replace(SHOT, **change)
    readings = read_card(photograph(Painted(squares(tube), printer=Printer(dot_gain=1.25, paper=0.86)), shot))
    assert readings.problems == ()
    assert off_from(readings, shot, tube).max() < READ_E
    assert readings.swatches[0].linear == pytest.approx([1, 1, 1])
    assert all((swatch.sigma > 0).all() for swatch in readings.swatches)


def test_exposure_and_white_balance_cancel() -> None:
    linear = photograph(Painted(squares()), SHOT).linear()
    one, other = read_card(linear), read_card(linear * np.array([0.5, 0.6, 0.7], np.float32))
    for a, b in zip(one.swatches, other.swatches, strict=True):
        assert a.linear == pytest.approx(b.linear, rel=0.02, abs=2e-4)


def test_a_file_is_read_as_a_photo(tmp_path: Path) -> None:
    path = tmp_path / "card.jpg"
    path.write_bytes(jpeg(Painted(squares()), SHOT))
    readings = read_card_file(path)
    assert readings.good
    assert readings.swatch("weak tint").linear == pytest.approx(plain().swatch("weak tint").linear)


def test_the_light_is_told() -> None:
    """Known by the simulator: along the squares, which take up 125 of 180 mm, the light falls off by so much."""
    shot = replace(SHOT, fall_off=1.8, from_deg=0.0, bend=0.0, tilt=0.0)
    assert read_card(photograph(Painted(squares()), shot)).fall_off == pytest.approx(1.8 ** (124.8 / 180), rel=0.02)
    assert plain().px_per_mm == pytest.approx(1000 * 0.85 / 180, rel=0.06)


def flat_with(light: np.ndarray, *, smeared: int = 0) -> FlatCard:
    """A card without paint, in a light given per pixel."""
    levels = (0.13, 0.2, 0.5)
    linear = np.full((*light.shape, 3), 0.9)
    flat = FlatCard(linear, FLAT_PX_PER_MM)
    for number, patch in enumerate(card.patches()):
        flat.part(patch.rect)[:] = 0.9 * levels[patch.level] * (0.5 if number < smeared else 1.0)
    return FlatCard((linear * light[..., None]).astype(np.float32), FLAT_PX_PER_MM)


@pytest.mark.parametrize("smeared", [0, 5])
def test_light_is_found_to_a_hundredth_whatever_the_printer_makes_of_greys(smeared: int) -> None:
    high, wide = (round((side + 2 * AROUND_MM) * FLAT_PX_PER_MM) for side in (card.HEIGHT_MM, card.WIDTH_MM))
    y, x = np.mgrid[0:high, 0:wide] / FLAT_PX_PER_MM - AROUND_MM

    def true(at_x: np.ndarray, at_y: np.ndarray) -> np.ndarray:
        u, v = (at_x - 90) / 90, (at_y - 49) / 90
        return np.exp(0.3 * u - 0.2 * v - 0.1 * u * u + 0.05 * u * v)

    found = card_light(flat_with(0.7 * true(x, y), smeared=smeared))
    assert found is not None
    rects = [square.rect for square in card.SQUARES]
    middles = np.array([rect.middle for rect in rects])
    wanted = true(*middles.T)
    assert found.at(rects)[:, 1] == pytest.approx(wanted, rel=0.01)
    assert found.levels[:, 0] == pytest.approx(0.63 * np.array([0.13, 0.2, 0.5, 1.0]), rel=0.01)
    assert (found.strayed > 0) == (smeared > 0)


def test_a_black_card_has_no_light() -> None:
    high, wide = (round((side + 2 * AROUND_MM) * FLAT_PX_PER_MM) for side in (card.HEIGHT_MM, card.WIDTH_MM))
    assert card_light(flat_with(np.zeros((high, wide)))) is None


Change = Callable[[Painted, Shot], tuple[Painted, Shot]]
BAD: dict[str, tuple[Change, str]] = {
    "blurred": (lambda p, s: (p, replace(s, blur_px=4.0)), "not sharp"),
    "shines": (lambda p, s: (p, replace(s, shine=((70.0, 45.0, 6.0),))), "“tube alone” shines"),
    "burnt": (lambda p, s: (p, replace(s, exposure=1.4)), "“white alone” is burnt out"),
    "dark": (lambda p, s: (p, replace(s, exposure=0.06)), "too dark"),
    "falls off": (lambda p, s: (p, replace(s, fall_off=4.0, from_deg=0.0, exposure=0.4)), "falls off too much"),
    "shadow": (lambda p, s: (p, replace(s, shadow=0.45)), "printed greys do not agree"),
    "haze": (lambda p, s: (p, replace(s, veil=0.18, exposure=0.6)), "black of the corner marks looks grey"),
    "thin": (lambda p, s: (replace(p, thickness=2.5), s), "Paint it more thickly"),
    "unpainted": (lambda p, s: (replace(p, left_out=("weak tint",)), s), "“weak tint”, or it is not painted"),
    "streaks": (lambda p, s: (replace(p, unmixed=0.4), s), "is uneven"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_photo_that_is_not_good_enough_says_why(name: str) -> None:
    change, says = BAD[name]
    photo = photograph(*change(Painted(squares()), SHOT))
    try:
        problems = read_card(photo).problems
    except PaintError as error:
        problems = (str(error),)
    with pytest.raises(PaintError, match=says):
        raise PaintError(" ".join(problems))
    for problem in problems:
        assert problem.endswith(".")
        assert "  " not in problem


def test_squares_painted_in_each_others_place() -> None:
    own = squares()
    swapped = {**own, "strong tint": own["weak tint"], "weak tint": own["strong tint"]}
    assert "do not grow lighter" in read_card(photograph(Painted(swapped), SHOT)).problems[0]
    coloured = {**own, "white alone": own["strong tint"], "strong tint": own["tube alone"]}
    assert "not as a white beside the paper" in read_card(photograph(Painted(coloured), SHOT)).problems[0]
    white = dict.fromkeys(own, own["white alone"])
    assert "cannot be told from the white" in read_card(photograph(Painted(white), SHOT)).problems[0]


def test_a_grey_card_is_read() -> None:
    photo = photograph(Painted(squares(), grey_card=0.18), SHOT)
    readings = read_card(photo, grey_card=0.18)
    assert readings.good
    grey, white = camera_colour(np.array([np.full(36, 0.18), squares()["white alone"].thick()]), SHOT)
    assert readings.grey_card_shown == pytest.approx(float(grey[1] / white[1]), rel=0.03)
    assert "grey card’s place" in read_card(photo, grey_card=0.5).problems[-1]
    for wrong in (0.0, 18.0, float("nan")):
        with pytest.raises(PaintError, match=r"0\.02 to 1"):
            read_card(photo, grey_card=wrong)
    assert plain().grey_card_shown is None
