"""How wide edges are measured, on pictures whose blur is known, by the way in use and by two published ones.

    python -m tests.measure.edges [cases] [first seed]

Forms with rims of sigma 0.3 to 6 mm and 0.7 to 5 steps, painted with streaks, broken colour and weave (about 0.3 step),
photographed at 12 megapixels as a JPEG. The published ways are taken at the same points and scales, and their answers
are the median along the contour as well: re-blurring (Zhuo and Sim, Pattern Recognition 44(9), 2011, 1852-1858) and the
distance of the extrema of the second derivative (Elder and Zucker, IEEE PAMI 20(7), 1998, 699-716).
"""

import sys
import time
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from core.edge.points import gradient
from core.edge.scale import Scaled, at_scale
from core.edge.width import Edges, measure_edges
from core.tone import value_of_linear
from tests.core.edge.cases import FLAT_PX_PER_MM, Forms, Rim, forms, painted, photographed

Floats = NDArray[np.float64]
Map = NDArray[np.float32]
WIDTHS = ((0.3, 0.5), (0.5, 0.8), (0.8, 1.5), (1.5, 3.0), (3.0, 6.0))
CONTRASTS = ((0.7, 1.0), (1.0, 2.0), (2.0, 5.0))


def main(seeds: Sequence[int]) -> None:
    table: dict[str, list[Floats]] = {name: [] for name in WAYS}
    found, strays, held, took = [], [], [], []
    for seed in seeds:
        made = forms(seed)
        flat, blur = photographed(painted(made, seed=seed), seed=seed)
        value = value_of_linear(flat.linear)
        began = time.perf_counter()
        edges = measure_edges(value, FLAT_PX_PER_MM, blur_mm=blur)
        took.append(time.perf_counter() - began)
        strays.append(stray_share(edges, made))
        for name, way in WAYS.items():
            sigma = way(value, edges, blur)
            for rim in made.rims:
                table[name].append(errors(edges, sigma, rim))
        for rim in made.rims:
            near, hit = nearest(edges, rim)
            found.append(hit.mean())
            held.append(np.abs(edges.sigma_mm[near[hit]] - rim.sigma_mm) <= edges.uncertainty_mm[near[hit]])
    print(
        f"{len(found)} rims; contour found {np.mean(found):.3f} (least {min(found):.2f}); share of points on no rim "
        f"{np.mean(strays):.2f}; within the stated uncertainty {np.concatenate(held).mean():.2f}; "
        f"{np.median(took):.2f} s a picture of {FLAT_PX_PER_MM * 300:.0f} x {FLAT_PX_PER_MM * 225:.0f}"
    )
    print("way                    sigma mm    steps     median  within 30 %  bias")
    for name, rows in table.items():
        _print(name, np.concatenate(rows))


def _print(name: str, rows: Floats) -> None:
    groups = [("all", "all", np.ones(len(rows), bool))]
    groups += [(f"{lo:g}-{hi:g}", "", (rows[:, 0] >= lo) & (rows[:, 0] < hi)) for lo, hi in WIDTHS]
    groups += [("", f"{lo:g}-{hi:g}", (rows[:, 1] >= lo) & (rows[:, 1] < hi)) for lo, hi in CONTRASTS]
    for widths, contrasts, these in groups:
        error = rows[these, 2]
        known = np.where(np.isfinite(error), np.abs(error), np.inf)
        print(
            f"{name:22s} {widths:11s} {contrasts:9s} {np.median(known):6.3f} {(known < 0.3).mean():10.3f}"
            f"{np.nanmedian(error):9.3f}"
        )


def errors(edges: Edges, sigma_mm: Floats, rim: Rim) -> Floats:
    """``(n, 3)``: the rim's sigma, its contrast, and the relative error of the sigma found nearest."""
    near, hit = nearest(edges, rim)
    error = sigma_mm[near[hit]] / rim.sigma_mm - 1
    return np.stack([np.full(len(error), rim.sigma_mm), np.full(len(error), abs(rim.contrast)), error], axis=1)


