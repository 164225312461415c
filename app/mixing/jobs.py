"""What is worked out for the mix panel. Pure functions, for a worker thread."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.mixing.kept import Light
from app.prints import Sheet
from app.temperatures.looks import thinned
from app.values.looks import KeyedKey
from app.work import Progress

if TYPE_CHECKING:
    from core.paint.palette_map import PaletteMap
    from core.paint.palette_slices import ValueChroma
    from core.paint.recipe import Recipe, Recipes
    from core.paint.recipe_reach import Beyond
    from core.paint.recipe_touch import Way
    from core.paint.target import Target
    from core.paint.tubes import Tube
    from core.paint.value_string import ValueString
    from core.temperature.families import Families

Tubes = Mapping[str, "Tube"]
Linear = NDArray[np.float32]

_TOLD_PIXELS = 400_000
_FAR = 5.0
"""CIEDE2000."""
MOST_BEYOND = 12
"""Passages beyond reach that are told."""


@dataclass(frozen=True)
class Wanted:
    """What is to be mixed: the mean of a passage ``at`` a place, mm, ``span_mm`` across, or of a value ``step`` (1 the
    darkest). ``light``: linear, in the sRGB primaries."""

    light: Light
    at: tuple[float, float] | None = None
    span_mm: float = 0.0
    step: int | None = None

    @property
    def target(self) -> "Target":
        from core.paint.target import Target

        return Target.of_linear(self.light, within_srgb=False)


@dataclass(frozen=True, eq=False)
class Found:
    """``tinted``: a recipe in two steps that reaches the colour where ``recipes`` do not; None where there is none."""

    recipes: "Recipes"
    tinted: "Recipe | None"

    @property
    def is_reached(self) -> bool:
        return self.recipes.reached or self.tinted is not None

    @property
    def best(self) -> "Recipe":
        """The one to begin with."""
        return self.recipes.best if self.tinted is None else self.tinted

    @property
    def offered(self) -> "tuple[Recipe, ...]":
        """All of them, the best first, without those that are much farther off than it is."""
        tinted = () if self.tinted is None else (self.tinted,)
        nearest = self.best.delta_e
        return (*tinted, *(each for each in self.recipes.recipes if each.delta_e <= nearest + _FAR))


@dataclass(frozen=True, eq=False)
class Named:
    """Munsell notation of what is wanted and of the mix."""

    wanted: str
    mix: str


@dataclass(frozen=True, eq=False)
class Reach:
    """``beyond``: what of the reference lies beyond the palette. ``chart``: the chroma it reaches at each value, over
    the colours of the reference, also along the hue of each passage beyond, in their order."""

    beyond: "PaletteMap"
    chart: "ValueChroma"


@dataclass(frozen=True, eq=False)
class Strings:
    """A mix in steps, and another beside it where one is wanted, each with its ``headings``; ``notes``: what is to be
    said of them."""

    first: "ValueString"
    second: "ValueString | None"
    headings: tuple[str, str]
    notes: tuple[str, ...] = ()


def read_passage(
    sheet: Sheet, keyed: KeyedKey | None, at: tuple[float, float], span_mm: float, progress: Progress
) -> Wanted:
    """Raises PaintError with a sentence where nothing can be read."""
    from core.paint.recipe_passage import passage_target

    progress(say="Reading the passage")
    px_per_mm = sheet.mapping.px_per_mm
    height, width = sheet.codes.shape[:2]
    column, row, reach = at[0] * px_per_mm, at[1] * px_per_mm, span_mm * px_per_mm / 2 + 2
    rows = slice(max(int(row - reach), 0), min(int(row + reach) + 1, height))
    columns = slice(max(int(column - reach), 0), min(int(column + reach) + 1, width))
    light = _linear(sheet, (rows, columns), keyed)
    x, y = at[0] - columns.start / px_per_mm, at[1] - rows.start / px_per_mm
    target = passage_target(light, x, y, diameter_mm=span_mm, px_per_mm=px_per_mm)
    return Wanted(target.linear_rgb, at, span_mm)


def read_step(
    sheet: Sheet, keyed: KeyedKey | None, boundaries: tuple[float, ...], step: int, progress: Progress
) -> Wanted:
    """The mean of a value step, 1 the darkest. Raises PaintError with a sentence where the picture has none of it."""
    from core import tone
    from core.paint.recipe_passage import step_target

    progress(say="Reading the step")
    every = _thinned(sheet)
    codes = np.ascontiguousarray(sheet.codes[::every, ::every])
    index = np.digitize(tone.value_map(codes, sheet.curve), boundaries)
    light = _linear(sheet, (slice(None, None, every), slice(None, None, every)), keyed)
    return Wanted(step_target(light, index, step - 1).linear_rgb, step=step)


def find_recipes(wanted: Wanted, tubes: Tubes, most: tuple[int, int], progress: Progress) -> Found:
    """``most``: tubes and parts in a mix."""
    from core.paint.recipe import recipes_for
    from core.paint.recipe_tints import tinted_recipe

    progress(say="Finding mixes")
    recipes = recipes_for(wanted.target, tubes, most_tubes=most[0], most_parts=most[1])
    if recipes.reached:
        return Found(recipes, None)
    progress(say="Finding mixes in two steps")
    return Found(recipes, tinted_recipe(wanted.target, tubes, most_tubes=most[0], most_parts=most[1]))


def find_beyond(found: Found, tubes: Tubes, others: Tubes, most: tuple[int, int], progress: Progress) -> "Beyond":
    """What would reach a colour that was not reached. ``others``: tubes that are not on the palette."""
    from core.paint.recipe_reach import what_would_reach

    progress(say="Finding what would reach it")
    return what_would_reach(found.recipes, tubes, others, most_tubes=most[0], most_parts=most[1])


def touch(recipe: "Recipe", way: "Way", tubes: Tubes, most: tuple[int, int], progress: Progress) -> dict[str, int]:
    """Parts of the mix a touch ``way``. Raises PaintError with a sentence where the tubes cannot do it."""
    from core.paint.recipe_tints import finely_touched

    progress(say="Mixing anew")
    return dict(finely_touched(recipe, way, tubes, most_tubes=most[0], most_parts=most[1]).parts)


def find_names(recipe: "Recipe", progress: Progress) -> Named:
    progress(say="Looking up Munsell notation")
    return Named(recipe.target_munsell, recipe.munsell)


def find_strings(
    parts: Mapping[str, int],
    tubes: Tubes,
    lighter: str,
    darker: str,
    steps: int,
    greys: tuple[str, str] | None,
    progress: Progress,
) -> Strings:
    """``greys``: white and black of a plain grey beside it. Raises PaintError where that makes no string."""
    from core.paint.string_pairs import say_beside
    from core.paint.value_string import value_string

    progress(say="Carrying the mix through the values")
    up, down = ({name: 1.0} if name else None for name in (lighter, darker))
    string = value_string(parts, tubes, lighter=up, darker=down, steps=steps)
    if greys is None:
        return Strings(string, None, ("The mix", ""), _left_out(string))
    white, black = ({name: 1.0} for name in greys)
    grey = value_string(black, tubes, lighter=white, values=[step.asked for step in string.steps])
    return Strings(string, grey, ("The mix", "Plain grey"), (say_beside(string, grey), *_left_out(string)))


def find_families(
    sheet: Sheet, keyed: KeyedKey | None, families: "Families", tubes: Tubes, lighter: str, darker: str,
    most: tuple[int, int], progress: Progress,
) -> Strings:  # fmt: skip
    """A string for the light family and one for the shadow family, from the boundary up and down, each from the mix
    for the mean of its family. Raises PaintError with a sentence where that cannot be."""
    from core.paint.recipe import recipes_for
    from core.paint.recipe_passage import step_target
    from core.paint.string_pairs import family_strings

    progress(say="Mixing light and shadow")
    every = thinned(sheet.mapping.px_per_mm)
    light = _linear(sheet, (slice(None, None, every), slice(None, None, every)), keyed)
    index = families.in_light.astype(np.uint8)
    in_light, in_shadow = (
        recipes_for(step_target(light, index, family), tubes, most_tubes=most[0], most_parts=most[1]).best.parts
        for family in (1, 0)
    )
    progress(say="Carrying both through the values")
    up, down = {lighter: 1.0}, {darker: 1.0}
    found = family_strings(in_light, in_shadow, tubes, boundary=families.boundary, lighter=up, darker=down)
    notes = (found.say(), *_left_out(found.light), *_left_out(found.shadow))
    return Strings(found.light, found.shadow, ("Light family", "Shadow family"), notes)


def _left_out(string: "ValueString") -> tuple[str, ...]:
    told = string.say_left_out()
    return (told,) if told else ()


def find_reach(sheet: Sheet, keyed: KeyedKey | None, tubes: Tubes, progress: Progress) -> Reach:
    """What the tubes reach of the reference, and what not."""
    from core.paint.palette_map import palette_map
    from core.paint.palette_reach import reach_of
    from core.paint.palette_slices import value_chroma

    progress(say="Finding what the palette reaches")
    every = _thinned(sheet)
    light = _linear(sheet, (slice(None, None, every), slice(None, None, every)), keyed)
    reach = reach_of(tubes.values())
    progress(say="Holding the reference against it")
    found = palette_map(reach, light, px_per_mm=sheet.mapping.px_per_mm / every)
    hues = [passage.lacking.hue_deg for passage in found.passages[:MOST_BEYOND]]
    return Reach(found, value_chroma(reach, found.linear, hues_deg=hues))


def _linear(sheet: Sheet, part: tuple[slice, slice], keyed: KeyedKey | None) -> Linear:
    """Linear light of a part of the reference, keyed where it hangs keyed."""
    from core import tone

    light = tone.linear_of_codes(np.ascontiguousarray(sheet.codes[part]), sheet.curve)
    if keyed is None:
        return light
    from core.value.keying import keyed_linear

    every = _thinned(sheet)
    whole = tone.value_map(np.ascontiguousarray(sheet.codes[::every, ::every]), sheet.curve)
    found: Any = keyed_linear(light, keyed.curve(whole))
    return np.asarray(found, dtype=np.float32)


def _thinned(sheet: Sheet) -> int:
    """Every how many pixels are enough for a mean."""
    return max(1, int(np.sqrt(sheet.codes.shape[0] * sheet.codes.shape[1] / _TOLD_PIXELS)))
