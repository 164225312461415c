"""How well warmth is read and temperature faults are found: a sweep over paintings whose truth is known.

    python -m tests.measure.temperature [cases] [cache folder]

Each is painted stroke by stroke, photographed at 12 megapixels as a JPEG in uneven light with a cast of 15 %, and laid
flat with its true corners; its light is then taken out by a blank, by fit, or not at all. The numbers in the code were
tuned on the first seeds; those kept apart come after them, half as many.
"""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, luminance_of_value, munsell_value, rgb_from_xyz, xyz_from_lab
from core.temperature.cast import cast_of, weighted
from core.temperature.compare import WarmthComparison, compare_warmth
from core.temperature.families import families_of
from core.temperature.lamps import two_lights
from core.temperature.passages import WarmthPassage, find_passages
from core.temperature.picture import lean_picture, warmth_picture
from core.temperature.pins import read_pin
from core.temperature.surround import relative_warmth
from core.temperature.warmth import WarmthWords, lab_map, warmth
from tests.core.temperature import scenes
from tests.core.temperature.cases import Case, lit, make, random_faults, recipe_of, shifted
from tests.core.value import cases as value_cases
from tests.studio.painter import grid_mm

Map = NDArray[np.floating]
KEPT_APART = 100
LEAST, SMALLEST_CM2 = 7.0, 8.0


@dataclass
class Found:
    """Faults of the truth against passages found, and the map against the truth."""

    pictures: int = 0
    faults: int = 0
    found: int = 0
    false: int = 0
    amount_off: list[float] = field(default_factory=list)
    within: list[bool] = field(default_factory=list)
    size_off: list[float] = field(default_factory=list)
    centre_off_mm: list[float] = field(default_factory=list)
    signs: list[float] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    within_one: list[float] = field(default_factory=list)

    def __str__(self) -> str:
        size, centre, off = (
            np.abs(v) for v in (self.size_off or [1], self.centre_off_mm or [0], self.amount_off or [0])
        )
        return (
            f"found {self.found:3d} of {self.faults:3d}, {self.false / max(self.pictures, 1):.2f} false a picture; "
            f"sign {np.mean(self.signs):.3f} (worst {np.min(self.signs):.3f}); error of T {np.mean(self.errors):.2f}, "
            f"within 1 {np.mean(self.within_one):.0%}; "
            f"amount off {np.mean(off):.2f}, {np.mean(self.within or [0]):.0%} within ±; "
            f"size within 30 % {np.mean(size <= 0.3):.0%}, centre {np.mean(centre):.1f} mm"
        )


def true_areas(truth: Map) -> list[tuple[NDArray[np.bool_], float]]:
    """Faults as they stand on the canvas: a mask where it is at least half as strong as on its plateau, and that."""
    soft = cv2.GaussianBlur(truth.astype(np.float32), (0, 0), 2)
    answer = []
    for sign in (-1, 1):
        number, labels = cv2.connectedComponents((sign * soft > LEAST / 2).astype(np.uint8))
        for label in range(1, number):
            amount = float(np.median(soft[labels == label]))
            mask = (labels == label) & (sign * soft >= abs(amount) / 2)
            if mask.sum() / 100 >= SMALLEST_CM2 and abs(amount) >= LEAST:
                answer.append((mask, amount))
    return answer


def judge(
    truth: Map, passages: tuple[WarmthPassage, ...], difference: Map, score: Found, *, hidden: NDArray[np.bool_]
) -> None:
    """Match passages to faults: a passage belongs to the fault it shares most with. All on a 1 mm grid."""
    soft = cv2.GaussianBlur(truth.astype(np.float32), (0, 0), 2)
    masks = []
    for passage in passages:
        mask = np.zeros(truth.shape, np.uint8)
        cv2.fillPoly(mask, [np.rint(passage.outline_mm - 0.5).astype(np.int32).reshape(-1, 1, 2)], 1)
        masks.append(mask > 0)
    for mask, amount in true_areas(truth):
        if hidden[mask].mean() > 0.4:
            continue
        score.faults += 1
        same = [k for k, p in enumerate(passages) if np.sign(p.amount) == np.sign(amount)]
        best = max(same, key=lambda k: (masks[k] & mask).sum(), default=None)
        if best is None or (masks[best] & mask).sum() < 0.4 * mask.sum():
            continue
        score.found += 1
        passage = passages[best]
        off = passage.amount - _plateau(soft, masks[best])
        score.amount_off.append(off)
        score.within.append(abs(off) <= passage.uncertainty)
        score.size_off.append(float(passage.area_cm2 / (mask.sum() / 100) - 1))
        rows, columns = np.nonzero(mask)
        score.centre_off_mm.append(
            float(np.hypot(passage.x_mm - columns.mean() - 0.5, passage.y_mm - rows.mean() - 0.5))
        )
    score.false += sum(float((np.abs(soft) > 2)[mask].mean()) < 0.3 for mask in masks if mask.any())
    score.pictures += 1
    told = np.isfinite(difference) & ~hidden
    large = told & (np.abs(soft) >= 4)
    if large.any():
        score.signs.append(float((np.sign(difference) == np.sign(soft))[large].mean()))
    error = np.abs(difference - soft)[told]
    score.errors.append(float(error.mean()))
    score.within_one.append(float((error <= 1.0).mean()))


