"""How well the canvas is found by its corner tabs, on simulated photos whose truth is known.

    python -m tests.measure.tabs [photos] [first seed]

Tabs of 30 mm stuck by eye beside a canvas of 400 × 300 mm, a photo to set them up by and another one to find the canvas
in, from elsewhere, with a hand, an arm or the painter over part of it; lenses with k1 up to ± 0.06. Errors are those of
the canvas's corners, mm on the canvas; "told" is how many photos lie within the uncertainty, and within twice.
"""

import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace

import cv2
import numpy as np
import skimage.data

from core.canvas.canvas_map import CanvasMap, grid_mm, project
from core.canvas.distortion import bend, straighten
from core.canvas.given import lens_of, trace_given
from core.canvas.tab_find import _seen, find_tabs
from core.canvas.tab_fix import TabFix, fix_by_tabs
from core.canvas.tabs import FoundTab, TabSetup, set_up, set_up_measured
from core.errors import CanvasError
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import tabbed as t

SIZE = Size(400, 300)
SUBSETS = {
    "4 tabs": [(0, 1, 2, 3)],
    "3 tabs": [(0, 1, 2), (1, 2, 3), (0, 2, 3), (0, 1, 3)],
    "2 adjacent": [(0, 1), (1, 2), (2, 3), (0, 3)],
    "2 opposite": [(0, 2), (1, 3)],
}
FRAMES = {"12 MP": (4000, 3000), "1080p": (1920, 1080)}


class Errors:
    """Corner errors and how they compare with the uncertainty told, by what was done."""

    def __init__(self) -> None:
        self.corners: dict[str, list[float]] = defaultdict(list)
        self.told: dict[str, list[float]] = defaultdict(list)
        self.sigma: dict[str, list[float]] = defaultdict(list)

    def add(self, name: str, corners_px: np.ndarray, true: CanvasMap, fix: TabFix | None = None) -> None:
        face = grid_mm(SIZE, 2)[[0, 1, 3, 2]]
        self.corners[name] += np.linalg.norm(true.px_to_mm(corners_px) - face, axis=1).tolist()
        if fix is not None:
            places = grid_mm(SIZE, 5)
            here = CanvasMap(corners_px, SIZE, true.width, true.height, fix.k1)
            off = here.px_to_mm(true.mm_to_px(places)) - places
            self.told[name].append(float(np.sqrt((off**2).sum(axis=1).mean())) / fix.uncertainty_mm)
            self.sigma[name].append(fix.uncertainty_mm)

    def print(self) -> None:
        for name, off in self.corners.items():
            told = np.array(self.told.get(name, []))
            words = (
                f"   told {np.mean(told < 1):4.0%} {np.mean(told < 2):4.0%}, {np.median(self.sigma[name]):.3f} mm"
                if len(told)
                else ""
            )
            print(f"  {name:58s} median {np.median(off):6.3f}  95 % {np.quantile(off, 0.95):6.3f} mm{words}")


def case(seed: int, width: int, height: int) -> tuple[t.Scene, t.View, t.View, t.Scene]:
    """Scene and view of the photo for setting up, and of another with something in front."""
    rng = np.random.default_rng(seed)
    k1 = float(rng.uniform(-0.06, 0.06))
    scene = t.Scene(tabs=t.random_tabs(rng), picture=("coffee", "chelsea", "astronaut", "rocket")[seed % 4])
    first = replace(t.random_view(rng, width=width, height=height, seed=2 * seed, k1=k1), exposure=0.9, noise=0.005)
    second = t.random_view(rng, width=width, height=height, seed=2 * seed + 1, k1=k1)
    if seed % 3 == 0:
        second = replace(second, shake_px=float(rng.uniform(1, 5)) * width / 4000, shake_deg=float(rng.uniform(0, 180)))
    at = (float(rng.uniform(80, 300)), float(rng.uniform(60, 200)))
    before = ((), (t.hand(at),), (), (t.painter_over(at[0] + 60),))[seed % 4]
    return scene, first, second, replace(scene, covers=before)


def truth(scene: t.Scene, view: t.View) -> CanvasMap:
    return CanvasMap(t.corners_px(scene, view), SIZE, view.width, view.height, view.k1)


