"""A touch warmer, cooler, lighter, darker, duller or stronger: the mix on the palette made anew, with all else held.

The step goes from the colour that the present mix has, not from what it was mixed for. Its size is ours: 3 of T, within
what is called a touch (2 to 5); 0.3 of a value step; 0.85 of the chroma or the other way about, and 2 of chroma at
least. The same tubes and parts near to the present ones are preferred, since paint is added to a pile that is there.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import TO_WARM, delta_e_2000, lightness, luminance_of_value, warmth_of_lab
from core.errors import PaintError
from core.paint.recipe import MOST_PARTS, MOST_TUBES, PART, PARTS_TRIED, Recipe, blocks, chosen
from core.paint.recipe_batch import Singles
from core.paint.recipe_search import Searched
from core.paint.recipe_table import Block
from core.paint.target import Lab, Target, value_of
from core.paint.tubes import Tube

Floats = NDArray[np.float64]
Way = Literal["warmer", "cooler", "lighter", "darker", "duller", "stronger"]

WARMER, LIGHTER, DULLER, LEAST_DULLER = 3.0, 0.3, 0.85, 2.0
"""T; Munsell value; share of the chroma, and CIELAB chroma at least."""
ADDED, LEFT_OUT, MOVED = 1.0, 2.0, 1.0
"""What a further tube weighs, one that is left out, which no pile allows, and parts all changed for others: CIEDE2000.
Ours."""
_REALLY = 0.5
"""Share of the step that has to be made at least."""
_GREY = 2.0
"""CIELAB chroma under which nothing is duller or stronger to the eye."""


@dataclass(frozen=True)
class _Turn:
    """``measure``: what is to change, of CIELAB ``(…, 3)``; ``sign``: which way."""

    measure: Callable[[ArrayLike], Floats]
    sign: int


def _chroma(colour: ArrayLike) -> Floats:
    told = np.asarray(colour, dtype=np.float64)
    return np.asarray(np.hypot(told[..., 1], told[..., 2]))


_TURNS: dict[Way, _Turn] = {
    "warmer": _Turn(warmth_of_lab, 1),
    "cooler": _Turn(warmth_of_lab, -1),
    "lighter": _Turn(value_of, 1),
    "darker": _Turn(value_of, -1),
    "duller": _Turn(_chroma, -1),
    "stronger": _Turn(_chroma, 1),
}
WAYS: tuple[Way, ...] = tuple(_TURNS)


def touched(
    recipe: Recipe,
    way: Way,
    tubes: Mapping[str, Tube],
    *,
    most_tubes: int = MOST_TUBES,
    most_parts: int = MOST_PARTS,
) -> Recipe:
    """The mix of ``recipe`` a touch ``way``: at least half the step, and nearer to the colour asked for than the
    present mix is. Its ``target`` is that colour.

    Raises PaintError where no mix of ``tubes`` is, for a way that is not one of ``WAYS``, and as
    :func:`core.paint.recipe.recipes_for`.
    """
    if way not in _TURNS:
        raise PaintError(f"A mix cannot be made “{way}”. Choose from {', '.join(WAYS)}.")
    strangers = [name for name in recipe.parts if name not in tubes]
    if strangers:
        raise PaintError(
            f"There is no tube “{strangers[0]}” here, which the mix is made with. Lay it out, or mix anew."
        )
    wanted = asked(recipe.lab, way)
    mixes = blocks(wanted.lab, tubes, most_tubes=most_tubes, most_parts=most_parts, keep=tuple(recipe.parts))
    searched = Searched.of(mixes, wanted.lab)
    found = _candidates(recipe, way, wanted, searched, tubes)
    if not found:
        raise PaintError(
            f"No mix of these tubes in up to {most_parts} parts is a touch {way} with all else held. "
            f"Lay out another tube{', or allow more parts' if most_parts < PARTS_TRIED else ''}."
        )
    return min(found, key=lambda each: _weight(recipe, each))


def asked(colour: Lab, way: Way) -> Target:
    """The colour a touch ``way`` from ``colour``, CIELAB under D65. Raises PaintError where there is none."""
    light, a, b = colour
    sign = _TURNS[way].sign
    if way in ("warmer", "cooler"):
        return Target((light, a + sign * WARMER * TO_WARM[0], b + sign * WARMER * TO_WARM[1]))
    if way in ("lighter", "darker"):
        value = min(max(float(value_of(colour)) + sign * LIGHTER, 0.0), 10.0)
        return Target((float(lightness(luminance_of_value(value))), a, b))
    chroma = float(_chroma(colour))
    if chroma < _GREY:
        raise PaintError(f"This mix is all but grey, and cannot be made {way}. Make it warmer or cooler.")
    # So little chroma that a share of it could not be seen changes by the least step.
    share = min(DULLER, 1 - LEAST_DULLER / chroma) if way == "duller" else max(1 / DULLER, 1 + LEAST_DULLER / chroma)
    return Target((light, a * share, b * share))


def _candidates(
    recipe: Recipe, way: Way, wanted: Target, searched: Searched, tubes: Mapping[str, Tube]
) -> list[Recipe]:
    """The best of each number of tubes, of those that really are so and nearer to what is asked for."""
    turn = _TURNS[way]
    step = abs(float(turn.measure(wanted.lab) - turn.measure(recipe.lab)))
    apart = float(delta_e_2000(recipe.lab, wanted.lab))
    found = []
    for at, block in enumerate(searched.blocks):
        # Few are near enough; only of these is it asked which way they lie.
        allowed = searched.found[at] < apart
        rows = np.flatnonzero(allowed)
        gained = turn.sign * (turn.measure(block.lab[:, rows].T) - turn.measure(recipe.lab))
        allowed[rows] = gained >= max(_REALLY * step, 1e-3)
        near = searched.nearest(at, added=_change(recipe, block, tubes), allowed=allowed)
        if near:
            found.append(chosen(wanted, tubes, near))
    return found


def _change(recipe: Recipe, block: Block, tubes: Mapping[str, Tube]) -> Singles:
    """``(g * c,)``: what each mix of a block weighs beside the present one, apart from its colour."""
    present = np.array([recipe.parts.get(name, 0) for name in tubes], dtype=np.float32)
    present /= present.sum()
    kept = present[block.groups]
    shares = (block.parts / block.parts.sum(axis=1, keepdims=True)).astype(np.float32)
    common = (kept > 0).sum(axis=1)
    tubes_weigh = ADDED * (block.groups.shape[1] - common) + LEFT_OUT * (len(recipe.parts) - common)
    moved = (np.abs(shares - kept[:, None, :]).sum(axis=2) + (1 - kept.sum(axis=1))[:, None]) / 2
    weighed = MOVED * moved + tubes_weigh[:, None]
    return np.asarray(weighed.ravel() + PART * block.totals, dtype=np.float32)


def _weight(old: Recipe, new: Recipe) -> float:
    tubes_weigh = ADDED * len(set(new.parts) - set(old.parts)) + LEFT_OUT * len(set(old.parts) - set(new.parts))
    shares = [{name: part / each.total for name, part in each.parts.items()} for each in (old, new)]
    moved = sum(abs(shares[0].get(name, 0.0) - shares[1].get(name, 0.0)) for name in {*old.parts, *new.parts}) / 2
    return new.delta_e + tubes_weigh + MOVED * moved + PART * new.total
