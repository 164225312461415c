"""What is said of the whole, and the passages beside it, on paintings that are off in level, contrast, passages or all.

    python -m tests.measure.relations [cases] [first] [cache folder]

Made from the cases of :mod:`tests.measure.value` (12 megapixels, stroke by stroke): what the paint reflects is changed
in the photo itself, place by place, from the paint's own value to that of a painting lowered, lifted, pressed together
or stretched as a whole, with the case's faults or without them. Light, noise and glare stay as photographed.
"""

import sys
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np

from core.colorimetry import luminance_of_value
from core.tone import value_of_linear
from core.value.areas import ValueArea
from core.value.compare import ValueComparison
from core.value.glare import find_glare
from core.value.light import correct_light
from core.value.passages import Passage
from core.value.relations import Relations, Whole
from tests.core.value.cases import Case, make, random_recipe
from tests.measure.value import Found, compare, judge, millimetres, true_areas

SOURCES = ("known", "blank", "fit")
"""The light: known beforehand; from a blank; fitted to the reference."""
MUST, MAY = 0.5, 0.25
"""An error of the whole of this many steps at its middle, or between its ends, shall be told; below the other, not."""


@dataclass(frozen=True)
class Off:
    """The whole of a painting: every value moved by ``level`` and pressed by ``contrast`` about ``pivot``."""

    name: str
    level: float = 0.0
    contrast: float = 0.0
    pivot: float = 5.0
    faults: bool = True

    def of(self, value: np.ndarray) -> np.ndarray:
        return self.level + self.contrast * (value - self.pivot)


def variants(seed: int) -> tuple[Off, ...]:
    rng = np.random.default_rng(900 + seed)
    sign = 1.0 if rng.random() < 0.5 else -1.0
    level, share = sign * rng.uniform(0.5, 1.0), -rng.uniform(0.12, 0.22) * (1 if rng.random() < 0.8 else -1)
    return (
        Off("right", faults=False),
        Off("faults alone"),
        Off("level", level, faults=False),
        Off("level + faults", level),
        Off("contrast", contrast=share, pivot=float(rng.choice([1.5, 5.0, 8.0])), faults=False),
        Off("contrast + faults", contrast=share, pivot=float(rng.choice([1.5, 5.0, 8.0]))),
        Off("both + faults", level / 2, share, 5.0),
    )


def made_off(case: Case, off: Off) -> Case:
    """The case with its paint changed in the photo; its faults as they then stand."""
    shape = case.canvas.linear.shape[:2]
    painted = cv2.resize(case.true_value.astype(np.float32), shape[::-1], interpolation=cv2.INTER_LINEAR)
    fault = cv2.resize(case.true_fault.astype(np.float32), shape[::-1], interpolation=cv2.INTER_LINEAR)
    meant = painted - fault
    wanted = meant + off.of(meant) + (fault if off.faults else 0.0)
    wanted = np.clip(wanted, 0.3, 9.7)
    gain = luminance_of_value(wanted) / luminance_of_value(np.clip(painted, 0.2, 9.9))
    canvas = np.clip(case.canvas.linear * gain[..., None].astype(np.float32), 0, 1)
    return replace(
        case,
        canvas=replace(case.canvas, linear=canvas.astype(np.float32)),
        true_fault=case.true_fault if off.faults else np.zeros_like(case.true_fault),
        faults=case.faults if off.faults else (),
        true_value=millimetres(wanted, case.true_value.shape),
    )


def truth(case: Case, off: Off) -> tuple[Whole | None, float, float, float]:
    """What shall be said (None: either), and the error at the reference's darks, middle and lights."""
    value = value_of_linear(case.moved.linear)[::8, ::8]
    ends = [float(off.of(v)) for v in np.percentile(value, (5, 50, 95))]
    between = abs(ends[2] - ends[0])
    if between >= MUST:
        return Whole.CONTRAST, *ends
    if between > MAY:
        return None, *ends
    size = abs(ends[1])
    return (Whole.LEVEL if size >= MUST else Whole.RIGHT if size <= MAY else None), *ends


def judged_words(said: Relations, wanted: Whole | None, ends: list[float]) -> str:
    """``true``, ``missed`` (nothing is said though it is off), or ``wrong``: what is said is not so.

    Ends within 0.3 step or what is stated; one who may say either is right when the sign is.
    """
    if said.whole is Whole.RIGHT:
        unknown = wanted is Whole.LEVEL and not said.level_known
        return "true" if wanted in (None, Whole.RIGHT) or unknown else "missed"
    if wanted is Whole.RIGHT:
        return "wrong"
    between = ends[2] - ends[0]
    if said.whole is Whole.EITHER:
        sign = between if abs(between) > MAY else -ends[1]
        return "true" if np.sign(sign) == np.sign(said.contrast) else "wrong"
    if wanted is not None and wanted is not said.whole:
        return "wrong"
    allowed = max(0.3, said.level_uncertainty)
    off = [said.darks_steps - ends[0], said.lights_steps - ends[2]]
    off = off if said.ends_known else [off[1] - off[0]]
    return "true" if max(abs(v) for v in off) <= allowed else "wrong"


