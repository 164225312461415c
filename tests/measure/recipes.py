"""How near recipes come to colours of photographs, how long they take, and what is lost by quicker ways.

    python -m tests.measure.recipes [targets] [targets of a large palette]

Colours are single pixels of scikit-image's photographs. The palette is of 12 tubes that come with the program.
Times are processor time, one thread.
"""

import sys
import time
from collections.abc import Callable
from itertools import combinations
from typing import Any

import numpy as np

from core.colorimetry import decode_srgb, delta_e_2000, lab_from_xyz
from core.errors import PaintError
from core.paint import recipe_search
from core.paint.miss import SEEN
from core.paint.munsell import OUTSIDE, munsell_of_xyy, notation, xyy_under_c
from core.paint.paint import Paint, predict
from core.paint.recipe import REACHED, Recipe, recipes_for
from core.paint.recipe_batch import Pots, Stirrer
from core.paint.recipe_difference import differences
from core.paint.recipe_reach import reach_with
from core.paint.recipe_search import Searched, blocks_for
from core.paint.recipe_table import Mix, table, whole_parts
from core.paint.recipe_touch import WAYS, touched
from core.paint.spectrum import lab as lab_of
from core.paint.spectrum import weights, white_of
from core.paint.target import Target
from core.paint.tubes import Tube, tubes
from tests.published.libraries import colour, skimage

PALETTE = (
    "titanium white",
    "lead-tin yellow",
    "yellow ochre",
    "cadmium yellow medium",
    "cadmium red",
    "alizarin crimson",
    "burnt sienna",
    "raw umber",
    "ultramarine",
    "cobalt blue",
    "viridian",
    "ivory black",
)
PICTURES = ("astronaut", "coffee", "chelsea", "rocket", "cat")


def palette() -> dict[str, Tube]:
    known = tubes()
    return {name: known[name] for name in PALETTE}


def photographed(count: int, seed: int = 1) -> list[Target]:
    random = np.random.default_rng(seed)
    pictures = [getattr(skimage.data, name)().reshape(-1, 3) for name in PICTURES]
    picked = [pictures[at % len(pictures)] for at in range(count)]
    return [Target.of_linear(decode_srgb(one[random.integers(len(one))] / 255.0)) for one in picked]


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    began = time.process_time()
    answer = work()
    return answer, 1e3 * (time.process_time() - began)


def by_rounding(
    stirrer: Stirrer, count: int, target: Target, *, most_parts: int = 12, kept: int = 24, steps: int = 12
) -> float:
    """The other way: the best shares of each group of up to four without regard to whole parts (Levenberg and Marquardt
    on CIELAB, shares as a softmax), then whole parts of the most promising groups. CIEDE2000 of the nearest."""
    best = np.inf
    for size in range(1, 5):
        groups = np.array(list(combinations(range(count), size)), dtype=np.intp)
        parts = whole_parts(size, most_parts)
        if size > 2:
            groups = groups[np.argsort(_continuous(stirrer, groups, target, steps))[:kept]]
        shares = (parts / parts.sum(axis=1, keepdims=True)).astype(np.float32)
        labs = stirrer.labs(groups, shares).reshape(-1, 3)
        best = min(best, float(differences(np.ascontiguousarray(labs.T), target.lab).min()))
    return best


def _continuous(stirrer: Stirrer, groups: np.ndarray, target: Target, steps: int) -> np.ndarray:
    size = groups.shape[1]
    logits, damping = np.zeros((len(groups), size)), np.ones(len(groups))
    here = _mixed(stirrer, groups, logits) - target.lab
    for _ in range(steps):
        slopes = np.empty((len(groups), 3, size))
        for at in range(size):
            moved = logits.copy()
            moved[:, at] += 1e-2
            slopes[:, :, at] = (_mixed(stirrer, groups, moved) - target.lab - here) / 1e-2
        square = slopes.transpose(0, 2, 1) @ slopes + damping[:, None, None] * np.eye(size)
        step = np.linalg.solve(square, -(slopes.transpose(0, 2, 1) @ here[:, :, None]))[..., 0]
        tried = np.clip(logits + step, -6, 6)
        there = _mixed(stirrer, groups, tried) - target.lab
        better = (there**2).sum(axis=1) < (here**2).sum(axis=1)
        logits[better], here[better] = tried[better], there[better]
        damping *= np.where(better, 0.3, 5.0)
    return np.asarray(delta_e_2000(here + target.lab, np.array(target.lab)))


