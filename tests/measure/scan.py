"""Scanned drawings whose lines are known: what share is found and what is false, and two other ways beside it.

Run with ``python -m tests.measure.scan [count]``: prints the figures that the docstrings of ``core.drawing.scan``,
``scan_ink`` and ``scan_light`` quote.
"""

import sys
from dataclasses import replace
from typing import Any
from unittest.mock import patch

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing import scan, scan_ink, scan_light
from core.drawing.scan_sheet import sheet_flat
from tests.core.drawing.drawn_sheets import A4, as_photo, drawn, hand_shadow, paper, random_strokes, recovery
from tests.studio.painter import Painted

Picture = NDArray[np.float32]
Mask = NDArray[np.bool_]

RIDGES_MM = (0.15, 0.3, 0.55)


def by_ridges(darkness: Picture, px_per_mm: float) -> scan_ink.Ink:
    """The other way tried: lines as ridges (Hessian's largest curvature over scales, Lindeberg 1998), hysteresis."""
    best = np.zeros_like(darkness)
    for scale in RIDGES_MM:
        sigma = scale * px_per_mm
        smooth = cv2.GaussianBlur(darkness, (0, 0), sigma)
        xx, yy, xy = (cv2.Sobel(smooth, cv2.CV_32F, *order, ksize=3) / 4 for order in ((2, 0), (0, 2), (1, 1)))
        curved = 0.5 * (np.sqrt((xx - yy) ** 2 + 4 * xy * xy) - xx - yy)
        best = np.maximum(best, curved * np.float32(sigma**2))
    usual = np.median(best[::3, ::3])
    reach = 2 * round(scan_ink.NEIGHBOURHOOD_MM * px_per_mm) + 1
    around = cv2.dilate(best, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach)))
    weak = np.maximum(4 * usual, 0.3 * around)
    perhaps = best > weak
    mask, specks = scan_ink._marks(perhaps, perhaps & (best > 10 * usual), scan_ink.SMALLEST_MM * px_per_mm)
    return scan_ink.Ink(mask, best, np.full_like(best, 4 * usual), specks)


def by_gaussians(linear: Picture, px_per_mm: float, *, sigma_mm: float = 7.0, rounds: int = 5) -> Picture:
    """The other bare sheet tried: a wide mean, again and again without what is darker than it."""
    scale = scan_light.GROUND_PX_PER_MM / px_per_mm
    shape = (round(linear.shape[1] * scale), round(linear.shape[0] * scale))
    small = cv2.resize(linear, shape, interpolation=cv2.INTER_AREA)
    kept = np.ones(small.shape[:2], np.float32)
    sigma = sigma_mm * scan_light.GROUND_PX_PER_MM
    for _ in range(rounds):
        share = cv2.GaussianBlur(kept, (0, 0), sigma) + 1e-3
        mean = cv2.GaussianBlur(small * kept[..., None], (0, 0), sigma) / share[..., None]
        kept = (small.mean(axis=2) > 0.96 * mean.mean(axis=2)).astype(np.float32)
    return np.maximum(cv2.resize(mean, linear.shape[1::-1], interpolation=cv2.INTER_LINEAR), np.float32(1e-4))


def _ground_error(flat: Flat, blank: Flat, way: Any) -> float:
    """Root mean square error of a bare sheet, of its light, after the part that is the same all over."""
    step = round(flat.px_per_mm)
    truth = cv2.GaussianBlur(blank.linear, (0, 0), flat.px_per_mm)[step::step, step::step].mean(axis=2)
    off = np.log(way(flat.linear, flat.px_per_mm)[step::step, step::step].mean(axis=2) / truth)
    return float(np.sqrt(np.mean((off - np.median(off)) ** 2)))


def _print_row(name: str, rows: list[list[float]]) -> None:
    table = np.array(rows)
    middle, low, high = np.median(table, axis=0), table.min(axis=0), table.max(axis=0)
    print(
        f"{name:10} found median {middle[0]:.3f} worst {low[0]:.3f}; false median {middle[1]:.3f} worst {high[1]:.3f}; "
        f"length over true {low[2]:.3f}-{high[2]:.3f}; off {middle[3]:.3f} mm"
    )


def main(count: int) -> None:
    """Both ways of both steps over ``count`` random drawings."""
    found: dict[str, list[list[float]]] = {"threshold": [], "ridges": [], "gaussians": []}
    ground: dict[str, list[float]] = {}
    for seed in range(count):
        rng = np.random.default_rng(seed)
        strokes = random_strokes(rng)
        sheet = paper(A4, rng)
        painted = drawn(strokes, sheet, A4, rng)
        for shadow in (0.0, 8.0, 3.0) if seed < 4 else (0.0,):
            shown = hand_shadow(painted, shadow) if shadow else painted
            bare = (
                hand_shadow(Painted(sheet, sheet, painted.px_per_mm, A4), shadow)
                if shadow
                else replace(painted, linear=sheet)
            )
            photo, corners = as_photo(shown, seed)
            if seed < 4:
                flat, blank = (sheet_flat(each, corners, A4) for each in (photo, as_photo(bare, seed)[0]))
                for name, way in (("closing", scan_light.bare_sheet), ("gaussians", by_gaussians)):
                    ground.setdefault(f"{name}, shadow's edge {shadow:g} mm", []).append(
                        _ground_error(flat, blank, way)
                    )
            if shadow:
                continue
            for name, swapped in (
                ("threshold", {}),
                ("ridges", {"ink_of": by_ridges}),
                ("gaussians", {"bare_sheet": by_gaussians}),
            ):
                with patch.multiple(scan, **swapped) if swapped else patch.object(scan, "TOLERANCE_MM", 0.1):
                    got = recovery(scan.scan_drawing(photo, A4, corners_px=corners).drawing, strokes)
                found[name].append([got.found, got.false, got.longer, got.off_mm])
                print(seed, name, *(f"{number:.3f}" for number in found[name][-1]), flush=True)
    for name, rows in found.items():
        _print_row(name, rows)
    for name, errors in ground.items():
        print(f"bare sheet by {name}: off {100 * float(np.mean(errors)):.2f} %")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
