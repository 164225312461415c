from dataclasses import replace

import numpy as np
import pytest

from core.colorimetry import RGB_TO_XYZ
from core.errors import ValuesError
from core.painting_report.card import BEFORE, Edition, card_correction, correction_by
from core.painting_report.card_bend import STRAIGHT, bend_of
from core.painting_report.card_fit import Way, differences, fit, left_out, terms
from core.painting_report.card_light import evenness
from core.photo import Photo
from core.value.light_chart import NEUTRALS, Chart
from tests.core.painting_report.card_case import (
    NAMES,
    Case,
    case,
    chart_spectra,
    corrected,
    photograph,
    read_paints,
)
from tests.published.libraries import colour

GREYS = np.isin(np.arange(24), NEUTRALS)


def chart_of(shown: Case, light: np.ndarray | None = None) -> Chart:
    """A card that was read without fault; ``light``: ``(24,)`` on its patches."""
    row, column = np.divmod(np.arange(24), 6)
    places = np.stack([column, row], axis=1).astype(float)
    measured = shown.card if light is None else shown.card * light[:, None]
    return Chart(places[:4], places, measured, np.zeros(3), 0.0, np.zeros(6), 0.0)


def test_the_edition_before_2014_is_colour_sciences() -> None:
    chart = colour.CCS_COLOURCHECKERS[NAMES[Edition.BEFORE_2014]]
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    d65 = colour.xy_to_XYZ(np.array([0.3127, 0.3290]))
    adapted = colour.chromatic_adaptation(
        xyz, colour.xy_to_XYZ(chart.illuminant), d65, method="Von Kries", transform="Bradford"
    )
    assert np.allclose(adapted @ np.linalg.inv(RGB_TO_XYZ).T, BEFORE, atol=6e-6)


def test_the_roots_are_those_of_colour_sciences_expansion() -> None:
    light = np.random.default_rng(1).uniform(0.01, 1, (20, 3))
    known = colour.characterisation.polynomial_expansion_Finlayson2015(light, 2, root_polynomial_expansion=True)
    ours = terms(light, Way.ROOTS)
    assert np.allclose(np.sort(ours, axis=1), np.sort(known, axis=1))
    assert np.allclose(terms(3 * light, Way.ROOTS), 3 * ours), "the more light, the more of each"


def test_the_cards_spectra_have_the_published_colours() -> None:
    for edition in Edition:
        told = chart_spectra(edition)
        assert told.min() > 0
        assert told.max() < 1.02


@pytest.mark.parametrize("way", Way)
def test_colours_that_a_way_can_make_are_made(way: Way) -> None:
    rng = np.random.default_rng(2)
    seen = rng.uniform(0.02, 0.9, (24, 3))
    numbers = np.eye(3, terms(seen, way).shape[1]) * 0.9 + rng.normal(0, 0.03, (3, terms(seen, way).shape[1]))
    wanted = np.maximum(terms(seen, way) @ numbers.T, 0.01)
    assert differences(fit(seen, wanted, way).of(seen), wanted).max() < 0.2
    assert left_out(seen, wanted, way).max() < 0.8


def test_a_curve_of_contrast_is_straightened_by_the_greys() -> None:
    true = np.geomspace(0.03, 0.9, 6)[:, None] * np.array([1.0, 1.0, 1.0])
    seen = 0.7 * np.array([1.1, 1.0, 0.8]) * true**1.15
    bend = bend_of(seen, true)
    made = bend.of(seen)
    assert np.ptp(np.log(made / true), axis=0).max() < 0.06
    assert np.ptp(np.log(seen / true), axis=0).min() > 0.5
    assert bend_of(seen[:3], true[:3]) is STRAIGHT, "three greys tell no curve"
    assert bend_of(true**6, true) is STRAIGHT, "no camera's curve"
    assert bend.of(seen.astype(np.float32)).dtype == np.float32