def _mixed(stirrer: Stirrer, groups: np.ndarray, logits: np.ndarray) -> np.ndarray:
    """One mix a group, by the same sums."""
    shares = np.exp(logits - logits.max(axis=1, keepdims=True))
    shares /= shares.sum(axis=1, keepdims=True)
    k, s, outer = (
        np.einsum("gm,gmw->gw", shares, each[groups]) for each in (stirrer.k, stirrer.s, stirrer.s * stirrer.k1)
    )
    inner = np.einsum("gm,gm->g", shares, stirrer.k2[groups])[:, None]
    within = (1 - inner) * s / (k + s * (1 - inner) + np.sqrt(k * (k + 2 * s)))
    reflected = within + outer / s * (1 - within)
    relative = reflected @ (weights("D65") / white_of("D65"))
    roots = np.where(relative > (6 / 29) ** 3, np.cbrt(relative), 841 / 108 * relative + 4 / 29)
    x, y, z = roots.T
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def say(name: str, told: list[float] | np.ndarray, unit: str = "") -> None:
    held = np.asarray(told, dtype=float)
    print(
        f"{name:<58} median {np.median(held):8.3f}, 95 % {np.percentile(held, 95):8.3f}, worst {held.max():8.3f} {unit}"
    )


def times_and_reach(targets: list[Target]) -> list[Recipe]:
    among = palette()
    cold = []
    for target in targets[:10]:
        table.cache_clear()
        cold.append(timed(lambda target=target: recipes_for(target, among))[1])
    say("first solve from 12 tubes, with the table", cold, "ms")
    answers, warm = zip(*(timed(lambda target=target: recipes_for(target, among)) for target in targets), strict=True)
    say("every further solve", list(warm), "ms")
    for name, told in (
        ("nearest", [answer.nearest for answer in answers]),
        ("best", [answer.best for answer in answers]),
    ):
        misses = np.array([recipe.delta_e for recipe in told])
        shares = ", ".join(f"within {limit}: {(misses <= limit).mean():.0%}" for limit in (1, 2, 5))
        say(f"CIEDE2000 of the {name}", misses)
        print(
            f"    {shares}; tubes {np.mean([len(each.parts) for each in told]):.2f}, "
            f"parts {np.mean([each.total for each in told]):.2f}"
        )
        lighter = np.array([answer.target.value >= 1.8 for answer in answers])
        print(f"    of value 1.8 and more ({lighter.mean():.0%}) within 2: {(misses[lighter] <= 2).mean():.0%}")
    lists = [len(answer.recipes) for answer in answers]
    print(f"    in reach {np.mean([answer.reached for answer in answers]):.0%}; recipes told {np.mean(lists):.2f}")
    off = [abs(answer.best.value - answer.target.value) for answer in answers if not answer.reached]
    say("value of the best out of reach, off by", off, "steps")
    return [answer.best for answer in answers]


def against_every_mix(targets: list[Target]) -> None:
    """The nearest told, against double precision over every mix; and the other way on the same colours."""
    among = palette()
    pots = Pots.of({name: tube.paint for name, tube in among.items()})
    stirrer, held = pots.stirrer(), table(pots, 4, 12)
    gaps, lost, took = [], [], []
    for target in targets:
        every = min(float(delta_e_2000(block.lab.T, np.array(target.lab)).min()) for block in held)
        gaps.append(abs(recipes_for(target, among).nearest.delta_e - every))
        other, spent = timed(lambda target=target: by_rounding(stirrer, len(pots), target))
        lost.append(other - every)
        took.append(spent)
    say("nearest against every mix in double precision", gaps)
    say("by rounding: CIEDE2000 lost", lost)
    say("by rounding: time", took, "ms")


def many_tubes(targets: list[Target], count: int = 22) -> None:
    """From more tubes than one table can hold: what is lost."""
    random, lost, took = np.random.default_rng(4), [], []
    most = recipe_search.MOST_MIXES
    paints = [tube.paint for tube in tubes().values()]
    for _ in range(3):
        picked = sorted(random.choice(len(paints), count, replace=False).tolist())
        pots = Pots.of({str(at): paints[at] for at in picked})
        recipe_search.MOST_MIXES = 10**9
        every = blocks_for(pots, targets[0].lab, most_tubes=4, most_parts=12)
        recipe_search.MOST_MIXES = most
        for target in targets:
            few, spent = timed(
                lambda target=target, pots=pots: Searched.of(
                    blocks_for(pots, target.lab, most_tubes=4, most_parts=12), target.lab
                )
            )
            took.append(spent)
            exact = min(float(found.min()) for found in Searched.of(every, target.lab).found)
            lost.append(min(float(found.min()) for found in few.found) - exact)
    say(f"from {count} tubes: CIEDE2000 lost", lost)
    say(f"from {count} tubes: time", took, "ms")


def precision() -> None:
    pots = Pots.of({name: tube.paint for name, tube in palette().items()})
    paints = {name: tube.paint for name, tube in palette().items()}
    random, off = np.random.default_rng(3), []
    count = 0
    for block in table(pots, 4, 12):
        count += block.lab.shape[1]
        for at in random.integers(0, block.lab.shape[1], 500):
            exact = lab_of(reflected(paints, block.mix(int(at))))
            off.append(1e3 * float(np.abs(block.lab[:, at] - exact).max()))
    say(f"CIELAB of the table of {count} mixes against predict, thousandths", off)


def reflected(paints: dict[str, Paint], mix: Mix) -> np.ndarray:
    names = list(paints)
    return predict(paints, {names[tube]: part for tube, part in mix})


