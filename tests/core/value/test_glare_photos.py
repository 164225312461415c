"""Glare taken out by photos with the lamp moved, and photos brought onto each other."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.canvas.flat import Flat
from core.errors import ValuesError
from core.size import Size
from core.tone import value_of_linear
from core.value.glare_photos import GlareFree, in_light_of, without_glare
from core.value.photo_shift import shifted_onto
from tests.core.value.lit_scene import clouds

SIZE = Size(200, 150)
X, Y = np.meshgrid((np.arange(400) + 0.5) / 2, (np.arange(300) + 0.5) / 2)


def painting() -> np.ndarray:
    small = cv2.resize(clouds(), (400, 300), interpolation=cv2.INTER_AREA)
    weave = 1 + 0.05 * cv2.GaussianBlur(np.random.default_rng(1).normal(size=(300, 400)), (0, 0), 0.8) * 2.0
    return np.asarray(small * weave[..., None], dtype=np.float32)


def photo(
    seed: int, spots: tuple[tuple[float, float, float], ...], *, light: float = 0.0, moved: np.ndarray | None = None
) -> Flat:
    rng = np.random.default_rng(seed)
    lit = painting() * np.exp(light * (X / 200 - 0.5))[..., None] * np.array([1.0, 0.97, 0.9 + 0.02 * seed])
    for x, y, radius in spots:
        lit = lit + (1.6 * np.exp(-((np.hypot(X - x, Y - y) / radius) ** 2) / 2))[..., None]
    if moved is not None:
        lit = cv2.warpPerspective(lit, moved, (400, 300), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    lit = 0.7 * lit + rng.normal(0, 0.004, lit.shape) * np.sqrt(np.clip(lit, 0, 1) + 0.01)
    return Flat(np.clip(lit, 0, 1).astype(np.float32), 2.0, SIZE)


A, B = ((60.0, 50.0, 5.0), (150.0, 100.0, 8.0)), ((110.0, 110.0, 6.0), (40.0, 120.0, 5.0))
SHIFT = np.array([[1.002, 0.001, 0.9], [-0.001, 0.999, -0.7], [1e-6, -2e-6, 1.0]])


def under(spots: tuple[tuple[float, float, float], ...], least: float = 0.01) -> np.ndarray:
    return np.asarray(sum(1.6 * np.exp(-((np.hypot(X - x, Y - y) / r) ** 2) / 2) for x, y, r in spots) > least)


@pytest.fixture(scope="module")
def merged() -> GlareFree:
    return without_glare((photo(1, A, light=0.5), photo(2, B, light=-0.4, moved=SHIFT)))


def error(linear: np.ndarray) -> np.ndarray:
    alone = photo(1, (), light=0.5)
    return np.asarray(value_of_linear(linear.astype(np.float32)) - value_of_linear(alone.linear))


def test_values_under_glare_are_right(merged: GlareFree) -> None:
    glared = under(A)
    alone = np.abs(error(photo(1, A, light=0.5).linear))[glared].mean()
    assert alone > 1.5
    assert np.abs(error(merged.flat.linear))[glared].mean() < 0.1
    assert np.abs(np.median(error(merged.flat.linear)[glared])) < 0.04


def test_it_is_surer_than_the_plain_minimum_where_no_photo_has_glare(merged: GlareFree) -> None:
    first, second = photo(1, A, light=0.5), photo(2, B, light=-0.4, moved=SHIFT)
    lowest = np.minimum(first.linear, in_light_of(first, shifted_onto(first, second)[0]))
    clean = ~under(A, 1e-3) & ~under(B, 1e-3)
    truth = value_of_linear(
        (painting() * np.exp(0.5 * (X / 200 - 0.5))[..., None] * [0.7, 0.679, 0.644]).astype(np.float32)
    )
    by_minimum = (value_of_linear(lowest) - truth)[clean]
    by_weights = (value_of_linear(merged.flat.linear) - truth)[clean]
    assert abs(np.median(by_weights)) < 0.5 * abs(np.median(by_minimum))
    assert by_weights.std() < 1.1 * by_minimum.std()


def test_where_the_glare_was_is_told_for_each(merged: GlareFree) -> None:
    for found, own, other in ((merged.glare[0], A, B), (merged.glare[1], B, A)):
        assert found[under(own, 0.1)].mean() > 0.95
        assert found[under(other, 0.1)].mean() < 0.05
    assert 0.005 < min(merged.shares) < max(merged.shares) < 0.2
    assert merged.notes == ()


def test_a_photo_laid_flat_a_little_wrong_is_brought_onto_the_other() -> None:
    first, second = photo(1, A), photo(2, B, light=0.3, moved=SHIFT)
    aligned, by = shifted_onto(first, second)
    assert by == pytest.approx(0.9, abs=0.5)
    marks = np.array([[60, 60], [340, 60], [340, 240], [60, 240]], dtype=float)
    spread = []
    for x, y in marks.astype(int):
        part = np.s_[y - 40 : y + 40, x - 40 : x + 40]
        fine = [np.log(f.linear[part].mean(axis=2) + 1e-3) for f in (first, aligned)]
        fine = [(f - cv2.GaussianBlur(f, (0, 0), 4)).astype(np.float32) for f in fine]
        spread.append(
            np.hypot(*cv2.phaseCorrelate(*fine, np.asarray(cv2.createHanningWindow((80, 80), cv2.CV_32F)))[0])
        )
    assert np.median(spread) < 0.12


def test_photos_that_do_not_match_are_left_where_they_are() -> None:
    rng = np.random.default_rng(0)
    other = replace(
        photo(1, ()), linear=np.full((300, 400, 3), 0.4, np.float32) + 1e-4 * rng.random((300, 400, 3), np.float32)
    )
    assert shifted_onto(photo(1, ()), other)[1] == 0.0


def test_glare_in_the_same_place_in_both_is_said() -> None:
    same = without_glare((photo(1, A), photo(2, A)))
    assert same.left.mean() > 0.001
    assert any("burnt out in every photo" in note for note in same.notes)


def test_a_photo_painted_on_in_between_is_said() -> None:
    on = photo(2, ())
    worked = on.linear.copy()
    worked[:, :180] *= 1.5
    answer = without_glare((photo(1, ()), replace(on, linear=np.clip(worked, 0, 1))))
    assert any("painted on in between" in note for note in answer.notes)


def test_no_glare_at_all_is_said() -> None:
    assert any("No glare was found" in note for note in without_glare((photo(1, ()), photo(2, ()))).notes)


def test_three_photos_are_taken_together() -> None:
    third = ((60.0, 50.0, 6.0), (170.0, 40.0, 5.0))  # the first's glare again, and its own
    answer = without_glare((photo(1, A), photo(2, B), photo(3, third)))
    alone = photo(1, ())
    off = np.abs(value_of_linear(answer.flat.linear) - value_of_linear(alone.linear))
    assert off[under(A)].mean() < 0.1
    assert len(answer.shares) == len(answer.moved_mm) == 3


def test_one_photo_or_another_canvas_is_refused() -> None:
    with pytest.raises(ValuesError, match="two photos or more"):
        without_glare((photo(1, A),))
    with pytest.raises(ValuesError, match="one canvas"):
        without_glare((photo(1, A), replace(photo(2, B), size=Size(100, 75))))