def setups(scene: t.Scene, view: t.View, seed: int) -> dict[str, tuple[TabSetup, float, float]]:
    """By how the canvas's corners were known: the set-up, and the lens with its standard deviation."""
    photo = t.photograph(scene, view)
    found = find_tabs(photo)
    rng = np.random.default_rng(seed)
    true = t.corners_px(scene, view)
    told = {"true corners": (set_up(found, true, SIZE, lens_k1=view.k1), view.k1, 0.001)}
    by_hand = true + rng.normal(0, 2.0, (4, 2))
    traced = trace_given(photo, by_hand)
    if traced is not None:
        lens = lens_of(traced)
        off = 2 * float(traced.uncertainty_px.max()) / (view.width / 650)
        told["snapped outline"] = (
            set_up(found, traced.corners_px, SIZE, lens_k1=lens.k1, uncertainty_mm=off),
            lens.k1,
            lens.sigma,
        )
    distances = {tab.corner: tuple(np.array(tab.out_mm) + rng.normal(0, 0.5, 2)) for tab in scene.tabs}
    told["ruler"] = (set_up_measured(distances, SIZE), view.k1, 0.004)
    return told


def every(found: tuple[FoundTab, ...]) -> Iterator[tuple[str, list[FoundTab]]]:
    seen = {tab.corner: tab for tab in found}
    for name, choices in SUBSETS.items():
        for choice in choices:
            if set(choice) <= set(seen):
                yield name, [seen[corner] for corner in choice]


def plain(tabs: list[FoundTab], setup: TabSetup, k1: float, true: CanvasMap) -> np.ndarray:
    """The homography of all corners, and nothing else."""
    mm = np.concatenate([setup.tabs[tab.corner] for tab in tabs])
    px = straighten(np.concatenate([tab.corners_px for tab in tabs]), k1, true.width, true.height)
    matrix, _ = cv2.findHomography(mm.reshape(-1, 1, 2), px.reshape(-1, 1, 2), 0)
    return bend(project(np.asarray(matrix), grid_mm(SIZE, 2)[[0, 1, 3, 2]]), k1, true.width, true.height)


def by_subpix(photo: Photo, scene: t.Scene, view: t.View) -> dict[str, list[float]]:
    """How far off corners of the tabs are by cornerSubPix and as they are found here, px."""
    off: dict[str, list[float]] = defaultdict(list)
    linear = photo.linear()[..., 1]
    grey = photo.grey()
    for corner, four in _seen(photo, 1 / max(1, round(max(photo.width, photo.height) / 1000))):
        true = t.tab_px(scene, view, scene.tabs[corner])
        window = int(np.clip(0.3 * np.linalg.norm(four[1] - four[0]) / 7, 3, 12))
        for name, picture in (("cornerSubPix, encoded", grey), ("cornerSubPix, linear", np.ascontiguousarray(linear))):
            criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.001)
            start = four.astype(np.float32).reshape(-1, 1, 2).copy()
            moved = np.asarray(cv2.cornerSubPix(picture, start, (window, window), (-1, -1), criteria)).reshape(4, 2)
            off[name] += np.linalg.norm(moved - true, axis=1).tolist()
    for tab in find_tabs(photo):
        true = t.tab_px(scene, view, scene.tabs[tab.corner])
        off["lines through the sides"] += np.linalg.norm(tab.corners_px - true, axis=1).tolist()
        off["the same, over what is told"] += (
            np.linalg.norm(tab.corners_px - true, axis=1) / tab.sigma_px / np.sqrt(2)
        ).tolist()
    return off