def touches(recipes: list[Recipe]) -> None:
    among = palette()
    for way in WAYS:
        cannot, swapped, left, took = 0, [], [], []
        for recipe in recipes:
            try:
                new, spent = timed(lambda recipe=recipe, way=way: touched(recipe, way, among))
            except PaintError:
                cannot += 1
                continue
            took.append(spent)
            swapped.append(len(set(new.parts) ^ set(recipe.parts)))
            left.append(new.delta_e)
        print(
            f"a touch {way:<9} cannot {cannot / len(recipes):.0%}, same tubes {np.mean(np.array(swapped) == 0):.0%}, "
            f"CIEDE2000 from what is asked {np.median(left):.2f}, {np.median(took):.0f} ms"
        )


def one_more_tube(targets: list[Target]) -> None:
    among, others, took, lost, first = palette(), dict(tubes()), [], [], []
    far = [target for target in targets if recipes_for(target, among).nearest.delta_e > SEEN][:8]
    for target in far:
        found, spent = timed(lambda target=target: reach_with(target, among, others))
        took.append(spent)
        every = {
            name: recipes_for(target, {**among, name: others[name]}).nearest.delta_e
            for name in others
            if name not in among
        }
        if found:
            lost.append(found[0].recipe.delta_e - min(every.values()))
            first.append(found[0].recipe.delta_e <= REACHED)
    say("one more tube: CIEDE2000 lost", lost)
    say("one more tube: time", took, "ms")


def munsell(targets: list[Target]) -> None:
    """Of the colours themselves; and of notations at random, against what colour-science says they are."""
    told, took = zip(*(timed(lambda target=target: notation(target.lab)) for target in targets), strict=True)
    say("Munsell notation", list(took[1:]), "ms")
    print(f"    outside the renotation {np.mean([OUTSIDE in each for each in told]):.1%}")
    random, hues, chromas, none = np.random.default_rng(0), [], [], 0
    for _ in range(800):
        code, hue, value, chroma = int(random.integers(1, 11)), *random.uniform((0, 1, 1), (10, 9, 10))
        try:
            xyy = colour.notation.munsell.munsell_specification_to_xyY([hue, value, chroma, code])
        except (ValueError, AssertionError, RuntimeError, Warning):
            continue
        found = munsell_of_xyy(xyy)
        if found is None:
            none += 1
            continue
        # Families run from blue down to purple-blue there, and from red up here.
        off = found.hue - (10 * ((7 - code) % 10) + hue)
        hues.append(abs((off + 50) % 100 - 50))
        chromas.append(abs(found.chroma - chroma))
    say(f"notations at random, {none} of {none + len(hues)} outside: hue off by", hues)
    say("    chroma off by", chromas)
    adaptation()
    theirs(targets[:40])


def theirs(targets: list[Target]) -> None:
    took, none = [], 0
    for target in targets:
        began = time.process_time()
        try:
            colour.xyY_to_munsell_colour(xyy_under_c(target.lab))
        except (ValueError, AssertionError, RuntimeError, Warning):
            none += 1
        took.append(1e3 * (time.process_time() - began))
    say("colour-science's own search", took, "ms")
    print(f"    without an answer {none / len(targets):.0%}")


def adaptation() -> None:
    """Bradford and CAT02 from D65 to C, against the 24 reflectances of a colour chart reckoned under C itself."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    lights = {name: colour.SDS_ILLUMINANTS[name] for name in ("D65", "C")}
    whites = {name: colour.sd_to_XYZ(colour.sd_ones(observer.shape), observer, light) for name, light in lights.items()}
    apart: dict[str, list[float]] = {"Bradford": [], "CAT02": [], "ours": []}
    for sd in colour.SDS_COLOURCHECKERS["BabelColor Average"].values():
        under = {name: colour.sd_to_XYZ(sd, observer, light) / 100 for name, light in lights.items()}
        true = lab_xyz(under["C"], whites["C"] / 100)
        for way in ("Bradford", "CAT02"):
            adapted = colour.adaptation.chromatic_adaptation_VonKries(
                under["D65"], whites["D65"] / 100, whites["C"] / 100, transform=way
            )
            apart[way].append(float(delta_e_2000(lab_xyz(adapted, whites["C"] / 100), true)))
        xyy = xyy_under_c(tuple(lab_xyz(under["D65"], whites["D65"] / 100).tolist()))
        apart["ours"].append(float(delta_e_2000(lab_xyz(colour.xyY_to_XYZ(xyy), whites["C"] / 100), true)))
    for way, told in apart.items():
        say(f"D65 to C by {way}: CIEDE2000 from C itself", told)


def lab_xyz(told: np.ndarray, white: np.ndarray) -> np.ndarray:
    return lab_from_xyz(told, white)


def main(count: int, deep: int) -> None:
    targets = photographed(count)
    precision()
    best = times_and_reach(targets)
    against_every_mix(targets[: max(count // 4, 10)])
    touches(best[: max(count // 8, 10)])
    one_more_tube(targets)
    munsell(targets)
    many_tubes(photographed(deep, seed=2))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, int(sys.argv[2]) if len(sys.argv) > 2 else 20)