def nearest(edges: Edges, rim: Rim) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """For places along a rim the nearest point of the edges, and whether it lies on the rim."""
    away, near = cKDTree(np.stack([edges.x_mm, edges.y_mm], axis=1)).query(rim.outline_mm[::6])
    return near, away < 1 + 0.7 * rim.sigma_mm


def stray_share(edges: Edges, made: Forms) -> float:
    """The share of points that lie on no rim."""
    rims = np.concatenate([rim.outline_mm for rim in made.rims])
    sigma = np.concatenate([np.full(len(rim.outline_mm), rim.sigma_mm) for rim in made.rims])
    away, near = cKDTree(rims).query(np.stack([edges.x_mm, edges.y_mm], axis=1))
    return float((away > 1 + sigma[near]).mean())


def as_measured(value: Map, edges: Edges, blur_mm: float) -> Floats:
    return edges.sigma_mm


def by_reblurring(value: Map, edges: Edges, blur_mm: float) -> Floats:
    """From the ratio of the gradients at two scales: R^2 = (sigma^2 + s2^2) / (sigma^2 + s1^2)."""
    squared = np.full(len(edges), np.nan)
    for scale in np.unique(edges.scale_mm):
        these = edges.scale_mm == scale
        s1, s2 = 0.5 * scale, scale
        steep = []
        for s in (s1, s2):
            scaled = at_scale(value, FLAT_PX_PER_MM, s)
            across, down = gradient(scaled)
            picture = Scaled(np.hypot(across, down).astype(np.float32), scaled.px_per_mm, s)
            steep.append(picture.at(edges.x_mm[these], edges.y_mm[these]).astype(np.float64))
        ratio = np.maximum((steep[0] / np.maximum(steep[1], 1e-9)) ** 2, 1 + 1e-6)
        squared[these] = (s2**2 - ratio * s1**2) / (ratio - 1)
    return _along(edges, np.sqrt(np.maximum(squared - blur_mm**2, 1e-4)))


def by_extrema(value: Map, edges: Edges, blur_mm: float) -> Floats:
    """From the distance d of the extrema of the second derivative: sigma = sqrt((d / 2)^2 - s^2)."""
    squared = np.full(len(edges), np.nan)
    for scale in np.unique(edges.scale_mm):
        these = np.flatnonzero(edges.scale_mm == scale)
        s = 0.5 * scale
        scaled = at_scale(value, FLAT_PX_PER_MM, s)
        t = np.linspace(-4 * scale, 4 * scale, 129)
        x = edges.x_mm[these, None] + t * edges.nx[these, None]
        y = edges.y_mm[these, None] + t * edges.ny[these, None]
        bend = np.gradient(np.gradient(scaled.at(x, y).astype(np.float64), axis=1), axis=1)
        middle = len(t) // 2
        apart = t[middle + bend[:, middle:].argmin(axis=1)] - t[bend[:, : middle + 1].argmax(axis=1)]
        squared[these] = (apart / 2) ** 2 - s**2
    return _along(edges, np.sqrt(np.maximum(squared - blur_mm**2, 1e-4)))


def _along(edges: Edges, sigma_mm: Floats) -> Floats:
    """The median over the neighbours along the contour, as the way in use takes it."""
    places = np.stack([edges.x_mm, edges.y_mm], axis=1)
    answer = sigma_mm.copy()
    for number, others in enumerate(cKDTree(places).query_ball_point(places, 8.0)):
        near = np.asarray(others)
        same = edges.nx[near] * edges.nx[number] + edges.ny[near] * edges.ny[number] > 0.7
        answer[number] = np.nanmedian(sigma_mm[near[same]])
    return answer


WAYS: dict[str, Callable[[Map, Edges, float], Floats]] = {
    "fitted step": as_measured,
    "re-blurring": by_reblurring,
    "second derivative": by_extrema,
}


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    count, first = (*given, *(8, 0)[len(given) :])
    main(range(first, first + count))
