"""Accuracy of the whole check on known truth: ``python -m tests.measure.check [cases] [--found]``.

Random paintings of scikit-image's photographs (2-6 mm of smooth displacement, value faults, uneven light, white
balance, 12 MP JPEG), each photographed against an ordinary background. Prints a line a case and the whole at the end.
"""

import argparse
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from PIL import Image

from core.check import CheckRequest, CheckResult, run_check
from core.check_files import as_maps
from core.drawing.drawing import Drawing, Landmark
from core.errors import PainterError
from core.photo import load_photo_bytes
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph, photograph_blank, stand_before
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.painter import Painted, ValueFault, paint

SIZES = (Size(400, 300), Size(300, 400), Size(350, 350))


@dataclass(frozen=True)
class Sitting:
    """A painting, the request of its check, and the truth."""

    name: str
    request: CheckRequest
    painted: Painted
    displacement: Displacement
    faults: tuple[ValueFault, ...]
    corners: np.ndarray


def random_sitting(number: int, *, found: bool) -> Sitting:
    rng = np.random.default_rng(1000 + number)
    size = SIZES[number % 3]
    name = references.NAMES[number % 4]
    encoded = references.pixels(name, size, width=2000)
    displacement = random_displacement(size, rng, largest_mm=float(rng.uniform(2, 6)))
    faults = tuple(
        ValueFault(
            float(rng.uniform(0.15, 0.85) * size.width_mm), float(rng.uniform(0.15, 0.85) * size.height_mm),
            *(float(v) for v in rng.uniform(17, 40, 2)), float(rng.choice([-1, 1]) * rng.uniform(0.8, 1.8)), 5.0,
        )
        for _ in range(int(rng.integers(1, 4)))
    )  # fmt: skip
    brushwork = ("strokes", "texture")[number % 2]
    painted = paint(
        references.linear(encoded), displacement, faults=faults, brushwork=brushwork, px_per_mm=6.0, seed=number
    )
    corners = stand_before(rng, size.aspect, fill=float(rng.uniform(0.7, 0.92)))
    camera = Camera(
        corners, k1=float(rng.uniform(-0.06, 0.03)), exposure=float(rng.uniform(0.7, 0.85)),
        white_balance=tuple(1 + rng.uniform(-0.15, 0.15, 3)), light_ratio=float(rng.uniform(1.2, 2.0)),
        light_from_deg=float(rng.uniform(0, 360)), vignetting=0.15, setting=("wall", "easel", "room")[number % 3],
        seed=number,
    )  # fmt: skip
    held = BytesIO()
    Image.fromarray(encoded).save(held, "JPEG", quality=95, subsampling=0)
    points = references.landmarks(encoded, size)
    request = CheckRequest(
        reference=load_photo_bytes(held.getvalue(), "reference.jpg"),
        photo=load_photo_bytes(photograph(painted, camera).jpeg(), "canvas.jpg"),
        size=size,
        drawing=Drawing(size, (), tuple(Landmark(f"p{i}", float(x), float(y)) for i, (x, y) in enumerate(points))),
        corners_px=None if found else np.array(corners),
        blank=load_photo_bytes(photograph_blank(painted, camera).jpeg(), "blank.jpg") if number % 2 else None,
    )
    return Sitting(f"{name} {brushwork}", request, painted, displacement, faults, np.array(corners))


def drift_errors(sitting: Sitting, result: CheckResult) -> tuple[np.ndarray, np.ndarray]:
    """Errors in mm and confidences at the landmarks."""
    marks = result.drift.landmarks
    truth = sitting.displacement.at(np.array([(m.x_mm, m.y_mm) for m in marks]))
    found = np.array([(m.dx_mm, m.dy_mm) for m in marks])
    return np.linalg.norm(found - truth, axis=1), np.array([m.confidence for m in marks])


def value_error(sitting: Sitting, result: CheckResult) -> float:
    """Mean absolute error in steps of the canvas's values; from a fit, with the overall level taken out."""
    gap = as_maps(result)["value_canvas"] - sitting.painted.true_value()
    if result.light.source == "fit":
        gap = gap - np.nanmedian(gap)
    return float(np.nanmean(np.abs(gap)))


def areas_found(sitting: Sitting, result: CheckResult) -> tuple[int, int, int]:
    """Faults found, faults there are, and areas that are no fault."""
    centres = np.array([(a.x_mm, a.y_mm, a.steps) for a in result.values.areas]).reshape(-1, 3)
    hit = 0
    true_area = np.zeros(len(centres), dtype=bool)
    for fault in sitting.faults:
        inside = np.hypot(
            (centres[:, 0] - fault.x_mm) / fault.radius_x_mm, (centres[:, 1] - fault.y_mm) / fault.radius_y_mm
        )
        match = (inside < 1) & (np.sign(centres[:, 2]) == np.sign(fault.steps))
        true_area |= inside < 1.3
        hit += bool(match.any())
    return hit, len(sitting.faults), int((~true_area).sum())


def _drift_line(error: np.ndarray, told: np.ndarray) -> str:
    median, p95 = np.percentile(error[told], [50, 95])
    return f"drift median {median:.2f} mm, p95 {p95:.2f} mm, told {told.mean():.0%}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cases", nargs="?", type=int, default=12)
    parser.add_argument("--found", action="store_true", help="find the outline instead of giving the corners")
    options = parser.parse_args()
    errors, confidences, values, hits = [], [], {"blank": [], "fit": []}, np.zeros(3, dtype=int)
    for number in range(options.cases):
        sitting = random_sitting(number, found=options.found)
        try:
            result = run_check(sitting.request)
        except PainterError as trouble:
            print(f"{number:3d} {sitting.name:20s} {trouble}")
            continue
        error, confidence = drift_errors(sitting, result)
        told = confidence >= 0.5
        value = value_error(sitting, result)
        found = np.array(areas_found(sitting, result))
        values[result.light.source].append(value)
        errors.append(error)
        confidences.append(confidence)
        hits += found
        corner_mm = np.linalg.norm(result.fix.corners_px - sitting.corners, axis=1).max() / result.fix.px_per_mm
        print(
            f"{number:3d} {sitting.name:20s} {_drift_line(error, told)} | "
            f" {result.light.source} {value:.2f} ± {result.light.uncertainty_steps:.2f} | "
            f"faults {found[0]}/{found[1]} false {found[2]} | corners {corner_mm:.2f} mm, "
            f"stated {result.fix.uncertainty_mm:.2f}, k1 {result.fix.k1:+.3f}",
            flush=True,
        )
    error, told = np.concatenate(errors), np.concatenate(confidences) >= 0.5
    print(_drift_line(error, told))
    for source, each in values.items():
        if each:
            print(f"value by {source}: mean absolute error {np.mean(each):.2f}, worst case {np.max(each):.2f} steps")
    print(f"faults found {hits[0]} of {hits[1]}, false areas {hits[2] / len(errors):.1f} a picture")


if __name__ == "__main__":
    main()
