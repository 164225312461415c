"""Tubes brought to a truth that is known: by colours as they are, and by photos of simulated cards."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from core.colorimetry import delta_e_2000, lab
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint.kubelka_munk import ks, reflectance
from core.paint.paint import Paint, predict
from core.paint.spectrum import WAVELENGTHS, linear_rgb
from core.paint.spectrum import lab as lab_of
from core.paint.swatch_model import UNKNOWNS, CardModel, changed, mixed, smooth_changes
from core.paint.swatch_read import Readings, Swatch, read_card
from core.paint.swatch_refine import refine, share_of
from core.paint.tubes import Tube, tube_named, tubes
from tests.studio.swatch_photo import photograph
from tests.studio.swatch_truth import CASES, WHITE, case, further_mixes, truth_of

Floats = NDArray[np.float64]
STRAIGHT_E, PHOTO_E = 2.5, 3.0
"""Mean CIEDE2000 of further mixes, from colours as they are and from a photo."""


def readings_of(paints: Mapping[str, Paint], name: str, shares: Mapping[str, float] | None = None) -> Readings:
    """What a camera without fault reads of a card painted with these."""
    told = {square.name: square.share for square in card.SQUARES} | dict(shares or {})
    light = np.array([mixed(paints[name], paints[WHITE], told[square.name]) for square in card.SQUARES])
    return readings_from(light / light[0])


def readings_from(beside_white: Floats) -> Readings:
    swatches = tuple(
        Swatch(square, light, 0.005 * light + 5e-4, 0.01, 0.0)
        for square, light in zip(card.SQUARES, beside_white, strict=True)
    )
    greys = 0.05 + 0.95 * np.array(card.GREYS)
    return Readings(swatches, 8.0, 1.2, (), greys, 1.0)


def stored(name: str) -> Tube:
    return tube_named(name)


def white() -> Tube:
    return tube_named(WHITE)


def further_off(name: str, paint: Paint, true: Mapping[str, Paint]) -> float:
    known = {each: tubes()[each].paint for each in true} | {name: paint}
    return float(
        np.mean(
            [delta_e_2000(lab_of(predict(known, parts)), lab_of(predict(true, parts))) for parts in further_mixes(name)]
        )
    )


def test_a_tube_like_the_stored_one_stays_as_it_is() -> None:
    tube = stored("ultramarine")
    refined = refine(tube, white(), readings_of({WHITE: white().paint, "ultramarine": tube.paint}, "ultramarine"))
    assert refined.strength == pytest.approx(1.0, abs=0.01)
    assert refined.tube.paint.k == pytest.approx(tube.paint.k, rel=0.02)
    assert refined.tube.paint.s == pytest.approx(tube.paint.s, rel=0.02)
    assert max(refined.before.values()) < 0.1
    assert max(refined.after.values()) < 0.1
    assert refined.notes == ()


@pytest.mark.parametrize(("name", "times"), [("ultramarine", 1.7), ("burnt sienna", 0.6), ("viridian", 1.4)])
def test_strength_is_found(name: str, times: float) -> None:
    """By Duncan's law a tube of which K and S are so many times the stored ones tints as much as so many parts of it:
    the squares are those of the stored tube in other shares, and none of the refinement's own."""
    tube = stored(name)
    shares = {square.name: times * square.share / (times * square.share + 1 - square.share) for square in card.SQUARES}
    refined = refine(tube, white(), readings_of({WHITE: white().paint, name: tube.paint}, name, shares))
    # Weights that are off and a white of another level explain a little of it.
    assert refined.strength == pytest.approx(times, rel=0.12)
    assert max(refined.after.values()) < 0.6
    assert ("stronger" in refined.notes[0] or "strong as" in refined.notes[0]) == (times > 1)
    assert refined.tube.name in refined.notes[0]


