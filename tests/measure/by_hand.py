"""What a few landmarks placed by hand do to the drift around them: ``python -m tests.measure.by_hand [folder]``.

In paintings whose drift is known, the marked points that were not told (the three least certain where all were) are
placed by a hand that errs by 0.4 mm each way. Errors of the field at an even grid, before and after, for several
reaches of the bend.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.drawing import by_hand
from core.drawing.by_hand import Hand, corrected
from core.drawing.drawing import Landmark
from core.drawing.drift import Drift, measure_drift
from tests.measure.drift import GROUPS
from tests.measure.drift_cases import Case, make

Array = NDArray[np.float64]

KINDS = ("blocked", "soft", "stylised", "dabs", "mono")
REACHES = (20.0, 40.0, 80.0)
HAND_MM, MOST, LEAST = 0.4, 6, 3
NEAR_MM, FAR_MM = 15.0, 40.0


def main(folder: Path) -> None:
    random = np.random.default_rng(1)
    errors: dict[float, list[tuple[Array, Array, Array, Array]]] = {reach: [] for reach in REACHES}
    for kind in KINDS:
        for recipe in GROUPS[kind]()[:2]:
            case = make(recipe, folder)
            drift, hands = _placed(case, random)
            for reach in REACHES:
                by_hand.REACH = reach
                errors[reach].append(_errors(case, drift, corrected(drift, hands), hands))
    for reach, found in errors.items():
        parts = [np.concatenate(each) for each in zip(*found, strict=True)]
        say = [f"{np.median(part):.2f} / {np.percentile(part, 95):.2f}" for part in parts]
        print(f"reach {reach:3.0f}  to 15 mm: {say[0]} becomes {say[1]}   15-40 mm: {say[2]} becomes {say[3]}")


def _placed(case: Case, random: np.random.Generator) -> tuple[Drift, dict[str, Hand]]:
    marks = [Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(case.features_mm)]
    drift = measure_drift(case.reference, case.canvas, landmarks=marks, withheld=case.withheld)
    untold = [i for i, mark in enumerate(drift.landmarks) if mark.confidence < 0.5][:MOST]
    if len(untold) < 2:
        untold = np.argsort([mark.confidence for mark in drift.landmarks])[:LEAST].tolist()
    where = case.features_mm + case.truth.at(case.features_mm) + random.normal(0, HAND_MM, case.features_mm.shape)
    return drift, {str(i): Hand(float(where[i, 0]), float(where[i, 1]), HAND_MM) for i in untold}


def _errors(case: Case, before: Drift, after: Drift, hands: dict[str, Hand]) -> tuple[Array, Array, Array, Array]:
    """Near the hands before and after, then further away before and after, mm."""
    size = case.canvas.size
    columns, rows = np.meshgrid(np.arange(5, round(size.width_mm) - 5, 6), np.arange(5, round(size.height_mm) - 5, 6))
    places = np.column_stack([columns.ravel(), rows.ravel()]) + 0.5
    truth = case.truth.at(places)
    placed = case.features_mm[[int(name) for name in hands]]
    away = np.linalg.norm(places[:, None] - placed[None], axis=-1).min(axis=1)
    found = []
    for part in (away < NEAR_MM, (away >= NEAR_MM) & (away < FAR_MM)):
        for drift in (before, after):
            field = np.stack([drift.filled_dx_mm, drift.filled_dy_mm], axis=-1)[rows.ravel(), columns.ravel()]
            found.append(np.linalg.norm(field - truth, axis=1)[part])
    return found[0], found[1], found[2], found[3]


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as place:
            main(Path(place))