def _plateau(soft: Map, mask: NDArray[np.bool_]) -> float:
    """The truth of the inner half of a passage: paint that screens cannot show cuts a fault short in parts."""
    depth = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3)
    return float(np.median(soft[mask & (depth >= np.median(depth[mask]))]))


def millimetres(picture: Map, like: Map) -> Map:
    return np.asarray(cv2.resize(picture.astype(np.float32), like.shape[::-1], interpolation=cv2.INTER_AREA))


def compare(case: Case, canvas: Map, hidden: NDArray[np.bool_]) -> WarmthComparison:
    return compare_warmth(
        case.reference.linear,
        canvas,
        px_per_mm=case.canvas.px_per_mm,
        moved_reference_linear=case.moved.linear,
        withheld=hidden,
    )


def score_of(case: Case, canvas: Map, withheld: NDArray[np.bool_], score: Found, truth: Map | None = None) -> None:
    truth = case.true_fault if truth is None else truth
    comparison = compare(case, canvas, withheld)
    hidden = millimetres(withheld, truth) > 0.5
    judge(truth, comparison.passages, millimetres(comparison.difference, truth), score, hidden=hidden)


def score_by_surround(case: Case, canvas: Map, withheld: NDArray[np.bool_], score: Found, size_mm: float) -> None:
    """The other way: each picture against its own Gaussian surround, then the one less the other."""
    px_per_mm = case.canvas.px_per_mm / 2
    wanted, seen, known = _reduced(case, canvas, withheld)
    told = [relative_warmth(warmth(p), size_mm, px_per_mm=px_per_mm, withheld=~known) for p in (wanted, seen)]
    off = cv2.GaussianBlur(np.nan_to_num(told[1] - told[0]), (0, 0), 2 * px_per_mm)
    _judge_map(case, off, known, withheld, score)


def score_as_it_stands(case: Case, canvas: Map, withheld: NDArray[np.bool_], score: Found) -> None:
    """T less T where the cast was taken out, the canvas not brought to the reference's luminance."""
    sigma = case.canvas.px_per_mm
    wanted, seen, known = _reduced(case, canvas, withheld)
    trust = known.astype(np.float32)
    off = warmth(seen / cast_of(wanted, seen, trust, sigma).gains) - warmth(wanted)
    _judge_map(case, weighted(off, trust, sigma), known, withheld, score)


def _reduced(case: Case, canvas: Map, withheld: NDArray[np.bool_]) -> tuple[Map, Map, NDArray[np.bool_]]:
    small = (round(canvas.shape[1] / 2), round(canvas.shape[0] / 2))
    wanted, seen = (cv2.resize(p, small, interpolation=cv2.INTER_AREA) for p in (case.moved.linear, canvas))
    return wanted, seen, cv2.resize(withheld.astype(np.float32), small, interpolation=cv2.INTER_AREA) < 0.01


def _judge_map(case: Case, off: Map, known: NDArray[np.bool_], withheld: NDArray[np.bool_], score: Found) -> None:
    passages = find_passages(
        np.where(known, off, np.float32(np.nan)),
        px_per_mm=case.canvas.px_per_mm / 2,
        uncertainty=1.0,
        smallest_cm2=4.0,
        words=WarmthWords(),
    )
    truth = case.true_fault
    judge(truth, passages, millimetres(off, truth), score, hidden=millimetres(withheld, truth) > 0.5)