def accuracy(frame: str, seeds: range) -> None:
    width, height = FRAMES[frame]
    ways, corners, missed, shown = Errors(), defaultdict(list), 0, 0
    for seed in seeds:
        scene, first, second, covered = case(seed, width, height)
        told = setups(scene, first, seed)
        photo = t.photograph(covered, second)
        true = truth(scene, second)
        found = find_tabs(photo)
        missed, shown = missed + 4 - len(found), shown + 4
        for name, off in by_subpix(photo, scene, second).items():
            corners[name] += off
        for how, (setup, k1, sigma) in told.items():
            for count, tabs in every(found):
                try:
                    fix = fix_by_tabs(tabs, setup, lens_k1=k1, lens_sigma=sigma)
                except CanvasError:
                    ways.told[f"{how}, {count}: refused"].append(1.0)
                    continue
                ways.add(f"{how}, {count}", fix.corners_px, true, fix)
                if how != "true corners":
                    continue
                fix = fix_by_tabs(tabs, setup)
                ways.add(f"{how}, {count}, lens not known", fix.corners_px, true, fix)
                ways.add(f"{how}, {count}, plain homography, lens known", plain(tabs, setup, k1, true), true)
                ways.add(f"{how}, {count}, plain homography, no lens", plain(tabs, setup, 0.0, true), true)
    print(f"{frame}, {len(seeds)} photos; tabs not found {missed} of {shown} (covered or out of the picture or not)")
    for name, off in corners.items():
        print(f"  tab corners, {name:45s} median {np.median(off):6.3f}  95 % {np.quantile(off, 0.95):6.3f}")
    ways.print()
    for name in ways.told:
        if name.endswith("refused"):
            print(f"  {name} {len(ways.told[name])}")


def jitter(seed: int, frames: int = 30) -> None:
    scene, first, _, _ = case(seed, 1920, 1080)
    view = replace(first, noise=0.008, exposure=0.7)
    setup = set_up(find_tabs(t.photograph(scene, first)), t.corners_px(scene, first), SIZE, lens_k1=view.k1)
    still, true = t.light_of(scene, view), truth(scene, view)
    places: dict[str, list[np.ndarray]] = defaultdict(list)
    for number in range(frames):
        found = find_tabs(Photo(cv2.merge([t.pixels(scene, view, still, number)] * 3), srgb_curve()))
        seen = {tab.corner: tab for tab in found}
        for name, choice in (("4 tabs", (0, 1, 2, 3)), ("2 adjacent", (0, 3)), ("2 opposite", (0, 2))):
            fix = fix_by_tabs([seen[c] for c in choice], setup, lens_k1=view.k1)
            places[name].append(true.px_to_mm(fix.corners_px))
    for name, told in places.items():
        about = np.array(told) - np.mean(told, axis=0)
        print(f"  {name:12s} {np.sqrt((about**2).sum(axis=2).mean()):.4f} mm RMS")


def moved(seeds: range, by_mm: float, frame: str) -> None:
    """One tab of those seen moved since they were set up, by so many mm some way."""
    tally: dict[str, list[str]] = defaultdict(list)
    for seed in seeds:
        rng = np.random.default_rng(seed + 10_000)
        scene, first, second, _ = case(seed, *FRAMES[frame])
        setup = set_up(find_tabs(t.photograph(scene, first)), t.corners_px(scene, first), SIZE, lens_k1=first.k1)
        which, way = int(rng.integers(4)), rng.normal(size=2)
        step = tuple(np.array(scene.tabs[which].out_mm) + by_mm * way / np.linalg.norm(way))
        tabs = tuple(replace(tab, out_mm=step) if tab.corner == which else tab for tab in scene.tabs)
        found = find_tabs(t.photograph(replace(scene, tabs=tabs), second))
        for name, some in every(found):
            if which in [tab.corner for tab in some]:
                tally[name].append(_verdict(some, setup, second, which, truth(scene, second)))
    for name, verdicts in tally.items():
        print(
            f"  {frame}, by {by_mm:g} mm, {name}: "
            + ", ".join(f"{v} {verdicts.count(v)}" for v in sorted(set(verdicts)))
        )


def _verdict(tabs: list[FoundTab], setup: TabSetup, view: t.View, which: int, true: CanvasMap) -> str:
    try:
        fix = fix_by_tabs(tabs, setup, lens_k1=view.k1)
    except CanvasError:
        return "refused"
    off = float(np.linalg.norm(true.px_to_mm(fix.corners_px) - true.px_to_mm(true.corners_px), axis=1).max())
    if fix.left_out:
        return "left out" if fix.left_out == (which,) else "wrong one left out"
    within = f"{'within' if off < 3 * fix.uncertainty_mm else 'beyond'} 3 sigma"
    return f"{'doubted' if fix.notes else 'unnoticed'}, {within}"