def merged(passage: Passage, case: Case) -> ValueArea:
    """A passage as one area, to be judged as the areas are: its outlines joined end to end."""
    return replace(
        passage.areas[0],
        x_mm=passage.x_mm, y_mm=passage.y_mm, area_cm2=passage.area_cm2, steps=passage.beside_whole,
        outline_mm=np.vstack(passage.outlines_mm),
    )  # fmt: skip


def told_faults(case: Case, off: Off) -> Case:
    """Without the faults that a whole that is off makes right in themselves: those are none."""
    kept = []
    reference = millimetres(value_of_linear(case.moved.linear), case.true_fault.shape)
    fault = case.true_fault.copy()
    for each in case.faults:
        (mask,) = true_areas(replace(case, faults=(each,))) or (None,)
        if mask is None:
            continue
        steps = float(np.median(case.true_fault[mask]))
        if np.sign(steps) * float(np.median(off.of(reference[mask])) + steps) < 0.65:
            continue
        kept.append(each)
    return replace(case, faults=tuple(kept), true_fault=fault)


def main(count: int, first: int, cache: Path) -> None:
    table: dict[str, Counter[str]] = {key: Counter() for key in SOURCES}
    ends: dict[str, list[float]] = {key: [] for key in SOURCES}
    scores = {key: Found() for key in SOURCES}
    verdicts: dict[str, Counter[str]] = {key: Counter() for key in SOURCES}
    doubt: list[tuple[float, float, float, float]] = []
    pictures = 0
    for seed in range(first, first + count):
        whole_case = make(random_recipe(seed), cache)
        whole_light = correct_light(whole_case.canvas, whole_case.moved, blank=whole_case.blank)
        for off in variants(seed):
            case = made_off(whole_case, off)
            glare = find_glare(case.canvas, case.reference)
            hidden = millimetres(glare.withheld, case.true_fault.shape) > 0.5
            wanted, *true_ends = truth(case, off)
            pictures += 1
            for source in SOURCES:
                light = whole_light if source == "known" else correct_light(
                    case.canvas, case.moved, blank=case.blank if source == "blank" else None, withheld=glare.withheld
                )  # fmt: skip
                found = compare(case, light, glare)
                said = found.relations
                verdict = judged_words(said, wanted, true_ends)
                table[source][f"{off.name:18s} {wanted or 'between':9s} {said.whole:18s} {verdict}"] += 1
                verdicts[source][verdict] += 1
                right = verdict == "true"
                if said.whole in (Whole.CONTRAST, Whole.LEVEL):
                    by = (said.darks_steps - true_ends[0], said.lights_steps - true_ends[2])
                    ends[source] += [abs(v) for v in by] if said.ends_known else [abs(by[1] - by[0])]
                judged = told_faults(case, off)
                as_areas = replace(found, areas=tuple(merged(p, case) for p in found.passages))
                score = judge(judged, as_areas, hidden)
                scores[source].add(score)
                if score.missed or score.false or not right:
                    at = (said.darks_steps, said.level_steps, said.lights_steps)
                    print(seed, case.name, off, source, said.say(len(found.passages)), flush=True)
                    print(f"   true {np.round(true_ends, 2)} said {np.round(at, 2)} ± {said.level_uncertainty:.2f}")
                    print("   missed", [(round(s, 1), round(a)) for s, a in score.missed], "false", score.false)
                doubt += _doubts(judged, found, hidden)
    for source, counted in table.items():
        print(f"\n{source}: what is, what shall be said, what is said")
        for line, number in sorted(counted.items()):
            print(f"  {line:58s} {number}")
        print(f"  {dict(verdicts[source])}")
        if ends[source]:
            print(f"  ends off by (mean, 90 %): {np.mean(ends[source]):.2f} {np.percentile(ends[source], 90):.2f}")
        s = scores[source]
        share = s.found / max(1, s.faults)
        print(f"  found {s.found} of {s.faults} ({share:.1%}), false {s.false / pictures:.2f} a picture")
        print(f"  steps within 0.3: {(np.abs(s.steps_off) <= 0.3).mean():.0%}")
    area, area_doubt, steps, steps_doubt = np.array(doubt).T
    for name, off_by, told in (("area", area, area_doubt), ("steps", steps, steps_doubt)):
        at = np.percentile(off_by / told, 90)
        print(f"{name}: within what is stated {(off_by <= told).mean():.0%}; 90 % at {at:.2f} of it")


def _doubts(case: Case, found: ValueComparison, hidden: np.ndarray) -> list[tuple[float, float, float, float]]:
    """Error and stated uncertainty of area (cm²) and steps, of each passage made of one area that is one fault."""
    rows = []
    for mask in true_areas(case):
        if hidden[mask].mean() > 0.02:
            continue
        steps = float(np.median(case.true_fault[mask]))
        y, x = (float(v.mean()) + 0.5 for v in np.nonzero(mask))
        near = [p for p in found.passages if np.hypot(p.x_mm - x, p.y_mm - y) < 10 and p.beside_whole * steps > 0]
        if len(near) == 1 and len(near[0].areas) == 1:
            passage = near[0]
            rows.append(
                (
                    abs(passage.area_cm2 - mask.sum() / 100),
                    passage.area_uncertainty_cm2,
                    abs(passage.beside_whole - steps),
                    passage.steps_uncertainty,
                )
            )
    return rows


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 24,
        int(given[1]) if len(given) > 1 else 0,
        Path(given[2]) if len(given) > 2 else Path.home() / ".cache" / "easelside-measure",
    )
