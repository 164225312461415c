"""How true the picture of the light's field is: the steps shown less the light that fell, in four kinds of light.

    python -m tests.measure.light_field [cases of each kind] [cache folder]

The cases are those of tests.measure.light, photographed 2000 pixels wide; each is found by a photo of the blank canvas
and by a fit to the reference.
"""

import sys
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.colorimetry import LUMINANCE, luminance_of_value, munsell_value
from core.value.light import correct_light
from core.value.light_pictures import light_pictures
from tests.core.value.lit_cases import SIZE, LitCase, lit_case
from tests.studio.lamps import KINDS, light_of

WIDTH, CELL_MM = 2000, 10


def true_steps(case: LitCase) -> NDArray[np.float64]:
    """What the light that fell does to a middle grey, Munsell steps about its mean, on a grid of 10 mm."""
    across, down = (np.arange(CELL_MM / 2, side, CELL_MM, np.float32) for side in (SIZE.width_mm, SIZE.height_mm))
    x, y = np.meshgrid(across, down)
    camera = case.camera
    to_px = CanvasMap(np.asarray(camera.corners), SIZE, camera.width, camera.height, camera.k1)
    away = to_px.mm_to_px(np.stack([x, y], axis=-1)) - np.array([camera.width, camera.height]) / 2
    off_axis = (away**2).sum(axis=-1) / (np.hypot(camera.width, camera.height) / 2) ** 2
    light = light_of(case.kind, case.seed, SIZE, x, y) * (1 - camera.vignetting * off_axis)[..., None]
    log = np.log(light * np.array(camera.white_balance) @ LUMINANCE)
    return np.asarray(munsell_value(luminance_of_value(5.0) * np.exp(log - log.mean())) - 5.0)


def main(count: int, cache: Path) -> None:
    print("found by  light         cases   mean    95 %   worst   of steps")
    rows: dict[tuple[str, str], list[tuple[float, ...]]] = {}
    for kind in KINDS:
        for seed in range(1, count + 1):
            case = lit_case(kind, seed, cache, width=WIDTH)
            true = true_steps(case)
            for source, blank in (("blank", case.blank), ("fit", None)):
                light = correct_light(case.canvas, case.moved, blank=blank, withheld=case.lying)
                shown = light_pictures(light, (800, 600)).field_steps
                off = np.abs(cv2.resize(shown, true.shape[::-1], interpolation=cv2.INTER_AREA) - true)
                row = (float(off.mean()), float(np.percentile(off, 95)), float(off.max()), float(np.ptp(true)))
                rows.setdefault((source, kind), []).append(row)
    for source in ("blank", "fit"):
        for kind in (*KINDS, "all"):
            these = [row for (s, k), found in rows.items() if s == source and kind in (k, "all") for row in found]
            table = np.array(these)
            mean, worst = table.mean(axis=0), table.max(axis=0)
            print(f"{source:9s} {kind:12s} {len(table):5d} {mean[0]:8.3f}{mean[1]:8.3f}{worst[2]:8.3f}{mean[3]:8.2f}")


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 4,
        Path(given[1]) if len(given) > 1 else Path.home() / ".cache" / "easelside-measure",
    )