def value_faults(case: Case, seed: int, canvas: Map) -> Map:
    """The canvas with passages too dark or too light besides, 0.7 to 2 steps over 15 % of it."""
    recipe = value_cases.Recipe(seed + 900, size_mm=(case.size.width_mm, case.size.height_mm), fault_share=0.15)
    x, y = grid_mm(case.size, case.canvas.px_per_mm)
    steps = sum(fault.at(x, y) for fault in value_cases.random_faults(recipe))
    light = canvas @ LUMINANCE
    gain = luminance_of_value(np.clip(munsell_value(light) + steps, 0.3, 9.6)) / np.maximum(light, 1e-4)
    return (canvas * gain[..., None]).astype(np.float32)


def one_sided(case: Case, seed: int, canvas: Map, share: float) -> tuple[Map, Map]:
    """The canvas with ``share`` of it 9 of T off to one side besides, and the truth of that."""
    rng = np.random.default_rng(seed)
    clouds = cv2.GaussianBlur(rng.normal(size=case.true_fault.shape).astype(np.float32), (0, 0), 30)
    inside = cv2.GaussianBlur((clouds > np.quantile(clouds, 1 - share)).astype(np.float32), (0, 0), 1.5)
    off = cv2.resize(9 * rng.choice([-1, 1]) * inside, canvas.shape[1::-1]).astype(np.float32)
    changed = shifted(canvas, off)
    return changed, case.true_fault + millimetres(warmth(changed) - warmth(canvas), case.true_fault)


def duller(canvas: Map) -> Map:
    """The canvas with a fifth of its chroma gone."""
    colour = lab_map(canvas).astype(np.float64)
    colour[..., 1:] *= 0.8
    return rgb_from_xyz(xyz_from_lab(colour)).astype(np.float32)


def sweep(seeds: list[int], cache: Path, title: str) -> None:
    scores: dict[str, Found] = {}
    ratios: list[tuple[float, float]] = []
    notes: dict[str, int] = {"right light": 0, "mixed light": 0}
    for seed in seeds:
        recipe = recipe_of(seed)
        case = make(recipe, random_faults(recipe), cache)
        for name, canvas, withheld in _taken_out(case):
            score_of(case, canvas, withheld, scores.setdefault(f"light {name}", Found()))
            if name != "by blank":
                continue
            for label, gains in scenes.white_balance_errors(800).items():
                score_of(case, canvas * gains, withheld, scores.setdefault(f"white balance {label}", Found()))
                for size in (20.0, 40.0):
                    named = scores.setdefault(f"surround of {size:.0f} mm, {label}", Found())
                    score_by_surround(case, canvas * gains, withheld, named, size)
            mixed = (canvas * scenes.mixed_light(case.size, seed, canvas.shape)).astype(np.float32)
            score_of(case, mixed, withheld, scores.setdefault("mixed light", Found()))
            notes["right light"] += any("two colours" in note for note in compare(case, canvas, withheld).notes)
            notes["mixed light"] += any("two colours" in note for note in compare(case, mixed, withheld).notes)
            spoilt = value_faults(case, seed, canvas)
            score_of(case, spoilt, withheld, scores.setdefault("with value faults", Found()))
            score_as_it_stands(case, spoilt, withheld, scores.setdefault("as it stands, value faults", Found()))
            unlit = case.canvas.linear
            score_as_it_stands(case, unlit, withheld, scores.setdefault("as it stands, light left in", Found()))
            ratios.append(
                (compare(case, canvas, withheld).chroma_ratio, compare(case, duller(canvas), withheld).chroma_ratio)
            )
            for share in (0.2, 0.35, 0.45):
                changed, truth = one_sided(case, seed, canvas, share)
                score_of(case, changed, withheld, scores.setdefault(f"one-sided {share:.0%}", Found()), truth)
        print(f"  {seed} {case.name}", file=sys.stderr, flush=True)
    print(f"{title}: seeds {seeds}")
    for name, score in scores.items():
        print(f"  {name:28s} {score}")
    print("  light of two colours told of: " + ", ".join(f"{k} {v} of {len(seeds)}" for k, v in notes.items()))
    right, dull = np.array(ratios).T
    print(
        f"  strength of colour: right {right.min():.2f} to {right.max():.2f}; "
        f"of 0.80 {dull.min():.2f} to {dull.max():.2f}"
    )


def _taken_out(case: Case) -> Iterator[tuple[str, Map, NDArray[np.bool_]]]:
    canvas, _, withheld = lit(case, by_blank=True)
    yield "by blank", canvas, withheld
    yield "by fit", lit(case, by_blank=False)[0], withheld
    yield "not taken out", case.canvas.linear, withheld


