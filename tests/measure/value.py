"""How well the light is taken out and value faults are found: a sweep over paintings whose truth is known.

    python -m tests.measure.value [cases] [first] [cache folder]

Each is painted stroke by stroke, photographed at 12 megapixels as a JPEG and laid flat with its true corners.
"""

import sys
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.tone import value_of_linear
from core.value.compare import ValueComparison, compare_values
from core.value.glare import Glare, find_glare
from core.value.light import LightCorrection, correct_light
from tests.core.value.cases import Case, make, random_recipe

Map = NDArray[np.floating]


@dataclass
class Found:
    """Faults of the truth against areas found."""

    faults: int = 0
    found: int = 0
    false: int = 0
    size_off: list[float] = field(default_factory=list)
    centre_off_mm: list[float] = field(default_factory=list)
    steps_off: list[float] = field(default_factory=list)
    missed: list[tuple[float, float]] = field(default_factory=list)

    def add(self, other: "Found") -> None:
        self.faults += other.faults
        self.found += other.found
        self.false += other.false
        for name in ("size_off", "centre_off_mm", "steps_off", "missed"):
            getattr(self, name).extend(getattr(other, name))


def millimetres(picture: Map, shape: tuple[int, ...]) -> Map:
    return cv2.resize(picture.astype(np.float32), shape[::-1], interpolation=cv2.INTER_AREA)


def light_error(case: Case, light: LightCorrection) -> Map:
    """Corrected less true Munsell value on the 1 mm grid; NaN under glare and where the photo is clipped."""
    canvas = millimetres(case.canvas.linear, case.true_value.shape)
    error = value_of_linear(light.apply(canvas)) - case.true_value
    hidden = (case.glare_light > 0.003) | (canvas.max(axis=2) > 0.97)
    return np.where(hidden, np.nan, error)