@pytest.mark.parametrize("name", ["yellow ochre", "cadmium red", "cobalt blue"])
def test_further_mixes_are_nearer_the_truth(name: str) -> None:
    """Truths are drawn by ``tests.studio.swatch_truth``, from other curves than those that are fitted."""
    before, after = [], []
    for seed in range(3):
        truth = truth_of(name, seed)
        refined = refine(truth.stored, white(), readings_of(truth.paints, name, truth.shares))
        before.append(further_off(name, truth.stored.paint, truth.paints))
        after.append(further_off(name, refined.tube.paint, truth.paints))
    assert np.mean(after) < STRAIGHT_E
    assert np.mean(after) < 0.6 * np.mean(before)


def test_photos_bring_tubes_nearer_their_truth() -> None:
    """The first of the cases that nothing was tuned on (``tests.measure.swatches``), at a smaller size."""
    before, after, expected = [], [], []
    for seed in range(100, 105):
        name = CASES[seed % len(CASES)]
        truth, painted, shot = case(name, seed)
        readings = read_card(photograph(painted, replace(shot, width=1200, height=900, fill=0.85, blur_px=0.8)))
        assert readings.problems == ()
        refined = refine(truth.stored, white(), readings)
        before.append(further_off(name, truth.stored.paint, truth.paints))
        after.append(further_off(name, refined.tube.paint, truth.paints))
        expected.append(refined.uncertainty)
    assert np.mean(after) < PHOTO_E
    assert np.mean(after) < 0.7 * np.mean(before)
    assert np.mean(after) < 2 * np.mean(expected)


def test_what_is_refined_is_the_painters_own() -> None:
    tube = stored("yellow ochre")
    refined = refine(tube, white(), readings_of({WHITE: white().paint, tube.name: tube.paint}, tube.name)).tube
    assert refined.own
    assert refined.name == tube.name
    assert refined.pigments == tube.pigments
    assert "swatch card" in refined.basis
    assert refined.paint.strength_known


def test_other_weights_are_taken_as_told() -> None:
    """One to one and one to four in the place of what the card says."""
    tube = stored("burnt sienna")
    weighed = {"strong tint": share_of(5.0, 5.0), "weak tint": share_of(2.0, 8.0)}
    readings = readings_of({WHITE: white().paint, tube.name: tube.paint}, tube.name, weighed)
    assert refine(tube, white(), readings, weighed=weighed).strength == pytest.approx(1.0, abs=0.02)
    assert refine(tube, white(), readings).strength > 1.8


def test_a_tube_of_unknown_strength_gets_one() -> None:
    tube = stored("ultramarine")
    weak = replace(tube, paint=replace(tube.paint, k=tube.paint.k / 3, s=tube.paint.s / 3, strength_known=False))
    refined = refine(weak, white(), readings_of({WHITE: white().paint, tube.name: tube.paint}, tube.name))
    assert refined.tube.paint.strength_known
    assert np.isnan(refined.strength)
    assert max(refined.after.values()) < 1.0


def test_squares_that_are_no_such_tube_are_told_of() -> None:
    readings = readings_of({WHITE: white().paint, "x": stored("cadmium red").paint}, "x")
    notes = refine(stored("ultramarine"), white(), readings).notes
    assert any("do not agree with one paint like ultramarine" in note for note in notes)


def test_a_grey_card_tells_the_contrast() -> None:
    """A camera that shows every light to the power 1.15, relative to the white."""
    tube = stored("ultramarine")
    plain = readings_of({WHITE: white().paint, tube.name: tube.paint}, tube.name)
    light = np.array([swatch.linear for swatch in plain.swatches]) ** 1.15
    y_white = float(linear_rgb(predict({WHITE: white().paint}, {WHITE: 1}))[1])
    bent = replace(readings_from(light), grey_card=0.18, grey_card_shown=(0.18 / y_white) ** 1.15)
    with_card = refine(tube, white(), bent)
    without = refine(tube, white(), replace(bent, grey_card=None, grey_card_shown=None))
    true = {WHITE: white().paint, "yellow ochre": stored("yellow ochre").paint, tube.name: tube.paint}
    true |= {"burnt sienna": stored("burnt sienna").paint}
    assert further_off(tube.name, with_card.tube.paint, true) < 0.5
    assert further_off(tube.name, without.tube.paint, true) > 2 * further_off(tube.name, with_card.tube.paint, true)
    assert any("contrast" in note for note in refine(tube, white(), replace(bent, grey_card_shown=0.11)).notes)


