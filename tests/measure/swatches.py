"""How well a tube is told by a painted and photographed swatch card: a sweep over tubes, cameras and lights.

    python -m tests.measure.swatches [cases] [first seed]

Tubes differ from the stored ones by strength, hue, scattering or pigment; cameras, printers, papers, lights, weights
and surfaces are random, the photos 4-megapixel JPEGs. The numbers in the code were tuned on seeds 0 to 47; those from
100 are kept apart. Further mixes are on no card: with white 1:1, 1:5 and 1:20, and with two other tubes, 1:1 and 1:1:4
with white.
"""

import sys
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, delta_e_2000
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint import swatch_model
from core.paint.paint import Paint, predict
from core.paint.spectrum import lab, linear_rgb
from core.paint.swatch_read import Readings, read_card
from core.paint.swatch_refine import refine
from core.paint.tubes import tubes
from tests.studio.swatch_photo import Painted, Shot, photograph
from tests.studio.swatch_truth import CASES, WHITE, Truth, case, further_mixes

Floats = NDArray[np.float64]
Read = tuple[Truth, Readings, Shot]


def differences(truth: Truth, tube: Paint) -> Floats:
    """CIEDE2000 ``(n,)`` of further mixes: with the white and other tubes as stored, and this one, from the true."""
    known = {name: tubes()[name].paint for name in truth.paints} | {truth.stored.name: tube}
    return np.array(
        [
            float(delta_e_2000(lab(predict(known, parts)), lab(predict(truth.paints, parts))))
            for parts in further_mixes(truth.stored.name)
        ]
    )


def score(title: str, cases: list[Read], changes: Floats | None = None) -> None:
    """Before and after, over all further mixes of all cases."""
    before, after, told = [], [], []
    for truth, readings, _ in cases:
        refined = refine(truth.stored, tubes()[WHITE], readings, changes=changes)
        before.append(differences(truth, truth.stored.paint))
        after.append(differences(truth, refined.tube.paint))
        told.append(refined.uncertainty)
    was, now = np.array(before), np.array(after)
    whites = now[:, :3].mean(axis=1)
    print(
        f"  {title:38s} {was.mean():.2f} before, {now.mean():.2f} after (with white {now[:, :3].mean():.2f}, with "
        f"others {now[:, 3:].mean():.2f}); of cases: 90 % within {np.quantile(now.mean(axis=1), 0.9):.2f}, worst "
        f"{now.mean(axis=1).max():.2f}, nearer {np.mean(now.mean(axis=1) < was.mean(axis=1)):.0%}; told "
        f"{np.mean(told):.2f}, within twice that {np.mean(whites < 2 * np.array(told)):.0%}",
        flush=True,
    )


def main_shapes(count: int, spread: float) -> Floats:
    """The other way: the main directions of all stored tubes' log K and log S, and the strength."""
    logs = np.array([np.log(np.maximum([*t.paint.k, *t.paint.s], 1e-5)) for t in tubes().values() if not t.white])
    _, sizes, ways = np.linalg.svd(logs - logs.mean(axis=0), full_matrices=False)
    scaled = ways[:count].T * sizes[:count] / np.sqrt(len(logs)) * spread
    return np.column_stack([scaled, np.full(logs.shape[1], swatch_model.STRENGTH)])


def read_all(
    seeds: range, change: Callable[[Painted, Shot], tuple[Painted, Shot]], grey_card: float | None
) -> list[Read]:
    """The cases that are found and good enough; says which are not."""
    told = []
    for seed in seeds:
        truth, painted, shot = case(CASES[seed % len(CASES)], seed)
        try:
            readings = read_card(photograph(*change(painted, shot)), grey_card=grey_card)
        except PaintError as error:
            print(f"  seed {seed}: not read: {error}")
            continue
        if readings.good:
            told.append((truth, readings, shot))
        else:
            print(f"  seed {seed}: refused: {readings.problems[0]}")
    return told


def by_printed_greys(cases: list[Read]) -> list[Read]:
    """The scale from the printed greys, taken at what they are meant to be, in the place of the white's."""
    white = float(linear_rgb(predict({WHITE: tubes()[WHITE].paint}, {WHITE: 1})) @ LUMINANCE)
    told = []
    for truth, readings, shot in cases:
        level = float(np.median(np.array(card.GREYS) / readings.greys)) * readings.white_beside_paper / white
        swatches = tuple(replace(each, linear=each.linear * level) for each in readings.swatches)
        told.append((truth, replace(readings, swatches=swatches), shot))
    return told


