"""Sheets looked for in photos, and their lines read with nothing but the sheet's size given.

Run with ``python -m tests.measure.scan_find [count]``: prints the figures that ``core.drawing.scan_find`` quotes.
"""

import io
import sys

import numpy as np

from core.drawing.scan import scan_drawing
from core.drawing.scan_find import find_sheet
from core.drawing.scan_shape import shape_doubt
from core.errors import DrawingError
from core.photo import load_photo_bytes
from core.size import Size
from tests.core.drawing.drawn_sheets import A4, drawn, paper, random_strokes, recovery
from tests.studio.camera import Camera, photograph
from tests.studio.stand import stand_at

SETTINGS = ("wall", "dark", "light", "room", "easel", "frames")
CANVAS = Size(400.0, 300.0)
WIDTH, HEIGHT = 2000, 1500


def main(count: int) -> None:
    """``count`` drawings on A4 in each of six surroundings."""
    rows, missed, doubted = [], 0, 0
    for setting in SETTINGS:
        for seed in range(count):
            rng = np.random.default_rng(seed + 50)
            strokes = random_strokes(rng, A4, count=10)
            painted = drawn(strokes, paper(A4, rng, px_per_mm=7.0), A4, rng)
            camera = Camera(
                stand_at(rng, A4, width=WIDTH, height=HEIGHT, fill=0.75), width=WIDTH, height=HEIGHT, light_ratio=2.0,
                vignetting=0.3, exposure=0.85, noise=0.008, seed=seed, setting=setting, k1=-0.03,
            )  # fmt: skip
            photo = load_photo_bytes(io.BytesIO(photograph(painted, camera).jpeg(88)).getvalue(), "sheet.jpg")
            try:
                fix = find_sheet(photo, A4.turned)
            except DrawingError as trouble:
                missed += 1
                print(setting, seed, trouble, flush=True)
                continue
            doubted += bool(shape_doubt(photo, fix.corners_px, A4, CANVAS, k1=fix.k1))
            got = recovery(scan_drawing(photo, A4, corners_px=fix.corners_px, k1=fix.k1).drawing, strokes)
            off = float(np.abs(fix.corners_px - np.array(camera.corners)).max())
            rows.append([off, got.found, got.false, got.off_mm])
            print(setting, seed, *(f"{number:.3f}" for number in rows[-1]), flush=True)
    off, found, false, off_mm = np.array(rows).T
    print(f"sheets not found {missed} of {missed + len(rows)}, shape doubted {doubted}; off at most {off.max():.1f} px")
    print(
        f"found median {np.median(found):.3f} worst {found.min():.3f}; false median {np.median(false):.3f} worst "
        f"{false.max():.3f}; off {np.median(off_mm):.3f} mm"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 4)