def covered(light: LightCorrection, error: Map) -> tuple[float, float]:
    """Share of places whose error lies within the one stated uncertainty, and within the map of it."""
    known = np.isfinite(error)
    within = cv2.resize(light.uncertainty_map, error.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return (
        float((np.abs(error) <= light.uncertainty_steps)[known].mean()),
        float((np.abs(error) <= within)[known].mean()),
    )


def glare_score(case: Case, glare: Glare) -> tuple[float, float]:
    """Recall of places that glare lightens by over 0.3 step; precision against those it lightens at all (0.02)."""
    from core.colorimetry import luminance_of_value, munsell_value

    brightest = 1.5  # of the light on these canvases: there glare adds least
    effect = munsell_value(luminance_of_value(case.true_value) + case.glare_light / brightest) - case.true_value
    hidden = millimetres(glare.withheld, effect.shape) > 0.5
    strong = effect > 0.3
    return (
        float(hidden[strong].mean()) if strong.any() else np.nan,
        float((effect > 0.02)[hidden].mean()) if hidden.any() else np.nan,
    )


def true_areas(case: Case, least_steps: float = 0.7, least_cm2: float = 8.0) -> list[NDArray[np.bool_]]:
    """Faults as they stand on the canvas, each a mask where it is at least half as strong as at its middle.

    Weakened where black or white paint cut it short; those then below the least are none.
    """
    masks = []
    h, w = case.true_fault.shape
    y, x = np.mgrid[0:h, 0:w] + 0.5
    for fault in case.faults:
        inside = np.hypot((x - fault.x_mm) / fault.radius_x_mm, (y - fault.y_mm) / fault.radius_y_mm) <= 1
        steps = float(np.median(case.true_fault[inside])) if inside.any() else 0.0
        inside &= case.true_fault * np.sign(steps) >= abs(steps) / 2
        if inside.sum() / 100 >= least_cm2 and abs(steps) >= least_steps - 0.02:
            masks.append(inside)
    return masks


def all_faults(case: Case) -> NDArray[np.bool_]:
    return np.abs(case.true_fault) > 0.3


def judge(case: Case, comparison: ValueComparison, hidden: NDArray[np.bool_]) -> Found:
    """Match areas to faults: an area belongs to the fault it shares most with."""
    score = Found()
    shape = case.true_fault.shape
    masks = true_areas(case)
    areas = []
    for area in comparison.areas:
        mask = np.zeros(shape, np.uint8)
        cv2.fillPoly(mask, [np.rint(area.outline_mm - 0.5).astype(np.int32).reshape(-1, 1, 2)], 1)
        areas.append(mask > 0)
    for mask in masks:
        if hidden[mask].mean() > 0.4:
            continue
        score.faults += 1
        steps = float(np.median(case.true_fault[mask]))
        same = [k for k, a in enumerate(comparison.areas) if np.sign(a.steps) == np.sign(steps)]
        best = max(same, key=lambda k: (areas[k] & mask).sum(), default=None)
        if best is None or (areas[best] & mask).sum() < 0.4 * mask.sum():
            score.missed.append((steps, float(mask.sum() / 100)))
            continue
        score.found += 1
        area = comparison.areas[best]
        rows, cols = np.nonzero(mask & ~hidden)
        score.size_off.append(float(area.area_cm2 / ((mask & ~hidden).sum() / 100) - 1))
        score.centre_off_mm.append(float(np.hypot(area.x_mm - cols.mean() - 0.5, area.y_mm - rows.mean() - 0.5)))
        score.steps_off.append(area.steps - steps)
    real = all_faults(case)
    score.false = sum(float(real[mask].mean()) < 0.3 for mask in areas if mask.any())
    return score


def compare(case: Case, light: LightCorrection, glare: Glare, *, moved: bool = True) -> ValueComparison:
    wanted = value_of_linear(case.reference.linear)
    return compare_values(
        wanted,
        value_of_linear(light.apply(case.canvas.linear)),
        px_per_mm=case.canvas.px_per_mm,
        moved_reference_value=value_of_linear(case.moved.linear) if moved else None,
        withheld=glare.withheld,
        uncertainty_steps=light.uncertainty_steps,
        level_known=light.level_known,
    )


def main(count: int, first: int, cache: Path) -> None:
    head = "case            blank: mae  bias  ±    within | fit: mae   p95   ±    within | glare: recall prec |"
    print(head, "found/faults false (blank; fit)")
    total = {"blank": Found(), "fit": Found()}
    rows = []
    for seed in range(first, first + count):
        case = make(random_recipe(seed), cache)
        glare = find_glare(case.canvas, case.reference)
        row, said = [], []
        for source in ("blank", "fit"):
            blank = case.blank if source == "blank" else None
            light = correct_light(case.canvas, case.moved, blank=blank, withheld=glare.withheld)
            error = light_error(case, light)
            bias = float(np.nanmedian(error))
            relative = error - bias if source == "fit" else error
            row += [np.nanmean(np.abs(relative)), bias if source == "blank" else np.nanpercentile(np.abs(relative), 95)]
            row += [light.uncertainty_steps, covered(light, error)[0]]
            comparison = compare(case, light, glare)
            score = judge(case, comparison, millimetres(glare.withheld, error.shape) > 0.5)
            total[source].add(score)
            said.append(f"{score.found}/{score.faults} {score.false}")
            if score.missed:
                said.append(str([(round(s, 1), round(a)) for s, a in score.missed]))
        row += glare_score(case, glare)
        rows.append(row)
        print(f"{seed:3d} {case.name:10s}" + "".join(f"{v:7.3f}" for v in row), "|", "; ".join(said), flush=True)
    print("mean          " + "".join(f"{v:7.3f}" for v in np.nanmean(np.array(rows, dtype=float), axis=0)))
    for source, score in total.items():
        size, centre, steps = (np.abs(v) for v in (score.size_off, score.centre_off_mm, score.steps_off))
        print(
            f"{source}: found {score.found} of {score.faults} ({score.found / max(score.faults, 1):.0%}), "
            f"{score.false / len(rows):.2f} false a picture; size within 30 %: {(size <= 0.3).mean():.0%}, "
            f"centre within 10 mm: {(centre <= 10).mean():.0%}, steps within 0.3: {(steps <= 0.3).mean():.0%} "
            f"(mean {np.mean(score.size_off):+.2f}, {centre.mean():.1f} mm, {np.mean(score.steps_off):+.2f})"
        )


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 24,
        int(given[1]) if len(given) > 1 else 0,
        Path(given[2]) if len(given) > 2 else Path.home() / ".cache" / "easelside-measure",
    )
