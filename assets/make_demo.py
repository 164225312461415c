"""Makes assets/demo: ``python -m assets.make_demo [--scale 1.0]`` from the project's folder (some ten minutes).

A rendered still life is the reference; its contours are the drawing. A simulated painter with known faults paints it in
three sittings, and a simulated phone photographs each, and the empty canvas. truth.json says what is wrong with each.
"""

import argparse
import json
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.colorimetry import encode_srgb
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.svg_write import write_drawing
from core.size import Size
from tests.core.temperature.cases import WarmthFault, with_faults
from tests.studio.camera import Camera, photograph, photograph_blank, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, ValueFault, paint
from tests.studio.still_life import CLOTH, HANDLE, JUG, STEM, WALL, Rendered, render

FOLDER = Path(__file__).resolve().parent / "demo"
SIZE = Size(400, 300)
PARTS = {"jug": (JUG,), "handle": (HANDLE,), "left quince": (6,), "middle quince": (4,), "right quince": (5,)}


@dataclass(frozen=True)
class Softened:
    """A round place, mm, whose edges are painted ``sigma_mm`` too soft."""

    x_mm: float
    y_mm: float
    radius_mm: float
    sigma_mm: float


@dataclass(frozen=True)
class Sitting:
    """What goes wrong in one sitting, and how it is photographed."""

    name: str
    displacement: Displacement
    faults: tuple[ValueFault, ...]
    brushes_mm: tuple[float, ...]
    camera: Camera
    warmths: tuple[WarmthFault, ...] = ()
    softened: tuple[Softened, ...] = ()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="smaller is quicker and coarser")
    scale = parser.parse_args().scale
    FOLDER.mkdir(exist_ok=True)
    fine = render(round(3600 * scale), round(2700 * scale), band=30)
    reference = cv2.resize(fine.linear, None, fx=2 / 3, fy=2 / 3, interpolation=cv2.INTER_AREA)
    _save_reference(reference)
    drawing = draw(fine)
    write_drawing(FOLDER / "drawing.svg", drawing)
    truth = [_carry_out(sitting, reference, drawing) for sitting in sittings()]
    (FOLDER / "truth.json").write_text(json.dumps({"size_mm": [400, 300], "photos": truth}, indent=1) + "\n")


def sittings() -> tuple[Sitting, ...]:
    """Blocked in and loose; nearer; nearly there. All seen hand-held by the same phone, the last beside its blank."""
    corners = [stand_before(np.random.default_rng(seed), SIZE.aspect, fill=0.78) for seed in (4, 11, 23)]
    return (
        Sitting(
            "canvas-1",
            Displacement(SIZE, (2.2, -1.4), 0.5, 1.006, ((170, 60, -3.0, 2.0, 45), (290, 190, 3.2, 1.2, 40))),
            (
                ValueFault(170, 150, 44, 62, 0.9, 6),
                ValueFault(330, 60, 60, 45, -1.1, 8),
                ValueFault(60, 200, 30, 26, -1.0),
            ),
            (7.0, 4.0, 2.2),
            Camera(corners[0], k1=-0.04, exposure=0.92, white_balance=(1.10, 1.0, 0.86), light_ratio=1.7,
                   light_from_deg=205, vignetting=0.15, blur_px=0.9, setting="easel", seed=1),
        ),
        Sitting(
            "canvas-2",
            Displacement(SIZE, (0.4, 0.2), 0.0, 1.0, ((165, 50, -3.4, 0.8, 40), (262, 205, 1.8, -2.6, 34))),
            (ValueFault(195, 160, 26, 48, 0.8, 6), ValueFault(75, 195, 26, 24, -0.9)),
            (6.0, 3.0, 1.5, 0.8),
            Camera(corners[1], k1=-0.04, exposure=1.0, white_balance=(0.95, 1.0, 1.06), light_ratio=1.5,
                   light_from_deg=160, vignetting=0.15, blur_px=0.8, setting="room", seed=2),
        ),
        Sitting(
            "canvas-3",
            Displacement(SIZE, (0.1, 0.0), 0.0, 1.0, ((240, 95, 2.4, 0.6, 26), (318, 190, -0.6, 2.2, 26))),
            (ValueFault(330, 225, 36, 18, 0.8, 5), ValueFault(120, 222, 30, 15, 0.9, 5)),
            (6.0, 3.0, 1.5, 0.8, 0.5),
            Camera(corners[2], k1=-0.04, exposure=0.74, white_balance=(1.04, 1.0, 0.93), light_ratio=1.6,
                   light_from_deg=195, vignetting=0.15, blur_px=0.8, glare=((352, 40, 6.0),), setting="wall", seed=3),
            (WarmthFault(200, 274, 46, 15, 9.0, 4),),
            (Softened(122, 150, 22, 2.4),),
        ),
    )  # fmt: skip