def behind(seeds: range) -> None:
    """Tabs that do not lie in the plane of the canvas's face."""
    for depth in (1.0, 3.0, 10.0, 20.0):
        off, told = [], []
        for seed in seeds:
            scene, first, second, _ = case(seed, *FRAMES["1080p"])
            scene = replace(scene, tabs=tuple(replace(tab, behind_mm=depth) for tab in scene.tabs))
            setup = set_up(find_tabs(t.photograph(scene, first)), t.corners_px(scene, first), SIZE, lens_k1=first.k1)
            try:
                fix = fix_by_tabs(find_tabs(t.photograph(scene, second)), setup, lens_k1=second.k1)
            except CanvasError:
                continue
            face = grid_mm(SIZE, 2)[[0, 1, 3, 2]]
            off += np.linalg.norm(truth(scene, second).px_to_mm(fix.corners_px) - face, axis=1).tolist()
            told.append(fix.uncertainty_mm)
        middle, most = np.quantile(off, (0.5, 0.95))
        print(f"  {depth:g} mm: median {middle:.2f}, 95 % {most:.2f}, told {np.median(told):.2f}")


def shaken() -> None:
    for name, (width, height) in FRAMES.items():
        row = []
        for shake in (0, 2, 4, 8, 12, 16, 24):
            seen = 0
            for seed in range(3):
                scene, first, _, _ = case(seed, width, height)
                view = replace(first, shake_px=shake, shake_deg=50.0 * seed, jpeg=None)
                seen += len(find_tabs(t.photograph(scene, view)))
            row.append(f"{shake} px {seen}/12")
        print(f"  {name}: " + ", ".join(row))


def false_tabs() -> None:
    names = [
        "astronaut", "camera", "coffee", "chelsea", "rocket", "coins", "moon", "page", "text", "brick", "grass",
        "gravel", "checkerboard", "clock", "hubble_deep_field", "immunohistochemistry", "retina", "colorwheel",
    ]  # fmt: skip
    seen = pictures = 0
    for name in names:
        try:
            picture = np.asarray(getattr(skimage.data, name)())
        except Exception:
            continue  # not carried by the wheel
        codes = picture if picture.ndim == 3 else np.repeat(picture[..., None], 3, axis=2)
        codes = np.ascontiguousarray(codes[..., :3].astype(np.uint8))
        for scale in (1.0, 2.0, 4.0):
            pictures += 1
            larger = cv2.resize(codes, None, fx=scale, fy=scale, interpolation=cv2.INTER_CUBIC)
            seen += len(find_tabs(Photo(np.ascontiguousarray(larger), srgb_curve())))
    noise = np.random.default_rng(0).integers(0, 2, (20, 90, 160), dtype=np.uint8) * 255
    for each in noise:
        pictures += 1
        blocks = cv2.resize(each, None, fx=12, fy=12, interpolation=cv2.INTER_NEAREST)
        seen += len(find_tabs(Photo(cv2.merge([blocks] * 3), srgb_curve())))
    print(f"False tabs: {seen} in {pictures} pictures")


def times() -> None:
    for name, (width, height) in FRAMES.items():
        scene, first, _, _ = case(1, width, height)
        photo = t.photograph(scene, first)
        linear, found = photo.linear(), find_tabs(photo)
        setup = set_up(found, t.corners_px(scene, first), SIZE, lens_k1=first.k1)
        todo: dict[str, Callable[[], object]] = {
            "photo": lambda photo=photo: find_tabs(photo),
            "linear light": lambda linear=linear: find_tabs(linear),
            "fix": lambda found=found, setup=setup, k1=first.k1: fix_by_tabs(found, setup, lens_k1=k1),
        }
        words = []
        for what, do in todo.items():
            took = []
            for _ in range(20):
                began = time.perf_counter()
                do()
                took.append(time.perf_counter() - began)
            words.append(f"{what} {1e3 * np.median(took):.1f} ms")
        print(f"  {name}: " + ", ".join(words))


def main(photos: int = 40, first: int = 100) -> None:
    seeds = range(first, first + photos)
    for frame in FRAMES:
        accuracy(frame, seeds)
    print("Jitter at 1080p, noise only:")
    jitter(first)
    print("A tab that has moved:")
    for by_mm in (0.0, 1.0, 3.0, 10.0):
        for frame in FRAMES:
            moved(range(first, first + 8), by_mm, frame)
    print("Tabs behind the canvas's face, the camera moved by up to 18 degrees, mm:")
    behind(range(first, first + 8))
    print("Tabs found when the camera shook:")
    shaken()
    false_tabs()
    print("Times:")
    times()


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:3]))
