"""Suggested lines against contours that are known, by both ways of finding them.

Run from the project's folder: ``python -m tests.measure.suggest``.
"""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from unittest.mock import patch

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from assets.make_demo import FOLDER
from core.canvas.flat import Flat
from core.drawing import suggest
from core.drawing.drawing import Drawing, Line
from core.drawing.suggest import Suggestion, suggest_lines
from core.photo import load_photo
from core.size import Size
from tests.measure.suggest_fdog import fdog_edges
from tests.studio import references
from tests.studio.demo_forms import drawn, left_out
from tests.studio.known_contours import SIZE, scene

Array = NDArray[np.float64]

NEAR_MM = 1.0
AMOUNTS = (0.25, 0.5, 0.75, 1.0)
STRONGEST_MM = 2000.0


def places(lines: Sequence[Line], size: Size) -> Array:
    """Points every half millimetre along lines ``(n, 2)``."""
    return Drawing(size, tuple(lines)).sampled(0.5).points


def share_near(points: Array, others: Array) -> float:
    """Share of points that have one of the others within a millimetre."""
    if len(points) == 0 or len(others) == 0:
        return 0.0
    return float((cKDTree(others).query(points)[0] <= NEAR_MM).mean())


def demo() -> tuple[Flat, dict[str, Array]]:
    """The demo's reference, and its drawing's lines by layer."""
    return Flat(load_photo(FOLDER / "reference.jpg").reduced(1600), 4.0, SIZE), drawn()


def repeated(name: str, size: Size) -> float:
    """Share of the strongest two metres of lines that is suggested again, however weakly, when the photograph is
    noisier and a stop darker. Equal lengths, since a way that proposes little repeats itself the more easily."""
    encoded = references.pixels(name, size, width=round(4 * size.width_mm))
    linear = references.linear(encoded)
    noise = np.random.default_rng(0).normal(size=linear.shape).astype(np.float32)
    worse = np.clip(0.5 * linear * (1 + 0.04 * noise) + 0.001 * noise, 0, 1).astype(np.float32)
    once, again = (suggest_lines(Flat(photograph, 4.0, size)) for photograph in (linear, worse))
    return share_near(places(strongest(once, STRONGEST_MM), size), places(again.at(1.0), size))


def strongest(suggestion: Suggestion, length_mm: float) -> list[Line]:
    """The most important lines, together of that length, or all."""
    reached = np.cumsum([each.line.length_mm for each in suggestion.lines])
    return [each.line for each in suggestion.lines[: int(np.searchsorted(reached, length_mm)) + 1]]


def _told(name: str, suggestion: Suggestion, truth: dict[str, Array], *others: Array) -> None:
    every = np.concatenate([*truth.values(), *others])
    for amount in AMOUNTS:
        lines = suggestion.at(amount)
        found = places(lines, suggestion.size)
        layers = ", ".join(f"{layer} {share_near(points, found):.3f}" for layer, points in truth.items())
        mean = sum(line.length_mm for line in lines) / max(len(lines), 1)
        print(
            f"{name} at {amount}: found {layers}; true {share_near(found, every):.3f}; {len(lines)} lines, "
            f"{mean:.0f} mm each, {sum(line.closed for line in lines)} closed"
        )


def _measure(way: Callable[[], AbstractContextManager[object]]) -> None:
    flat, truth = demo()
    forms = left_out()
    with way():
        _told("demo", suggest_lines(flat), truth, forms)
        for seed in range(4):
            known = scene(seed)
            _told(f"scene {seed}", suggest_lines(Flat(known.linear, 4.0, SIZE)), {"contour": known.contours})
        for name in ("chelsea", "coffee", "astronaut"):
            size = Size(300, 300) if name == "astronaut" else SIZE
            begin = time.perf_counter()
            again = repeated(name, size)
            seconds = time.perf_counter() - begin
            print(f"{name}: {again:.3f} of the strongest 2 m again in a worse photograph, {seconds:.1f} s")


@contextmanager
def _by_dog() -> Iterator[None]:
    """The other way, at the scale that suits it best of those tried (0.35 and 0.5 mm)."""
    with patch.object(suggest, "edges_at", fdog_edges), patch.object(suggest, "FINE_MM", 0.35):
        yield


def main() -> None:
    print("Gradients along the flow:")
    _measure(nullcontext)
    print("\nFlow-guided difference of Gaussians:")
    _measure(_by_dog)


if __name__ == "__main__":
    main()