def _carry_out(sitting: Sitting, reference: NDArray[np.float32], drawing: Drawing) -> dict[str, object]:
    meant = _softened(with_faults(reference, sitting.warmths, SIZE), sitting.softened)
    painted = paint(
        meant, sitting.displacement, faults=sitting.faults, brushes_mm=sitting.brushes_mm, px_per_mm=8.0, seed=7
    )
    (FOLDER / f"{sitting.name}.jpg").write_bytes(photograph(painted, sitting.camera).jpeg(88))
    if sitting.name == "canvas-3":
        (FOLDER / "blank.jpg").write_bytes(photograph_blank(painted, sitting.camera).jpeg(80))
    return _truth(sitting, painted, drawing)


def _softened(linear: NDArray[np.float32], places: tuple[Softened, ...]) -> NDArray[np.float32]:
    px_per_mm, answer = linear.shape[1] / SIZE.width_mm, linear.copy()
    y, x = (np.mgrid[: linear.shape[0], : linear.shape[1]].astype(np.float32) + 0.5) / px_per_mm
    for place in places:
        inside = np.clip((place.radius_mm - np.hypot(x - place.x_mm, y - place.y_mm)) / 4 + 0.5, 0, 1)[..., None]
        answer += inside * (cv2.GaussianBlur(linear, (0, 0), place.sigma_mm * px_per_mm) - answer)
    return answer


def _truth(sitting: Sitting, painted: Painted, drawing: Drawing) -> dict[str, object]:
    points = np.array([(mark.x_mm, mark.y_mm) for mark in drawing.landmarks])
    moved = sitting.displacement.at(points)
    return {
        "photo": f"{sitting.name}.jpg",
        "corners_px": sitting.camera.corners,
        "lens_k1": sitting.camera.k1,
        "landmarks": {
            mark.name: [round(float(v), 3) for v in d] for mark, d in zip(drawing.landmarks, moved, strict=True)
        },
        "areas": [
            {"x_mm": f.x_mm, "y_mm": f.y_mm, "area_cm2": round(f.area_cm2, 1), "steps": f.steps} for f in sitting.faults
        ],
        "warmer": [
            {"x_mm": f.x_mm, "y_mm": f.y_mm, "area_cm2": round(f.area_cm2, 1), "warmer_by": f.amount}
            for f in sitting.warmths
        ],
        "softened": [asdict(place) for place in sitting.softened],
        "mean_value": round(float(painted.true_value().mean()), 3),
    }


def _save_reference(linear: NDArray[np.float32]) -> None:
    grain = np.random.default_rng(5).normal(0, 0.002, linear.shape)
    encoded = encode_srgb(np.clip(cv2.GaussianBlur(linear, (0, 0), 0.6) + grain, 0, 1))
    Image.fromarray(np.rint(255 * encoded).astype(np.uint8)).save(FOLDER / "reference.jpg", quality=92, subsampling=0)


def draw(rendered: Rendered) -> Drawing:
    """The line drawing: silhouettes as contours, the rim and the cloth's edge as inner form, cast shadows' edges."""
    lines: list[Line] = []
    for name, parts in PARTS.items():
        lines += _outlines(np.isin(rendered.part, parts), name, "contour")
    lines += _outlines(rendered.part == STEM, "stem", "inner form")
    blue = (rendered.linear[..., 2] > 1.25 * rendered.linear[..., 0]) & np.isin(rendered.part, (JUG, CLOTH))
    lines += _outlines(blue, "blue edge", "inner form")
    lines += _outlines(rendered.part == WALL, "back of the table", "inner form")
    lines += _outlines((rendered.lit < 0.5) & (rendered.part == CLOTH), "cast shadow", "shadow edge", smooth_mm=2.5)
    return Drawing(SIZE, tuple(lines), _landmarks(rendered))