def without_fault(cases: list[Read]) -> list[Read]:
    """The same squares, as a standard observer sees them."""
    told = []
    for truth, readings, shot in cases:
        light = {name: linear_rgb(mix.thick()) for name, mix in truth.painted().items()}
        swatches = tuple(
            replace(each, linear=light[each.square.name] / light[card.WHITE.name]) for each in readings.swatches
        )
        told.append((truth, replace(readings, swatches=swatches), shot))
    return told


BAD: dict[str, Callable[[Painted, Shot], tuple[Painted, Shot]]] = {
    "blurred": lambda p, s: (p, replace(s, blur_px=11.0)),
    "a square shines": lambda p, s: (p, replace(s, shine=((72.0, 45.0, 7.0),))),
    "burnt out": lambda p, s: (p, replace(s, exposure=1.35)),
    "too dark": lambda p, s: (p, replace(s, exposure=0.06)),
    "a corner mark covered": lambda p, s: (replace(p, covered=(2,)), s),
    "out of the picture": lambda p, s: (p, replace(s, fill=0.85, off=(0.3, 0.3))),
    "too small": lambda p, s: (p, replace(s, fill=0.14)),
    "light falls off": lambda p, s: (p, replace(s, fall_off=4.0, from_deg=10.0, exposure=0.4)),
    "a shadow": lambda p, s: (p, replace(s, shadow=0.45)),
    "haze": lambda p, s: (p, replace(s, veil=0.18, exposure=0.6)),
    "thin paint": lambda p, s: (replace(p, thickness=2.5), s),
    "a square not painted": lambda p, s: (replace(p, left_out=("weak tint",)), s),
    "streaks": lambda p, s: (replace(p, unmixed=0.35), s),
    "tints swapped": lambda p, s: (
        replace(p, squares={**p.squares, "strong tint": p.squares["weak tint"], "weak tint": p.squares["strong tint"]}),
        s,
    ),
}


def bad_photos(seeds: range) -> None:
    for name, change in BAD.items():
        refused, said = 0, set()
        for seed in seeds:
            _, painted, shot = case(CASES[(5 * seed) % len(CASES)], seed)
            try:
                problems = read_card(photograph(*change(painted, shot))).problems
            except PaintError as error:
                problems = (str(error),)
            refused += bool(problems)
            said |= {problem[:70] for problem in problems[:1]}
        print(f"  {name:24s} refused {refused} of {len(seeds)}: {' / '.join(sorted(said))}", flush=True)


def without(**constants: float) -> Callable[[], None]:
    """Set constants of the model; gives what sets them back."""
    held = {name: getattr(swatch_model, name) for name in constants}
    for name, value in constants.items():
        setattr(swatch_model, name, value)
    return lambda: [setattr(swatch_model, name, value) for name, value in held.items()] and None


def main(count: int, first: int) -> None:
    seeds = range(first, first + count)
    print(f"Good photos, seeds {first} to {first + count - 1}:")
    cases = read_all(seeds, lambda p, s: (p, s), None)
    print(f"  read {len(cases)} of {count}")
    score("as it is", cases)
    for name in sorted({shot.sensor.name for *_, shot in cases}):
        score(name, [each for each in cases if each[2].sensor.name == name])
    worst = np.argsort([differences(t, refine(t.stored, tubes()[WHITE], r).tube.paint).mean() for t, r, _ in cases])[
        -3:
    ]
    print("  farthest off:", ", ".join(f"{cases[i][0].stored.name} ({cases[i][2].light})" for i in worst))
    for curves, spread in ((6, 0.2), (10, 0.2), (10, 0.4)):
        score(f"{curves} main shapes of stored tubes × {spread}", cases, main_shapes(curves, spread))
    for name, constants in {"the camera's matrix not among the unknowns": {"MATRIX": 0.0}}.items():
        back = without(**constants)
        score(name, cases)
        back()
    seen = without_fault(cases)
    score("colours read without fault", seen)
    back = without(MATRIX=0.0, VEIL=0.0)
    score("the same, and known to be so", seen)
    back()
    score("scale by the printed greys", by_printed_greys(cases))
    known = read_all(seeds, lambda p, s: (replace(p, grey_card=0.18), s), 0.18)
    score("with a grey card", known)
    print("Bad photos:")
    bad_photos(range(first, first + 4))


if __name__ == "__main__":
    main(*(int(each) for each in (*sys.argv[1:3], *("24", "100")[len(sys.argv[1:3]) :])))
