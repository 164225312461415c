import numpy as np
import pytest

from core.temperature.families import families_of
from core.temperature.strokes import Family, FamilyStroke, overrides_of
from core.temperature.warmth import warmth
from tests.core.temperature import scenes


def stroke(family: Family, *points: tuple[float, float], width: float = 10.0) -> FamilyStroke:
    return FamilyStroke(points, width, family)


def test_the_later_stroke_counts_and_as_found_takes_back() -> None:
    shape = (60, 80)
    light, shadow = (stroke(f, (10, 30), (70, 30)) for f in (Family.LIGHT, Family.SHADOW))
    back = stroke(Family.AS_FOUND, (40, 10), (40, 50))
    told = overrides_of((light, shadow, back), shape, px_per_mm=1)
    assert told is not None
    assert told.dtype == np.int8
    assert told[30, 20] == -1
    assert told[30, 40] == 0
    assert told[5, 5] == 0
    assert set(np.unique(told)) == {-1, 0}
    again = overrides_of((back, shadow, light), shape, px_per_mm=1)
    assert again is not None
    assert again[30, 40] == again[30, 20] == 1
    assert overrides_of((), shape, px_per_mm=1) is None


def test_the_same_millimetres_at_any_resolution() -> None:
    strokes = (stroke(Family.LIGHT, (12, 9), (50, 40)), stroke(Family.SHADOW, (60, 20), width=16))
    shares = [
        [(told == family).mean() for family in (1, -1)]
        for px_per_mm in (1, 3)
        if (told := overrides_of(strokes, (60 * px_per_mm, 80 * px_per_mm), px_per_mm=px_per_mm)) is not None
    ]
    assert shares[0] == pytest.approx(shares[1], rel=0.05)


def test_families_follow_what_was_brushed() -> None:
    """All of the shadow below a line is brushed into the light: the means are those of the two masks."""
    scene = scenes.two_families(5)
    shape = scene.in_light.shape
    found = families_of(scene.linear, px_per_mm=1.0)
    across = stroke(Family.LIGHT, (-20.0, shape[0] - 30.0), (shape[1] + 20.0, shape[0] - 30.0), width=60)
    overrides = overrides_of((across,), shape, px_per_mm=1.0)
    assert overrides is not None
    told = families_of(scene.linear, px_per_mm=1.0, overrides=overrides)
    expected = found.in_light.copy()
    expected[-60:] = True
    assert np.array_equal(told.in_light, expected)
    heat = warmth(scene.linear)
    assert told.light == pytest.approx(heat[expected].mean(), abs=1e-3)
    assert told.shadow == pytest.approx(heat[~expected].mean(), abs=1e-3)
    assert told.uncertainty != found.uncertainty


@pytest.mark.parametrize(
    ("points", "width"),
    [((), 5.0), (((1.0, float("nan")),), 5.0), (((1.0, 2.0),), 0.0), (((1.0, 2.0),), float("inf"))],
)
def test_what_is_no_stroke_is_refused(points: tuple[tuple[float, float], ...], width: float) -> None:
    with pytest.raises(ValueError, match=r"a (stroke|brush)"):
        FamilyStroke(points, width, Family.LIGHT)
