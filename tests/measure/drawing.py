"""The drawing's own figures against shapes that are known exactly: ``python -m tests.measure.drawing``.

Curves through jittery strokes, strokes snapped to edges, the spread of measures, printed sheets rasterised by PDFium,
and the demo painting's landmarks as painted.
"""

import json

import numpy as np

from core.check import run_check
from core.demo import DEMO, demo_request
from core.drawing.bezier import flatten
from core.drawing.drawing import Drawing
from core.drawing.fit_curve import fit_curve
from core.drawing.proportion import Span
from core.drawing.sheet_request import SheetRequest
from core.drawing.snap import snap_stroke
from tests.core.drawing import test_fit_curve as fitting
from tests.core.drawing import test_sheet_print as printed
from tests.core.drawing import test_snap as snapping
from tests.core.drawing.sheet_case import along, demo_drawing, one_line, pdf_of, rendered, spiral


def curves() -> None:
    """How far the fitted chain is off the shape that was meant, the worst of 20 strokes with 0.05 mm of jitter."""
    for name, (shape, closed, _) in fitting.SHAPES.items():
        worst = 0.0
        for seed in range(20):
            t = np.linspace(0, 1, 250, endpoint=not closed)
            turn = np.random.default_rng(seed).uniform(0, 2 * np.pi, len(t))
            stroke = shape(t) + 0.05 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
            chain = fit_curve(stroke, tolerance_mm=fitting.TOLERANCE_MM, closed=closed)
            worst = max(
                worst, float(fitting.from_polyline(flatten(chain, 0.005), shape(np.linspace(0, 1, 3000))).max())
            )
        print(f"curve through a {name}: at most {worst:.3f} mm off")


def snapped() -> None:
    """How far a shaky ring is off the disc's edge after snapping."""
    for soft in (0.2, 0.4, 0.8, 1.5):
        edges = snapping.disc(contrast=2.0, soft=soft, noise=0.1)
        off = snapping.off_the_disc(snap_stroke(edges, snapping.shaky_ring(), closed=True))
        print(f"snapped to an edge of sigma {soft} mm: {np.median(off):.3f} mm, at most {off.max():.3f}")


def spread() -> None:
    """The stated spread of a lean over that of 200,000 simulated measurings."""
    random, rms = np.random.default_rng(7), 0.4
    shifts = random.normal(0, rms / np.sqrt(2), (2, 200_000, 2))
    found = np.array([80.0, 20.0]) + shifts[0] - np.array([50.0, 60.0]) - shifts[1]
    leans = np.degrees(np.arctan2(found[:, 0], -found[:, 1]))
    lengths, stated = np.linalg.norm(found, axis=1), Span((50, 60), (80, 20)).lean_uncertainty_deg(rms)
    print(f"stated spread over simulated: length {rms / lengths.std():.3f}, lean {stated / leans.std():.3f}")


def sheets() -> None:
    """Rulers and lines on the printed pages, mm."""
    rulers = []
    for paper in printed.PAPER_SIZES:
        laid, document = pdf_of(SheetRequest(one_line((100, 90), (300, 200)), paper=paper))
        for index in range(1, len(laid.pages)):
            page = rendered(document, index, printed.PX)
            rulers += [printed.ruler_mm(page), printed.ruler_mm(np.rot90(page))]
    print(f"{len(rulers)} rulers of 100 mm: {min(rulers) - 100:+.3f} to {max(rulers) - 100:+.3f} mm")
    worst = 0.0
    for drawing in (spiral(), Drawing(spiral().size, demo_drawing().lines[:16])):
        laid, document = pdf_of(SheetRequest(drawing, line_weight_mm=0.3))
        points = along(drawing)
        for index in range(1, len(laid.pages)):
            page = rendered(document, index, printed.PX)
            dark = printed.frame_pixels(page, laid, index)
            worst = max(worst, printed.farthest(printed.on_sheet(points, laid, index), dark, page.shape))
    print(f"lines on the sheets put together: at most {worst:.3f} mm from their place")


def landmarks() -> None:
    """The demo's landmarks as painted, found by a check, against where they were painted."""
    truth = json.loads((DEMO / "truth.json").read_text(encoding="utf-8"))
    for sitting in (1, 2, 3):
        known = next(each for each in truth["photos"] if each["photo"] == f"canvas-{sitting}.jpg")["landmarks"]
        found = [mark for mark in run_check(demo_request(sitting)).drift.landmarks if mark.confidence >= 0.5]
        off = [np.hypot(m.dx_mm - known[m.name][0], m.dy_mm - known[m.name][1]) for m in found]
        print(
            f"demo sitting {sitting}: {len(found)} of {len(known)} landmarks told, {np.median(off):.2f} mm off, 95 % "
            f"within {np.percentile(off, 95):.2f}, worst {max(off):.2f}"
        )


def main() -> None:
    for figures in (curves, snapped, spread, sheets, landmarks):
        figures()


if __name__ == "__main__":
    main()