@pytest.mark.parametrize("seed", [206, 215])
def test_paints_that_no_patch_told_come_near(seed: int) -> None:
    shown = case(seed)
    found = correction_by(chart_of(shown))
    before, after = (differences(light, shown.truth).mean() for light in (shown.paint, found.of(shown.paint)))
    assert after < 3.0
    assert after < 0.5 * before
    assert found.fitted.mean < found.left_out.mean < found.left_out.worst
    assert found.left_out.mean < found.before.mean


def test_the_way_is_chosen_by_the_patches_left_out() -> None:
    ways = set()
    for seed in (206, 235):
        shown = case(seed)
        found = correction_by(chart_of(shown), edition=shown.edition)
        read, wanted = shown.card[found.used], shown.edition.colours[found.used]
        off = {way: left_out(read, wanted, way, greys=GREYS[found.used]).mean() for way in Way}
        assert found.left_out.mean == pytest.approx(off[found.way])
        assert off[found.way] <= 1.25 * min(off.values()) + 1e-9
        ways.add(found.way)
    assert Way.ROOTS in ways


def test_the_edition_is_told_by_the_patches_or_by_hand() -> None:
    right = 0
    for seed in (209, 212):
        for edition in Edition:
            found = correction_by(chart_of(case(seed, edition=edition)))
            right += found.edition is edition
    assert right >= 3
    by_hand = correction_by(chart_of(case(206)), edition=Edition.BEFORE_2014)
    assert by_hand.edition is Edition.BEFORE_2014
    assert "before November 2014" in by_hand.notes[0]


def test_burnt_out_patches_are_left_out_and_told() -> None:
    shown = case(206)
    bright = chart_of(shown, np.full(24, 1.0))
    burnt = replace(bright, measured=np.where(np.arange(24)[:, None] == 18, 1.0, bright.measured))
    found = correction_by(burnt)
    assert not found.used[18]
    assert any("burnt out" in note and "white" in note for note in found.notes)
    assert any("stronger than the photo's file can hold" in note and "cyan" in note for note in found.notes)
    with pytest.raises(ValuesError, match="Too few patches"):
        correction_by(replace(bright, measured=np.ones((24, 3))))


def test_a_card_that_cannot_be_read_is_refused_by_its_own_sentence() -> None:
    chart = replace(chart_of(case(206)), problem="It is too dark.", sigma=np.inf)
    with pytest.raises(ValuesError, match="It is too dark"):
        correction_by(chart)
    light = np.where(np.arange(24) % 6 < 3, 1.0, 0.5)
    with pytest.raises(ValuesError, match="in shadow"):
        correction_by(replace(chart_of(case(206), light), problem="Part of it lies in shadow."))


def test_light_that_falls_off_is_told_on_the_canvas() -> None:
    row, column = np.divmod(np.arange(24), 6)
    places = np.stack([column, row], axis=1).astype(float)
    canvas = [[7.0, 0.0], [15.0, 0.0], [15.0, 4.0], [7.0, 4.0]]
    for each in (206, 210):
        shown = case(each)
        used = shown.card.min(axis=1) > 0.004
        wanted = shown.edition.colours
        for slope in (-0.1, 0.0, 0.1):
            measured = shown.card * np.exp(slope * (places[:, 0] - 2.5))[:, None]
            found = evenness(measured[used], wanted[used], places[used], canvas)
            assert found.change == pytest.approx(12.5 * slope, abs=3 * found.sigma)
            assert found.uneven == (slope != 0.0)
            assert ("Photograph it again" in found.say()) == found.uneven


def test_a_card_in_a_photo_corrects_the_canvas_beside_it() -> None:
    shown, photo, found = corrected()
    assert found.light is not None
    read = read_paints(photo.linear(), shown.paints)
    assert differences(read, shown.truth).mean() > 5
    assert differences(found.of(read), shown.truth).mean() < 2.5
    said = " ".join(found.say())
    assert "CIEDE2000 of the patches as shot" in said
    assert "Even light over card and canvas is assumed" in said


def test_no_card_is_no_correction() -> None:
    photo = photograph(case(206))
    beside = Photo(np.ascontiguousarray(photo.codes[:, 520:]), photo.curve)
    assert card_correction(beside) is None