def test_what_cannot_be_refined() -> None:
    tube, readings = stored("ultramarine"), readings_of({WHITE: white().paint, "x": stored("ultramarine").paint}, "x")
    with pytest.raises(PaintError, match="too dark"):
        refine(tube, white(), replace(readings, problems=("The photo is too dark to tell the colours.",)))
    with pytest.raises(PaintError, match="white cannot be told"):
        refine(stored("zinc white"), white(), readings)
    with pytest.raises(PaintError, match="is not a white"):
        refine(tube, stored("yellow ochre"), readings)
    with pytest.raises(PaintError, match="No tint on the card"):
        refine(tube, white(), readings, weighed={"middle tint": 0.2})
    for share in (0.0, 1.0, float("nan")):
        with pytest.raises(PaintError, match="between 0 and 1"):
            refine(tube, white(), readings, weighed={"weak tint": share})
    for parts in ((0.0, 1.0), (1.0, -2.0), (float("inf"), 1.0)):
        with pytest.raises(PaintError, match="above 0"):
            share_of(*parts)
    assert share_of(1.0, 3.0) == 0.25


def test_a_mix_by_hand() -> None:
    """K/S of a mixture is the sum of parts of K over that of S: here without a surface."""
    tube = Paint.of(np.full(36, 2.0), np.full(36, 0.1), WAVELENGTHS, k1=0.0, k2=0.0)
    base = Paint.of(np.full(36, 0.01), np.ones(36), WAVELENGTHS, k1=0.0, k2=0.0)
    # By hand: K .75 × .01 + .25 × 2, S .75 × 1 + .25 × .1; R 1 + q - sqrt(q² + 2 q) with q of the two.
    assert mixed(tube, base, 0.25) == pytest.approx(np.full(3, 0.336320), abs=1e-5)
    assert float(reflectance(0.5075, 0.775)) == pytest.approx(0.336320, abs=1e-6)
    assert float(ks(0.336320)) == pytest.approx(0.5075 / 0.775, abs=1e-5)


@given(st.lists(st.floats(-4, 4), min_size=13, max_size=13))
@settings(max_examples=25, deadline=None)
def test_whatever_the_unknowns_k_and_s_stay_above_0(unknowns: list[float]) -> None:
    paint = changed(stored("viridian").paint, smooth_changes(), np.array(unknowns))
    assert (paint.k > 0).all()
    assert (paint.s > 0).all()


@pytest.mark.parametrize(("name", "off"), [("burnt sienna", 0.3), ("viridian", 1.2)])
def test_nothing_known_changes_nothing(name: str, off: float) -> None:
    """But for light below 0, of which a file shows nothing: viridian's red."""
    tube = stored(name).paint
    model = CardModel(tube, white().paint, smooth_changes(), (1.0, 0.25, 0.1))
    shown = model.shown(np.zeros(model.count + UNKNOWNS))
    assert (shown > 0).all()
    for light, share in zip(shown, model.shares, strict=True):
        assert float(delta_e_2000(lab(light), lab(mixed(tube, white().paint, share)))) < off


def test_changes_are_smooth() -> None:
    """Bends over 10 nm are a small part of the curves: no pigment's line is made up."""
    curves = smooth_changes()[:36, :8]
    size = np.sqrt((curves**2).sum(axis=1))
    assert size == pytest.approx(np.full(36, 0.27), abs=0.03)
    assert np.abs(np.diff(curves, 2, axis=0)).max() < 0.03
