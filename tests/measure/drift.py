"""Accuracy of drift on known truth: ``python -m tests.measure.drift [folder]`` (cases are kept in the folder).

Ordinary brushwork and hard cases: blocked in, softened, half unpainted, an earth underpainting, other ways of painting,
other shapes of displacement, and photographs by the simulated camera. Ends with how honest the confidence is.
"""

import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from core.drawing.drawing import Landmark
from core.drawing.drift import measure_drift
from tests.measure.drift_cases import Case, Recipe, make, random_recipe

HARD = ("blocked", "soft", "unpainted", "mono", "oil", "stylised", "dabs")
SHAPES = ("waves", "radial", "knots", "features", "none")


def recipes() -> dict[str, list[Recipe]]:
    return {
        "ordinary": [random_recipe(seed) for seed in range(12)],
        "by the camera": [random_recipe(90 + i, camera=True) for i in range(8)],
        "other displacement": [random_recipe(44 + i, shape=shape) for i, shape in enumerate(SHAPES * 2)],
        "hard": [random_recipe(20 + i, brushwork=kind) for i, kind in enumerate(HARD * 2)],
    }


def measured(case: Case) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Error in mm, confidence, and whether it is a landmark a painter would mark, at landmarks and on a grid."""
    width, height = case.recipe.size
    grid = np.stack(np.meshgrid(np.linspace(15, width - 15, 12), np.linspace(15, height - 15, 9)), -1).reshape(-1, 2)
    places = np.concatenate([case.features_mm, grid])
    marks = [Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(places)]
    drift = measure_drift(case.reference, case.canvas, landmarks=marks, withheld=case.withheld)
    found = np.array([(mark.dx_mm, mark.dy_mm) for mark in drift.landmarks])
    error = np.linalg.norm(found - case.truth.at(places), axis=1)
    return error, np.array([m.confidence for m in drift.landmarks]), np.arange(len(places)) < len(case.features_mm)


def _line(name: str, error: np.ndarray, sure: np.ndarray, feature: np.ndarray) -> str:
    told = sure >= 0.5
    parts = []
    for kind, chosen in (("landmarks", feature), ("grid", ~feature)):
        at = error[chosen & told]
        spread = "none told" if not at.size else f"median {np.median(at):.2f} p95 {np.percentile(at, 95):.2f} mm"
        parts.append(f"{kind}: {spread}, told {told[chosen].mean():.0%}")
    return f"{name:34s} " + " | ".join(parts)


def _together(parts: Iterable[tuple[np.ndarray, ...]]) -> tuple[np.ndarray, ...]:
    return tuple(np.concatenate(each) for each in zip(*parts, strict=True))


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.gettempdir()) / "easelside-drift-cases"
    everything = []
    for kind, group in recipes().items():
        found = []
        for recipe in group:
            found.append(measured(make(recipe, folder)))
            print(_line(f"  {recipe.reference} {recipe.brushwork} {recipe.shape}", *found[-1]), flush=True)
        print(_line(kind, *_together(found)))
        everything += found
    error, sure, _ = _together(everything)
    for low in np.arange(0, 1, 0.1):
        within = (sure >= low) & (sure < low + 0.1)
        if within.any():
            median, p95 = np.percentile(error[within], [50, 95])
            print(
                f"confidence {low:.1f}-{low + 0.1:.1f}: {within.sum():5d} places, median {median:.2f}, p95 {p95:.2f} mm"
            )


if __name__ == "__main__":
    main()
