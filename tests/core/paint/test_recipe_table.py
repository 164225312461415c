from itertools import combinations, product
from math import gcd

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.colorimetry import delta_e_2000
from core.paint.paint import Paint, predict
from core.paint.recipe_batch import Pots
from core.paint.recipe_difference import differences
from core.paint.recipe_table import Block, mixes_in, table, table_with, whole_parts
from core.paint.spectrum import WAVELENGTHS, lab
from core.paint.tubes import Tube
from tests.published.ciede2000 import PAIRS

N = len(WAVELENGTHS)


def slope(at: float, low: float, high: float, width: float = 25.0) -> np.ndarray:
    """From ``low`` below ``at`` nm to ``high`` above it."""
    return low + (high - low) / (1 + np.exp((at - WAVELENGTHS) / width))


def tube(name: str, paint: Paint) -> Tube:
    return Tube(
        name, ("none",), paint, "opaque", "medium", "I", (), "made up", {}, name.endswith("white"), name == "black"
    )


def made_up() -> dict[str, Tube]:
    """Tubes of smooth K and S: a white, a yellow, a red, a blue that is strong, an earth and a black."""
    flat = np.ones(N)
    paints = {
        "white": Paint.of(0.0006 + slope(410, 0.08, 0.0, 8), flat, WAVELENGTHS),
        "yellow": Paint.of(slope(510, 2.0, 0.004, 10), slope(500, 0.25, 0.45), WAVELENGTHS),
        "red": Paint.of(slope(600, 2.5, 0.01, 9), slope(600, 0.12, 0.4), WAVELENGTHS, k1=0.035),
        "blue": Paint.of(slope(520, 0.3, 9.0), slope(520, 0.12, 0.05), WAVELENGTHS, k1=slope(520, 0.04, 0.02)),
        "earth": Paint.of(slope(560, 0.9, 0.12), slope(560, 0.06, 0.14), WAVELENGTHS, k2=0.55),
        "black": Paint.of(3.0 * flat, 0.03 * flat, WAVELENGTHS, k1=0.015),
    }
    return {name: tube(name, paint) for name, paint in paints.items()}


def paints_of(tubes: dict[str, Tube]) -> dict[str, Paint]:
    return {name: each.paint for name, each in tubes.items()}


def every_mix(blocks: tuple[Block, ...]) -> list[tuple[tuple[tuple[int, int], ...], np.ndarray]]:
    return [(block.mix(at), block.lab[:, at]) for block in blocks for at in range(block.lab.shape[1])]


@pytest.mark.parametrize(("count", "most"), [(1, 12), (2, 12), (3, 7), (4, 12), (4, 3)])
def test_whole_parts_are_all_there_are(count: int, most: int) -> None:
    told = [tuple(row) for row in whole_parts(count, most).tolist()]
    every = {each for each in product(range(1, most + 1), repeat=count) if sum(each) <= most and gcd(*each) == 1}
    assert len(told) == len(every)
    assert set(told) == every


def test_a_table_is_what_predict_says_of_every_mix() -> None:
    paints = paints_of(made_up())
    names = list(paints)
    blocks = table(Pots.of(paints), 3, 6)
    mixes = every_mix(blocks)
    assert len(mixes) == mixes_in(6, 3, 6) == len({mix for mix, _ in mixes})
    for mix, told in mixes:
        exact = lab(predict(paints, {names[at]: part for at, part in mix}))
        assert told == pytest.approx(exact, abs=1e-3)


def test_a_paint_that_scatters_nothing_somewhere_keeps_its_surface() -> None:
    glaze = Paint.of(slope(550, 2.0, 1.0), np.where(WAVELENGTHS < 500, 0.0, 0.2), WAVELENGTHS, k1=0.02)
    other = Paint.of(slope(500, 1.0, 0.5), np.where(WAVELENGTHS < 450, 0.0, 0.4), WAVELENGTHS, k1=0.04)
    paints = {"glaze": glaze, "other": other}
    for mix, told in every_mix(table(Pots.of(paints), 2, 5)):
        assert told == pytest.approx(lab(predict(paints, {list(paints)[at]: part for at, part in mix})), abs=1e-3)


def test_a_table_with_one_tube_is_that_part_of_the_whole() -> None:
    pots = Pots.of(paints_of(made_up()))
    whole = {mix: told for mix, told in every_mix(table(pots, 3, 5)) if any(at == 3 for at, _ in mix)}
    part = dict(every_mix(table_with(pots, 3, 3, 5)))
    assert part.keys() == whole.keys()
    for mix, told in part.items():
        assert told == pytest.approx(whole[mix], abs=1e-4)


def test_a_tube_of_unknown_strength_is_used_alone_only() -> None:
    paints = paints_of(made_up())
    red = paints["red"]
    paints["red"] = Paint(red.k, red.s, red.wavelengths, red.k1, red.k2, strength_known=False)
    used = [mix for mix, _ in every_mix(table(Pots.of(paints), 3, 4))]
    assert ((2, 1),) in used
    assert not any(len(mix) > 1 and any(at == 2 for at, _ in mix) for mix in used)
    assert {len(mix) for mix in used} == {1, 2, 3}
    assert {mix for mix, _ in every_mix(table_with(Pots.of(paints), 2, 3, 4))} == {((2, 1),)}


def test_the_same_figures_are_the_same_pots() -> None:
    one, other = (Pots.of(paints_of(made_up())) for _ in range(2))
    assert one == other
    assert table(one, 2, 4) is table(other, 2, 4)


def test_paints_at_other_wavelengths_are_a_defect() -> None:
    with pytest.raises(ValueError, match="wavelengths"):
        Pots.of({"thin": Paint.of([1.0, 1.0], [1.0, 1.0], [400.0, 700.0])})
    with pytest.raises(ValueError, match="neither"):
        Pots.of({"nothing": Paint.of(np.zeros(N), np.zeros(N), WAVELENGTHS)})


def test_differences_are_those_published() -> None:
    """Sharma, Wu and Dalal 2005, table 1; three decimals, but where two hues are half a turn apart."""
    for _, one, other, told in PAIRS:
        for a, b in ((one, other), (other, one)):
            found = differences(np.array(b, np.float32)[:, None], tuple(a))
            assert found[0] == pytest.approx(told, abs=1e-3 + 5e-3 * told)


@given(
    colour=st.tuples(st.floats(2, 98), st.floats(-60, 70), st.floats(-70, 90)),
    seed=st.integers(0, 1000),
    spread=st.sampled_from([0.1, 2.0, 30.0]),
)
@settings(max_examples=40, deadline=None)
def test_differences_are_those_of_double_precision(colour: tuple, seed: int, spread: float) -> None:
    others = (np.array(colour) + np.random.default_rng(seed).normal(0, spread, (200, 3))).astype(np.float32)
    told, exact = differences(np.ascontiguousarray(others.T), colour), delta_e_2000(others, np.array(colour))
    assert np.all(np.abs(told - exact) <= 1e-3 + 5e-3 * exact)


def test_groups_are_all_combinations() -> None:
    blocks = table(Pots.of(paints_of(made_up())), 3, 4)
    for size, block in enumerate(blocks, 1):
        assert [tuple(group) for group in block.groups.tolist()] == list(combinations(range(6), size))
