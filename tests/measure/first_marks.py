"""First marks against masses that are known, by two ways: ``python -m tests.measure.first_marks``.

A scene is a slow field of middle values with dark and light masses of known place, size and value in it, and with what
must not be taken for one: specks and thin lines that are darker or lighter still, and noise. The other way takes what
is darker than all but a twentieth of the picture, and its connected parts that are large enough.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.tone import value_of_linear
from core.value.first_marks import SMALLEST_MM2, FirstMark, first_marks
from tests.studio import references

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
WIDTH_MM, HEIGHT_MM, PX_PER_MM = 400, 300, 2


@dataclass(frozen=True)
class Scene:
    """``value``: ``(H, W)``. ``darks``, ``lights``: masks of the masses that are among the extreme half step."""

    value: Map
    darks: tuple[Mask, ...]
    lights: tuple[Mask, ...]


def scene(seed: int) -> Scene:
    """One scene; the masses are within 0.4 step of the darkest (lightest), the rest 1 step off or more."""
    rng = np.random.default_rng(seed)
    shape = (HEIGHT_MM * PX_PER_MM, WIDTH_MM * PX_PER_MM)
    coarse = rng.uniform(-1.2, 1.2, (5, 6)).astype(np.float32)
    value = 5.0 + np.asarray(cv2.resize(coarse, shape[::-1], interpolation=cv2.INTER_CUBIC), np.float32)
    taken, found = np.zeros(shape, bool), []
    for extreme, sign in ((rng.uniform(0.5, 1.8), 1.0), (rng.uniform(8.2, 9.5), -1.0)):
        masks = []
        for number in range(int(rng.integers(1, 5))):
            mask = _blob(rng, shape, taken, rng.uniform(1.5, 30) * SMALLEST_MM2)
            value[mask] = extreme + sign * (0.0 if number == 0 else rng.uniform(0, 0.4))
            taken |= cv2.dilate(mask.astype(np.uint8), np.ones((41, 41))) > 0
            masks.append(mask)
        found.append(tuple(masks))
    soft = np.asarray(cv2.GaussianBlur(value, (0, 0), rng.uniform(0.5, 3) * PX_PER_MM), np.float32)
    for _ in range(60):  # specks and scratches, of the most extreme values there are
        x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
        way, level = rng.uniform(-25, 25, 2), float(rng.choice([0.1, 9.9]))
        cv2.line(soft, (int(x), int(y)), (int(x + way[0]), int(y + way[1])), level, int(rng.integers(1, 4)))
    noisy = soft + rng.normal(0, 0.12, shape)
    return Scene(np.clip(noisy, 0, 10).astype(np.float32), *found)


def _blob(rng: np.random.Generator, shape: tuple[int, int], taken: Mask, area_mm2: float) -> Mask:
    while True:
        size = np.sqrt(area_mm2 / np.pi) * PX_PER_MM * np.array([1, 1]) * rng.uniform(0.8, 1.25) ** np.array([1, -1])
        centre = rng.uniform([30, 30], [shape[1] - 30, shape[0] - 30])
        mask = np.zeros(shape, np.uint8)
        cv2.ellipse(mask, (tuple(centre), tuple(2 * size), float(rng.uniform(0, 180))), 1, -1)
        if not (mask.astype(bool) & taken).any():
            return mask.astype(bool)


def by_share(value: Map) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The other way: centres, mm, of the large connected parts of the darkest and lightest twentieth."""
    answer = []
    for picture in (value, 10 - value):
        dark = picture < np.percentile(picture, 5)
        _, labels, stats, _ = cv2.connectedComponentsWithStats(dark.astype(np.uint8), connectivity=4)
        centres = []
        for label in range(1, len(stats)):
            if stats[label][cv2.CC_STAT_AREA] >= SMALLEST_MM2 * PX_PER_MM**2:
                depth = cv2.distanceTransform(np.pad((labels == label).astype(np.uint8), 1), cv2.DIST_L2, 5)
                row, column = np.unravel_index(int(depth.argmax()), depth.shape)
                centres.append(((column - 0.5) / PX_PER_MM, (row - 0.5) / PX_PER_MM))
        answer.append(centres)
    return answer[0], answer[1]


def by_growth(value: Map) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Our way."""
    marks = first_marks(value, px_per_mm=PX_PER_MM)
    return tuple([(m.x_mm, m.y_mm) for m in marks if m.kind == kind] for kind in ("dark", "light"))  # type: ignore[return-value]


def score(scenes: Sequence[Scene], way: Callable[[Map], tuple[list[tuple[float, float]], ...]]) -> tuple[float, float]:
    """Share of the known masses that have a mark inside, and share of the marks that lie in one."""
    masses = inside = marks = right = 0
    for each in scenes:
        for known, found in zip((each.darks, each.lights), way(each.value), strict=True):
            hits = [[bool(mask[int(y * PX_PER_MM), int(x * PX_PER_MM)]) for x, y in found] for mask in known]
            masses += len(known)
            inside += sum(any(row) for row in hits)
            marks += len(found)
            right += int(np.any(hits, axis=0).sum()) if found else 0
    return inside / masses, right / max(marks, 1)


def repeated(name: str) -> float:
    """Share of a photograph's marks that come again, half alike or more, when it is noisier and 2 % smaller."""
    photograph = references.linear(getattr(references.skimage.data, name)()[..., :3])
    value = value_of_linear(np.asarray(cv2.resize(photograph, (800, 600), interpolation=cv2.INTER_AREA), np.float32))
    noise = np.random.default_rng(0).normal(0, 0.15, value.shape).astype(np.float32)
    worse = np.asarray(cv2.resize(np.clip(value + noise, 0, 10), (784, 588), interpolation=cv2.INTER_AREA), np.float32)
    once, again = first_marks(value, px_per_mm=2), first_marks(worse, px_per_mm=2 * 0.98)
    return float(np.mean([any(a.kind == b.kind and _alike(a, b) > 0.5 for b in again) for a in once]))


def _alike(one: FirstMark, other: FirstMark) -> float:
    """The area that two marks share, of the area that either has."""
    areas = []
    for mark in (one, other):
        area = np.zeros((HEIGHT_MM, WIDTH_MM), np.uint8)
        areas.append(cv2.fillPoly(area, [np.rint(mark.outline_mm).astype(np.int32)], 1) > 0)
    return float((areas[0] & areas[1]).sum() / max((areas[0] | areas[1]).sum(), 1))


def main() -> None:
    scenes = [scene(seed) for seed in range(40)]
    for name, way in (("by growth", by_growth), ("by share", by_share)):
        found, true = score(scenes, way)
        print(f"{name}: {found:.3f} of the masses found, {true:.3f} of the marks right")
    for photograph in references.NAMES:
        print(f"{photograph}: {repeated(photograph):.2f} of the marks again")


if __name__ == "__main__":
    main()
