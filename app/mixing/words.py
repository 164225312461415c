"""What is said of mixes, in a painter's words."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.mixing.jobs import Found
    from core.paint.recipe import Recipe
    from core.paint.recipe_reach import Addition, Beyond
    from core.paint.tubes import Tube

_SEEKING = "Looking for what would reach it…"
APPROXIMATE = (
    "Screen and camera colours are approximate, and no two makers’ tubes are alike. Test each mix on a scrap beside "
    "the reference. CIEDE2000 is how far two colours are apart: under 1 it can hardly be seen, and within 2 a mix "
    "counts as reaching."
)


def parts_said(parts: Mapping[str, int]) -> str:
    """Such as ``4 yellow ochre, 1 ivory black``; of one tube its name alone."""
    if len(parts) == 1:
        return f"{next(iter(parts))}, straight"
    return ", ".join(f"{count} {name}" for name, count in parts.items())


def steps_said(parts: Mapping[str, int], tubes: "Mapping[str, Tube]") -> str:
    """How a mix with a trace of a tube is made in two steps; empty where it needs none."""
    from core.paint.recipe_tints import in_steps

    steps = in_steps(parts, tubes)
    return "" if steps is None else f"In two steps: {steps.say()}."


def missed(recipe: "Recipe") -> str:
    """How near the mix comes: ``CIEDE2000 1.4: too dull by 3``."""
    return f"CIEDE2000 {recipe.delta_e:.1f}: {recipe.miss}"


def counted(recipe: "Recipe") -> str:
    tubes = len(recipe.parts)
    return f"{tubes} {'tube' if tubes == 1 else 'tubes'}, {recipe.total} {'part' if recipe.total == 1 else 'parts'}"


def beyond_said(found: "Found", beyond: "Beyond | None", in_hand: "Mapping[str, int]") -> str:
    """That a colour is not reached, and what would reach it once that is found, while the best that was found is
    ``in_hand``; empty where it is reached, or another mix was chosen."""
    if found.is_reached or dict(in_hand) != dict(found.best.parts):
        return ""
    if beyond is None:
        return f"{found.recipes.note} {_SEEKING}"
    note = beyond.say(found.recipes)
    helped = beyond.in_parts is not None or beyond.in_tubes is not None
    return note if helped else f"{note} {further_said(beyond.further)}"


def further_said(further: "Iterable[Addition]") -> str:
    """Which tubes would reach it, in a sentence."""
    found = tuple(further)
    if not found:
        return "No other tube here comes nearer."
    reaching = [each.name for each in found if each.reaches]
    if reaching:
        return f"With {_either(reaching)} it is in reach."
    nearest = found[0]
    return f"{first_up(nearest.name)} would come nearest: CIEDE2000 {nearest.recipe.delta_e:.1f}."


def cautions_said(tubes: "Iterable[Tube]") -> str:
    """What to be careful of, each once, with the tubes it holds for; what holds for several of them and needs no more
    than ordinary care comes last. Empty where nothing is known to be."""
    given = tuple(tubes)
    held: dict[str, list[str]] = {}
    for tube in given:
        for caution in tube.cautions:
            held.setdefault(caution, []).append(tube.name)
    ordered = sorted(held.items(), key=lambda item: len(item[1]))
    return "\n\n".join(
        caution if len(names) == len(given) > 1 else f"{first_up(', '.join(names))}: {caution}"
        for caution, names in ordered
    )


def _either(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def first_up(words: str) -> str:
    """With a capital at the beginning, and those of names within as they are."""
    return words[:1].upper() + words[1:]
