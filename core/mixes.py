"""Mixes and strings as they are told to other programs: plain dictionaries, for JSON.

Schema 1; any change of key, unit or meaning is a new number. Parts are by weight, ``lab`` is CIELAB under D65, ``srgb``
the code clipped to sRGB, ``value`` Munsell value, ``warmth`` T, ``ciede2000`` from what is wanted.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from core.mix_pages import HONEST, beyond_print, cautions_of, swatch_code
from core.paint.palette import Palette
from core.paint.recipe import Recipe, Recipes
from core.paint.recipe_reach import Beyond
from core.paint.recipe_tints import TINT, in_steps
from core.paint.string_pairs import FamilyStrings, beside
from core.paint.tubes import Tube
from core.paint.value_string import StringStep, ValueString

SCHEMA = 1


def mixes_as_json(
    palette: Palette,
    found: Sequence[tuple[str, Recipes, Beyond]],
    tubes: Iterable[Tube],
) -> dict[str, Any]:
    """Recipes for each of some colours, by name, with what would reach it. ``tubes``: those used and proposed."""
    used = {tube.name: tube for tube in tubes}
    return {
        "schema": SCHEMA,
        "palette": {"name": palette.name, "tubes": list(palette.tubes)},
        "targets": [_target(*each, used) for each in found],
        "cautions": cautions_of(used.values()),
        "note": HONEST,
    }


def strings_as_json(
    strings: Sequence[tuple[str, ValueString]], tubes: Iterable[Tube], families: FamilyStrings | None = None
) -> dict[str, Any]:
    """One string or two, under their headings. ``warmer_by``: at each value that both have, T of the first less T of
    the second. ``tubes``: those used."""
    told: dict[str, Any] = {"schema": SCHEMA, "strings": [_string(heading, string) for heading, string in strings]}
    if len(strings) == 2:
        pairs = beside(strings[0][1], strings[1][1])
        told["warmer_by"] = [
            {"value": pair.value, "warmth": round(pair.warmer_by, 2)} for pair in pairs if pair.warmer_by is not None
        ]
    if families is not None:
        apart = families.apart
        told["boundary"] = {"value": families.boundary, "warmer_by": None if apart is None else round(apart, 2)}
    return {**told, "cautions": cautions_of(tubes), "note": HONEST}


def proposed(found: Sequence[tuple[str, Recipes, Beyond]]) -> list[Mapping[str, int]]:
    """The parts of every mix that is told of some colours, with those in two steps and of further tubes."""
    return [
        recipe.parts
        for _, recipes, beyond in found
        for recipe in (
            *recipes.recipes,
            *([beyond.tinted] if beyond.tinted is not None else []),
            *(each.recipe for each in beyond.further),
        )
    ]


def _target(name: str, recipes: Recipes, beyond: Beyond, tubes: Mapping[str, Tube]) -> dict[str, Any]:
    target = recipes.target
    return {
        "name": name,
        "srgb": target.hex,
        "lab": _rounded(target.lab),
        "value": round(target.value, 3),
        "warmth": round(target.warmth, 2),
        "munsell": recipes.best.target_munsell,
        "reached": recipes.reached,
        "note": beyond.say(recipes),
        "recipes": [_recipe(recipe) for recipe in recipes.recipes],
        "in_two_steps": None if beyond.tinted is None else {**_recipe(beyond.tinted), **_steps(beyond.tinted, tubes)},
        "reached_in_parts": beyond.in_parts,
        "reached_in_tubes": beyond.in_tubes,
        "further_tubes": [{"tube": each.name, "recipe": _recipe(each.recipe)} for each in beyond.further],
    }


def _recipe(recipe: Recipe) -> dict[str, Any]:
    return {
        "parts": dict(recipe.parts),
        "ciede2000": round(recipe.delta_e, 3),
        "miss": str(recipe.miss),
        "lab": _rounded(recipe.lab),
        "value": round(recipe.value, 3),
        "warmth": round(recipe.warmth, 2),
        **_shown(recipe.linear_rgb),
    }


def _steps(recipe: Recipe, tubes: Mapping[str, Tube]) -> dict[str, Any]:
    """``tints``: what is mixed first, each one part into so many of ``white``; ``then``: parts of all."""
    steps = in_steps(recipe.parts, tubes)
    if steps is None:
        return {"tints": [], "white": None, "into_white": None, "then": dict(recipe.parts)}
    return {"tints": list(steps.tints), "white": steps.white, "into_white": TINT, "then": dict(steps.parts)}


def _string(heading: str, string: ValueString) -> dict[str, Any]:
    return {
        "heading": heading,
        "mix": dict(string.mix),
        "lighter": dict(string.lighter),
        "darker": dict(string.darker),
        "darkest": round(string.darkest, 3),
        "lightest": round(string.lightest, 3),
        "not_reached": list(string.left_out),
        "alike": [list(values) for values in string.alike],
        "steps": [_step(string, step) for step in string.steps],
    }


def _step(string: ValueString, step: StringStep) -> dict[str, Any]:
    return {
        "value": round(step.value, 3),
        "shares": {name: round(share, 5) for name, share in step.parts.items()},
        "parts": dict(step.whole),
        "parts_value": round(step.whole_value, 3),
        "parts_ciede2000": round(step.whole_difference, 3),
        "onward": string.say_onward(step),
        "lab": _rounded(step.lab),
        "warmth": round(step.warmth, 2),
        **_shown(step.linear_rgb),
    }


def _shown(light: Sequence[float]) -> dict[str, Any]:
    return {"srgb": "#" + "".join(f"{code:02x}" for code in swatch_code(light)), "outside_srgb": beyond_print(light)}


def _rounded(lab: Sequence[float]) -> list[float]:
    return [round(each, 3) for each in lab]