def _outlines(mask: NDArray[np.bool_], name: str, layer: str, *, smooth_mm: float = 0.8) -> list[Line]:
    """Outlines of a mask as smooth closed or open lines; parts along the picture's border are left out."""
    px_per_mm = mask.shape[1] / SIZE.width_mm
    found, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
    lines = []
    for contour in found:
        points = (contour.reshape(-1, 2) + 0.5) / px_per_mm
        if len(points) < 12 * px_per_mm:
            continue
        edge = np.minimum(points, [SIZE.width_mm, SIZE.height_mm] - points).min(axis=1) < 1.0
        if not edge.any():
            lines.append(_smooth(points, smooth_mm, name, layer, closed=True))
            continue
        start = int(np.flatnonzero(edge)[0])
        points, edge = np.roll(points, -start, axis=0), np.roll(edge, -start)
        runs = np.split(np.arange(len(points)), np.flatnonzero(np.diff(edge.astype(int))) + 1)
        lines += [
            _smooth(points[run], smooth_mm, name, layer, closed=False)
            for run in runs
            if not edge[run[0]] and len(run) > 12 * px_per_mm
        ]
    return lines


def _smooth(points: NDArray[np.float64], smooth_mm: float, name: str, layer: str, *, closed: bool) -> Line:
    """Even out the pixel steps, keep a point every few millimetres, and pass a Catmull-Rom curve through them."""
    step = np.linalg.norm(np.diff(points, axis=0), axis=1).mean()
    sigma, pad = smooth_mm / step, int(4 * smooth_mm / step)
    mode = "wrap" if closed else "reflect"
    if mode == "reflect":
        padded = np.r_[2 * points[0] - points[pad:0:-1], points, 2 * points[-1] - points[-2 : -pad - 2 : -1]]
    else:
        padded = np.pad(points, ((pad, pad), (0, 0)), mode="wrap")
    kernel = np.exp(-0.5 * (np.arange(-pad, pad + 1) / sigma) ** 2)
    even = np.stack([np.convolve(padded[:, i], kernel / kernel.sum(), "valid") for i in range(2)], axis=1)
    knots = even[np.linspace(0, len(even) - 1, max(4, round(len(even) * step / 4.0))).astype(int)]
    before = np.roll(knots, 1, axis=0) if closed else np.r_[knots[:1], knots[:-1]]
    after = np.roll(knots, -1, axis=0) if closed else np.r_[knots[1:], knots[-1:]]
    tangent = (after - before) / 6
    ends = np.r_[knots, knots[:1]] if closed else knots
    tangents = np.r_[tangent, tangent[:1]] if closed else tangent
    chain = [ends[:1]]
    for i in range(len(ends) - 1):
        chain.append(np.stack([ends[i] + tangents[i], ends[i + 1] - tangents[i + 1], ends[i + 1]]))
    return Line(np.concatenate(chain), closed=closed, name=name, layer=layer)


def _landmarks(rendered: Rendered) -> tuple[Landmark, ...]:
    """What a painter would mark: where outlines turn furthest, and where one form passes behind another."""
    px_per_mm = rendered.part.shape[1] / SIZE.width_mm
    marks = []

    def mark(name: str, row: float, column: float) -> None:
        marks.append(Landmark(name, round((column + 0.5) / px_per_mm, 2), round((row + 0.5) / px_per_mm, 2)))

    def extremes(mask: NDArray[np.bool_], name: str, sides: str) -> None:
        # Rays that graze two forms leave stray pixels along silhouettes: opened away, they cannot be an extreme.
        solid = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, np.ones((7, 7), np.uint8))
        rows, columns = np.nonzero(solid)
        order = {"top": -rows, "bottom": rows, "left": -columns, "right": columns}
        for side in sides.split():
            furthest = np.flatnonzero(order[side] == order[side].max())
            mark(f"{name} {side}", float(np.median(rows[furthest])), float(np.median(columns[furthest])))

    blue = rendered.linear[..., 2] > 1.25 * rendered.linear[..., 0]
    rim = (rendered.part == JUG) & blue
    extremes(rim, "rim", "left right top")
    belly = rendered.part == JUG
    belly[: int(np.nonzero(belly)[0].mean())] = False
    extremes(belly, "jug", "left right bottom")
    extremes(rendered.part == HANDLE, "handle", "top right bottom left")
    for name in ("left quince", "middle quince", "right quince"):
        extremes(np.isin(rendered.part, PARTS[name]), name, "left right bottom")
    count, stems = cv2.connectedComponents((rendered.part == STEM).astype(np.uint8))
    by_column = sorted(range(1, count), key=lambda i: -np.count_nonzero(stems == i))[:3]
    by_column.sort(key=lambda i: float(np.nonzero(stems == i)[1].mean()))
    for name, index in zip(("left stem", "middle stem", "right stem"), by_column, strict=True):
        extremes(stems == index, name, "top")
    bright = rendered.linear.min(axis=2) > 0.85
    extremes(bright & (rendered.part == JUG), "window light", "top bottom")
    return tuple(marks)


if __name__ == "__main__":
    main()
