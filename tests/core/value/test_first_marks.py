import numpy as np
import pytest

from core.errors import ValuesError
from core.value.first_marks import FirstMark, first_marks
from tests.measure.first_marks import by_growth, by_share, repeated, scene, score


def picture(*passages: tuple[slice, slice, float], ground: float = 5.0) -> np.ndarray:
    value = np.full((300, 400), ground, np.float32)
    for rows, columns, level in passages:
        value[rows, columns] = level
    return value


def darks(marks: tuple[FirstMark, ...]) -> list[FirstMark]:
    return [mark for mark in marks if mark.kind == "dark"]


def test_masses_that_are_known_are_found_and_nothing_else() -> None:
    found, true = score([scene(seed) for seed in range(100, 108)], by_growth)
    assert found == true == 1.0


def test_the_darkest_twentieth_is_the_worse_way() -> None:
    scenes = [scene(seed) for seed in range(100, 104)]
    assert score(scenes, by_share)[1] < 0.85


@pytest.mark.parametrize("name", ["chelsea", "coffee"])
def test_a_photographs_marks_come_again_in_a_worse_one(name: str) -> None:
    assert repeated(name) >= 0.8


def test_a_mark_says_where_how_large_and_how_dark_it_is() -> None:
    marks = first_marks(
        picture((slice(40, 80), slice(100, 160), 1.2), (slice(200, 230), slice(300, 340), 9.0)), px_per_mm=1
    )
    dark, light = marks
    assert (dark.kind, light.kind) == ("dark", "light")
    assert (dark.x_mm, dark.y_mm) == pytest.approx((130, 60), abs=15)
    assert (dark.area_mm2, light.area_mm2) == (2400, 1200)
    assert (dark.value, light.value) == pytest.approx((1.2, 9.0), abs=1e-3)
    assert dark.spread == pytest.approx(0, abs=1e-3)
    assert dark.outline_mm.min(axis=0) == pytest.approx([100, 40], abs=0.6)
    assert dark.outline_mm.max(axis=0) == pytest.approx([160, 80], abs=0.6)


def test_specks_are_no_marks_however_dark() -> None:
    value = picture((slice(40, 80), slice(100, 160), 1.2), (slice(200, 205), slice(10, 20), 0.8))
    assert [mark.value for mark in darks(first_marks(value, px_per_mm=1))] == pytest.approx([1.2], abs=1e-3)
    small = darks(first_marks(value, px_per_mm=1, smallest_mm2=40))
    assert sorted(mark.value for mark in small) == pytest.approx([0.8, 1.2], abs=1e-3)


def test_places_parted_by_less_than_half_a_step_are_one() -> None:
    for ridge, count in ((1.3, 1), (3.0, 2)):
        value = picture((slice(40, 80), slice(100, 160), 1.0), (slice(40, 80), slice(128, 132), ridge))
        assert len(darks(first_marks(value, px_per_mm=1))) == count


def test_what_is_much_lighter_than_the_darkest_is_no_first_dark() -> None:
    value = picture((slice(40, 80), slice(100, 160), 1.0), (slice(140, 180), slice(100, 160), 2.8))
    assert [mark.value for mark in darks(first_marks(value, px_per_mm=1))] == pytest.approx([1.0], abs=1e-3)


def test_certainty_falls_as_a_place_stands_out_less() -> None:
    """By hand: among is Phi((0.5 + 0.3) / 0.3) = 0.99617, apart Phi(d / 0.424), d to the next twentieth of a step."""
    certain = []
    for ground in (1.7, 2.0, 3.0):
        (mark,) = darks(first_marks(picture((slice(40, 80), slice(100, 160), 1.0), ground=ground), px_per_mm=1))
        certain.append(mark.certainty)
    assert certain == sorted(certain)
    assert certain[0] == pytest.approx(0.99617 * 0.9505, abs=0.005)  # Phi(0.7 / 0.424) = Phi(1.65)
    assert certain[-1] == pytest.approx(0.99617, abs=0.001)


def test_the_same_at_any_resolution() -> None:
    known = scene(5).value
    one, two = first_marks(known, px_per_mm=2), first_marks(np.repeat(np.repeat(known, 2, 0), 2, 1), px_per_mm=4)
    assert [(m.kind, m.number) for m in one] == [(m.kind, m.number) for m in two]
    for a, b in zip(one, two, strict=True):
        assert (a.x_mm, a.y_mm, a.value) == pytest.approx((b.x_mm, b.y_mm, b.value), abs=0.6)


def test_an_even_picture_is_one_mark_of_each() -> None:
    marks = first_marks(np.full((60, 80), 4.2, np.float32), px_per_mm=1)
    assert [(mark.kind, mark.area_mm2) for mark in marks] == [("dark", 4800), ("light", 4800)]
    assert [mark.value for mark in marks] == pytest.approx([4.2, 4.2], abs=1e-5)


def test_bad_input_is_refused() -> None:
    value = picture()
    for smallest in (0, -1, 40_000, float("nan")):
        with pytest.raises(ValuesError, match="smallest area"):
            first_marks(value, px_per_mm=1, smallest_mm2=smallest)
    with pytest.raises(ValueError, match=r"\(H, W\)"):
        first_marks(np.zeros((4, 4, 3)), px_per_mm=1)
    value[0, 0] = np.nan
    with pytest.raises(ValueError, match="without holes"):
        first_marks(value, px_per_mm=1)