def pins(seeds: range) -> None:
    """Share of discs whose T lies within what is stated of the passage's own T, by the size of the brush marks."""
    for mark in (0.5, 1.0, 2.0):
        by_parts, by_pixels, stated = [], [], []
        for seed in seeds:
            linear, true = scenes.broken_colour(seed, mark_mm=mark)
            for x in range(15, 140, 30):
                for y in range(12, 95, 28):
                    pin = read_pin(linear, x, y, px_per_mm=4.0)
                    assert pin is not None
                    by_parts.append(abs(pin.warmth - true) <= pin.uncertainty)
                    by_pixels.append(abs(pin.warmth - true) <= scenes.pixel_uncertainty(linear, x, y))
                    stated.append(pin.uncertainty)
        print(
            f"  marks of {mark} mm: {np.mean(by_parts):.0%} of {len(by_parts)} within ± {np.mean(stated):.1f}; "
            f"by the scatter of pixels {np.mean(by_pixels):.0%}"
        )


def families(seeds: range) -> None:
    """Share of pictures whose difference of the families lies within what is stated; places in the wrong family."""
    within, by_pixels, wrong, plain = [], [], [], []
    for seed in seeds:
        scene = scenes.two_families(seed)
        found = families_of(scene.linear, px_per_mm=1.0, balance=scenes.BALANCED)
        within.append(abs(found.difference - scene.difference) <= found.uncertainty)
        by_pixels.append(abs(found.difference - scene.difference) <= scenes.pixel_families(scene))
        wrong.append(float((found.in_light != scene.in_light).mean()))
        alone = families_of(scene.linear, px_per_mm=1.0, band_value=0.0)
        plain.append(float((alone.in_light != scene.in_light).mean()))
    print(
        f"  {np.mean(within):.0%} of {len(within)} pictures within ±, "
        f"by the scatter of pixels {np.mean(by_pixels):.0%}; "
        f"in the wrong family {np.mean(wrong):.2%} of places, with one threshold {np.mean(plain):.2%}"
    )


def lamps(turns: range) -> None:
    one = two = total = 0
    pictures = scenes.photographs()
    for picture in pictures.values():
        one += two_lights(picture, families_of(picture, px_per_mm=2.0).in_light, px_per_mm=2.0)
        for turn in turns:
            for kind in range(len(scenes.LAMPS)):
                lit_by_two = scenes.two_lamps(picture, kind, seed=10 * turn + kind + 1)
                two += two_lights(lit_by_two, families_of(lit_by_two, px_per_mm=2.0).in_light, px_per_mm=2.0)
                total += 1
    print(f"  seen in {two} of {total} lit by two lamps, in {one} of {len(pictures)} as they are")


def timings() -> None:
    rng = np.random.default_rng(0)
    large = rng.random((3000, 4000, 3), dtype=np.float32)
    seen = cv2.GaussianBlur(large[:1732, :2309], (0, 0), 8)
    seen = np.clip(0.3 + 6 * (seen - seen.mean()), 0.01, 0.95).astype(np.float32)
    t = warmth(seen)
    jobs: dict[str, Callable[[], object]] = {
        "warmth, 12 MP": lambda: warmth(large),
        "relative warmth, 4 MP": lambda: relative_warmth(t, px_per_mm=4.0),
        "compared, 4 MP": lambda: compare_warmth(seen, seen * np.float32(0.9), px_per_mm=4.0),
        "families, 4 MP": lambda: families_of(seen, px_per_mm=4.0),
        "picture, 4 MP": lambda: warmth_picture(t),
        "lean picture, 4 MP": lambda: lean_picture(seen),
        "pin": lambda: read_pin(seen, 200, 150, px_per_mm=4.0),
    }
    for name, job in jobs.items():
        best = np.inf
        for _ in range(3):
            start = time.process_time()
            job()
            best = min(best, time.process_time() - start)
        print(f"  {name:24s} {1000 * best:8.1f} ms")


def main(count: int, cache: Path) -> None:
    sweep(list(range(count)), cache, "tuned on")
    sweep([KEPT_APART + k for k in range((count + 1) // 2)], cache, "kept apart")
    for title, first in (("tuned on", 0), ("kept apart", 1000)):
        print(f"pins, {title}:")
        pins(range(first, first + 30))
        print(f"families, {title}:")
        families(range(first, first + 150))
    print("two lamps, tuned on:")
    lamps(range(1))
    print("two lamps, kept apart:")
    lamps(range(1, 4))
    print("processor time:")
    timings()


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 10,
        Path(given[1]) if len(given) > 1 else Path.home() / ".cache" / "easelside-measure",
    )
